"""What changed since the last round, and why: by fingerprints of what each row rests on."""

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum

from climlog.analysis.round.result import ItemKind, Prints
from climlog.errors import UnusableInputError


class Reason(StrEnum):
    """What is not as it was."""

    NEW = "new in the round"
    READ_AGAIN = "it could not be read last time"
    NOT_READ_NOW = "it was read last time"
    READINGS = "new readings"
    SHEET = "its sheet changed"
    ENTRY = "what the round file says of its place, or the units, changed"
    VERSION = "another version of climlog"


@dataclass(frozen=True)
class RowKey:
    """What makes a row the same one in two rounds.

    Attributes
    ----------
    sheet : str
        Path of its sheet from the round file's folder; empty where it has none.
    """

    place: str
    kind: str
    sheet: str

    @property
    def is_whole_place(self) -> bool:
        """Whether it stands for all of a place that could not be read."""
        return self.kind == ItemKind.PLACE


@dataclass(frozen=True)
class ToldRow:
    """What a round told of a row: its verdict, its share of the cases, what both rest on."""

    verdict: str
    share_of_draws: float | None
    prints: Prints


@dataclass(frozen=True)
class LastRound:
    """An earlier round as its JSON has it.

    Attributes
    ----------
    file : str
        The round file, as seen from its pages' folder; empty where an earlier version left it out.
    """

    version: str
    rows: Mapping[RowKey, ToldRow]
    file: str = ""


@dataclass(frozen=True)
class RowChange:
    """How a row differs from the last round.

    Attributes
    ----------
    why : tuple of Reason
    was, was_share : str and float or None
        Verdict and share of the last round; None where it is new.
    is_told_anew : bool
        Whether the verdict, or its share, is another.
    """

    why: tuple[Reason, ...]
    was: str | None
    was_share: float | None
    is_told_anew: bool


def read_last(text: str) -> LastRound:
    """Read the JSON that a round left.

    Raises
    ------
    UnusableInputError
        If it is none.
    """
    try:
        found = json.loads(text)
        rows = {_key(row): _told(row) for row in found["rows"]}
        return LastRound(str(found["version"]), rows, str(found.get("file", "")))
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        raise UnusableInputError("it is not the JSON of a round") from error


def _key(row: Mapping[str, str]) -> RowKey:
    return RowKey(row["place"], row["kind"], row["sheet"])


def _told(row: Mapping[str, object]) -> ToldRow:
    share, prints = row["share_of_draws"], row["prints"]
    if not isinstance(prints, dict) or not isinstance(share, float | int | None):
        raise TypeError("a row is not as a round writes it")
    return ToldRow(str(row["verdict"]), share, Prints(**prints))


def change_of(key: RowKey, now: ToldRow, version: str, last: LastRound | None) -> RowChange | None:
    """Say how a row differs from the last round; None where nothing did, or none is known.

    Parameters
    ----------
    key : RowKey
    now : ToldRow
    version : str
        Of the climlog that runs.
    last : LastRound or None
    """
    if last is None:
        return None
    before = last.rows.get(key)
    if before is None:
        return RowChange((_why_new(key, last),), None, None, is_told_anew=True)
    pairs = (
        (Reason.READINGS, before.prints.readings != now.prints.readings),
        (Reason.SHEET, before.prints.sheet != now.prints.sheet),
        (Reason.ENTRY, before.prints.entry != now.prints.entry),
        (Reason.VERSION, last.version != version),
    )
    why = tuple(reason for reason, is_so in pairs if is_so)
    anew = before.verdict != now.verdict or _moved(before.share_of_draws, now.share_of_draws)
    return RowChange(why, before.verdict, before.share_of_draws, anew) if why or anew else None


def _why_new(key: RowKey, last: LastRound) -> Reason:
    """Tell what the last round had in a new row's place: a failed place is one row for all."""
    if key.is_whole_place and any(one.place == key.place for one in last.rows):
        return Reason.NOT_READ_NOW
    was_whole = any(one.place == key.place and one.is_whole_place for one in last.rows)
    return Reason.READ_AGAIN if was_whole else Reason.NEW


def gone_from(last: LastRound | None, now: Collection[RowKey]) -> tuple[RowKey, ...]:
    """Give what the last round had and this one has not; a place that failed has not lost it."""
    failed = {one.place for one in now if one.is_whole_place}
    return tuple(
        one
        for one in (() if last is None else last.rows)
        if one not in now and not one.is_whole_place and one.place not in failed
    )


def _moved(before: float | None, now: float | None) -> bool:
    """Whether a share is told as another whole number of 100."""
    if before is None or now is None:
        return before is not now
    return round(100 * before) != round(100 * now)
