"""What the air did: ranges, spells, months and days that were not read."""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.lived import lived_air
from climlog.analysis.place.place import analyse_place
from climlog.importer.log import Gap
from climlog.tables import load_table
from tests.analysis.made import fastening, made_log, oak_top


@pytest.fixture(scope="module")
def year():
    hours = np.arange(24 * 365)
    rh = 50 + 20 * np.sin(2 * np.pi * (hours / 24 - 110) / 365)
    rh[1000:1400] = np.nan
    return analyse_place(oak_top(fastening("pin")), made_log(np.full(hours.size, 20.0), rh))


def test_ranges_leave_gaps_out(year):
    lived = year.lived
    assert (lived.temp_c.low, lived.temp_c.mean, lived.temp_c.high) == pytest.approx((20, 20, 20))
    assert lived.rh_pct.low == pytest.approx(30.0, abs=0.1)
    assert lived.rh_pct.high == pytest.approx(70.0, abs=0.1)
    assert lived.rh_pct.low <= lived.monthly_rh_pct[0] < lived.monthly_rh_pct[1]


def test_damp_and_dry_are_where_the_sine_has_them(year):
    # The sine is highest on day 110 + 91, 20 July, above 65 % from 49 days after day 110, 8 June,
    # and lowest half a year from its highest, 19 January.
    assert (year.lived.driest_month, year.lived.dampest_month) == (1, 7)
    (damp, *_) = year.lived.damp
    assert damp.first.month == 6
    assert damp.rh_pct > load_table("client_air")["value"]["mould_limit"]
    assert year.lived.dry == ()


def test_nothing_is_projected_where_all_was_read(year):
    assert year.lived.projected == ()
    hours = year.air.times[1000:1400]
    gap = Gap(hours[0].to_pydatetime(), hours[-1].to_pydatetime(), 400.0)
    before = Gap(hours[0] - pd.Timedelta(days=900), hours[-1] - pd.Timedelta(days=900), 400.0)
    assert lived_air(year.air, (gap, before), year.projected, year.ahead).gaps == (gap,)


def test_the_extremes_are_those_of_the_drawn_line_on_their_days(year):
    narrowest, widest = year.extremes.narrowest, year.extremes.widest
    assert narrowest.width_mm == pytest.approx(float(np.nanmin(year.width_mm)))
    assert widest.width_mm == pytest.approx(float(np.nanmax(year.width_mm)))
    assert widest.change_mm == pytest.approx(widest.width_mm - year.piece.width_mm)
    at = year.course.times.get_loc(pd.Timestamp(widest.on))
    assert year.width_mm[at] == pytest.approx(widest.width_mm)
