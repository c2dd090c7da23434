"""UTF-8 bytes in, the shape of the table out: delimiter, titles, first row of readings."""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess
from climlog.importer.text import cells
from climlog.importer.text.dialect import Text
from climlog.importer.text.titles import is_unit, name_air, roles_in, unit_text

HEAD_BYTES = 100_000
CHUNK_BYTES = 6_000
CHUNKS = 12
SCORED_ROWS = 240
SAMPLED_ROWS = 1500
MOST_TITLE_ROWS = 4
LINES_BEFORE_TITLES = 8
LONGEST_LINE = 100_000
# The EPW weather file format: 35 fields a row, these first.
EPW_COLUMNS = 35
EPW_TITLES = ("Year", "Month", "Day", "Hour", "Minute", "Data source",
              "Dry bulb temperature (°C)", "Dew point temperature (°C)",
              "Relative humidity (%)")  # fmt: skip
DELIMITERS = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks",
              "^": "caret", "~": "tilde"}  # fmt: skip
_SEP_LINE = re.compile(r'"?sep=(.)"?\s*$', re.IGNORECASE)


@dataclass(frozen=True)
class Record:
    """One line, or several where a quoted cell runs on: byte offset, line number, text."""

    offset: int
    line: int
    text: str


@dataclass(frozen=True)
class Layout:
    """The shape of the table.

    Attributes
    ----------
    delimiter : str
        One character; a blank stands for any run of blanks.
    titles : tuple of str
        One a column; empty where the file names none.
    named : bool
        Whether the file has titles at all.
    start, first_line : int
        Byte offset and line number (from 1) of the first row of readings.
    sample : tuple of rows
        Rows of readings from all parts of the file, cell by cell.
    around : str
        Text before the readings and at the end of the file, where units may be told.
    """

    delimiter: str
    titles: tuple[str, ...]
    named: bool
    start: int
    first_line: int
    sample: tuple[tuple[str, ...], ...]
    around: str
    guesses: tuple[Guess, ...] = ()


def split_cells(text: str, delimiter: str) -> list[str]:
    """Cut one line into cells, minding quotes."""
    text = text[:LONGEST_LINE].replace("\r", " ").replace("\n", " ")
    if delimiter == " ":
        text = re.sub(r"[ \t]+", " ", text.strip())
    row = next(csv.reader([text], delimiter=delimiter, skipinitialspace=True), [])
    return [cell.strip() for cell in row]


def find_layout(text: Text, delimiter: str | None = None) -> Layout:
    """Find delimiter, titles and first row.

    Parameters
    ----------
    text : Text
        The file.
    delimiter : str, optional
        One character, or "tab", "comma", "semicolon", "bar", "blanks"; left out, it is found.

    Returns
    -------
    Layout
        What was found, with the evidence as guesses.

    Raises
    ------
    UnusableInputError
        If no line looks like readings under any delimiter.
    """
    head = _records(text.data[:HEAD_BYTES], whole=len(text.data) <= HEAD_BYTES)
    body = [record.text for record in head] + _far_lines(text.data)
    told = _told_delimiter(delimiter, head)
    chosen, guess = (told, None) if told else _best_delimiter(text.name, body)
    full = [line for line in body if line.strip()]
    rows = [split_cells(line, chosen) for line in full[:: len(full) // SAMPLED_ROWS + 1]]
    signature = _signature(rows)
    first = _first_row(text.name, head, chosen, signature)
    width = len(signature)
    sample = tuple(
        tuple((row + [""] * width)[: max(width, len(row))]) for row in rows if _fits(row, signature)
    )
    titles = _told_titles(head, sample) or _titles(head[:first], chosen, sample)
    _refuse_surplus(text.name, titles, sample)
    titles = _with_units(titles, sample)
    layout = Layout(
        chosen,
        titles or tuple("" for _ in signature),
        bool(titles),
        head[first].offset,
        head[first].line,
        sample,
        "\n".join([record.text for record in head[:first]] + body[-20:]),
        (guess,) if guess else (),
    )
    if titles:
        return layout
    because = f"the first line with text, line {head[first].line}, already holds readings"
    return replace(layout, guesses=(*layout.guesses, Guess("titles", "none", because)))


def _records(data: bytes, whole: bool) -> list[Record]:
    if not whole:
        data = data[: data.rfind(b"\n") + 1] or data
    found: list[Record] = []
    held = ""
    offset = start = 0
    line = first = 1
    for raw in data.splitlines(keepends=True):
        if not held:
            start, first = offset, line
        held += raw.decode("utf-8", errors="replace")
        offset += len(raw)
        line += 1
        if held.count('"') % 2 and line - first < 3 and not found:
            continue
        found.append(Record(start, first, held.rstrip("\r\n")))
        held = ""
    if held:
        found.append(Record(start, first, held.rstrip("\r\n")))
    return found


def _far_lines(data: bytes) -> list[str]:
    """Take lines from parts of the file beyond the head, the end included."""
    if len(data) <= HEAD_BYTES:
        return []
    lines: list[str] = []
    span = len(data) - HEAD_BYTES
    for number in range(1, CHUNKS + 1):
        stop = HEAD_BYTES + span * number // CHUNKS
        chunk = data[max(HEAD_BYTES, stop - CHUNK_BYTES) : stop].decode("utf-8", errors="replace")
        lines += chunk.splitlines()[1 : None if number == CHUNKS else -1]
    return lines


def _told_delimiter(option: str | None, head: Sequence[Record]) -> str | None:
    if option is not None:
        named = {word: mark for mark, word in DELIMITERS.items()} | {r"\t": "\t", "space": " "}
        return named.get(option.lower(), option[:1] or ",")
    line = _SEP_LINE.match(head[0].text) if head else None
    return line[1] if line else None


def _spread(lines: Sequence[str], most: int) -> list[str]:
    full = [line for line in lines if line.strip(" ,;\t|\"'")]
    step = max(1, len(full) // most)
    return full[::step]


def _best_delimiter(name: str, lines: Sequence[str]) -> tuple[str, Guess]:
    """Choose the delimiter under which most cells are numbers or moments, line after line alike."""
    probe = _spread(lines, SCORED_ROWS)
    scores = {mark: _score(probe, mark) for mark in DELIMITERS}
    best = max(scores, key=lambda mark: scores[mark])
    if scores[best] <= 0:
        raise UnusableInputError(
            f"{name}: no line holds readings in columns; export the log as CSV, or name the "
            "mark between cells with --delimiter"
        )
    because = "split there, most cells of a line are numbers or times"
    return best, Guess("delimiter", DELIMITERS[best], because)


def _score(lines: Sequence[str], delimiter: str) -> float:
    rows = [row for line in lines if len(row := split_cells(line, delimiter)) > 1]
    if not rows:
        return 0.0
    width, alike = Counter(len(row) for row in rows).most_common(1)[0]
    understood = 0
    for row in rows:
        if len(row) == width:
            kinds = [cells.kind_of(cell) for cell in row]
            understood += sum(kind not in (cells.WORD, cells.BLANK) for kind in kinds)
            understood += kinds.count(cells.MOMENT)
    if (delimiter == "," and _split_decimals(rows)) or (delimiter == " " and _marked(lines)):
        return 0.0
    return float(understood / len(lines) * (alike / len(lines)) ** 0.5)


def _marked(lines: Sequence[str]) -> bool:
    """Say whether another mark stands in most lines, so that blanks are inside cells."""
    return any(sum(mark in line.strip() for line in lines) > 0.6 * len(lines) for mark in "\t;|^~")


def _split_decimals(rows: Sequence[Sequence[str]]) -> bool:
    """Say whether the commas are decimal marks of a table delimited by something else."""
    glued = sum(";" in cell or "\t" in cell for row in rows for cell in row)
    return glued >= len(rows)


def _signature(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Give the usual kind of each column."""
    filled = [row for row in rows if sum(bool(cell) for cell in row) > 1]
    filled = filled[:: max(1, len(filled) // SCORED_ROWS)]
    if not filled:
        return ()
    width = Counter(len(row) for row in filled).most_common(1)[0][0]
    alike = [row for row in filled if len(row) == width]
    kinds = []
    for column in range(width):
        counts = Counter(cells.kind_of(row[column]) for row in alike)
        kinds.append(cells.usual_kind(counts))
    return tuple(kinds)


def _fits(row: Sequence[str], signature: tuple[str, ...]) -> bool:
    """Say whether a row can be one of readings: its times are times, its numbers numbers."""
    if len([cell for cell in row if cell]) < 2 or len(row) < 2:
        return False
    time_kinds = (cells.MOMENT, cells.DAY, cells.CLOCK)
    matched = 0
    for cell, usual in zip(row, signature, strict=False):
        kind = cells.kind_of(cell)
        if usual in time_kinds and kind not in (*time_kinds[1:], usual, cells.BLANK):
            return False
        if usual == cells.NUMBER and kind not in (usual, cells.BLANK, cells.WORD):
            return False
        matched += kind == usual and kind not in (cells.WORD, cells.BLANK)
    wanted = sum(usual not in (cells.WORD, cells.BLANK) for usual in signature)
    return matched >= max(1, min(2, wanted), 0.4 * wanted)


def _first_row(
    name: str, head: Sequence[Record], delimiter: str, signature: tuple[str, ...]
) -> int:
    for number, record in enumerate(head):
        if record.text.strip() and _fits(split_cells(record.text, delimiter), signature):
            number = _below_titles(head, number, delimiter)
            while number and _only_times(split_cells(head[number - 1].text, delimiter), signature):
                number -= 1
            return number
    raise UnusableInputError(
        f"{name}: no line of readings found in the first {len(head)} lines; check that this is "
        "a hygrometer log, or name the mark between cells with --delimiter"
    )


def _below_titles(head: Sequence[Record], first: int, delimiter: str) -> int:
    """Pass over a few lines like readings above the titles, such as start and stop of the log."""
    rows = [split_cells(record.text, delimiter) for record in head[: first + LINES_BEFORE_TITLES]]
    named = [at for at, row in enumerate(rows) if _has_words(row) and name_air(row)]
    return named[0] + 1 if named and named[0] > first and named[0] + 1 < len(head) else first


def _only_times(row: Sequence[str], signature: tuple[str, ...]) -> bool:
    """Say whether a row above the first reading has its time but readings still missing."""
    times = [at for at, usual in enumerate(signature) if usual in (cells.MOMENT, cells.DAY)]
    return (
        bool(times)
        and len(row) == len(signature)
        and all(cells.kind_of(row[at]) == signature[at] for at in times)
    )


def _titles(
    above: Sequence[Record], delimiter: str, sample: Sequence[Sequence[str]]
) -> tuple[str, ...]:
    """Join the title rows right above the readings, column by column."""
    block: list[list[str]] = []
    for record in reversed(above[-2 * MOST_TITLE_ROWS :]):
        row = split_cells(record.text, delimiter)
        if not any(row):
            if block:
                break
            continue
        if sum(bool(cell) for cell in row) < 2 or not _has_words(row):
            break
        block.insert(0, row)
    block = block[-MOST_TITLE_ROWS:]
    if not block:
        return ()
    width = max(len(row) for row in sample)
    names = max(range(len(block)), key=lambda at: (_known(block[at]), at))
    kept = [row for at, row in enumerate(block) if at >= names or _groups(row, block[names])]
    if len(kept) > 1 and _groups(kept[0], block[names]) and kept[0] is not block[names]:
        kept[0] = _carried(kept[0])
    aligned = [_aligned(row, width, sample) for row in kept]
    return tuple(
        " ".join(unit_text(part) if at and len(part) == 1 else part for at, part in enumerate(full))
        for full in ([part for part in column if part] for column in zip(*aligned, strict=True))
    )


def _with_units(titles: tuple[str, ...], sample: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Add to the title of a column of numbers the unit that stands in its cells or beside them."""
    kinds = _signature(sample[:SCORED_ROWS]) if titles else ()
    found = list(titles)
    for at in range(min(len(kinds), len(titles))):
        if kinds[at] != cells.NUMBER or roles_in(titles[at]) - {"value"}:
            continue
        inside = {cells.unit_of(row[at]) for row in sample if row[at]}
        beside = {row[at + 1] for row in sample if at + 1 < len(row) and row[at + 1]}
        for words in (inside, beside):
            word = words.pop() if len(words) == 1 else ""
            if is_unit(word):
                found[at] = f"{titles[at]} {unit_text(word)}"
                break
    return tuple(found)


def _told_titles(head: Sequence[Record], sample: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Give the titles of a format that fixes its columns and writes none: EPW weather files."""
    if not head[0].text.upper().startswith("LOCATION,") or len(sample[0]) != EPW_COLUMNS:
        return ()
    rest = range(len(EPW_TITLES) + 1, EPW_COLUMNS + 1)
    return EPW_TITLES + tuple(f"field {number}" for number in rest)


def _refuse_surplus(name: str, titles: Sequence[str], sample: Sequence[Sequence[str]]) -> None:
    """Raise where most rows have cells beyond the last title: decimal commas, most likely."""
    last = max((at for at, title in enumerate(titles) if title), default=len(sample[0])) + 1
    surplus = sum(any(row[last:]) for row in sample)
    if surplus > 0.5 * len(sample):
        usual = Counter(len(row) for row in sample).most_common(1)[0][0]
        raise UnusableInputError(
            f"{name}: {usual} cells a row under {last} titles; if the numbers have decimal commas "
            "between commas, export with semicolons or decimal points; otherwise give the mark "
            "between cells with --delimiter"
        )


def _has_words(row: Sequence[str]) -> bool:
    """Say whether at least half of the filled cells are words: numbers are no titles."""
    kinds = [cells.kind_of(cell) for cell in row if cell]
    return 2 * kinds.count(cells.WORD) >= len(kinds)


def _known(row: Sequence[str]) -> int:
    return sum(bool(roles_in(cell)) for cell in row)


def _groups(row: Sequence[str], names: Sequence[str]) -> bool:
    """Say whether an upper title row names groups of columns: as wide, and no two cells a pair."""
    noted = row[0].startswith("#") and not names[0].startswith("#")
    return len(row) == len(names) and len(names) > 2 and any(row[1:]) and not noted


def _carried(row: Sequence[str]) -> list[str]:
    carried, last = [], ""
    for cell in row:
        last = cell or last
        carried.append(last)
    return carried


def _aligned(row: list[str], width: int, sample: Sequence[Sequence[str]]) -> list[str]:
    """Put titles over their columns where rows have more cells than the title row."""
    missing = width - len(row)
    if missing <= 0:
        return row[:width]
    after, before = row + [""] * missing, [""] * missing + row
    return max((after, before), key=lambda titles: _agreement(titles, sample[: len(sample)]))


def _agreement(titles: Sequence[str], sample: Sequence[Sequence[str]]) -> int:
    """Count titles that stand over cells of the kind they promise."""
    kinds = _signature(sample[:SCORED_ROWS])
    times = (cells.MOMENT, cells.DAY, cells.CLOCK)
    agreed = 0
    for title, kind in zip(titles, kinds, strict=False):
        roles = roles_in(title)
        agreed += "time" in roles and kind in times
        agreed += bool(roles & {"temperature", "humidity", "dew point"}) and kind == cells.NUMBER
        agreed += not title and kind == cells.BLANK
    return agreed
