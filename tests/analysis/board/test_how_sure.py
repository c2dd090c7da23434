"""The band means what it says: simulated truths fall inside it as often as they should.

Each truth is a made piece whose inputs are drawn by another generator from the spreads that
climlog states (tables/doubts.csv, tables/transport.csv), and run by itself. That tests the
filtering, the weighing and the quantiles; tests/benchmarks/calibration.py holds the odds against a
simulator of its own.
"""

import sys
from datetime import date, timedelta

import numpy as np
import pytest

from climlog.analysis.air.ahead import ahead_from
from climlog.analysis.air.air import air_of
from climlog.analysis.board.cases import Cases, KnownFrom, Spreads, draw_cases
from climlog.analysis.board.readings import weigh_readings
from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.board.simulation import Responses, Stay
from climlog.analysis.place.place import analyse_place
from climlog.errors import UnusableInputError
from climlog.model.board import Measured
from climlog.model.wood_transport import figure
from climlog.tables import load_table
from tests.analysis.made import made_log, oak_top

TRUTHS = 300
FIXED_PCT = 8.0
SPREADS = Spreads.of(oak_top(), KnownFrom.GIVEN)


@pytest.fixture(scope="module")
def log():
    days = np.arange(24 * 365) / 24
    rh = 45 + 14 * np.sin(2 * np.pi * (days - 120) / 365) + 4 * np.sin(2 * np.pi * days / 6)
    return made_log(20 + 3 * np.sin(2 * np.pi * (days - 110) / 365), rh)


@pytest.fixture(scope="module")
def ahead(log):
    return ahead_from(air_of(log), date(2025, 1, 1))


@pytest.fixture(scope="module")
def responses(ahead):
    mean_pct = float(np.nanmean(ahead.air.emc_pct))
    return Responses.of(Stay(oak_top(), ahead.air, FIXED_PCT, mean_pct))


def true_cases(count, seed):
    """Draw truths by the plain text of the tables, without the code under test."""
    spread = load_table("doubts")["spread"]
    generator = np.random.default_rng(seed)
    z = generator.standard_normal((7, count))
    return Cases(
        sensor_rh=z[0] * spread["sensor_rh"],
        start=z[1] * spread["start_pin_meter"],
        coefficient=np.maximum(0.3, 1 + z[2] * spread["coefficient"]),
        diffusivity=np.exp(z[3] * spread["diffusivity"]),
        film=np.exp(
            np.where(z[4] < 0, z[4] * spread["film_tighter"], z[4] * spread["film_opener"])
        ),
        play=np.exp(z[5] * spread["play"]),
        curve=1 + z[6] * spread["curve"],
        scanning=generator.uniform(figure("scanning_share").low, 1.0, count),
        luck=generator.uniform(0.0, 1.0, count),
    )


@pytest.fixture(scope="module")
def truths(responses):
    return responses.courses(true_cases(TRUTHS, 11))


def widths_on(truth, days, generator):
    """A tape's readings of one truth at noon of some days."""
    spread_mm = float(load_table("doubts")["spread"]["width_reading"])
    return tuple(
        Measured(
            date(2025, 1, 1) + timedelta(days=day),
            width_mm=900 * (1 + truth[4 * day + 2]) + generator.normal(0, spread_mm),
        )
        for day in days
    )


def test_the_band_holds_nine_truths_in_ten(responses, truths):
    drawn = responses.courses(draw_cases(SPREADS))
    weights = np.full(drawn.strain.shape[0], 1 / drawn.strain.shape[0])
    days = slice(120, None, 160)
    low, high = weighted_quantiles(drawn.strain[:, days], weights, (0.05, 0.95))
    inside = ((truths.strain[:, days] >= low) & (truths.strain[:, days] <= high)).mean(axis=0)
    sys.stdout.write(f"share of truths inside the 5 to 95 % band, by day: {np.round(inside, 2)}\n")
    # Of 300 truths a 90 % band holds 270 give or take 5.2; four standard deviations are allowed.
    assert np.abs(inside - 0.9).max() < 4 * np.sqrt(0.9 * 0.1 / TRUTHS)


def test_after_two_measured_widths_the_narrowed_band_still_holds_nine_in_ten(
    ahead, responses, truths
):
    generator = np.random.default_rng(12)
    later = 4 * 300
    drawn = responses.courses(draw_cases(SPREADS)).strain[:, later]
    plain = np.diff(np.quantile(drawn, (0.05, 0.95)))[0]
    inside, widths, effective = [], [], []
    for truth in truths.strain[:100]:
        top = oak_top(measured=widths_on(truth, (90, 170), generator))
        found = weigh_readings(top, ahead, responses, SPREADS)
        strain = responses.courses(found.cases, np.array([later])).strain
        low, high = weighted_quantiles(strain, found.weighing.weights, (0.05, 0.95))[:, 0]
        inside.append(low <= truth[later] <= high)
        widths.append((high - low) / plain)
        effective.append(found.weighing.effective_cases)
    sys.stdout.write(f"inside {np.mean(inside):.2f}, band {np.mean(widths):.2f} as wide\n")
    assert np.mean(widths) < 0.6
    assert min(effective) > 200
    # Of 100 truths 90 give or take 3; three standard deviations are allowed.
    assert 0.81 <= np.mean(inside) <= 0.99


@pytest.mark.parametrize("count", [0, 1, 2, 4])
def test_the_share_moves_by_no_more_than_three_points_from_seed_to_seed(
    ahead, responses, truths, count
):
    generator = np.random.default_rng(5)
    limit = float(np.quantile(truths.strain.max(axis=1), 0.6))
    readings = widths_on(truths.strain[7], (90, 170, 40, 250)[:count], generator)
    shares = []
    for seed in range(1, 25):
        found = weigh_readings(oak_top(measured=readings), ahead, responses, SPREADS, seed)
        swell, _ = responses.courses(found.cases).swell_shrink
        shares.append(100 * float(found.weighing.weights @ (swell > limit)))
        assert found.weighing.effective_cases > 200
    assert np.std(shares) < 3.0


def test_the_share_that_runs_out_is_the_share_of_truths_that_do(responses, truths):
    limit = float(np.quantile(np.max(truths.strain, axis=1), 0.7))
    swell, _ = responses.courses(draw_cases(SPREADS)).swell_shrink
    # 300 truths know a share of 30 of 100 to 3 points.
    assert (swell > limit).mean() == pytest.approx(0.3, abs=0.08)


def test_readings_that_contradict_each_other_are_told_and_weigh_nothing(log):
    on = date(2025, 4, 1)
    pair = (Measured(on, width_mm=905.0), Measured(on + timedelta(days=1), width_mm=885.0))
    plain, told = analyse_place(oak_top(), log), analyse_place(oak_top(measured=pair), log)
    assert not told.weighing.agrees
    assert not told.readings.are_weighed
    assert len(told.residuals) == 2
    assert np.ptp(told.weighing.weights) == 0.0
    assert told.width_range.most.p50 == pytest.approx(plain.width_range.most.p50, abs=0.3)


def test_a_board_that_moves_a_third_more_on_two_days_is_believed(log):
    # Two standard deviations of a board's own movement: one board in twenty does so.
    course = analyse_place(oak_top(), log).course
    days = (date(2025, 4, 20), date(2025, 8, 20))
    at = [int(course.times.searchsorted(f"{day} 12:00")) for day in days]
    pair = tuple(
        Measured(day, width_mm=900 * (1 + 1.3 * float(course.strain[step])))
        for day, step in zip(days, at, strict=True)
    )
    told = analyse_place(oak_top(measured=pair), log)
    assert told.weighing.agrees
    # Part of it may also be the sensor, the start or the sorption curve.
    plain = analyse_place(oak_top(), log)
    assert told.middle.coefficient > 1.08
    assert told.width_range.most.p50 - 900 > 1.2 * (plain.width_range.most.p50 - 900)


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        ({"width_mm": 300.0}, "300 mm wide on 2025-06-01, while the sheet has 900 mm"),
        ({"width_mm": 1000.0}, "more is a slip of the tape"),
        ({"moisture_pct": 34.0}, "34 % moisture on 2025-06-01"),
    ],
)
def test_impossible_readings_are_refused_by_name(log, reading, says):
    with pytest.raises(UnusableInputError, match=says):
        analyse_place(oak_top(measured=(Measured(date(2025, 6, 1), **reading),)), log)


def test_a_reading_before_the_fixing_is_refused_with_every_other_one(log):
    early = Measured(date(2025, 1, 20), width_mm=901.0)
    wild = Measured(date(2025, 6, 1), width_mm=90.0)
    top = oak_top(fixed_on=date(2025, 2, 1), measured=(early, wild))
    with pytest.raises(UnusableInputError, match=r"before it was fixed on 2025-02-01; 90 mm wide"):
        analyse_place(top, log)


def test_a_reading_on_a_day_that_was_not_read_is_named_and_weighs_nothing(log):
    later = Measured(date(2026, 6, 1), width_mm=903.0)
    inside = Measured(date(2025, 6, 1), width_mm=903.0)
    told = analyse_place(oak_top(fixed_on=date(2025, 2, 1), measured=(later, inside)), log)
    assert told.readings.outside == (later,)
    assert [one.measured.on for one in told.residuals] == [inside.on]
