"""Equilibrium moisture of a year's outdoor air against the handbook's monthly figures.

The weather is open: typical years for Greensboro, North Carolina (TMY3) and Miami, Florida (TMY2),
from the National Renewable Energy Laboratory, as pvlib carries them; read with pvlib's readers.
"""

import sys
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.errors import ExtrapolationWarning
from climlog.importer.read import read_log
from climlog.model.emc import equilibrium_moisture
from tests.analysis.made import oak_top
from tests.places import DATA

PUBLISHED = DATA / "published"
WEATHER = Path(pvlib.__file__).parent / "data"


def greensboro():
    weather, _ = pvlib.iotools.read_tmy3(
        WEATHER / "723170TYA.CSV", coerce_year=1990, map_variables=True
    )
    # The file stamps the end of the hour; the last one falls into the next year.
    return weather[["temp_air", "relative_humidity"]].set_axis(
        weather.index - pd.Timedelta(hours=1)
    )


def miami():
    weather, _ = pvlib.iotools.read_tmy2(WEATHER / "12839.tm2")
    return pd.DataFrame({"temp_air": weather["DryBulb"] / 10, "relative_humidity": weather["RHum"]})


def through_the_job(name):
    """Monthly means as `climlog place` itself sees them, from the same file by its own importer."""
    result = analyse_place(oak_top(), read_log([WEATHER / name]))
    air = result.air
    frame = pd.DataFrame({"temp_air": air.temp_c, "relative_humidity": air.rh_pct}, air.times)
    return result, by_month(frame.shift(freq=pd.Timedelta(hours=-1))).mean()


def by_month(weather):
    return weather.groupby(weather.index.month)


@pytest.mark.parametrize(
    ("weather", "city"),
    [(greensboro, "Raleigh NC"), (miami, "Miami FL")],
    ids=["Greensboro beside Raleigh", "Miami"],
)
def test_monthly_outdoor_emc_lies_near_the_wood_handbook(weather, city):
    # "Wood Handbook", FPL-GTR-190 (2010), table 13-1, after Simpson, FPL-RN-0268 (1998). Both
    # rows are FROM MEMORY, so this is no pass-or-fail limit of the handbook: 2 points a month.
    # The handbook starts from 30-year monthly means of temperature and humidity (from memory), so
    # the means are taken first here and the curve after; a typical year strings single months
    # together, and Greensboro lies 110 km from Raleigh.
    table = pd.read_csv(PUBLISHED / "outdoor_emc_memory.csv", index_col="city", encoding="utf-8")
    handbook_pct = table.loc[city].to_numpy()
    means = by_month(weather()).mean()
    ours_pct = equilibrium_moisture(means["temp_air"], means["relative_humidity"])
    beside = pd.DataFrame({"ours": ours_pct.round(1), "handbook": handbook_pct}, means.index)
    sys.stdout.write(f"{city}, % moisture by month:\n{beside.T}\n")
    assert np.abs(ours_pct - handbook_pct).max() < 2.0, f"\n{beside}"
    assert abs((ours_pct - handbook_pct).mean()) < 0.5, f"\n{beside}"


@pytest.mark.slow
def test_the_whole_place_job_reads_that_year_as_pvlib_does():
    result, means = through_the_job("723170TYA.CSV")
    expected = by_month(greensboro()).mean()
    # Its February is of a leap year and ends with an hour stamped 29 February 00:00: climlog lays
    # it into a leap year and bridges that day: half a degree in 29 days at most, say 0.2.
    assert means["temp_air"].to_numpy() == pytest.approx(expected["temp_air"], abs=0.2)
    humidity = expected["relative_humidity"]
    assert means["relative_humidity"].to_numpy() == pytest.approx(humidity, abs=1.0)
    assert result.log.rows_used == 8760
    assert result.is_full_year
    assert any("outdoor" in flag.says for flag in result.log.flags)
    assert any("-16.7 °C" in limit for limit in result.limits)


def test_a_bare_board_outdoors_keeps_within_the_published_yearly_range():
    # "Wood Handbook" table 13-1, Raleigh NC, FROM MEMORY: monthly outdoor equilibrium moisture from
    # 11.7 to 14.5 %. A 20 mm board averages over weeks and follows the mean of the hourly curve,
    # which lies up to 3 points above the curve of the means (see below): hence the wide ends.
    result, _ = through_the_job("723170TYA.CSV")
    settled_pct = result.course.mean_pct[24 * 60 :]
    sys.stdout.write(f"board outdoors {settled_pct.min():.1f} to {settled_pct.max():.1f} %\n")
    assert 11.7 - 2.0 < settled_pct.mean() < 14.5 + 3.0
    assert settled_pct.min() > 9.0
    assert settled_pct.max() < 20.0


def test_means_of_hourly_emc_lie_above_emc_of_monthly_means():
    # The curve bends upward at high humidity, so damp nights count for more than dry afternoons:
    # Jensen's inequality, and the reason why the test above takes the means first.
    weather = greensboro()
    with pytest.warns(ExtrapolationWarning, match=r"air temperature -16\.7 °C"):
        hourly_pct = equilibrium_moisture(weather["temp_air"], weather["relative_humidity"])
    mean_of_curve = by_month(pd.DataFrame({"emc": hourly_pct}, weather.index)).mean()["emc"]
    means = by_month(weather).mean()
    curve_of_mean = equilibrium_moisture(means["temp_air"], means["relative_humidity"])
    above = mean_of_curve.to_numpy() - curve_of_mean
    assert (above > 0).all()
    assert above.mean() < 3.0
