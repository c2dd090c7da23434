"""A short log and an outdoor year: what is recovered, what is kept, how wide the doubt is."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.daily import daily_means, outdoors_on
from climlog.analysis.air.house_fit import ClassHouse
from climlog.analysis.air.projection import fill_year
from climlog.analysis.board.cases import KnownFrom, Spreads, draw_cases
from climlog.analysis.board.simulation import Stay, simulate_cases
from climlog.errors import UnusableInputError
from climlog.importer.weather import Weather
from climlog.model.emc import equilibrium_moisture
from climlog.model.indoor import house_figure, house_named, indoor_air
from climlog.model.psychrometrics import saturation_pressure
from tests.analysis.made import fastening, made_log, oak_top

HOURS = np.arange(365 * 24)


def outdoor_year(start="2025-01-01", seed=5):
    """Made weather: a yearly wave and spells of a few days."""
    generator = np.random.default_rng(seed)
    spells = np.zeros(365)
    for day in range(1, 365):
        spells[day] = 0.7 * spells[day - 1] + generator.normal(0.0, 2.0)
    temp_c = 9.0 - 11.0 * np.cos(2 * np.pi * HOURS / 8760) + np.repeat(spells, 24)
    rh_pct = 75.0 + 8.0 * np.cos(2 * np.pi * HOURS / 8760)
    return made_log(temp_c, rh_pct, start)


def house_air(outdoor, cool=0.05, warm=0.4, vapour_slope=0.7, level_pa=1250.0, noise=0.0):
    """A made house with known lines on daily means; readings each hour."""
    daily = daily_means(outdoor)
    generator = np.random.default_rng(9)
    away = daily.temp_c - house_figure("temp_kink")
    temp_c = 20.5 + cool * np.minimum(away, 0) + warm * np.maximum(away, 0)
    vapour = level_pa + vapour_slope * (daily.vapour_pa - house_figure("vapour_kink"))
    vapour = vapour + noise * generator.standard_normal(365)
    rh_pct = 100.0 * vapour / saturation_pressure(temp_c)
    return made_log(np.repeat(temp_c, 24), np.repeat(rh_pct, 24), str(outdoor.times[0]))


def cut(log, first_day, days):
    span = slice(24 * first_day, 24 * (first_day + days))
    return replace(log, times=log.times[span], temp_c=log.temp_c[span], rh_pct=log.rh_pct[span],
                   rows_read=24 * days, rows_used=24 * days)  # fmt: skip


def weather(log, typical=False):
    return Weather(log, "EPW" if typical else "logger", typical)


OUT = outdoor_year()
HOUSE = house_air(OUT)
OUT_DAYS = daily_means(OUT)
OUT_YEAR = outdoors_on(OUT_DAYS.days, OUT_DAYS, True, "made.csv")


def test_a_whole_year_of_both_tells_the_lines_of_the_house_in_short():
    fit = fill_year(weather(OUT), HOUSE).fit
    assert fit.by_date
    assert fit.days_used == 365
    # A smooth course in two straight lines: near to those the house was made of.
    assert fit.temp.cool_slope == pytest.approx(0.05, abs=0.03)
    assert fit.temp.warm_slope == pytest.approx(0.4, abs=0.05)
    assert fit.vapour.cool_slope == pytest.approx(0.7, abs=0.06)
    # A house that follows each day at once; the model takes it for one with walls.
    assert fit.vapour.warm_slope == pytest.approx(0.7, abs=0.08)
    assert fit.vapour.level == pytest.approx(1250.0, abs=20.0)


def test_three_weeks_project_a_house_that_follows_the_published_slopes():
    house = house_air(OUT, cool=0.04, warm=0.41, vapour_slope=0.69)
    year = fill_year(weather(OUT), cut(house, 10, 21))
    truth = daily_means(house)
    found = pd.Series(year.air.rh_pct, year.air.times).resample("D").mean()
    read = 100 * truth.vapour_pa / saturation_pressure(truth.temp_c)
    both = pd.Series(read, truth.days)
    days = found.index.intersection(both.index)[21:]
    # The level at the kink is 15 K away from January's readings: a few points of humidity.
    assert float((found[days] - both[days]).abs().mean()) < 6.0


def test_readings_are_kept_as_they_are_and_the_rest_is_marked():
    log = cut(HOUSE, 40, 21)
    year = fill_year(weather(OUT), log)
    assert not year.projected[: 21 * 24].any()
    assert year.projected[21 * 24 :].all()
    assert year.air.rh_pct[: 21 * 24] == pytest.approx(log.rh_pct)
    assert (year.days_read, year.days_projected) == (21, 344)
    assert year.air.times.size == 365 * 24
    assert np.isfinite(year.air.emc_pct).all()
    assert year.matched == "by date"


def test_a_long_gap_of_the_log_is_filled_and_marked():
    log = cut(HOUSE, 0, 90)
    keep = np.r_[0 : 24 * 30, 24 * 60 : 24 * 90]
    gappy = replace(
        log, times=log.times[keep], temp_c=log.temp_c[keep], rh_pct=log.rh_pct[keep],
        rows_read=keep.size, rows_used=keep.size,
    )  # fmt: skip
    year = fill_year(weather(OUT), gappy)
    assert year.projected[24 * 30 : 24 * 60].all()
    assert not year.projected[24 * 60 : 24 * 90].any()
    assert len(year.air.stretches) == 1
    truth = equilibrium_moisture(HOUSE.temp_c, HOUSE.rh_pct)[24 * 30 : 24 * 60]
    # Between readings on both sides the house is known; days carry straight lines, not steps.
    assert np.abs(year.air.emc_pct[24 * 30 : 24 * 60] - truth).mean() < 0.3


def test_a_typical_year_is_matched_by_day_of_year_with_a_wider_range():
    log = cut(HOUSE, 10, 21)
    dated = fill_year(weather(OUT), log)
    typical = fill_year(weather(outdoor_year("2001-01-01", seed=6), typical=True), log)
    assert typical.matched == "by day of year"
    assert not typical.fit.by_date
    assert typical.days_of_other_years == 365
    january = slice(24 * 22, 24 * 40)
    # The house is known no worse far away; near the readings its weather adds to the doubt.
    assert typical.emc_sd_pct[january].mean() > 1.1 * dated.emc_sd_pct[january].mean()


def test_dates_of_another_place_can_be_declared():
    year = fill_year(weather(OUT), cut(HOUSE, 10, 21), real_dates=False)
    assert year.matched == "by day of year"


def test_fewer_than_seven_common_days_are_matched_by_day_of_year():
    late = made_log(HOUSE.temp_c[: 21 * 24], HOUSE.rh_pct[: 21 * 24], "2025-12-26")
    year = fill_year(weather(OUT), late)
    assert year.matched == "by day of year"
    later = made_log(HOUSE.temp_c[: 21 * 24], HOUSE.rh_pct[: 21 * 24], "2025-12-25")
    assert fill_year(weather(OUT), later).matched == "by date"


def test_doubt_is_nought_on_read_days_and_grows_away_from_them():
    year = fill_year(weather(OUT), cut(HOUSE, 10, 42))
    spread = year.emc_sd_pct
    assert spread[: 42 * 24].max() == 0.0
    assert 0.0 < spread[24 * 44] < spread[24 * 150]
    low, high = year.emc_band_pct
    assert (low <= year.air.emc_pct + 1e-9).all()
    assert (high >= year.air.emc_pct - 1e-9).all()


def test_more_weeks_leave_less_doubt():
    late_summer = slice(-24 * 160, -24 * 100)
    spreads = [
        fill_year(weather(OUT), cut(HOUSE, 10, days)).emc_sd_pct[late_summer].mean()
        for days in (7, 42, 120)
    ]
    assert spreads[0] > spreads[1] > spreads[2]


def test_drawn_years_carry_over_from_day_to_day():
    year = fill_year(weather(OUT), cut(HOUSE, 10, 21))
    errors = year.emc_errors_pct[:, 60:]
    today, tomorrow = errors[:, :-1].ravel(), errors[:, 1:].ravel()
    assert np.corrcoef(today, tomorrow)[0, 1] > 0.8


def test_drawn_years_hold_houses_drawn_from_the_spread_of_their_class():
    """Houses drawn about their class lie inside the 90 % band as often as claimed."""
    generator = np.random.default_rng(12)
    daily, ordinary = daily_means(OUT), ClassHouse(house_named("iso13788-class-2"), OUT_YEAR)
    shape = (12, 365)
    temps, humidities = ordinary.drawn(
        np.broadcast_to(daily.temp_c, shape), np.broadcast_to(daily.vapour_pa, shape),
        np.full(365, np.inf), int(generator.integers(1000)),
    )  # fmt: skip
    shares = []
    for temp_c, drawn_pct in zip(temps, humidities, strict=True):
        rh_pct = np.clip(drawn_pct, 3.0, 85.0)
        house = made_log(np.repeat(temp_c, 24), np.repeat(rh_pct, 24))
        year = fill_year(weather(OUT), cut(house, 10, 21))
        truth = equilibrium_moisture(house.temp_c, house.rh_pct)[24 * 10 :]
        low, high = (one[: truth.size] for one in year.emc_band_pct)
        held = year.projected[: truth.size]
        shares.append(((truth >= low - 0.05) & (truth <= high + 0.05))[held].mean())
    # 12 houses, each nearly all in or all out: 90 % claimed, a standard error of about 8 points.
    assert np.mean(shares) > 0.74


def test_without_a_log_a_class_of_house_gives_the_published_line():
    house = house_named("en15026-normal")
    year = fill_year(weather(OUT), house=house)
    assert year.matched == "by class of house"
    assert year.projected.all()
    assert year.fit is None
    daily = daily_means(OUT)
    noon = year.air.rh_pct[12::24]
    felt = [
        pd.Series(one).ewm(alpha=1.0 - house_figure("felt_left"), adjust=False).mean().to_numpy()
        for one in (daily.temp_c, daily.vapour_pa)
    ]
    published = indoor_air(house, *felt).rh_pct
    # Over the running mean that walls feel, and about two days ahead of or behind the season.
    assert noon == pytest.approx(published, abs=1.0)
    assert noon.mean() == pytest.approx(
        indoor_air(house, daily.temp_c, 1000.0).rh_pct.mean(), abs=0.3
    )
    assert year.emc_sd_pct.min() > 0.3


def test_a_class_can_start_on_a_chosen_day():
    year = fill_year(
        weather(outdoor_year("2001-01-01"), typical=True),
        house=house_named("heated-only"),
        start=pd.Timestamp("2026-03-01").date(),
    )
    assert year.air.times[0] == pd.Timestamp("2026-03-01")
    assert year.air.times[-1] == pd.Timestamp("2027-02-28 23:00")


def test_a_class_beside_a_log_gives_the_lines_to_start_from():
    dry, damp = (
        fill_year(weather(OUT), cut(HOUSE, 10, 21), house_named(name))
        for name in ("heated-only", "iso13788-class-2")
    )
    # An empty house passes all vapour on; use fades out as it gets warm, which flattens the line.
    assert dry.fit.vapour.warm_slope > damp.fit.vapour.warm_slope
    assert dry.house is None


def test_outdoors_alone_is_refused():
    with pytest.raises(UnusableInputError, match="outdoor air alone does not tell"):
        fill_year(weather(OUT))


def test_an_outdoor_log_of_a_few_months_is_refused():
    with pytest.raises(UnusableInputError, match="give a file that covers them"):
        fill_year(weather(cut(OUT, 0, 120)), cut(HOUSE, 10, 21))


def test_damp_summers_stay_below_saturation():
    humid = made_log(np.full(8760, 26.0), np.full(8760, 98.0))
    house = house_named("iso13788-class-3")
    year = fill_year(weather(humid), house=house)
    assert year.air.rh_pct.max() <= 100.0
    drawn = year.air.rh_pct[12::24][None] + year.rh_errors_pct
    # The hours of a day and its mean differ by the slope between noons: half a point here.
    assert drawn.max() < max(house_figure("dampest_room"), year.air.rh_pct.max()) + 0.5


def test_the_doubt_of_the_projected_air_enters_the_draws():
    year = fill_year(weather(OUT), cut(HOUSE, 10, 21))
    top = oak_top(fastening("slot", 300.0), fastening("slot", -300.0))
    cases = draw_cases(Spreads.of(top, KnownFrom.GIVEN))
    stay = Stay(top, year.air, 8.0, float(year.air.emc_pct.mean()))
    alone = simulate_cases(stay, cases)
    together = simulate_cases(replace(stay, air_errors=year.errors_at), cases)
    summer = slice(4 * 150, 4 * 200)
    assert together.mean_pct[:, summer].std() > 1.3 * alone.mean_pct[:, summer].std()
    read = slice(0, 4 * 20)
    assert together.mean_pct[:, read] == pytest.approx(alone.mean_pct[:, read])


def test_after_a_winter_log_a_month_of_the_other_half_year_is_least_known():
    assert fill_year(weather(OUT), cut(HOUSE, 10, 21)).least_known_month in range(5, 11)
