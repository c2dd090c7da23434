"""A document as plain text for a terminal: no colour needed, wrapped, read aloud in order."""

import re
import shutil
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from itertools import zip_longest

from climlog.report.document import (
    Answer,
    Blanks,
    Block,
    Cell,
    Columns,
    Content,
    Document,
    Facts,
    Lines,
    Link,
    Medium,
    Paragraph,
    Part,
    Picture,
    Section,
    Signed,
    Table,
)

WIDEST, NARROWEST = 100, 40
SHORT_LINES = 23
"""Lines of a short answer: 25 less the two that say where the page is and how to see all."""
MORE = "--full shows all of it here."
INDENT = "  "
GUTTER = 2
HEAD_LINES = 3
"""Lines of a heading before cells give way to it."""
READS_WELL = 24
"""Width down to which wrapped prose is still read as lines, not as words."""
MOST_TIMES_SENTENCES = 2
"""A table that stands taller than this beside its sentences is ladders of single words."""
NO_BREAK = "\N{NO-BREAK SPACE}"
BEFORE_UNIT = re.compile(r"(?<=\d) (?=in\b|mm\b|°|%)| (?=/ )")
FILL_IN = "_" * 24


def render(document: Document, full: bool = False) -> str:
    """Write a document as text: the answer block, and with `full` everything else.

    Parameters
    ----------
    document : Document
    full : bool
        Every section; otherwise what fits into 23 lines.
    """
    block = _answer(document.answer)
    if full:
        return "\n".join([*block, "", *_sections(document.shown(Medium.TERMINAL))]).rstrip()
    return "\n".join(_shortened(block, _facts(document.facts.rows, "")))


def render_with(
    document: Document,
    table: Table | None,
    full: bool = False,
    brief: tuple[Answer, Table] | None = None,
) -> str:
    """Write a document whose table belongs to its answer: as much of it as the lines hold.

    Parameters
    ----------
    document : Document
    table : Table or None
        One of its own; None for one that has none, as `render`.
    full : bool
        Every section; otherwise what fits into 23 lines.
    brief : (Answer, Table), optional
        The same in fewer words and rows, where both do not fit.
    """
    if full or table is None:
        return render(document, full)
    block = _with_table(document.answer, table)
    if brief is not None and len(block) >= SHORT_LINES:
        block = _with_table(*brief)
    return "\n".join(_shortened(block, []))


def _with_table(answer: Answer, table: Table) -> list[str]:
    return [*_answer(answer), "", *_wrapped(table.caption), *_table(table, INDENT)]


def told(documents: Sequence[Document], overview: Table, full: bool = False) -> str:
    """Write one document or several, as `render` and `render_several`."""
    if len(documents) == 1:
        return render(documents[0], full)
    return render_several(documents, overview, full)


def render_several(documents: Sequence[Document], overview: Table, full: bool = False) -> str:
    """Write several documents: one table of them first, what they share once at the end.

    Parameters
    ----------
    documents : sequence of Document
    overview : Table
        A row each, in their order.
    full : bool
        Every document whole; otherwise the table alone.
    """
    table = [*_wrapped(overview.caption), *_table(overview, INDENT)]
    if not full:
        return "\n".join(_shortened(table, []))
    shared = [
        one
        for one in documents[0].shown(Medium.TERMINAL)
        if all(one in other.sections for other in documents[1:])
    ]
    lines = [*table, ""]
    for document in documents:
        own = [one for one in document.shown(Medium.TERMINAL) if one not in shared]
        lines += ["", document.subject, "=" * len(document.subject)]
        lines += [*_answer(document.answer), "", *_sections(own)]
    return "\n".join([*lines, *_sections(shared)]).rstrip()


def _shortened(block: list[str], rest: list[str]) -> list[str]:
    """Keep a text within the lines of a short answer; what is left out is said."""
    if rest and len(block) + 1 + len(rest) < SHORT_LINES:
        block = [*block, "", *rest]
    if len(block) >= SHORT_LINES:
        left = len(block) - (SHORT_LINES - 2)
        block = [*block[: SHORT_LINES - 2], f"{INDENT}... {left} more lines."]
    return [*block, MORE]


def _answer(answer: Answer) -> list[str]:
    lines = _wrapped(answer.says)
    rows = answer.rows
    hang = max((len(name) for name, _ in rows), default=0) + GUTTER
    for name, said in rows:
        numbered = name == "Do" and len(said) > 1
        for number, line in enumerate(said, start=1):
            text = f"{number}. {line}" if numbered else line
            lead = f"{INDENT}{name if number == 1 else '':<{hang}}"
            after = " " * (len(INDENT) + hang + (3 if numbered else 0))
            lines += _wrapped(text, lead, after)
    return lines


def _sections(sections: Iterable[Section]) -> list[str]:
    lines: list[str] = []
    for one in sections:
        body = [line for block in one.blocks for line in _block(block, INDENT)]
        if body:
            lines += [one.title, *body, ""]
    return lines


def _block(block: Block, indent: str) -> list[str]:
    if isinstance(block, Columns):
        return [line for column in block.columns for one in column for line in _block(one, indent)]
    if isinstance(block, Part):
        return _part(block, indent)
    return _content(block, indent)


def _content(block: Content, indent: str) -> list[str]:
    match block:
        case Paragraph():
            return _wrapped(block.says, indent, indent)
        case Lines():
            return _lines(block, indent)
        case Facts():
            return _facts(block.rows, indent)
        case Blanks():
            return [f"{indent}{name}: {FILL_IN}" for name in block.names]
        case Table():
            return [*_wrapped(block.caption, indent, indent), *_table(block, indent + INDENT)]
        case Picture():
            return []


def _part(part: Part, indent: str) -> list[str]:
    body = [line for one in part.blocks for line in _content(one, indent + INDENT)]
    return [*_wrapped(f"{part.title}:", indent, indent), *body] if body else []


def _lines(block: Lines, indent: str) -> list[str]:
    lines = []
    for number, line in enumerate(block.lines, start=1):
        lead = f"{number}. " if block.ordered else ""
        lines += _wrapped(f"{lead}{line}", indent, indent + INDENT)
    return lines


def _facts(rows: Iterable[tuple[str, str]], indent: str) -> list[str]:
    return [
        line for name, says in rows for line in _wrapped(f"{name}: {says}", indent, indent + INDENT)
    ]


def _table(table: Table, indent: str) -> list[str]:
    """Lay rows out in columns, cells wrapped where they must; as sentences where no width does.

    A column without a word in any row is left out.
    """
    told = zip(table.heads, *([_words(cell) for cell in row] for row in table.rows), strict=True)
    columns = [
        column for at, column in enumerate(told) if at == 0 or not table.rows or any(column[1:])
    ]
    heads, *rows = zip(*columns, strict=True)
    widths = column_widths(columns, _width() - len(indent) - GUTTER * (len(columns) - 1))
    sentences = [line for row in rows for line in _as_sentence(row, heads, indent)]
    if widths is None:
        return sentences
    lines = [line for row in rows for line in _in_columns(row, widths, indent)]
    if len(lines) > MOST_TIMES_SENTENCES * len(sentences):
        return sentences
    return [*_in_columns(heads, widths, indent), *lines]


def column_widths(columns: Sequence[Sequence[str]], room: int) -> list[int] | None:
    """Share the room out among columns, each a heading and its cells, the widest giving way first.

    Headings that take a few lines come first if that is enough; then long cells are wrapped, as far
    as they read well; then both, and at the last down to single words. No word is broken, nor a
    number taken from its unit. None where that leaves no room.

    Examples
    --------
    >>> column_widths([("Kind", "metal clip in a kerf"), ("Runs out in", "100")], 21)
    [17, 4]
    """
    words = [max(map(_longest_word, cells), default=1) for _, *cells in columns]
    whole = [max(map(len, cells), default=1) for _, *cells in columns]
    well = [max(min(one, READS_WELL), word) for one, word in zip(whole, words, strict=True)]
    one_line = [len(head) for head, *_ in columns]
    few_lines = [_narrowest(head) for head, *_ in columns]
    single_words = [_longest_word(head) for head, *_ in columns]
    for start, heads, cells in (
        (one_line, few_lines, whole),
        (one_line, one_line, well),
        (few_lines, few_lines, words),
        (few_lines, single_words, words),
    ):
        widths = _shrunk(list(map(max, start, whole)), list(map(max, heads, cells)), room)
        if sum(widths) <= room:
            return widths
    return None


def _shrunk(widths: list[int], floors: Sequence[int], room: int) -> list[int]:
    """Take width from the widest columns in turn, none below its floor."""
    while sum(widths) > room:
        yielding = [at for at, floor in enumerate(floors) if widths[at] > floor]
        if not yielding:
            break
        widths[max(yielding, key=lambda at: (widths[at], at))] -= 1
    return widths


def _longest_word(text: str) -> int:
    return max(1, *map(len, _together(text).split(" ")))


def _narrowest(head: str) -> int:
    """Width in which a heading takes few lines."""
    width = _longest_word(head)
    while len(_cell_lines(head, width)) > HEAD_LINES:
        width += 1
    return width


def _together(text: str) -> str:
    """Put a space that no line ends at between a number and its unit."""
    return BEFORE_UNIT.sub(NO_BREAK, text)


def _cell_lines(text: str, width: int) -> list[str]:
    lines = textwrap.wrap(_together(text), width, break_on_hyphens=False)
    return [line.replace(NO_BREAK, " ") for line in lines] or [""]


def _in_columns(row: Sequence[str], widths: Sequence[int], indent: str) -> Iterator[str]:
    """Lay one row out, each cell over as many lines as it needs."""
    cells = [_cell_lines(cell, width) for cell, width in zip(row, widths, strict=True)]
    for line in zip_longest(*cells, fillvalue=""):
        set_out = (f"{part:<{width + GUTTER}}" for part, width in zip(line, widths, strict=True))
        yield f"{indent}{''.join(set_out)}".rstrip()


def _as_sentence(row: Sequence[str], heads: Sequence[str], indent: str) -> list[str]:
    if len(row) <= 2:
        return _wrapped(": ".join(row), indent, indent + INDENT)
    named = [f"{head}: {cell}" for head, cell in zip(heads[1:], row[1:], strict=True) if cell]
    return _wrapped(f"{row[0]}. {'; '.join(named).rstrip('.')}.", indent, indent + INDENT)


def _words(cell: Cell) -> str:
    if isinstance(cell, Signed):
        return cell.words
    if isinstance(cell, Link):
        return cell.says
    return cell if isinstance(cell, str) else " ".join(cell)


def _width() -> int:
    columns = shutil.get_terminal_size((WIDEST, 24)).columns - 1
    return min(WIDEST, max(NARROWEST, columns))


def _wrapped(text: str, indent: str = "", after: str = "") -> list[str]:
    return textwrap.wrap(
        text, _width(), initial_indent=indent, subsequent_indent=after, break_on_hyphens=False
    )


def table_lines(table: Table) -> list[str]:
    """Lay a table out in columns of the terminal's width, without its caption."""
    return _table(table, INDENT)


def bullets(lines: Iterable[str]) -> list[str]:
    """Indent and wrap each line."""
    return [wrapped(line, INDENT) for line in lines]


def wrapped(line: str, indent: str = "") -> str:
    """Wrap one line to the terminal's width."""
    return "\n".join(_wrapped(line, indent, indent + (INDENT if indent else "")))
