"""The air ahead: every season after the fixing, each day told from the day it was read on."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.ahead import ahead_from, day_of_year, is_whole_year, years_in_turn
from climlog.analysis.air.air import air_of
from climlog.errors import UnusableInputError
from tests.analysis.made import made_log


def record(days, start="2025-01-01", step_hours=1, lacking=()):
    """Air whose humidity tells the hour it was read in, counted from the first."""
    hours = np.arange(0, days * 24, step_hours, dtype=float)
    rh = 20.0 + 60.0 * hours / hours.size / step_hours
    times = pd.date_range(start, periods=hours.size, freq=f"{step_hours}h")
    for first, last in lacking:
        rh[(times >= first) & (times < pd.Timestamp(last) + pd.Timedelta(days=1))] = np.nan
    return air_of(made_log(0 * rh + 20.0, rh, start, 60.0 * step_hours))


def source_dates(ahead):
    """The day read on, for the noon of every day ahead."""
    noons = pd.date_range(
        ahead.air.times[0].normalize(), ahead.air.times[-1].normalize()
    ) + pd.Timedelta(hours=12)
    return noons.normalize(), ahead.source_times(noons).normalize()


def test_a_piece_fixed_on_the_first_day_meets_the_record_as_it_is():
    air = record(408)
    ahead = ahead_from(air, date(2025, 1, 1))
    assert ahead.air.times.equals(air.times)
    np.testing.assert_array_equal(ahead.air.rh_pct, air.rh_pct)
    assert not ahead.repeated.any()
    assert ahead.coverage.is_whole


@pytest.mark.parametrize(
    "fixed_on",
    [date(2025, 2, 14), date(2025, 8, 25), date(2026, 2, 1), date(2026, 2, 12), date(2026, 3, 16),
     date(2028, 6, 1), date(2024, 12, 1), date(2024, 2, 29)],
)  # fmt: skip
def test_whenever_it_is_fixed_a_year_from_there_is_met_each_day_by_the_same_day_of_the_year(
    fixed_on,
):
    ahead = ahead_from(record(408), fixed_on)
    days, read_on = source_dates(ahead)
    assert days[0] == pd.Timestamp(fixed_on)
    assert (days[-1] - days[0]).days >= 364
    assert ahead.coverage.is_whole
    assert ahead.coverage.days >= 365
    same = day_of_year(days.to_numpy().astype("datetime64[D]"))
    assert (same == day_of_year(read_on.to_numpy().astype("datetime64[D]"))).all()
    assert np.isfinite(ahead.air.emc_pct).all()


def test_hours_keep_their_place_in_the_day_and_their_reading():
    air = record(408)
    ahead = ahead_from(air, date(2026, 3, 16))
    assert (ahead.air.times.hour == ahead.source_times(ahead.air.times).hour).all()
    np.testing.assert_array_equal(ahead.air.rh_pct, air.rh_pct[ahead.source])
    assert ahead.repeated.all()


def test_the_days_after_the_record_are_told_as_in_the_year_before():
    ahead = ahead_from(record(408), date(2025, 3, 16))
    later = ahead.told(pd.Timestamp("2026-03-01 06:00"))
    assert (later.read_on, later.is_repeat) == (date(2025, 3, 1), True)
    own = ahead.told(pd.Timestamp("2025-08-21 06:00"))
    assert (own.read_on, own.is_repeat) == (date(2025, 8, 21), False)


def test_of_a_record_of_three_years_every_year_comes_in_turn_after_a_late_fixing():
    air = record(3 * 365 + 1, "2023-01-01", step_hours=6)
    assert years_in_turn(air) == 3
    ahead = ahead_from(air, date(2025, 11, 1))
    days, read_on = source_dates(ahead)
    assert (days[-1] - days[0]).days >= 3 * 365 - 1
    after = read_on[days >= "2026-01-01"]
    assert list(dict.fromkeys(after.year)) == [2023, 2024, 2025]
    assert np.unique(read_on).size >= 3 * 365 - 1


def test_a_february_day_that_the_record_lacks_is_met_by_the_day_before():
    ahead = ahead_from(record(380, "2025-01-01"), date(2027, 6, 1))
    leap = ahead.told(pd.Timestamp("2028-02-29 12:00"))
    assert leap.read_on == date(2025, 2, 28)


def test_two_winters_with_ten_months_between_are_no_year():
    air = record(425, "2024-12-01", lacking=[("2025-02-01", "2025-11-30")])
    assert not is_whole_year(air)
    coverage = ahead_from(air, date(2024, 12, 1)).coverage
    assert not coverage.is_whole
    assert (coverage.lacks[0].first, coverage.lacks[0].last) == (
        date(2025, 2, 1),
        date(2025, 11, 30),
    )
    # 30 January 2026 is the last day; fifteen days may lack, so up to 15 November is enough.
    assert coverage.read_until == date(2026, 11, 15)


@pytest.mark.parametrize(("days", "whole"), [(349, False), (350, True)])
def test_a_year_begins_to_count_at_350_days(days, whole):
    assert is_whole_year(record(days)) == whole


def test_a_row_years_away_makes_no_year():
    air = record(60, "2025-03-01", step_hours=6)
    far = air_of(made_log(
        np.full(240, 20.0),
        np.where(np.arange(240) == 0, 45.0, 50.0),
        "2025-03-01", 360.0,
    ))  # fmt: skip
    assert not is_whole_year(far)
    assert not ahead_from(air, date(2025, 3, 1)).coverage.is_whole


def test_a_long_gap_is_filled_from_the_same_days_of_another_year_and_a_short_one_is_not():
    gaps = [("2025-05-01", "2025-05-20"), ("2025-07-01", "2025-07-03")]
    ahead = ahead_from(record(730, lacking=gaps), date(2025, 1, 1))
    assert ahead.told(pd.Timestamp("2025-05-10 12:00")).read_on == date(2026, 5, 10)
    assert np.isnan(ahead.air.emc_pct[ahead.air.times == "2025-07-02 12:00"]).all()


def test_a_short_record_meets_its_own_days_again_a_year_later_and_lacks_the_rest():
    ahead = ahead_from(record(21, "2025-11-03"), date(2025, 11, 10))
    assert ahead.air.times[-1] == pd.Timestamp("2026-11-09 23:00")
    assert ahead.coverage.days == 21
    assert ahead.coverage.lacks[0].first == date(2025, 11, 24)
    assert ahead.coverage.lacks[-1].last == date(2026, 11, 2)


def test_a_piece_fixed_before_a_short_record_begins_with_it():
    ahead = ahead_from(record(21, "2025-11-03"), date(2025, 2, 14))
    assert ahead.air.times[0] == pd.Timestamp("2025-11-03")
    assert ahead.lead_hours == 262 * 24


def test_a_piece_fixed_years_before_a_whole_record_begins_a_year_before_it():
    ahead = ahead_from(record(400), date(2019, 6, 1))
    assert ahead.air.times[0] == pd.Timestamp("2024-01-02")
    assert ahead.told(ahead.air.times[0]).read_on == date(2025, 1, 2)


def test_what_has_been_is_told_from_what_is_foreseen():
    assert ahead_from(record(408), date(2025, 12, 1)).as_read.times[-1] == pd.Timestamp(
        "2026-02-12 23:00"
    )


def test_a_log_of_half_a_day_has_no_day_to_go_through_again():
    hours = np.full(8, 50.0)
    with pytest.raises(UnusableInputError, match="no readings from 2025-11-24 on"):
        ahead_from(air_of(made_log(hours * 0 + 20.0, hours, "2025-11-23")), date(2025, 11, 24))


def test_a_record_that_ends_within_a_day_leaves_no_hole_where_it_begins_again():
    hours = np.full(24 * 400 + 13, 50.0)
    ahead = ahead_from(air_of(made_log(hours * 0 + 20.0, hours)), date(2026, 1, 20))
    assert len(ahead.air.stretches) == 1


@pytest.mark.parametrize("step_hours", [1, 3, 5, 24])
def test_other_steps_are_followed_too(step_hours):
    ahead = ahead_from(record(400, step_hours=step_hours), date(2025, 12, 1))
    assert np.isfinite(ahead.air.emc_pct).all()
    assert np.diff(ahead.air.times).min() == np.timedelta64(step_hours, "h")


@pytest.mark.parametrize(
    ("days", "fixed_on"),
    [
        (390, date(2025, 2, 1)),
        (390, date(2026, 3, 1)),
        (500, date(2025, 6, 1)),
        (500, date(2027, 1, 10)),
        (870, date(2025, 9, 1)),
        (870, date(2028, 1, 1)),
    ],
)
def test_no_month_of_a_record_is_left_out_because_the_record_is_no_whole_number_of_years(
    days, fixed_on
):
    air = record(days, step_hours=6)
    _, read_on = source_dates(ahead_from(air, fixed_on))
    met = np.unique(read_on.to_numpy().astype("datetime64[D]")).size
    assert days - met <= 15
