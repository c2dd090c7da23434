"""An outdoor file of the other half of the earth, told by what a log of the room reads.

A room answers the season outdoors: its own readings say whether they fit the season given, or the
one half a year off, whatever kind of building it is.
"""

import numpy as np

from climlog.analysis.air.daily import Daily, OutdoorDays
from climlog.analysis.air.departure import Spreads, log_likelihood
from climlog.analysis.air.house_fit import (
    COLD_KINDS,
    HUMIDITY,
    TEMPERATURE,
    class_line,
    days_of,
    heating_of,
)
from climlog.analysis.air.switched import Switched
from climlog.errors import UnusableInputError
from climlog.limits import warn_of
from climlog.model.indoor import HouseClass, house_figure, house_named, humidity_of
from climlog.tables import ORDINARY_HOME


def check_seasons(
    indoor: Daily,
    outdoor: OutdoorDays,
    house: HouseClass | None,
    name: str,
    two: Switched | None = None,
) -> None:
    """Refuse an outdoor file whose seasons are those of the other half of the earth.

    Parameters
    ----------
    indoor : Daily
        On the days of `outdoor`, NaN where there is no reading.
    outdoor : OutdoorDays
        A whole year.
    house : HouseClass or None
        Where the kind of house was named, it is warned of and not refused.
    name : str
        The outdoor file, for messages.
    two : Switched, optional
        The states of the log, where heating was switched within it: what explains it better than
        seasons the other way refuses no file; it is warned of where the state kept says so still.

    Raises
    ------
    UnusableInputError
        If the log's own readings say so, by the odds of tables/house_figures.csv.

    Warns
    -----
    ExtrapolationWarning
        Likewise, where a kind of house was named or heating switched is likelier.
    """
    odds = odds_reversed(indoor, outdoor)
    if odds < house_figure("seasons_odds"):
        return
    if two is not None and two.step.gain - house_figure("switched_odds") > odds:
        if odds_reversed(indoor.only(two.kept), outdoor) >= house_figure("seasons_odds"):
            warn_of(f"{name}: unless heating was switched, its seasons run against the log's")
        return
    least = float(f"{np.exp(house_figure('seasons_odds')):.1g}")
    said = (
        f"{name}: its seasons run against the log's: by the room's own readings, {least:.0f} to 1 "
        "or more, they are half a year off, as on the other half of the earth"
    )
    if house is None:
        raise UnusableInputError(
            f"{said}; give a file of the log's own place, or, if this one is right (a cooled room "
            "can look so, and one whose heating was switched within the log), name the kind of "
            "house with --house NAME"
        )
    warn_of(said)


def odds_reversed(indoor: Daily, outdoor: OutdoorDays) -> float:
    """Compute the natural logarithm of the odds, seasons half a year off against as given.

    Parameters are those of `check_seasons`. Each way the kind of building that fits best counts.
    """
    return _likeliest(indoor, _half_a_year_off(outdoor)) - _likeliest(indoor, outdoor)


def _half_a_year_off(outdoor: OutdoorDays) -> OutdoorDays:
    turned = [
        Daily(
            one.days, *(np.roll(part, one.days.size // 2) for part in (one.temp_c, one.vapour_pa))
        )
        for one in (outdoor.daily, outdoor.curve)
    ]
    return OutdoorDays(turned[0], np.zeros(turned[0].days.size, dtype=bool), turned[1])


def _likeliest(indoor: Daily, outdoor: OutdoorDays) -> float:
    """Tell how well the best kind explains a log by the season alone, up to a constant."""
    use = indoor.known
    reads = (indoor.temp_c, humidity_of(indoor.temp_c, indoor.vapour_pa))
    found = []
    for name in (ORDINARY_HOME, *COLD_KINDS):
        house = house_named(name)
        lines, weather = class_line(house, outdoor.curve), class_line(house, outdoor.daily)
        days = days_of(house, outdoor, outdoor.curve)
        fits = [
            log_likelihood(
                Spreads.of(heating_of(house), quantity),
                at.only(use),
                (read - line)[use],
                float((real - line).std()),
            )
            for quantity, read, line, real, at in zip(
                (TEMPERATURE, HUMIDITY), reads, lines, weather, days, strict=True
            )
        ]
        found.append(sum(fits))
    return max(found)
