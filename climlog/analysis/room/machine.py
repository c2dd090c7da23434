"""Whether a machine keeps the air that a room is to be set to.

A usual dehumidifier cools air below its dew point and dries it so; where that lies near freezing
its coils ice up. A desiccant dryer does not mind, but no machine of a room keeps air as dry as a
kiln's, and air in which mould grows is not to be kept.
"""

from enum import StrEnum

from climlog.analysis.room.air_result import Recent, Setpoint
from climlog.model.drying import room_limit
from climlog.model.psychrometrics import dew_point
from climlog.tables import figure


class Unkept(StrEnum):
    """Why air is not kept by the machines that a room has."""

    TOO_DRY = "too dry for a room"
    MOULD = "mould grows"
    COLD_ROOM = "the room is too cold for a usual dehumidifier"
    COLD_COIL = "the dew point is too low for a usual dehumidifier"


def why_unkept(air: Setpoint, recent: Recent) -> Unkept | None:
    """Tell why no usual machine keeps air; None where one does.

    Parameters
    ----------
    air : Setpoint
    recent : Recent
        What the room does now: where it is drier already, nothing has to dry it.
    """
    if air.rh_pct < room_limit("driest_kept"):
        return Unkept.TOO_DRY
    if air.rh_pct > float(figure("mould", "floor")):
        return Unkept.MOULD
    is_as_damp = air.rh_pct >= recent.rh_pct - room_limit("same_rh")
    if dew_c_of(air) >= dew_c_of(recent) and is_as_damp:
        return None
    if air.temp_c < room_limit("machine_low"):
        return Unkept.COLD_ROOM
    return Unkept.COLD_COIL if dew_c_of(air) < room_limit("coil_dew_point") else None


def dew_c_of(air: Setpoint | Recent) -> float:
    """Give the dew point of some air, at 1 % RH where it is drier. [°C]."""
    return float(dew_point(air.temp_c, max(air.rh_pct, 1.0)))
