"""What a round tells, a row each: put into words here, kept without the runs behind it."""

import hashlib
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path, PurePosixPath

import climlog
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.room.result import RoomResult
from climlog.analysis.round.changes import (
    LastRound,
    RowChange,
    RowKey,
    ToldRow,
    change_of,
    gone_from,
)
from climlog.analysis.round.result import (
    WORST_FIRST,
    DailyLine,
    ItemKind,
    ItemRun,
    PlaceRun,
    Prints,
    Standing,
)
from climlog.analysis.round.round import by_day
from climlog.errors import slug_of
from climlog.report.document import Answer, Document, Sign
from climlog.report.phrases import Say
from climlog.report.place import document as place_document
from climlog.report.place.advice import ANSWER_FIRST, SAY_HEATING, SAY_KIND
from climlog.report.place.taken import taken
from climlog.report.room import document as room_document
from climlog.report.round.words import reworded
from climlog.report.shape import Shape
from climlog.told import told

NOT_READ = Sign("not read", Shape.NOT_IN_LOG)
ASKED_BELOW = frozenset({ANSWER_FIRST, SAY_HEATING, SAY_KIND})
LONGEST_PART = 40
"""Letters of a place's or a sheet's name in the name of a page: both fit any file system."""
MARK_LETTERS = 8


@told({"verdict": "verdict.word"})
@dataclass(frozen=True)
class RoundRow:
    """One piece, room, or place that could not be read.

    Attributes
    ----------
    sheet : str
        Path of its sheet from the round file's folder; empty where it has none.
    page : str
        Name of its page; empty where it has none.
    share_of_draws : float or None
        Share of the likely cases in which the travel runs out, 0 to 1.
    taken : str
        The condition that share stands under, as a phrase with a space before it; empty for none.
    says : str
        Its answer in a sentence, or why there is none.
    do : tuple of str
        What to set, then what to do.
    last_reading : datetime or None
    change : RowChange or None
        Against the last round; None where nothing changed.
    """

    place: str
    name: str
    kind: ItemKind
    sheet: str
    page: str
    standing: Standing
    verdict: Sign
    share_of_draws: float | None
    says: str
    do: tuple[str, ...]
    last_reading: datetime | None
    prints: Prints
    change: RowChange | None
    taken: str = ""

    @property
    def named(self) -> str:
        """Place and name together."""
        return self.place if self.name == self.place else f"{self.place}, {self.name}"

    @property
    def key(self) -> RowKey:
        """What makes it the same one in another round."""
        return RowKey(self.place, str(self.kind), self.sheet)

    @property
    def urgency(self) -> tuple[int, float]:
        """Sorts the worst first."""
        return WORST_FIRST.index(self.standing), -(self.share_of_draws or 0.0)


@dataclass(frozen=True, eq=False)
class PlaceLines:
    """A place for the picture: its air, and the moisture of what is most urgent there."""

    name: str
    sign: Sign
    urgency: tuple[int, float]
    air: DailyLine
    wood: DailyLine | None
    runs_out_on: datetime | None


@told(without="lines")
@dataclass(frozen=True, eq=False)
class RoundReport:
    """A whole round.

    Attributes
    ----------
    name : str
    file : str
        The round file, as seen from its pages' folder: another file's pages are not its own.
    version : str
        Of climlog.
    is_compared : bool
        Whether the round before it is known.
    rows : tuple of RoundRow
        Worst first.
    gone : tuple of str
        What the last round had and this one has not.
    lines : tuple of PlaceLines
        Worst first.
    """

    name: str
    file: str
    version: str
    is_compared: bool
    rows: tuple[RoundRow, ...]
    gone: tuple[str, ...]
    lines: tuple[PlaceLines, ...]

    @property
    def by_place(self) -> Mapping[str, Sequence[RoundRow]]:
        """The rows of each place, places and rows the worst first."""
        found: dict[str, list[RoundRow]] = {}
        for row in self.rows:
            found.setdefault(row.place, []).append(row)
        return found


class Telling:
    """Puts a round into words, a place at a time, and keeps nothing of the runs.

    Parameters
    ----------
    folder : Path
        Of the round file.
    last : LastRound or None
    say : Say
    """

    def __init__(self, folder: Path, last: LastRound | None, say: Say) -> None:
        self._folder, self._last, self._say = folder, last, say
        self._rows: list[RoundRow] = []
        self._lines: list[PlaceLines] = []

    def add(self, run: PlaceRun) -> Iterator[tuple[str, Document]]:
        """Take a place up; gives the name and the document of each of its pages."""
        own: list[RoundRow] = []
        for item in run.items:
            if item.result is None:
                own.append(self._row(run, item, "", None))
                continue
            name = self._page(run, item, {one.page for one in own})
            document = _document(item.result, self._say)
            own.append(self._row(run, item, name, document))
            yield name, document
        self._rows += _told_apart(own)
        if run.air is not None:
            sign = min(own, key=lambda one: one.urgency).verdict
            self._lines.append(_lines(run, run.air, sign))

    def report(self, name: str, file: str) -> RoundReport:
        """Give the whole round, by its name and its file."""
        gone = gone_from(self._last, {one.key for one in self._rows})
        return RoundReport(
            name=name,
            file=file,
            version=climlog.__version__,
            is_compared=self._last is not None,
            rows=tuple(sorted(self._rows, key=lambda one: one.urgency)),
            gone=tuple(_named(key) for key in gone),
            lines=tuple(sorted(self._lines, key=lambda one: one.urgency)),
        )

    def _sheet(self, item: ItemRun) -> str:
        return "" if item.sheet is None else item.sheet.relative_to(self._folder).as_posix()

    def _page(self, run: PlaceRun, item: ItemRun, taken: Collection[str]) -> str:
        return page_name(run.place.name, self._sheet(item) or str(item.kind), taken)

    def _row(self, run: PlaceRun, item: ItemRun, page: str, document: Document | None) -> RoundRow:
        sheet, answer = self._sheet(item), document and document.answer
        sign = answer.verdict if answer else NOT_READ
        key = RowKey(run.place.name, str(item.kind), sheet)
        now = ToldRow(sign.word, item.share_of_draws, item.prints)
        return RoundRow(
            place=run.place.name,
            name=item.name,
            kind=item.kind,
            sheet=sheet,
            page=page,
            standing=item.standing,
            verdict=sign,
            share_of_draws=item.share_of_draws,
            taken=taken(item.result) if isinstance(item.result, PlaceResult) else "",
            says=answer.says if answer else item.error,
            do=_to_do(item.kind, answer) if answer else (),
            last_reading=item.last_reading,
            prints=item.prints,
            change=change_of(key, now, climlog.__version__, self._last),
        )


def _told_apart(rows: Sequence[RoundRow]) -> list[RoundRow]:
    """Name the sheet beside what is called the same as another thing of its place."""
    count = Counter(row.name for row in rows)
    return [
        replace(row, name=f"{row.name} ({PurePosixPath(row.sheet).stem})")
        if row.sheet and count[row.name] > 1
        else row
        for row in rows
    ]


def _named(key: RowKey) -> str:
    return f"{key.place}, {key.sheet or key.kind}"


def _document(result: PlaceResult | RoomResult, say: Say) -> Document:
    if isinstance(result, PlaceResult):
        return reworded(place_document.document(result, say))
    return reworded(room_document.document(result, say))


def _lines(run: PlaceRun, air: DailyLine, sign: Sign) -> PlaceLines:
    worst, wood, runs_out_on = run.worst, None, None
    if isinstance(worst.result, PlaceResult):
        course = worst.result.course
        wood = by_day(worst.name, course.times, course.mean_pct)
        runs_out_on = worst.result.as_a_set.runs_out_on if worst.result.fastenings else None
    return PlaceLines(run.place.name, sign, worst.urgency, air, wood, runs_out_on)


def page_name(place: str, thing: str, taken: Collection[str] = ()) -> str:
    """Name a page after a place and a sheet: the same in every round, and safe on every system.

    Examples
    --------
    >>> page_name("Gallery 1", "pieces/Oak table.toml")
    'gallery-1--pieces-oak-table.html'
    """
    name = f"{_part(place)}--{_part(thing.removesuffix('.toml'))}"
    plain = f"{name}.html"
    return f"{name}-{_mark(thing)}.html" if plain in taken else plain


def _part(words: str) -> str:
    slug = slug_of(words)
    if slug and len(slug) <= LONGEST_PART and words.isascii():
        return slug
    return f"{slug[:LONGEST_PART]}-{_mark(words)}".lstrip("-")


def _mark(words: str) -> str:
    return hashlib.sha256(words.encode("utf-8")).hexdigest()[:MARK_LETTERS]


def _to_do(kind: ItemKind, answer: Answer) -> tuple[str, ...]:
    """Say what to set before what to do: "with these gaps" needs the gaps, a room its humidity.

    A question that a page asks below its answer is asked here: no row has anything below it.
    """
    is_room = kind == ItemKind.ROOM
    asked = answer.not_known[:1]
    told = [asked if line in ASKED_BELOW and asked else (line,) for line in answer.do]
    set_first = (f"Set: {line}" if is_room else line for line in answer.set)
    return (*set_first, *(line for lines in told for line in lines))
