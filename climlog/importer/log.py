"""Log: readings of one sensor, in our units, with every row, guess, gap and fault accounted for."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray


class FlagKind(StrEnum):
    """What can be wrong, or particular, about readings."""

    IMPOSSIBLE = "impossible value"
    STUCK = "stuck value"
    SPIKE = "spike"
    QUICK_CHANGE = "quick change"
    STEP = "step"
    SATURATED = "saturated"
    ZERO_HUMIDITY = "zero humidity"
    HUMIDITY_FLOOR = "humidity floor"
    OUTDOOR_AIR = "outdoor air"
    TYPICAL_YEAR = "typical year"
    CLOCK_BACK = "clock back"
    CLOCK_FORWARD = "clock forward"
    CLOCK_JUMP = "clock jump"
    FAR_DATE = "date far off"
    JOINED = "files joined"


OF_THE_ROWS = frozenset({
    FlagKind.IMPOSSIBLE, FlagKind.CLOCK_BACK, FlagKind.CLOCK_FORWARD, FlagKind.CLOCK_JUMP,
    FlagKind.FAR_DATE,
})  # fmt: skip
"""Kinds seen in the rows of a file, before the readings are put in order."""


@dataclass(frozen=True)
class Guess:
    """Something the importer settled by itself: what, the value taken, and the evidence."""

    what: str
    value: str
    because: str


@told({"from": "first", "to": "last"})
@dataclass(frozen=True)
class Gap:
    """A stretch without a usable reading, longer than the step of the log explains."""

    first: datetime
    last: datetime
    hours: float


@told({"from": "first", "to": "last"})
@dataclass(frozen=True)
class Flag:
    """A fault seen in the readings and left as it is: kind, span, rows, one sentence."""

    kind: FlagKind
    first: datetime
    last: datetime
    rows: int
    says: str


@dataclass(frozen=True)
class Sensor:
    """Where the readings came from: a name to choose it by, and the columns with their units.

    `outdoors` says whether its titles speak of outdoors.
    """

    name: str
    temperature_column: str
    temperature_unit: str
    humidity_column: str
    humidity_unit: str
    outdoors: bool = False


LEFT_UNTOLD = "files sensor times temp_c rh_pct whole_file doubtful rh_is_checked"


@dataclass(frozen=True)
class Account:
    """Every row of a file once, whatever sensors stand in it.

    Attributes
    ----------
    rows_read : int
        Rows of the file.
    rows_used : int
        Rows that gave a reading, or part of one, to any sensor.
    rows_left_out : mapping of str to int
        The others, by the reason.
    """

    rows_read: int
    rows_used: int
    rows_left_out: Mapping[str, int]


@told({"faults": "flags"}, also="first last", without=LEFT_UNTOLD)
@dataclass(frozen=True, eq=False)
class Log:
    """Readings of one sensor.

    Attributes
    ----------
    files : tuple of str
        Names of the files read, without folders.
    sensor : Sensor
        Which columns, and in which units they were written.
    times : pandas.DatetimeIndex, shape (n,)
        Local wall time without zone, increasing and without repeats.
    temp_c, rh_pct : array, shape (n,)
        Air temperature and relative humidity; never NaN. [°C], [%]
    rows_read, rows_used : int
        Data rows in the files, and rows that gave a reading; their difference is the sum of
        `rows_left_out`, a count for each reason.
    rows_left_out : mapping of str to int
    median_step_minutes : float
        Between readings. [min]
    gaps, guesses, flags : tuple of Gap, Guess, Flag
        Stretches without readings, what was concluded from the file, faults that were found.
    notes : tuple of str
        What else the reader should know.
    utc_offset : str or None
        "+02:00" where the file states an offset; the times stay as written.
    whole_file : Account or None
        Of the whole file, other sensors' rows too; None where it is the sensor's own.
    doubtful : array of bool, shape (n,), or None
        Readings in a spike, a stuck stretch or of no humidity at all, which statistics leave out;
        None for none.
    rh_is_checked : bool
        Whether the humidity was corrected by a check of the sensor.
    """

    files: tuple[str, ...]
    sensor: Sensor
    times: "pd.DatetimeIndex"
    temp_c: "NDArray[np.float64]"
    rh_pct: "NDArray[np.float64]"
    rows_read: int
    rows_used: int
    rows_left_out: Mapping[str, int]
    median_step_minutes: float
    gaps: tuple[Gap, ...] = ()
    guesses: tuple[Guess, ...] = ()
    flags: tuple[Flag, ...] = ()
    utc_offset: str | None = None
    notes: tuple[str, ...] = field(default=())
    whole_file: Account | None = None
    doubtful: "NDArray[np.bool_] | None" = None
    rh_is_checked: bool = False

    @property
    def file(self) -> str:
        """The files' names in one text."""
        return ", ".join(self.files)

    @property
    def first(self) -> datetime:
        """Time of the first reading."""
        return self.times[0].to_pydatetime()

    @property
    def last(self) -> datetime:
        """Time of the last reading."""
        return self.times[-1].to_pydatetime()

    @property
    def account(self) -> Account:
        """The account of the whole file, which is the sensor's own where there is one."""
        return self.whole_file or Account(self.rows_read, self.rows_used, self.rows_left_out)
