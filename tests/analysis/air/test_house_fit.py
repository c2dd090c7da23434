"""The fitted lines and the drawn years: what must hold of any fit, and known statistics."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.air.daily import Daily, daily_means, outdoors_on
from climlog.analysis.air.departure import (
    GRID_C,
    OF_YEAR,
    YEAR_DAYS,
    Days,
    Spreads,
    read_off,
    unread,
)
from climlog.analysis.air.house_fit import (
    ClassHouse,
    basis,
    departures,
    drawn_weather,
    fit_house,
    stands_cold,
)
from climlog.model.indoor import house_figure, house_named
from climlog.model.psychrometrics import saturation_pressure
from climlog.tables import ORDINARY_HOME
from tests.analysis.air.test_projection import OUT

DAYS = pd.date_range("2025-01-01", periods=365)
GIVEN = outdoors_on(DAYS, daily_means(OUT), True, "made.csv")
SEASON_ONLY = outdoors_on(DAYS, daily_means(OUT), False, "made.csv")


def over_year(parts, day):
    """Rows of the parts over the time of year, put together for one day of it."""
    angle = 2.0 * np.pi * day / YEAR_DAYS
    grid = np.split(parts[: OF_YEAR * GRID_C.size], OF_YEAR)
    return grid[0] + np.cos(angle) * grid[1] + np.sin(angle) * grid[2]


def spread_of(departure, day=0.0):
    """Standard deviation over `GRID_C` of how a house departs there on that day of the year."""
    return np.sqrt((over_year(departure.root, day) ** 2).sum(axis=1))


def test_the_kinked_columns_meet_at_the_kink():
    columns = basis(np.array([8.0, 10.0, 13.0]), 10.0)
    assert columns.tolist() == [[1.0, -2.0, 0.0], [1.0, 0.0, 0.0], [1.0, 0.0, 3.0]]


def indoors(noise=0.0, days=slice(None)):
    generator = np.random.default_rng(2)
    felt_c, felt_pa = (
        pd.Series(one).ewm(alpha=1.0 - house_figure("felt_left"), adjust=False).mean().to_numpy()
        for one in (GIVEN.daily.temp_c, GIVEN.daily.vapour_pa)
    )
    temp_c = 22.0 + basis(felt_c, house_figure("temp_kink")) @ [0.0, 0.2, 0.1]
    vapour = 1400.0 + basis(felt_pa, house_figure("vapour_kink")) @ [0.0, 0.9, 0.5]
    vapour = vapour + noise * generator.standard_normal(365)
    use = np.zeros(365, dtype=bool)
    use[days] = True
    return Daily(DAYS, np.where(use, temp_c, np.nan), np.where(use, vapour, np.nan)), use


def test_a_year_of_days_gives_back_the_house_whatever_its_class():
    inside, use = indoors()
    fit = fit_house(inside, GIVEN, use, house_named("heated-only"))
    found = fit.middle(GIVEN.daily)
    # Ordinary weather, the few days at the ends left out.
    usual = (GIVEN.daily.temp_c > -5.0) & (GIVEN.daily.temp_c < 22.0)
    assert np.abs(found[0] - inside.temp_c)[usual].max() < 0.5
    true_pct = 100.0 * inside.vapour_pa / saturation_pressure(inside.temp_c)
    # A class is 270 Pa wide, about 11 % RH.
    assert np.sqrt(((found[1] - true_pct)[usual] ** 2).mean()) < 2.5


@pytest.mark.parametrize("name", ["temp", "rh"])
def test_winter_days_leave_the_class_and_its_spread_to_the_summer(name):
    inside, use = indoors(days=slice(0, 40))
    house = house_named("iso13788-class-2")
    read = getattr(fit_house(inside, GIVEN, use, house), f"off_{name}")
    nobody = getattr(ClassHouse(house, GIVEN), f"off_{name}")
    coldest, warm = (int(np.argmin(np.abs(GRID_C - at))) for at in (0.0, 26.0))
    # At 26 °C only the part of the spread that reaches there from 10 °C at most was read.
    spreads = Spreads.of("heated", name)
    reaches = spreads.shared + (1.0 - spreads.shared) * np.exp(-16.0 / spreads.fades_k)
    winter, summer = (over_year(read.mean, day) for day in (20.0, 200.0))
    assert spread_of(read, 20.0)[coldest] < 0.8 * spread_of(nobody, 20.0)[coldest]
    known = 0.95 * np.sqrt(1.0 - reaches**2) / house_figure("class_wider")
    assert spread_of(read, 200.0)[warm] > known * spread_of(nobody, 200.0)[warm]
    assert abs(summer[warm]) <= spreads.warm / spreads.cold * np.abs(winter).max()


STEADY = np.zeros(21)
"""A season that does not turn, or an outdoor temperature of 0 °C."""
YEAR_LONG = np.arange(365.0)


def test_three_weeks_in_a_row_are_one_look_and_not_twenty_one():
    spreads = Spreads.of("heated", "rh")
    row, strewn = (
        spread_of(read_off(spreads, YEAR_LONG, Days(day, STEADY, STEADY), STEADY + 8.0, 0.0), 10.0)
        for day in (np.arange(21.0), 17.0 * np.arange(21.0))
    )
    here = int(np.argmin(np.abs(GRID_C)))
    assert row[here] > 1.3 * strewn[here]
    # What lasts for months cannot be told from the house in three weeks: that much stays.
    assert row[here] > 0.8 / np.hypot(1 / spreads.cold, 1 / spreads.slow)


def test_a_departure_is_shrunk_towards_the_class_and_never_past_it():
    spreads = replace(Spreads.of("heated", "temp"), ahead=0.0)
    days = Days(np.arange(21.0), STEADY, STEADY)
    found = read_off(spreads, YEAR_LONG, days, STEADY + 3.0, 0.0)
    assert found.mean.min() >= 0.0
    assert found.mean.max() < 3.0
    away = over_year(found.mean, 10.0)[GRID_C >= 20.0]
    assert (np.diff(away) <= 0.0).all()


def test_a_log_is_never_worse_than_none_for_houses_as_various_as_the_spreads_say():
    """Empirical Bayes: over drawn houses the mean square error of every day falls, or stays."""
    generator = np.random.default_rng(5)
    spreads = Spreads.of("unheated", "rh")
    outdoor_c = GIVEN.daily.temp_c
    days = Days(YEAR_LONG, outdoor_c, np.gradient(GIVEN.curve.temp_c))
    nobody = unread(spreads, YEAR_LONG)
    shape = (200, 365)
    truths = nobody.drawn_at(days, np.broadcast_to(outdoor_c, shape), generator)
    noise = spreads.scatter * departures(generator, shape, house_figure("carried_over"))
    kept = YEAR_LONG < 21
    with_log = [
        read_off(spreads, YEAR_LONG, days.only(kept), (one + rough)[kept], 0.0).at(days)
        for one, rough in zip(truths, noise, strict=True)
    ]
    left = np.mean((truths - with_log) ** 2, axis=0)
    alone = np.mean((truths - nobody.at(days)) ** 2, axis=0)
    assert (left < 1.1 * alone).all()
    assert left[:21].mean() < 0.4 * alone[:21].mean()
    # Half a year on, in the other season, next to nothing of it is known.
    assert left[170:200].mean() > 0.6 * alone[170:200].mean()


def test_what_damp_weeks_of_frost_say_of_humidity_stays_with_the_cold_days():
    spreads = Spreads.of("roof", "rh")
    frost = Days(YEAR_LONG[:21], np.full(21, -5.0), np.zeros(21))
    found = read_off(spreads, YEAR_LONG, frost, np.full(21, 12.0), 0.0, reach_k=2.0)
    nobody = unread(spreads, YEAR_LONG)
    at = Days(np.array([10.0, 200.0]), np.array([-5.0, 18.0]), np.zeros(2))
    near, far = found.at(at)
    assert near > 8.0
    assert abs(far) < 1.0
    cold, warm = (int(np.searchsorted(GRID_C, one)) for one in (-6.0, 18.0))
    before, after = (spread_of(one, 10.0) for one in (nobody, found))
    assert after[cold] < 0.8 * before[cold]
    assert after[warm] == pytest.approx(before[warm], rel=0.02)


@pytest.mark.parametrize("kind", ["heated", "barely", "unheated", "roof"])
@pytest.mark.parametrize("reach_k", [None, 14.0, 1.0])
def test_what_is_left_unknown_is_as_much_as_readings_weighed_with_doubt_leave(kind, reach_k):
    """Over drawn houses the departure at each outdoor temperature is missed by its own spread."""
    generator = np.random.default_rng(11)
    spreads = Spreads.of(kind, "rh")
    outdoor_c = GIVEN.daily.temp_c
    days = Days(YEAR_LONG, outdoor_c, np.gradient(GIVEN.curve.temp_c))
    kept = YEAR_LONG < 42
    shape = (120, 365)
    truths = unread(spreads, YEAR_LONG).drawn_at(days, np.broadcast_to(outdoor_c, shape), generator)
    noise = spreads.scatter * departures(generator, shape, house_figure("carried_over"))
    missed, claimed = [], []
    for truth, rough in zip(truths, noise, strict=True):
        found = read_off(spreads, YEAR_LONG, days.only(kept), (truth + rough)[kept], 0.0, reach_k)
        drawn = found.drawn_at(days, np.broadcast_to(outdoor_c, (64, 365)), generator)
        missed.append(truth - found.at(days))
        claimed.append(drawn.std(axis=0))
    ratio = np.sqrt(np.mean(np.square(missed)) / np.mean(np.square(claimed)))
    assert ratio == pytest.approx(1.0, abs=0.12)


def test_spring_and_autumn_at_one_temperature_are_told_apart():
    spreads = Spreads.of("roof", "temp")
    turning = np.array([0.2, -0.2])
    at = Days(np.array([0.0, 180.0]), np.array([8.0, 8.0]), turning)
    # A roof space is ahead of the season: sun warms it in spring.
    spring, autumn = unread(spreads, np.arange(365.0)).at(at)
    assert spring - autumn == pytest.approx(0.4 * spreads.ahead)
    assert spreads.ahead > 1.0


@pytest.mark.parametrize(
    ("room_c", "outdoor_c", "cold"),
    [
        (11.0, 1.0, True),
        (21.0, 1.0, False),
        (16.5, 1.0, False),
        (22.0, 17.0, None),
        (23.0, 30.0, None),
        (16.5, 9.0, None),
        (19.5, 9.0, False),
    ],
)
def test_cold_days_settle_whether_a_building_is_heated(room_c, outdoor_c, cold):
    generator = np.random.default_rng(3)
    days = GIVEN.daily.days
    outdoor = replace(
        GIVEN, daily=Daily(days, outdoor_c + generator.normal(0, 0.5, 365), np.full(365, 600.0))
    )
    use = np.arange(365) < 21
    assert stands_cold(np.full(21, room_c), outdoor, use, True) is cold


@pytest.mark.parametrize(
    ("over_outdoors", "kept", "kind"),
    [(0.2, 0.0, "barely-heated"), (0.95, 0.8, "unheated"), (0.95, 0.0, "roof-space")],
)
def test_a_log_that_stands_cold_chooses_its_kind_and_tells_a_wrong_one(over_outdoors, kept, kind):
    """A room keeps days of warmth, a roof space follows the weather at once."""
    inside, use = indoors(days=slice(0, 40))
    outdoor_c = pd.Series(GIVEN.daily.temp_c).ewm(alpha=1.0 - kept, adjust=False).mean().to_numpy()
    temp_c = np.where(use, 11.0 * (1 - over_outdoors) + over_outdoors * outdoor_c, np.nan)
    cold = Daily(inside.days, temp_c, 0.6 * saturation_pressure(temp_c))
    chosen = fit_house(cold, GIVEN, use, None)
    assert (chosen.house.name, chosen.chosen, chosen.told_wrong) == (kind, True, False)
    named = fit_house(cold, GIVEN, use, house_named("iso13788-class-2"))
    assert (named.house.name, named.chosen, named.told_wrong) == ("iso13788-class-2", False, True)
    assert named.rivals == (kind,)
    other = "roof-space" if kind == "barely-heated" else "barely-heated"
    named = fit_house(cold, GIVEN, use, house_named(other))
    assert (named.rivals, named.nearer) == ((kind,), kind)


@pytest.mark.parametrize(
    ("room_c", "kind", "rivals"),
    [
        (7.0, "unheated", ()),
        (10.2, "unheated", ("barely-heated",)),
        (11.5, "barely-heated", ("unheated",)),
        (14.0, "barely-heated", ()),
    ],
)
def test_a_cold_room_between_two_kinds_has_the_other_for_a_rival(room_c, kind, rivals):
    """Of 6 °C outdoors a room barely heated makes 14 °C or so, one without heating 7."""
    outdoor = Daily(GIVEN.daily.days, np.full(365, 6.0), np.full(365, 700.0))
    given = replace(GIVEN, daily=outdoor, curve=outdoor, by_date=np.ones(365, dtype=bool))
    temp_c = room_c + 0.3 * np.sin(YEAR_LONG / 6.0)
    cold = Daily(outdoor.days, temp_c, 0.6 * saturation_pressure(temp_c))
    use = np.arange(365) < 21
    found = fit_house(cold, given, use, None)
    assert (found.house.name, found.rivals) == (kind, rivals)
    named = fit_house(cold, given, use, house_named("unheated"))
    is_other = kind != "unheated" and "unheated" not in rivals
    assert named.nearer == (kind if is_other else "")
    assert named.rivals == ((kind,) if is_other else ())
    assert not named.told_wrong
    assert fit_house(cold, given, use, house_named(ORDINARY_HOME)).nearer == ""


@pytest.mark.parametrize(("kept", "rivals"), [(0.5, ("roof-space",)), (0.7, ())])
def test_a_roof_under_snow_keeps_some_warmth_and_is_still_asked_about(kept, rivals):
    """Half of the outdoors felt left after a day is between a roof space, 0, and a room, 0.7."""
    inside, use = indoors(days=slice(0, 21))
    felt_c = pd.Series(GIVEN.daily.temp_c).ewm(alpha=1.0 - kept, adjust=False).mean().to_numpy()
    temp_c = np.where(use, felt_c + 1.4, np.nan)
    found = fit_house(
        Daily(inside.days, temp_c, 0.6 * saturation_pressure(temp_c)), GIVEN, use, None
    )
    assert (found.house.name, found.rivals) == ("unheated", rivals)


def test_warm_days_contradict_nobody_who_names_the_kind_of_house():
    """A room that follows a warm August may be a home with its windows open."""
    use = np.zeros(365, dtype=bool)
    use[np.argsort(GIVEN.daily.temp_c)[-21:]] = True
    temp_c = np.where(use, GIVEN.daily.temp_c + 1.0, np.nan)
    room = Daily(GIVEN.daily.days, temp_c, 0.6 * saturation_pressure(temp_c))
    named = fit_house(room, GIVEN, use, house_named(ORDINARY_HOME, heating_c=20.0))
    assert (named.told_wrong, named.rivals, named.is_heating_open) == (False, (), False)


def test_a_hot_summer_not_read_asks_whether_the_room_is_cooled():
    days = GIVEN.daily.days
    hot = 17.0 + 11.0 * np.sin((days.day_of_year.to_numpy() - 110.0) / 365.0 * 2.0 * np.pi)
    hotter = Daily(days, hot, np.full(365, 1200.0))
    outdoor = replace(GIVEN, daily=hotter, curve=hotter, by_date=np.ones(365, dtype=bool))
    winter, summer = (np.arange(365) < 21, np.abs(days.day_of_year.to_numpy() - 200) < 15)
    inside = Daily(days, np.full(365, 22.0), np.full(365, 1100.0))

    def is_open(use, given=outdoor, house=None):
        return fit_house(inside, given, use, house).is_cooling_open

    assert is_open(winter)
    assert not is_open(summer)
    assert not is_open(winter, house=house_named(ORDINARY_HOME, cooling_c=24.0))
    assert not is_open(winter, house=house_named("unheated"))
    assert not is_open(winter, given=GIVEN)


def test_scatter_is_found_with_the_weight_of_its_starting_value():
    spreads = Spreads.of("heated", "rh")
    off = np.random.default_rng(2).normal(0.0, 9.0, 365)
    days = Days(YEAR_LONG, np.full(365, 8.0), np.zeros(365))
    found = read_off(spreads, YEAR_LONG, days, off, 0.0)
    ahead = house_figure("scatter_days")
    expected = np.sqrt((ahead * spreads.scatter**2 + 365 * 9.0**2) / (ahead + 365))
    # The standard error of a standard deviation of 365 draws is 4 %; two of them.
    assert found.scatter == pytest.approx(expected, rel=0.08)


def test_an_unknown_weather_leaves_more_doubt_about_the_house():
    inside, use = indoors(days=slice(100, 142))
    assert fit_house(inside, GIVEN, use, None).by_date
    assert not fit_house(inside, SEASON_ONLY, use, None).by_date
    # Without what lasts for months, which weather does not touch.
    steady = replace(Spreads.of("heated", "rh"), slow=0.0)
    days = Days(np.arange(42.0), np.full(42, 8.0), np.zeros(42))
    here = int(np.argmin(np.abs(GRID_C - 8.0)))
    dated, seasonal = (
        spread_of(read_off(steady, YEAR_LONG, days, np.zeros(42), one), 20.0)[here]
        for one in (0.0, 8.0)
    )
    assert seasonal > 1.2 * dated


def test_departures_have_unit_spread_and_the_carry_over_asked_for():
    drawn = departures(np.random.default_rng(1), (4000, 50), 0.8)
    # 4000 independent rows: the standard error of each is about 1.1 %; four of them.
    assert drawn.std(axis=0) == pytest.approx(np.ones(50), rel=0.045)
    assert np.corrcoef(drawn[:, 10], drawn[:, 11])[0, 1] == pytest.approx(0.8, abs=0.03)
    assert np.corrcoef(drawn[:, 10], drawn[:, 13])[0, 1] == pytest.approx(0.8**3, abs=0.06)


def test_what_lasts_for_months_is_known_near_the_readings_and_unknown_far_away():
    spreads = replace(Spreads.of("heated", "rh"), cold=0.01, warm=0.01, ahead_spread=0.01)
    days = Days(np.arange(30.0), np.full(30, 8.0), np.zeros(30))
    found = read_off(spreads, YEAR_LONG, days, np.full(30, 6.0), 0.0)
    every = Days(YEAR_LONG, np.full(365, 8.0), np.zeros(365))
    middle = found.at(every)
    assert middle[15] > 3.0
    assert middle[300] < 0.1
    drawn = found.drawn_at(every, np.full((3000, 365), 8.0), np.random.default_rng(1))
    assert drawn[:, 15].std() < 0.6 * drawn[:, 300].std()
    assert drawn[:, 300].std() == pytest.approx(spreads.slow, rel=0.05)


def test_days_of_known_date_keep_their_weather_in_every_drawn_year():
    half = replace(GIVEN, by_date=np.arange(365) < 180)
    temp_c, vapour_pa = drawn_weather(half, 40, seed=1)
    assert np.ptp(temp_c[:, :180], axis=0).max() == 0.0
    assert np.ptp(vapour_pa[:, :180], axis=0).max() == 0.0
    assert np.ptp(temp_c[:, 180:], axis=0).min() > 1.0


def test_drawn_weather_spreads_as_the_days_of_the_file_do():
    temp_c, _ = drawn_weather(SEASON_ONLY, 2000, seed=1)
    spread = (SEASON_ONLY.daily.temp_c - SEASON_ONLY.curve.temp_c).std()
    assert (temp_c - SEASON_ONLY.curve.temp_c).std() == pytest.approx(spread, rel=0.05)


def test_where_only_the_season_is_known_the_season_is_expected():
    assert SEASON_ONLY.expected.temp_c == pytest.approx(SEASON_ONLY.curve.temp_c)
    assert GIVEN.expected.temp_c == pytest.approx(GIVEN.daily.temp_c)


def test_a_drawn_house_departs_alike_where_weather_and_time_of_year_are_alike():
    spreads = replace(Spreads.of("heated", "rh"), slow=0.0, ahead_spread=0.0)
    number = np.array([0.0, YEAR_DAYS, 2.0 * YEAR_DAYS, 0.5 * YEAR_DAYS])
    days = Days(number, np.zeros(4), np.zeros(4))
    drawn = unread(spreads, number).drawn_at(
        days, np.tile([-5.0, -5.0, 23.0, -5.0], (4000, 1)), np.random.default_rng(4)
    )
    assert drawn[:, 0] == pytest.approx(drawn[:, 1])
    warm, half_year = (np.corrcoef(drawn[:, 0], drawn[:, at])[0, 1] for at in (2, 3))
    expected = spreads.shared + (1.0 - spreads.shared) * np.exp(-28.0 / spreads.fades_k)
    # A correlation of 4000 draws is known to 0.015.
    assert warm == pytest.approx(expected, abs=0.05)
    assert half_year == pytest.approx(1.0 - 2.0 * spreads.seasonal, abs=0.05)


def test_an_autumn_says_less_of_the_spring_than_of_the_next_autumn():
    spreads = replace(Spreads.of("roof", "rh"), ahead=0.0)
    autumn = Days(YEAR_LONG[:21], np.full(21, 8.0), STEADY)
    found = read_off(spreads, YEAR_LONG, autumn, np.full(21, 10.0), 0.0)
    at = Days(np.array([180.0, 364.0]), np.full(2, 8.0), np.zeros(2))
    spring, next_autumn = found.at(at)
    assert next_autumn > 5.0
    assert abs(spring) < 0.4 * next_autumn


def test_a_class_of_house_spreads_by_about_one_class():
    house = ClassHouse(house_named("iso13788-class-2"), GIVEN)
    drawn = house.drawn(
        np.full((4000, 365), -5.0), np.full((4000, 365), 330.0), np.full(365, np.inf), seed=3
    )[1][:, 90]
    # One class is 270 Pa, 11.5 % RH at 20 °C. Days and months add their own doubt to that.
    off = drawn - 100.0 * (330.0 + 540.0) / saturation_pressure(20.0)
    assert np.mean(np.abs(off) < 2 * 11.5) > 0.9
    assert np.mean(np.abs(off) > 4.3) > 0.3
