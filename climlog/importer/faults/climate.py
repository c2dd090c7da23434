"""What kind of air a log tells of: outdoor air, or a typical year made of months of many years."""

from functools import partial
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Flag, FlagKind
from climlog.tables import figure

if TYPE_CHECKING:
    from numpy.typing import NDArray

HOUR_NS = 3_600_000_000_000
DAY_NS = 24 * HOUR_NS
FEWEST_DAYS = 2
DAMP_RH = 95.0
DEWY_RH = 90.0
F_PER_C = 1.8
FEWEST_DAYS_OF_A_ROOM = 14
COLD_SHARE = 0.002


_limit = partial(figure, "quality_limits")


def outdoor_flags(
    wall: "NDArray[np.int64]",
    temp_c: "NDArray[np.float64]",
    rh_pct: "NDArray[np.float64]",
    usual_ns: float,
) -> tuple[Flag, ...]:
    """Suspect outdoor air by its signs: wide daily swing, frost, often near saturation."""
    day = wall // DAY_NS
    starts = np.append(0, np.flatnonzero(np.diff(day)) + 1)
    if starts.size < FEWEST_DAYS:
        return ()
    signs = []
    if usual_ns <= 6 * HOUR_NS:
        swing = np.maximum.reduceat(temp_c, starts) - np.minimum.reduceat(temp_c, starts)
        middle = float(np.median(swing))
        if middle > _limit("outdoor_daily_swing"):
            signs.append(f"the temperature swings by {middle:.0f} °C a day")
        swing = np.maximum.reduceat(rh_pct, starts) - np.minimum.reduceat(rh_pct, starts)
        middle = float(np.median(swing))
        if middle > _limit("outdoor_daily_rh_swing"):
            signs.append(f"the humidity swings by {middle:.0f} % a day")
    if float((temp_c < _limit("outdoor_cold")).mean()) > COLD_SHARE:
        signs.append(f"it falls to {float(temp_c.min()):.0f} °C")
    damp = float((rh_pct >= DAMP_RH).mean())
    if damp > _limit("outdoor_damp_share"):
        signs.append(f"{100 * damp:.0f} % of the readings are at 95 % humidity or more")
    if len(signs) < _limit("outdoor_signs"):
        return ()
    first, last = (pd.Timestamp(int(end)).to_pydatetime(warn=False) for end in (wall[0], wall[-1]))
    says = "this looks like outdoor air, not a room: " + ", ".join(signs)
    return (Flag(FlagKind.OUTDOOR_AIR, first, last, int(wall.size), says),)


def signs_of_a_room(
    wall: "NDArray[np.int64]",
    temp_c: "NDArray[np.float64]",
    rh_pct: "NDArray[np.float64]",
    usual_ns: float,
) -> str:
    """Say by what air given for outdoors is that of a room; empty where it is not, or not known.

    All must speak for it: a small daily swing of temperature and of humidity, and no dew.
    """
    day = wall // DAY_NS
    starts = np.append(0, np.flatnonzero(np.diff(day)) + 1)
    if starts.size < FEWEST_DAYS_OF_A_ROOM or usual_ns > 6 * HOUR_NS:
        return ""
    swings = [
        float(np.median(np.maximum.reduceat(one, starts) - np.minimum.reduceat(one, starts)))
        for one in (temp_c, rh_pct)
    ]
    if swings[0] >= _limit("indoor_daily_swing") or swings[1] >= _limit("indoor_daily_rh_swing"):
        return ""
    if float((rh_pct >= DEWY_RH).mean()) > _limit("indoor_damp_share"):
        return ""
    return (
        f"on a usual day it swings by {swings[0]:.0f} °C ({F_PER_C * swings[0]:.0f} °F) and "
        f"{swings[1]:.0f} % only, and it hardly ever reaches {DEWY_RH:.0f} %"
    )


def typical_year_flags(wall: "NDArray[np.int64]") -> tuple[Flag, ...]:
    """Recognise a typical year: every month of the calendar once, from different years."""
    leaps = np.flatnonzero(np.diff(wall) > 20 * DAY_NS)
    if not 3 <= leaps.size <= 11:
        return ()
    starts = np.append(0, leaps + 1)
    spans = np.diff(np.append(starts, wall.size))
    months = (wall.astype("datetime64[ns]").astype("datetime64[M]").astype(np.int64)) % 12
    whole = np.unique(months).size == 12
    years = np.unique(wall.astype("datetime64[ns]").astype("datetime64[Y]")).size
    length = sum(
        int(wall[start + span - 1] - wall[start]) for start, span in zip(starts, spans, strict=True)
    )
    least, most = _limit("typical_year_least"), _limit("typical_year_most")
    if not whole or years < 3 or not least * DAY_NS <= length <= most * DAY_NS:
        return ()
    first, last = (pd.Timestamp(int(end)).to_pydatetime(warn=False) for end in (wall[0], wall[-1]))
    says = "a typical year: its months come from different years, so the dates do not follow on"
    return (Flag(FlagKind.TYPICAL_YEAR, first, last, int(wall.size), says),)
