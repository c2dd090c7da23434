"""Cases put together from a few slabs, against the same board run for each case by itself."""

from dataclasses import replace

import numpy as np
import pytest

from climlog.analysis.air.air import air_of
from climlog.analysis.board.cases import DOUBTS, Case, Cases, KnownFrom, Spreads, draw_cases
from climlog.analysis.board.simulation import (
    Parts,
    Responses,
    Stay,
    case_air,
    simulate,
    simulate_cases,
)
from climlog.model.board import BARE, HowMeasured
from climlog.model.finishes import finish_named
from climlog.model.woods import wood_named
from climlog.tables import load_table
from tests.analysis.made import made_log, oak_top

FILM = finish_named("polyurethane", 3)


def seasons(days=400, lacking=()):
    hours = np.arange(24 * days)
    day = hours / 24
    rng = np.random.default_rng(3)
    weather = np.convolve(rng.normal(0, 12, hours.size), np.ones(72) / 72**0.5, "same")
    rh = 45 - 15 * np.cos(2 * np.pi * (day - 20) / 365.25) + np.clip(weather, -20, 20)
    for first, last in lacking:
        rh[24 * first : 24 * last] = np.nan
    return made_log(20 - 3 * np.cos(2 * np.pi * (day - 20) / 365.25), np.clip(rh, 8, 95))


def stay_of(log=None, **changes):
    air = air_of(log or seasons())
    return Stay(oak_top(**changes), air, 8.0, float(np.nanmean(air.emc_pct)))


def spreads_of(piece):
    return Spreads.of(piece, KnownFrom.GIVEN)


def case_at(cases, place):
    return Case(**{name: float(getattr(cases, name)[place]) for name in DOUBTS})


@pytest.mark.parametrize("thickness_mm", [8.0, 22.0, 45.0])
@pytest.mark.parametrize("faces", [(BARE, BARE), (FILM, BARE), (FILM, FILM)],
                         ids=["bare", "one face", "both faces"])  # fmt: skip
def test_a_case_from_the_grid_is_the_case_run_by_itself(thickness_mm, faces):
    stay = stay_of(thickness_mm=thickness_mm, show_face=faces[0], hidden_face=faces[1])
    cases = draw_cases(spreads_of(stay.piece), count=64)
    together = simulate_cases(stay, cases)
    worst = []
    for place in range(0, 64, 7):
        alone = simulate(stay, case_at(cases, place))
        own = alone.mean_pct[: 6 * together.times.size].reshape(-1, 6).mean(axis=1)
        found = together.mean_pct[place]
        worst.append(
            max(abs(own[4:].max() - found[4:].max()), abs(own[4:].min() - found[4:].min()))
        )
    # The polynomials are right to a few hundredths; thin boards follow the six hours that are
    # averaged, which the extremes of a 22 mm board hardly tell.
    assert max(worst) < (0.12 if thickness_mm < 10 else 0.04)


def test_over_a_gap_cases_go_on_as_the_case_run_by_itself_does():
    stay = stay_of(seasons(200, lacking=[(60, 75), (120, 123)]))
    together = simulate_cases(stay, Cases.one(Case()))
    alone = simulate(stay, Case())
    own = alone.mean_pct[::6][: together.times.size]
    assert np.isnan(together.mean_pct[0][4 * 65])
    both = np.isfinite(own) & np.isfinite(together.mean_pct[0])
    assert np.abs(own - together.mean_pct[0])[both].max() < 0.2
    assert abs(own[-1] - together.mean_pct[0][-1]) < 0.1


def test_averaging_to_the_cases_step_moves_the_need_by_less_than_a_hundredth():
    stay = stay_of()
    hourly = simulate(stay, Case()).strain
    swell, shrink = simulate_cases(stay, Cases.one(Case())).swell_shrink
    # A 20 mm bare board smooths six hours away; what is left is told in simulation.py.
    assert swell[0] == pytest.approx(hourly.max(), rel=0.01)
    assert shrink[0] == pytest.approx(-hourly.min(), rel=0.01)


def test_records_of_many_years_take_longer_steps_that_stay_few():
    air = air_of(made_log(np.full(24 * 365 * 12, 20.0), np.full(24 * 365 * 12, 50.0)))
    thin = case_air(air)
    assert thin.step_hours == 24.0
    assert thin.times.size <= 4500


def test_a_board_reaches_the_airs_own_moisture_whatever_share_of_the_seasons_it_follows():
    # Hysteresis makes the swing smaller, not the level: in steady air nothing of it is seen.
    steady = made_log(np.full(24 * 400, 20.0), np.full(24 * 400, 65.0))
    for scanning in (0.75, 1.0):
        course = simulate(stay_of(steady), Case(scanning=scanning))
        assert course.mean_pct[-1] == pytest.approx(stay_of(steady).air.emc_pct[-1], abs=0.01)


def test_scanning_takes_its_share_of_the_seasons_and_none_of_a_spell_of_days():
    day = np.arange(24 * 365) / 24
    season = 45 - 10 * np.cos(2 * np.pi * day / 365.25)
    spell = 45 + 10 * np.sin(2 * np.pi * day / 5)
    for rh, share in ((season, 0.75), (spell, 1.0)):
        parts = Parts.of(air_of(made_log(0 * rh + 20, rh)), mean_pct=8.5)
        full, less = (parts.together(Case(scanning=each), in_films=0.0) for each in (1.0, 0.75))
        # A wave of a year leaves 1 % of its height in a mean over 30 days, one of 5 days nothing.
        assert np.ptp(less) / np.ptp(full) == pytest.approx(share, abs=0.02)


def test_nothing_moves_on_the_day_of_fixing():
    stay = stay_of()
    course = simulate_cases(stay, draw_cases(spreads_of(stay.piece), count=32))
    assert np.abs(course.strain[:, 0]).max() < 1e-9


def test_doubts_are_as_wide_as_the_tables_say():
    top = oak_top()
    cases = draw_cases(spreads_of(top), count=2000)
    spread = load_table("doubts")["spread"]
    # Stratified draws of 2000 know a spread to a percent.
    assert cases.sensor_rh.std() == pytest.approx(spread["sensor_rh"], rel=0.02)
    assert cases.start.std() == pytest.approx(spread["start_pin_meter"], rel=0.02)
    assert cases.coefficient.std() == pytest.approx(spread["coefficient"], rel=0.02)
    assert cases.curve.std() == pytest.approx(spread["curve"], rel=0.02)
    assert np.log(cases.diffusivity).std() == pytest.approx(spread["diffusivity"], rel=0.02)
    assert (cases.scanning.min(), cases.scanning.max()) == pytest.approx((0.75, 1.0), abs=0.01)
    assert np.median(cases.scanning) == pytest.approx(0.875, abs=0.005)


@pytest.mark.parametrize(
    ("measured_by", "row"),
    [(HowMeasured.OVEN, "start_oven"), (HowMeasured.PIN_METER, "start_pin_meter"),
     (HowMeasured.GUESS, "start_guess"), (None, "start_pin_meter")],
)  # fmt: skip
def test_how_the_moisture_was_measured_decides_how_sure_it_is(measured_by, row):
    spread = load_table("doubts")["spread"]
    assert Spreads.of(oak_top(measured_by=measured_by), KnownFrom.GIVEN).start == spread[row]
    for known_from in (KnownFrom.THIS_LOG, KnownFrom.MADE_IN):
        told = Spreads.of(oak_top(measured_by=measured_by), known_from)
        assert told.start == spread["start_from_log"]


def test_a_checked_logger_is_surer():
    top = oak_top()
    checked = Spreads.of(top, KnownFrom.GIVEN, sensor_checked=True)
    assert checked.sensor_rh < Spreads.of(top, KnownFrom.GIVEN).sensor_rh


def test_where_sources_disagree_about_a_wood_its_movement_is_more_doubtful():
    sure = spreads_of(oak_top())
    ash = spreads_of(oak_top(wood=wood_named("European ash")))
    # tables/woods.csv: red oak has one source; those of European ash run from 0.85 to 1.15.
    assert sure.more_movement == sure.less_movement == pytest.approx(0.15)
    assert ash.more_movement == pytest.approx(np.hypot(0.15, 0.15))


def test_readings_of_the_air_on_other_years_widen_the_cases():
    def errors(times):
        return np.linspace(-1.0, 1.0, 16)[:, None] * np.ones(times.size)

    plain = stay_of()
    doubted = replace(plain, air_errors=errors)
    cases = draw_cases(spreads_of(plain.piece), count=64)
    spread = [simulate_cases(stay, cases).mean_pct[:, -1].std() for stay in (plain, doubted)]
    assert spread[1] > 1.1 * spread[0]
    sure = Responses.of(doubted).courses(cases, sure_air=True).mean_pct
    np.testing.assert_allclose(sure, simulate_cases(plain, cases).mean_pct)
