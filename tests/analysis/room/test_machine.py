"""Whether a machine keeps what a room is to be set to: dew points by psychrolib."""

import psychrolib
import pytest

from climlog.analysis.room.air_result import Recent, Setpoint
from climlog.analysis.room.machine import Unkept, dew_c_of, why_unkept
from climlog.model.drying import room_limit

DAMP = Recent(days=14.0, temp_c=20.0, rh_pct=60.0, emc_pct=11.0, trend_pct_per_week=0.0)


def air(temp_c, rh_pct):
    return Setpoint(temp_c, rh_pct, emc_pct=0.0)


@pytest.mark.parametrize(
    ("temp_c", "rh_pct", "why"),
    [
        (20.0, 45.0, None),
        (29.0, 30.0, None),
        (20.0, 12.0, Unkept.TOO_DRY),
        (20.0, 19.0, Unkept.TOO_DRY),
        (20.0, 95.0, Unkept.MOULD),
        (20.0, 81.0, Unkept.MOULD),
        # Common practice, no source: coils of a usual dehumidifier ice up in cool rooms, and near
        # a dew point of freezing.
        (10.0, 50.0, Unkept.COLD_ROOM),
        (20.0, 30.0, Unkept.COLD_COIL),
    ],
)
def test_air_that_no_usual_machine_keeps_is_told_with_its_reason(temp_c, rh_pct, why):
    assert why_unkept(air(temp_c, rh_pct), DAMP) == why


def test_no_machine_has_to_dry_where_the_room_is_drier_already():
    dry = Recent(days=14.0, temp_c=18.0, rh_pct=25.0, emc_pct=5.2, trend_pct_per_week=0.0)
    assert why_unkept(air(18.0, 35.0), dry) is None
    assert why_unkept(air(18.0, 35.0), DAMP) is Unkept.COLD_COIL


def test_the_coil_rule_goes_by_the_dew_point():
    # psychrolib (an independent implementation of ASHRAE's formulas) tells the dew points.
    psychrolib.SetUnitSystem(psychrolib.SI)
    least = room_limit("coil_dew_point")
    # Below freezing it tells the frost point instead: not compared.
    for rh_pct in range(27, 60):
        dew_c = psychrolib.GetTDewPointFromRelHum(20.0, rh_pct / 100)
        assert dew_c_of(air(20.0, float(rh_pct))) == pytest.approx(dew_c, abs=0.1)
        if abs(dew_c - least) > 0.1:
            assert (why_unkept(air(20.0, float(rh_pct)), DAMP) is None) == (dew_c > least)
