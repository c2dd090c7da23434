"""Three numbers that make a date: which is the day, the month, the year, from the whole file."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess

if TYPE_CHECKING:
    from numpy.typing import NDArray

ORDERS = {"day-first": "dmy", "month-first": "mdy", "year-first": "ymd"}
LATEST_YEAR = 2099
JUMP_DAYS = 26.0
MOST_JUMPS = 0.25


@dataclass(frozen=True, eq=False)
class Triple:
    """The three date parts of every row, its time of day, and its row in the file."""

    a: "pd.Series[str]"
    b: "pd.Series[str]"
    c: "pd.Series[str]"
    clock: "NDArray[np.timedelta64]"
    rows: "NDArray[np.intp]"

    def text(self, at: int) -> str:
        """Give one date about as written."""
        return f"{self.a.iloc[at]}/{self.b.iloc[at]}/{self.c.iloc[at]}"


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
    UnusableInputError
        If more than one order remains possible.
    """
    if told is not None:
        return ORDERS[told], None
    a, b, c = (pd.to_numeric(part).to_numpy(dtype=float) for part in (triple.a, triple.b, triple.c))
    wide = (triple.c.str.len() == 4).mean() > 0.5
    open_orders = ["day-first", "month-first"]
    if not wide and (triple.a.str.len() == 2).all():
        open_orders.append("year-first")
    misfits = {order: _misfits(order, a, b, c) for order in open_orders}
    fewest = min(misfits.values())
    if fewest > 0.05 * len(a):
        rows = [int(triple.rows[np.argmax(part > 12)]) for part in (a, b)]
        raise UnusableInputError(
            f"{where}: dates of both orders in one file ({triple.text(int(np.argmax(a > 12)))} in "
            f"row {rows[0] + 1} of the readings, {triple.text(int(np.argmax(b > 12)))} in row "
            f"{rows[1] + 1}); split the file and give --date-order for each"
        )
    left = [order for order in open_orders if misfits[order] <= max(fewest, 0.002 * len(a))]
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
    raise UnusableInputError(_question(where, triple, left))


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


def _steady(
    order: str, numbers: tuple["NDArray[np.float64]", ...], clock: "NDArray[np.timedelta64]"
) -> bool:
    """Say whether readings within days run on from day to day without jumps of a month."""
    year, month, day = _parts(order, *numbers)
    good = (month >= 1) & (month <= 12)
    if not good.any():
        return False
    months = (year[good] - 1970) * 12 + month[good] - 1
    days = months.astype("int64").astype("datetime64[M]").astype("datetime64[D]")
    days = days + (day[good] - 1).astype("timedelta64[D]")
    steps = np.abs(np.diff(days).astype(float))
    changes = steps[steps > 0]
    within_days = (steps == 0).sum() > changes.size
    return bool(within_days and changes.size and (changes > JUMP_DAYS).mean() < MOST_JUMPS)


def _question(where: str, triple: Triple, left: list[str]) -> str:
    options = " or ".join(f"--date-order {order}" for order in left)
    numbers = (triple.a.iloc[0], triple.b.iloc[0], triple.c.iloc[0])
    readings = []
    for order in left:
        part = dict(zip(ORDERS[order], numbers, strict=True))
        year = int(part["y"]) + (2000 if int(part["y"]) < 70 else 0)
        names = ("January", "February", "March", "April", "May", "June", "July", "August",
                 "September", "October", "November", "December")  # fmt: skip
        readings.append(f"{int(part['d'])} {names[int(part['m']) - 1]} {year}")
    return (
        f'{where}: "{triple.text(0)}" can be {" or ".join(readings)}, and no other line settles '
        f"it; add {options}"
    )
