"""Files whose columns stand at places of characters: cells are cut there, blanks inside or not.

How: a place of characters belongs to a column if some line of readings has something there; places
that are blank in all lines divide columns. Titles go to the column they stand over. Checked on
made files of right and left aligned numbers, missing cells and titles of several words.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.importer.log import Guess
from climlog.importer.text.cells import SAYS_NOTHING, TIME_KINDS, Kind, kind_of
from climlog.importer.text.dialect import Text
from climlog.importer.text.lines import Record, far_lines, head_records
from climlog.importer.text.titles import is_unit, roles_in

FEWEST_LINES = 4
LEAST_ALIKE = 0.98
"""Share of lines whose cells must lie one in a place; the rest are remarks and cut-off lines."""
FEWEST_PLACES = 3
WIDEST_LINE = 2_000
MOST_TITLE_LINES = 4
_WORDS = re.compile(r"\S+(?: \S+)*")


@dataclass(frozen=True)
class Span:
    """Places from `start` up to `stop` of a line."""

    start: int
    stop: int


def cut_at_places(text: Text) -> Text | None:
    """Give the file with tabs between cells, where its columns stand at places of characters.

    Returns
    -------
    Text or None
        None where blanks divide the cells of every line well enough, titles included, or the
        places do not hold.
    """
    head = head_records(text.data)
    lines = [record.text for record in head] + far_lines(text.data)
    rows = [line for line in lines if _is_row(line)]
    if len(rows) < FEWEST_LINES or max(map(len, rows)) > WIDEST_LINE:
        return None
    spans = _spans(rows)
    counts = [len(line.split()) for line in rows]
    usual = Counter(counts).most_common(1)[0][0]
    titles = _titles_above(head, spans)
    plain = all(count == usual for count in counts) and all(
        len(record.text.split()) == len(spans) for record in head if record.line in titles
    )
    if len(spans) < FEWEST_PLACES or len(spans) < max(counts) or plain:
        return None
    whole = sum(_one_in_each(line, spans) for line in rows)
    if whole < LEAST_ALIKE * len(rows):
        return None
    data = _with_tabs(text, spans, titles)
    because = f"{len(spans)} columns, blank between in all of {len(rows)} lines looked at"
    told = Guess("columns", "by place of characters", because)
    return Text(text.name, data, (*text.guesses, told))


def _is_row(line: str) -> bool:
    """Say whether a line has the cells of a reading: mostly numbers, after a name only with a time.

    A line of facts ("Started 2024-06-10 08:00") begins with a word too, but has no number beside.
    """
    kinds = [kind_of(cell) for cell in line.split()]
    numbers = sum(kind not in SAYS_NOTHING for kind in kinds)
    named = Kind.WORD not in kinds[1:] and Kind.NUMBER in kinds
    timed = named and not TIME_KINDS.isdisjoint(kinds)
    return len(kinds) > 1 and (kinds[0] != Kind.WORD or timed) and 2 * numbers > len(kinds)


def _spans(rows: Sequence[str]) -> list[Span]:
    width = max(map(len, rows))
    filled = [False] * width
    for line in rows:
        for at, letter in enumerate(line):
            if not letter.isspace():
                filled[at] = True
    edges = [
        at for at in range(width + 1) if (at < width and filled[at]) != (at > 0 and filled[at - 1])
    ]
    return [Span(start, stop) for start, stop in zip(edges[::2], edges[1::2], strict=True)]


def _one_in_each(line: str, spans: Sequence[Span]) -> bool:
    """Say whether no place of this line holds two cells and no cell lies outside the places."""
    parts = [line[span.start : span.stop].strip() for span in spans]
    return all(" " not in part for part in parts) and len("".join(parts)) == len(
        "".join(line.split())
    )


def _titles_above(head: Sequence[Record], spans: Sequence[Span]) -> dict[int, list[str]]:
    """Give the lines of titles and units above the readings, cut by column, by line number."""
    first = next((n for n, record in enumerate(head) if _is_row(record.text)), 0)
    found: dict[int, list[str]] = {}
    for record in head[max(0, first - MOST_TITLE_LINES) : first]:
        words = [(hit.start(), hit.end(), hit[0]) for hit in _WORDS.finditer(record.text)]
        known = any(roles_in(word) or is_unit(word) for _, _, word in words)
        numbers = any(kind_of(cell) not in SAYS_NOTHING for cell in record.text.split())
        if len(words) < 2 or not known or numbers or "\t" in record.text:
            continue
        single = record.text.split()
        found[record.line] = single if len(single) == len(spans) else _over(words, spans)
    return found


def _over(words: Sequence[tuple[int, int, str]], spans: Sequence[Span]) -> list[str]:
    """Put each title over the column it overlaps most, else the nearest that has none."""
    if len(words) == len(spans):
        return [word for _, _, word in words]
    titles = [""] * len(spans)
    for start, stop, word in words:

        def nearness(n: int, start: int = start, stop: int = stop) -> tuple[int, int, int]:
            overlap = min(stop, spans[n].stop) - max(start, spans[n].start)
            return (overlap if overlap > 0 else 0, min(overlap, 0), -n)

        best = max((n for n in range(len(spans)) if not titles[n]), key=nearness, default=None)
        if best is not None:
            titles[best] = word
    return titles


def _with_tabs(text: Text, spans: Sequence[Span], titles: dict[int, list[str]]) -> bytes:
    """Write every line of the table with tabs; lines above it stay as they are."""
    lines = text.data.decode("utf-8", errors="replace").split("\n")
    begun = False
    for at, line in enumerate(lines):
        if at + 1 in titles:
            lines[at] = "\t".join(titles[at + 1])
        elif begun or _is_row(line):
            begun = True
            lines[at] = "\t".join(line[span.start : span.stop].strip() for span in spans)
            lines[at] += line[spans[-1].stop :].strip() and f"\t{line[spans[-1].stop :].strip()}"
    return "\n".join(lines).encode()
