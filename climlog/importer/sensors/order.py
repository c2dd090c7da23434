"""Order of the rows in time: newest first, shuffled, hours repeated or skipped by summer time."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.importer.log import Flag, FlagKind, Guess

if TYPE_CHECKING:
    from numpy.typing import NDArray

HOUR_NS = 3_600_000_000_000
DAY_NS = 24 * HOUR_NS
SLACK_NS = 5 * 60 * 1_000_000_000
MOST_CLOCK_STEPS = 6
SAMPLED_STEPS = 200_000
SUNDAY = 6
EPOCH_WEEKDAY = 3  # 1 January 1970 was a Thursday
MOST_ROWS_IN_AN_HOUR = 10_000
CLOCK_BACK = "the clock went back; the hour stands twice, its second pass is left out"
SPRING_MONTHS = (3, 4, 9, 10)
AUTUMN_MONTHS = (3, 4, 9, 10, 11)


@dataclass(frozen=True, eq=False)
class Order:
    """How rows follow in time.

    Attributes
    ----------
    rows : array of int, shape (m,)
        Positions of the rows kept, oldest first.
    again : array of int
        Rows of an hour lived through twice when the clock went back, left out.
    copies : array of int
        Rows with the time and readings of another row, left out.
    clashes : array of int
        Rows with the time of another row but other readings, left out.
    """

    rows: "NDArray[np.intp]"
    again: "NDArray[np.intp]"
    copies: "NDArray[np.intp]"
    clashes: "NDArray[np.intp]"
    guesses: tuple[Guess, ...] = ()
    flags: tuple[Flag, ...] = ()
    straight: bool = False


def put_in_order(
    wall: "NDArray[np.int64]",
    temp: "NDArray[np.float64]",
    rh: "NDArray[np.float64]",
    fixed_offset: bool = False,
) -> Order:
    """Sort readings in time without scrambling them.

    Parameters
    ----------
    wall : array of int64, shape (n,)
        Local wall time of each usable row, as in the file. [ns since 1970]
    temp, rh : array, shape (n,)
        Readings, to tell a copy from a clash.
    fixed_offset : bool
        Whether the times are at one offset from UTC, where no clock is ever changed.

    Returns
    -------
    Order
        Rows oldest first with strictly increasing times, and those left out by reason.
    """
    none = np.empty(0, dtype=np.intp)
    steps = np.diff(wall)
    if steps.size == 0 or steps.min() > 0:
        skipped = () if fixed_offset else _skipped(wall, steps)
        return Order(np.arange(wall.size), none, none, none, (), skipped, True)
    rows = np.arange(wall.size)
    guesses: list[Guess] = []
    if (steps < 0).sum() > (steps > 0).sum():
        rows = rows[::-1]
        guesses.append(
            Guess("row order", "newest first", f"{(steps < 0).sum()} steps back in time")
        )
    again, flags = (none, ()) if fixed_offset else _repeated_hours(wall[rows])
    again_rows = rows[again]
    rows = np.delete(rows, again)
    back = np.flatnonzero(np.diff(wall[rows]) < 0)
    if back.size:
        because = f"{back.size} steps back in time; sorted"
        guesses.append(Guess("row order", "mixed", because))
        flags += _clock_steps(wall[rows], back)
        rows = rows[np.argsort(wall[rows], kind="stable")]
    rows, copies, clashes = _without_twins(rows, wall, temp, rh)
    if not fixed_offset:
        flags += _skipped(wall[rows], np.diff(wall[rows]))
    return Order(rows, again_rows, copies, clashes, tuple(guesses), flags)


def _repeated_hours(wall: "NDArray[np.int64]") -> tuple["NDArray[np.intp]", tuple[Flag, ...]]:
    """Find rows of the second pass through an hour, where the clock was set back.

    A log that had not reached that hour before has one row out of place, and no hour twice.
    """
    highest, lowest = np.maximum.accumulate(wall), np.minimum.accumulate(wall)
    steps = np.diff(wall)
    hourly = steps.size > 0 and abs(int(np.median(steps)) - HOUR_NS) < SLACK_NS
    back = np.flatnonzero(steps <= 0 if hourly else steps < 0) + 1
    shallow = highest[back - 1] - wall[back] <= HOUR_NS + SLACK_NS
    shallow &= lowest[back - 1] <= wall[back]
    again: list[NDArray[np.intp]] = []
    flags: list[Flag] = []
    done = -1
    for at in back[shallow & _in_change_nights(wall[back])].tolist():
        if at <= done:
            continue
        ahead = wall[at : at + MOST_ROWS_IN_AN_HOUR]
        past = np.flatnonzero(ahead > highest[at - 1])
        second = ahead[: int(past[0])] if past.size else ahead
        if np.all(np.diff(second) > 0):
            done = at + second.size - 1
            again.append(np.arange(at, done + 1))
            flags.append(_flag(FlagKind.CLOCK_BACK, second, CLOCK_BACK))
    return (np.concatenate(again) if again else np.empty(0, dtype=np.intp)), tuple(flags)


def _in_change_nights(wall: "NDArray[np.int64]") -> "NDArray[np.bool_]":
    """Say which times lie in the small hours of a Sunday in a month when clocks go back."""
    sunday = (wall // DAY_NS + EPOCH_WEEKDAY) % 7 == SUNDAY
    months = wall.astype("datetime64[ns]").astype("datetime64[M]").astype(np.int64) % 12 + 1
    return np.asarray(sunday & (wall % DAY_NS < 4 * HOUR_NS) & np.isin(months, AUTUMN_MONTHS))


def _flag(kind: FlagKind, wall: "NDArray[np.int64]", says: str) -> Flag:
    first, last = (
        pd.Timestamp(int(value)).to_pydatetime(warn=False) for value in (wall[0], wall[-1])
    )
    return Flag(kind, first, last, int(wall.size), says)


def _clock_steps(wall: "NDArray[np.int64]", back: "NDArray[np.intp]") -> tuple[Flag, ...]:
    """Name steps back of a day or more, where they are few enough to be a clock set anew."""
    if back.size > MOST_CLOCK_STEPS:
        return ()
    flags = []
    for at in back.tolist():
        days = (int(wall[at]) - int(wall[at + 1])) / DAY_NS
        if days >= 1:
            says = f"the next row is dated {days:.0f} days earlier: clock set anew, or files joined"
            flags.append(_flag(FlagKind.CLOCK_JUMP, wall[[at + 1, at]], says))
    return tuple(flags)


def _skipped(wall: "NDArray[np.int64]", steps: "NDArray[np.int64]") -> tuple[Flag, ...]:
    """Find the hour that is skipped when summer time begins, on a Sunday night."""
    if steps.size < 2:
        return ()
    usual = int(np.median(steps[:: max(1, steps.size // SAMPLED_STEPS)]))
    if usual > HOUR_NS or usual <= 0:
        return ()
    long = np.flatnonzero(steps > usual + HOUR_NS // 2)
    near = long[np.abs(steps[long] - usual - HOUR_NS) <= max(0.3 * usual, 2e9)]
    flags = []
    for at in near[:400].tolist():
        before = pd.Timestamp(int(wall[at]))
        if before.month in SPRING_MONTHS and _summer_time_night(
            before, pd.Timestamp(int(wall[at + 1]))
        ):
            says = "the clock went forward; an hour of wall time does not exist"
            flags.append(
                Flag(
                    FlagKind.CLOCK_FORWARD,
                    before.to_pydatetime(warn=False),
                    pd.Timestamp(int(wall[at + 1])).to_pydatetime(warn=False),
                    0,
                    says,
                )
            )
    return tuple(flags)


def _summer_time_night(before: pd.Timestamp, after: pd.Timestamp) -> bool:
    """Say whether the skipped hour lies in the small hours of a Sunday."""
    sunday = before.weekday() == SUNDAY == after.weekday()
    return bool(sunday and before.hour <= 2 and after.hour <= 4)


def _without_twins(
    rows: "NDArray[np.intp]",
    wall: "NDArray[np.int64]",
    temp: "NDArray[np.float64]",
    rh: "NDArray[np.float64]",
) -> tuple["NDArray[np.intp]", "NDArray[np.intp]", "NDArray[np.intp]"]:
    """Keep the first of rows with one time; tell true copies from clashes."""
    same = np.concatenate([[False], np.diff(wall[rows]) == 0])
    if not same.any():
        none = np.empty(0, dtype=np.intp)
        return rows, none, none
    first = rows[np.maximum.accumulate(np.where(same, 0, np.arange(rows.size)))]
    equal = (temp[rows] == temp[first]) & (rh[rows] == rh[first])
    return rows[~same], rows[same & equal], rows[same & ~equal]
