"""Records of a round: what each place and each thing in it came to, and from which files."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING

import pandas as pd

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Verdict
from climlog.analysis.room.air_result import AirVerdict
from climlog.analysis.room.result import RoomResult
from climlog.sheets.round import RoundPlace

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class ItemKind(StrEnum):
    """What a row of a round is about."""

    PIECE = "piece"
    ROOM = "room"
    PLACE = "place"


class Standing(StrEnum):
    """How urgent a row is; worst first."""

    RUNS_OUT = "runs out"
    NOT_READ = "not read"
    NOT_KNOWN = "not known"
    OFF = "close or off target"
    NOT_JUDGED = "not judged"
    WELL = "well"


WORST_FIRST = tuple(Standing)
# Both kinds of verdict say "not known" in the same word.
STANDING_OF: dict[str, Standing] = {
    Verdict.RUNS_OUT: Standing.RUNS_OUT,
    Verdict.CLOSE: Standing.OFF,
    Verdict.HOLDS: Standing.WELL,
    Verdict.NOT_KNOWN: Standing.NOT_KNOWN,
    AirVerdict.TOO_DAMP: Standing.OFF,
    AirVerdict.TOO_DRY: Standing.OFF,
    AirVerdict.NO_TARGET: Standing.NOT_JUDGED,
    AirVerdict.DRYING: Standing.WELL,
    AirVerdict.ON_TARGET: Standing.WELL,
}


@dataclass(frozen=True)
class Prints:
    """Fingerprints of what an answer rests on: equal prints, equal answers.

    Attributes
    ----------
    readings, sheet, entry : str
        Of the bytes of all logs, of the sheet with what it names, and of everything else that the
        round file says of the place. Empty where that could not be read.
    """

    readings: str
    sheet: str
    entry: str


@dataclass(frozen=True, eq=False)
class DailyLine:
    """A moisture day by day; both of shape (d,). [%]."""

    name: str
    days: pd.DatetimeIndex
    moisture_pct: "NDArray[np.float64]"


@dataclass(frozen=True, eq=False)
class ItemRun:
    """One piece, or the room itself, run.

    Attributes
    ----------
    name : str
    kind : ItemKind
    sheet : Path or None
    prints : Prints
    result : PlaceResult or RoomResult or None
        None where it failed.
    error : str
        Why it failed, in a line; empty otherwise.
    """

    name: str
    kind: ItemKind
    sheet: Path | None
    prints: Prints
    result: PlaceResult | RoomResult | None
    error: str = ""

    @property
    def verdict(self) -> str:
        """The verdict's word; empty where nothing is judged."""
        if isinstance(self.result, RoomResult):
            return str(self.result.verdict)
        if self.result is None or not self.result.fastenings:
            return ""
        return str(self.result.as_a_set.verdict)

    @property
    def standing(self) -> Standing:
        """How urgent it is."""
        if self.result is None:
            return Standing.NOT_READ
        return STANDING_OF.get(self.verdict, Standing.NOT_JUDGED)

    @property
    def share_of_draws(self) -> float | None:
        """Share of the likely cases in which the travel runs out, 0 to 1; None without travel."""
        if not isinstance(self.result, PlaceResult) or not self.result.fastenings:
            return None
        return self.result.as_a_set.share_of_draws

    @property
    def last_reading(self) -> datetime | None:
        """When its log ends; None where there is none."""
        log = None if self.result is None else self.result.log
        return None if log is None else log.times[-1].to_pydatetime()

    @property
    def urgency(self) -> tuple[int, float]:
        """Sorts the worst first."""
        return WORST_FIRST.index(self.standing), -(self.share_of_draws or 0.0)


@dataclass(frozen=True, eq=False)
class PlaceRun:
    """One place with all that stands in it.

    Attributes
    ----------
    air : DailyLine or None
        Moisture that its air holds wood at; None where no air was read or projected.
    items : tuple of ItemRun
    """

    place: RoundPlace
    air: DailyLine | None
    items: tuple[ItemRun, ...]

    @property
    def worst(self) -> ItemRun:
        """What is most urgent there."""
        return min(self.items, key=lambda one: one.urgency)
