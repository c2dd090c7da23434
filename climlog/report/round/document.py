"""Everything that a round says, once: what is worst, what changed and why, place by place."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import timedelta

from climlog.analysis.place.verdict import of_100
from climlog.analysis.round.changes import Reason, RowChange
from climlog.analysis.round.result import ItemKind, Standing
from climlog.report.document import (
    MOST_TO_DO,
    ON_THE_PAGE,
    Answer,
    Columns,
    Document,
    Facts,
    Lines,
    Link,
    Medium,
    Paragraph,
    Picture,
    Section,
    Sign,
    Signed,
    Table,
    in_a_headline,
)
from climlog.report.phrases import joined, sentence, short_day
from climlog.report.round.charts import places_charts
from climlog.report.round.rows import RoundReport, RoundRow
from climlog.report.shape import Shape

HEADS = ("Place and piece", "Verdict", "Of 100 run out", "Read to", "Answer")
WIDTHS = (24, 13, 9, 12, 42)
BEFORE_HEAD = "Last round"
WIDTHS_COMPARED = (20, 12, 8, 10, 34, 16)
SHORT_HEADS = ("Place and piece", "Verdict", "Of 100", "Before")
VERBS = {
    "runs out": ("runs out", "run out"),
    "holds": ("holds", "hold"),
    "not read": ("could not be read", "could not be read"),
    "no target given": ("has no target", "have no target"),
}
"""What one, and several, do; of any other word they are it."""
ALL_WELL = Sign("well", Shape.HOLDS)
IN_TROUBLE = (Standing.RUNS_OUT, Standing.NOT_READ, Standing.NOT_KNOWN, Standing.OFF)
STALE_DAYS = 35
"""A log that ends so long before the newest of the round was not read this month."""
MOST_TOLD = 3
"""Names told in one line of the answer; the table has them all."""
MOST_NAMED = 1
"""Told by name in the answer of what changed, was not read, or has no new readings: the sections
and the table have them all."""
MOST_WORDS_TO_DO = 30
"""Of what is done for several, names apart: half of the block."""
MOST_CHANGES = 12
"""Changes listed before the table, whose last column has them all."""
CAPTION = "Worst first."
FIRST_TOLD = {Reason.NEW: "new", Reason.READ_AGAIN: "not read", Reason.NOT_READ_NOW: "read"}
"""What a row without one before it was in the last round: a place that failed is one row for all
that stands in it."""
IN_A_TERMINAL = frozenset({Medium.TERMINAL})
WHERE_TO_LOOK = "What each wants stands on its page; the index leads to all, the worst first."
NOTHING_NEW = "Nothing: the same files gave the same answers."
FIRST_ROUND = "Nothing to compare with: this is the first round of this file."


def document(report: RoundReport) -> Document:
    """Say what a round found; its table is the first section's.

    Parameters
    ----------
    report : RoundReport
    """
    return Document(
        job="round",
        subject=report.name,
        question=f"{report.name}: what needs doing, and where?",
        answer=answer(report),
        pictures=(),
        facts=Facts(_facts(report)),
        sections=(
            Section("changes", "Since the last round", (Lines(change_lines(report)),)),
            Section("places", "Place by place", (places_table(report),)),
            Section("air", "Air and wood", _pictures(report)),
            Section("rows", "Places and pieces", (table(report),), ON_THE_PAGE),
            Section("listed", "Places and pieces", (_listed(report),), IN_A_TERMINAL),
            Section("pages", "What this rests on", (Paragraph(RESTS_ON),)),
        ),
    )


def _pictures(report: RoundReport) -> tuple[Columns, ...]:
    """Set the charts of the places side by side, in pairs."""
    drawn = [(Picture(one),) for one in places_charts(report.lines)]
    return tuple(Columns(tuple(drawn[at : at + 2])) for at in range(0, len(drawn), 2))


RESTS_ON = (
    "Each row's page says what its verdict rests on, how sure it is, what was assumed, and what to "
    "mind before acting on it."
)


def answer(report: RoundReport) -> Answer:
    """Answer in one look."""
    bad = [row for row in report.rows if row.standing in IN_TROUBLE]
    return Answer(
        verdict=report.rows[0].verdict if bad else ALL_WELL,
        says=_headline(report),
        do=_to_do(bad),
        odds=_odds(report),
        not_known=tuple(_not_known(report)),
    )


def table(report: RoundReport) -> Table:
    """Lay all rows out, worst first, each with the way to its page and what it was before."""
    if all(row.change is None for row in report.rows):
        return Table(CAPTION, HEADS, tuple(_cells(row) for row in report.rows), WIDTHS)
    rows = tuple((*_cells(row), _since(row)) for row in report.rows)
    return Table(CAPTION, (*HEADS, BEFORE_HEAD), rows, WIDTHS_COMPARED)


def places_table(report: RoundReport) -> Table:
    """Lay the places out, a row each with the way to the page of what is worst there."""
    compared = report.is_compared
    heads = ("Place", "Worst", "Of 100", *(["Changed"] if compared else []), "What stands there")
    widths = (22, 14, 10, *([10] if compared else []), 44 if compared else 54)
    rows = tuple(_of_place(name, rows, compared) for name, rows in report.by_place.items())
    return Table(CAPTION, heads, rows, widths)


def _of_place(
    name: str, rows: Sequence[RoundRow], compared: bool
) -> tuple[str | Link | Signed, ...]:
    worst = rows[0]
    changed = sum(row.change is not None and row.change.is_told_anew for row in rows)
    words = Counter((row.kind, row.verdict.word) for row in rows)
    there = [
        f"{'the room' if kind == ItemKind.ROOM else count} {_verb(word, count)}"
        for (kind, word), count in words.items()
    ]
    return (
        Link(name, worst.page) if worst.page else name,
        Signed(worst.verdict),
        _of_100(worst.share_of_draws),
        *([str(changed) if changed else ""] if compared else []),
        worst.says if worst.kind == ItemKind.PLACE else sentence(", ".join(there)),
    )


def brief(report: RoundReport) -> tuple[Answer, Table]:
    """Say the same in fewer words, with a row a place: for a round too long for a terminal."""
    told = replace(answer(report), do=(WHERE_TO_LOOK,), odds="")
    return told, places_table(report)


def short_table(report: RoundReport) -> Table:
    """Lay all rows out in a line each, for a terminal."""
    rows = tuple((*_short(row), _before(row)) for row in report.rows)
    return Table(CAPTION, SHORT_HEADS, rows)


def _listed(report: RoundReport) -> Table:
    """Lay all rows out with their answers, for a terminal."""
    rows = tuple((*_short(row), row.says) for row in report.rows)
    return Table(CAPTION, (*SHORT_HEADS[:-1], HEADS[-1]), rows)


def _short(row: RoundRow) -> tuple[str, Signed, str]:
    return row.named, Signed(row.verdict), _of_100(row.share_of_draws)


def _word_now(row: RoundRow) -> str:
    return _told(row.verdict.word, row.share_of_draws)


def _before(row: RoundRow) -> str:
    """Say what it was, in a few words."""
    change = row.change
    if change is None or not change.is_told_anew:
        return ""
    return FIRST_TOLD[change.why[0]] if change.was is None else _told(change.was, change.was_share)


def _of_100(share: float | None) -> str:
    return "" if share is None else f"{of_100(share)}"


def _cells(row: RoundRow) -> tuple[str | Link | Signed | tuple[str, ...], ...]:
    is_told = row.standing in IN_TROUBLE or row.kind is ItemKind.ROOM
    says = (row.says, *(row.do if is_told else ()))
    return (
        Link(row.named, row.page) if row.page else row.named,
        Signed(row.verdict),
        _of_100(row.share_of_draws),
        "" if row.last_reading is None else short_day(row.last_reading),
        says if len(says) > 1 else row.says,
    )


def _since(row: RoundRow) -> str | tuple[str, ...]:
    """Say what a row was in the last round, and why it is not as it was."""
    change = row.change
    if change is None:
        return ""
    if change.was is None:
        return sentence(_why(change))
    was = f"was {_told(change.was, change.was_share)}" if change.is_told_anew else "the same answer"
    return sentence(was), sentence(_why(change))


def _headline(report: RoundReport) -> str:
    kinds = ((ItemKind.PIECE, "piece"), (ItemKind.ROOM, "room"), (ItemKind.PLACE, "place"))
    counted = [_counted([row for row in report.rows if row.kind is one], of) for one, of in kinds]
    told = [sentence(part) for part in counted if part]
    bad = sum(row.standing in IN_TROUBLE for row in report.rows)
    headline = in_a_headline(
        f"{sentence('; '.join(part for part in counted if part))}.",
        *(f"{part}; the table has the rest." for part in told[:1] if len(told) > 1),
        f"Something is to be done for {bad} of {len(report.rows)} rows.",
    )
    return f"{headline}{_changed(report)}"


def _changed(report: RoundReport) -> str:
    """Name what has another answer than in the last round."""
    if not report.is_compared:
        return ""
    rows = [row for row in report.rows if row.change is not None and row.change.is_told_anew]
    names = [f"{row.named} ({_was(row)})" for row in rows]
    return (
        f" Changed: {_some(names, MOST_NAMED)}."
        if names
        else " Nothing changed since the last round."
    )


def _was(row: RoundRow) -> str:
    """Say what it was, and what it has become."""
    change = row.change
    if change is None:
        return ""
    if change.was is None:
        was = FIRST_TOLD[change.why[0]]
        return was if Reason.NEW in change.why else f"{was} before, now {row.verdict.word}"
    if change.was != row.verdict.word:
        return f"{change.was} before, now {row.verdict.word}"
    before, now = _of_100(change.was_share) or "none", _of_100(row.share_of_draws) or "none"
    return f"{before} of 100 before, now {now}"


def _counted(rows: Sequence[RoundRow], noun: str) -> str:
    """Count rows by their verdict's word, in the order of the table."""
    words = Counter(row.verdict.word for row in rows)
    told = [(count, _verb(word, count)) for word, count in words.items()]
    if len(told) == 1:
        count, verb = told[0]
        return f"{count} {noun}{'' if count == 1 else 's'} {verb}"
    told_in_words = joined([f"{count} {verb}" for count, verb in told])
    return f"of {len(rows)} {noun}s {told_in_words}" if rows else ""


def _verb(word: str, count: int) -> str:
    one, several = VERBS.get(word, (f"is {word}", f"are {word}"))
    return one if count == 1 else several


def _to_do(bad: Sequence[RoundRow]) -> tuple[str, ...]:
    """Say what to do for the worst, each whole: half of a change may not hold; count the others."""
    wants = [row for row in bad if row.do]
    lines: list[str] = []
    words = 0
    for row in wants[:MOST_TO_DO]:
        what = " ".join(row.do)
        words += len(what.split())
        if lines and words > MOST_WORDS_TO_DO:
            break
        lines.append(f"{row.named}: {what}")
    left = len(wants) - len(lines)
    if left and len(lines) == MOST_TO_DO:
        return tuple(lines)
    pages = "its page says what" if left == 1 else "their pages say what"
    return (*lines, f"{left} more: {pages}.") if left else tuple(lines)


def _odds(report: RoundReport) -> str:
    judged = [row for row in report.rows if row.share_of_draws]
    if not judged:
        return ""
    worst = max(judged, key=lambda row: row.share_of_draws or 0.0)
    share = of_100(worst.share_of_draws or 0.0)
    return f"{worst.named} runs out in {share} of 100 likely cases{worst.taken}, the most."


def _not_known(report: RoundReport) -> Iterable[str]:
    failed = [row for row in report.rows if row.standing is Standing.NOT_READ]
    for row in failed[:MOST_NAMED]:
        yield f"{row.named}: {row.says}"
    if len(failed) > MOST_NAMED:
        yield f"{len(failed) - MOST_NAMED} more were not read: see the table."
    stale = _stale(report)
    if stale:
        yield (
            f"No new readings: {_some(stale, MOST_NAMED)}. Read the logger out, or see whether "
            "it still runs."
        )


def _stale(report: RoundReport) -> list[str]:
    """List the places whose log ends long before the newest of the round."""
    ends = {row.place: row.last_reading for row in report.rows if row.last_reading is not None}
    newest = max(ends.values(), default=None)
    if newest is None:
        return []
    old = {place: end for place, end in ends.items() if newest - end > timedelta(days=STALE_DAYS)}
    return [f"{place} since {short_day(old[place])}" for place in sorted(old, key=lambda p: old[p])]


def _some(names: Sequence[str], most: int = MOST_TOLD) -> str:
    """List some names, which hold commas themselves, and count the others."""
    left = len(names) - most
    more = f"; and {left} more" if left > 0 else ""
    return "; ".join(names[:most]) + more


def _facts(report: RoundReport) -> tuple[tuple[str, str], ...]:
    places = {row.place for row in report.rows}
    pieces = sum(row.kind == ItemKind.PIECE for row in report.rows)
    ends = [row.last_reading for row in report.rows if row.last_reading is not None]
    rows = [("Places", str(len(places))), ("Pieces", str(pieces))]
    if ends:
        rows.append(("Read up to", short_day(max(ends))))
    changed = [row for row in report.rows if row.change is not None and row.change.is_told_anew]
    if report.is_compared:
        rows.append(("Changed verdicts or odds", str(len(changed))))
    return (*rows, ("Made with", f"climlog {report.version}"))


def change_lines(report: RoundReport) -> tuple[str, ...]:
    """Say what changed since the last round and why; the same answers from new files come last."""
    if not report.is_compared:
        return (FIRST_ROUND,)
    changed = [(row, row.change) for row in report.rows if row.change is not None]
    anew = [_change_line(row, change) for row, change in changed if change.is_told_anew]
    lines = anew[:MOST_CHANGES]
    if len(anew) > MOST_CHANGES:
        lines.append(f"{len(anew) - MOST_CHANGES} more: the last column of the table has them.")
    same: dict[str, list[str]] = {}
    for row, change in changed:
        if not change.is_told_anew:
            same.setdefault(_why(change), []).append(row.named)
    lines += [f"{sentence(why)}, the same answer: {_some(names)}." for why, names in same.items()]
    if report.gone:
        lines.append(f"No longer in the round: {_some(report.gone)}.")
    return tuple(lines) or (NOTHING_NEW,)


def _change_line(row: RoundRow, change: RowChange) -> str:
    now = _word_now(row)
    if change.was is None:
        return f"{row.named}: {now} ({_why(change)})."
    was = _told(change.was, change.was_share)
    return f"{row.named}: now {now}; was {was}. {sentence(_why(change))}."


def _told(word: str, share: float | None) -> str:
    return word if share is None else f"{word} ({of_100(share)} of 100)"


def _why(change: RowChange) -> str:
    return joined([str(one) for one in change.why]) or "a change within climlog"
