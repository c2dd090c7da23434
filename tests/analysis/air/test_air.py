"""A log becomes an even series: sorption before averaging, short gaps bridged, long ones open."""

import numpy as np
import pytest

from climlog.analysis.air.air import air_of
from climlog.errors import UnusableInputError
from climlog.model.emc import equilibrium_moisture
from tests.analysis.made import made_log, steady_log


def test_the_sorption_curve_is_applied_before_averaging():
    rh = np.tile([20.0, 90.0], 60)
    air = air_of(made_log(np.full(120, 20.0), rh, step_minutes=30))
    each = equilibrium_moisture(20.0, np.array([20.0, 90.0]))
    assert air.emc_pct == pytest.approx(np.full(60, each.mean()))
    assert each.mean() > equilibrium_moisture(20.0, 55.0) + 1.0


def gappy(hours):
    rh = np.linspace(30.0, 60.0, 200)
    rh[50 : 50 + hours] = np.nan
    return air_of(made_log(np.full(200, 20.0), rh))


def test_a_gap_of_a_day_is_bridged_along_a_straight_line_and_counted():
    air = gappy(24)
    assert len(air.stretches) == 1
    assert air.bridged_hours == 24
    assert air.rh_pct == pytest.approx(np.linspace(30.0, 60.0, 200), abs=1e-9)


def test_a_longer_gap_stays_open():
    air = gappy(25)
    assert [(one.start, one.stop) for one in air.stretches] == [(0, 50), (75, 200)]
    assert np.isnan(air.emc_pct[50:75]).all()
    assert air.bridged_hours == 0


def test_daily_readings_keep_their_own_step():
    air = air_of(made_log(np.full(60, 20.0), np.full(60, 50.0), step_minutes=1440))
    assert air.step_hours == 24
    assert air.times.size == 60


def test_the_mean_over_the_log_is_kept():
    generator = np.random.default_rng(7)
    rh = generator.uniform(20, 80, 24 * 60)
    air = air_of(made_log(np.full(rh.size, 20.0), rh, step_minutes=1))
    assert air.emc_pct.mean() == pytest.approx(equilibrium_moisture(20.0, rh).mean(), abs=1e-9)


def test_an_hour_of_readings_is_refused():
    with pytest.raises(UnusableInputError, match="only one hour"):
        air_of(made_log([20.0, 20.0], [50.0, 50.0], step_minutes=5))


def test_a_steady_log_is_steady():
    air = air_of(steady_log(10))
    assert np.ptp(air.emc_pct) == pytest.approx(0.0, abs=1e-12)
