"""Weather of usual spread around monthly means: what a table of them leaves out.

A table of months tells the season. How far the days of a year stray from it decides how much a
short log can tell and how sure a projected year is; so they stray as the days of measured years do.
"""

from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.air.daily import Daily, OutdoorDays
from climlog.analysis.air.house_fit import departures, spread_by_season
from climlog.model.indoor import house_figure
from climlog.model.psychrometrics import saturation_pressure

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SEED = 20010101
"""One made year for all: its spread matters, not its days."""
COLD_C, WARM_C = 0.0, 20.0
"""Outdoor means at which tables/house_figures.csv gives the spreads; straight on beyond."""
LEAST_SHARE = 0.5
"""Of the spread at 20 °C, where it is warmer still."""


def with_usual_weather(smooth: OutdoorDays) -> OutdoorDays:
    """Let the days of a smooth year stray from it as weather does.

    Parameters
    ----------
    smooth : OutdoorDays
        Its days lie on their season; none is known by date.

    Returns
    -------
    OutdoorDays
        Days around the same season, which is its curve, with the vapour that such days hold.
    """
    season = _with_its_vapour(smooth.daily)
    generator = np.random.default_rng(SEED)
    carried, together = house_figure("weather_carried"), house_figure("weather_together")
    shape = (1, season.days.size)
    first, own = (_even(departures(generator, shape, carried)[0]) for _ in range(2))
    second = together * first + np.sqrt(1.0 - together**2) * own
    away_c = _spread("temp", season.temp_c) * first
    spread = _spread("vapour", season.temp_c)
    temp_c = season.temp_c + away_c
    # A lognormal factor whose mean is 1: the vapour of the season is kept.
    vapour_pa = season.vapour_pa * np.exp(spread * second - spread**2 / 2.0)
    vapour_pa = np.minimum(vapour_pa, saturation_pressure(temp_c))
    known = np.zeros(season.days.size, dtype=bool)
    return OutdoorDays(Daily(season.days, temp_c, vapour_pa), known, season)


def _with_its_vapour(season: Daily) -> Daily:
    """Correct the vapour of mean humidity at mean temperature to the mean vapour of such days."""
    kept = season.vapour_pa * _straight("kept", season.temp_c)
    return Daily(season.days, season.temp_c, np.minimum(kept, saturation_pressure(season.temp_c)))


def _even(course: "Floats") -> "Floats":
    """Scale a made course so that its spread is 1 in every season."""
    return course / spread_by_season(course)


def _spread(name: str, season_c: "Floats") -> "Floats":
    """Tell the standard deviation on days of these seasonal temperatures."""
    least = LEAST_SHARE * house_figure(f"weather_{name}_warm")
    return np.asarray(np.maximum(_straight(name, season_c), least))


def _straight(name: str, season_c: "Floats") -> "Floats":
    """Read a figure that goes straight with the temperature of the season."""
    cold, warm = (house_figure(f"weather_{name}_{end}") for end in ("cold", "warm"))
    return np.asarray(cold + (warm - cold) * (season_c - COLD_C) / (WARM_C - COLD_C))
