"""Three numbers that make a date: which is the day, the month, the year, from the whole file.

How: an order in which more than a few dates do not exist is out; of those left the one in which the
readings follow each other in even steps, or from day to day without jumps of a month. What then is
still open is for other columns or the preamble to settle (agreement.py), or to be asked. Checked on
made files of a year, a month, a day and a few hours in every order, and on the open logs.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import Choice, UndecidedError, UnusableInputError
from climlog.importer.log import Guess

if TYPE_CHECKING:
    from numpy.typing import NDArray

ORDERS = {"day-first": "dmy", "month-first": "mdy", "year-first": "ymd"}
LATEST_YEAR = 2099
LONG_YEAR, SHORT_YEAR = 4, 2
HALF = 0.5
JUMP_DAYS = 26.0
"""A wrong order makes a month of a day: steps of 28 days or more; 26 leaves room for gaps."""
MOST_JUMPS = 0.25
MOST_MISFITS = 0.05
"""Share of dates that exist in no order, above which the file mixes orders."""
FEW_MISFITS = 0.002
"""Misread dates that a right order may have more than the best."""
PIVOT_YEAR = 70
FEWEST_EVEN = 4
EVEN_SHARE = 0.9
"""Share of steps alike that makes a log even; months are not alike, days are."""
MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September",
          "October", "November", "December")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Triple:
    """The three parts of each different date, and which of them each row has.

    Attributes
    ----------
    a, b, c : Series of str, shape (d,)
    of_row : array of int, shape (n,)
        The date of each row.
    clock : array of timedelta64, shape (n,)
        Its time of day.
    rows : array of int, shape (n,)
        Its row in the file.
    """

    a: "pd.Series[str]"
    b: "pd.Series[str]"
    c: "pd.Series[str]"
    of_row: "NDArray[np.intp]"
    clock: "NDArray[np.timedelta64]"
    rows: "NDArray[np.intp]"

    def parts(self, at: int) -> tuple[str, str, str]:
        """Give the three parts of one row."""
        here = int(self.of_row[at])
        return self.a.iloc[here], self.b.iloc[here], self.c.iloc[here]

    def text(self, at: int) -> str:
        """Give the date of one row about as written."""
        return "/".join(self.parts(at))

    def numbers(self) -> "tuple[NDArray[np.float64], ...]":
        """Give the three parts of every row as numbers."""
        each = (pd.to_numeric(part).to_numpy(dtype=float) for part in (self.a, self.b, self.c))
        return tuple(one[self.of_row] for one in each)

    def lengths(self, part: "pd.Series[str]") -> "NDArray[np.float64]":
        """Give the number of letters of a part in every row."""
        return np.asarray(part.str.len().to_numpy(dtype=float)[self.of_row])


def settle_order(where: str, triple: Triple, told: str | None) -> tuple[str, Guess | None]:
    """Settle the order of day, month and year over all rows.

    Parameters
    ----------
    where : str
        File and column, for the message.
    triple : Triple
        All dates.
    told : {"day-first", "month-first", "year-first"} or None
        The user's word, which needs no evidence.

    Returns
    -------
    tuple
        "dmy", "mdy" or "ymd", and the guess with its evidence.

    Raises
    ------
    UndecidedError
        If more than one order remains possible.
    UnusableInputError
        If dates of two orders stand in one file.
    """
    if told is not None:
        return ORDERS[told], None
    a, b, c = triple.numbers()
    wide = (triple.lengths(triple.c) == LONG_YEAR).mean() > HALF
    open_orders = ["day-first", "month-first"]
    if not wide and (triple.lengths(triple.a) == SHORT_YEAR).all():
        open_orders.append("year-first")
    misfits = {order: _misfits(order, a, b, c) for order in open_orders}
    fewest = min(misfits.values())
    if fewest > MOST_MISFITS * len(a):
        rows = [int(triple.rows[np.argmax(part > 12)]) for part in (a, b)]
        raise UnusableInputError(
            f"{where}: dates of both orders in one file ({triple.text(int(np.argmax(a > 12)))} in "
            f"row {rows[0] + 1} of the readings, {triple.text(int(np.argmax(b > 12)))} in row "
            f"{rows[1] + 1}); split the file where they change"
        )
    left = [order for order in open_orders if misfits[order] <= max(fewest, FEW_MISFITS * len(a))]
    if len(left) == 1:
        rejected = sum(count for order, count in misfits.items() if order != left[0])
        because = (
            f"{rejected} dates allow no other order, such as {_example(triple, left[0], a, b, c)}"
        )
        return ORDERS[left[0]], Guess("date order", left[0], because)
    steady = [order for order in left if _steady(order, (a, b, c), triple.clock)]
    if len(steady) == 1:
        because = "the readings follow each other without jumps of a month only in this order"
        return ORDERS[steady[0]], Guess("date order", steady[0], because)
    even = [order for order in left if _even(order, (a, b, c), triple.clock)]
    if len(even) == 1:
        because = "the readings follow each other in even steps only in this order"
        return ORDERS[even[0]], Guess("date order", even[0], because)
    raise _question(where, triple, left)


def _parts(
    order: str, a: "NDArray[np.float64]", b: "NDArray[np.float64]", c: "NDArray[np.float64]"
) -> tuple["NDArray[np.float64]", ...]:
    by_name = dict(zip(ORDERS[order], (a, b, c), strict=True))
    return by_name["y"], by_name["m"], by_name["d"]


def _misfits(
    order: str, a: "NDArray[np.float64]", b: "NDArray[np.float64]", c: "NDArray[np.float64]"
) -> int:
    """Count dates that cannot be in this order."""
    year, month, day = _parts(order, a, b, c)
    return int(((month < 1) | (month > 12) | (day < 1) | (day > 31) | (year > LATEST_YEAR)).sum())


def _example(
    triple: Triple,
    order: str,
    a: "NDArray[np.float64]",
    b: "NDArray[np.float64]",
    c: "NDArray[np.float64]",
) -> str:
    for other in ORDERS:
        _, month, day = _parts(other, a, b, c)
        bad = (month < 1) | (month > 12) | (day < 1) | (day > 31)
        if other != order and bad.any():
            return triple.text(int(np.argmax(bad)))
    return triple.text(0)


def _days_in(order: str, numbers: tuple["NDArray[np.float64]", ...]) -> "NDArray[np.datetime64]":
    """Give the dates that exist in this order, one after the other."""
    year, month, day = _parts(order, *numbers)
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31)
    months = (np.where(good, year, 1970) - 1970) * 12 + np.where(good, month, 1) - 1
    days = months.astype("int64").astype("datetime64[M]").astype("datetime64[D]")
    days = days + (np.where(good, day, 1) - 1).astype("timedelta64[D]")
    days[~good] = np.datetime64("NaT", "D")
    return np.asarray(days)


def _steady(
    order: str, numbers: tuple["NDArray[np.float64]", ...], clock: "NDArray[np.timedelta64]"
) -> bool:
    """Say whether readings within days run on from day to day without jumps of a month."""
    days = _days_in(order, numbers)
    days = days[~np.isnat(days)]
    if not days.size:
        return False
    steps = np.abs(np.diff(days).astype(float))
    changes = steps[steps > 0]
    within_days = (steps == 0).sum() > changes.size
    return bool(within_days and changes.size and (changes > JUMP_DAYS).mean() < MOST_JUMPS)


def _even(
    order: str, numbers: tuple["NDArray[np.float64]", ...], clock: "NDArray[np.timedelta64]"
) -> bool:
    """Say whether nearly all steps from reading to reading are the same."""
    days = _days_in(order, numbers).astype("datetime64[us]")  # in ns a year as 23 is out of range
    wall = days + clock.astype("timedelta64[us]")
    wall = wall[~np.isnat(wall)].astype("int64")
    if wall.size < FEWEST_EVEN:
        return False
    steps = np.diff(wall)
    usual = np.median(steps)
    return bool(usual != 0 and (steps == usual).mean() >= EVEN_SHARE)


def _question(where: str, triple: Triple, left: list[str]) -> UndecidedError:
    unlike = (triple.a != triple.b).to_numpy()[triple.of_row]
    at = int(np.argmax(unlike)) if unlike.any() else 0
    numbers = triple.parts(at)
    choices = [Choice({"date_order": order}, _in_words(order, numbers)) for order in left]
    readings = dict.fromkeys(choice.says for choice in choices)
    problem = (
        f'{where}: "{triple.text(at)}" can be {" or ".join(readings)}, and no other line settles it'
    )
    return UndecidedError(problem, choices, "export with the month as a word, or the year first")


def _in_words(order: str, numbers: tuple[str, str, str]) -> str:
    part = dict(zip(ORDERS[order], numbers, strict=True))
    year = int(part["y"]) + (2000 if int(part["y"]) < PIVOT_YEAR else 0)
    month = int(part["m"])
    name = MONTHS[month - 1] if 1 <= month <= len(MONTHS) else f"month {month}"
    return f"{int(part['d'])} {name} {year}"
