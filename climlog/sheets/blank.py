"""Sheets to start from: commented TOML made of the table of fields, which reads as it stands."""

from collections.abc import Mapping

from climlog.sheets.fields import PIECE_SHEET, STOCK_SHEET
from climlog.sheets.round import ROUND_SHEET
from climlog.sheets.section import Field, Section

SHEETS = {"piece": PIECE_SHEET, "stock": STOCK_SHEET, "round": ROUND_SHEET}
COMMENT_AT = 36
"""Column at which comments behind values begin."""
UNREAD = "# "


def blank_sheet(kind: str) -> str:
    """Give the commented starting sheet of "piece", "stock" or "round" as TOML text.

    Examples
    --------
    >>> blank_sheet("stock").splitlines()[2]
    'name = "Oak for the table"'
    """
    blocks = [block for section in SHEETS[kind] for block in _blocks(section)]
    return "\n\n".join(blocks) + "\n"


def _blocks(section: Section) -> list[str]:
    """Write a table once for each of its rows, or once behind # where a sheet can go without."""
    behind = "" if section.rows else UNREAD
    words = [f"# {line}" for line in section.words.splitlines()]
    above = "\n".join(words) + ("\n\n" if section.needed and words else "\n" if words else "")
    return [
        (above if number == 0 else "") + _table(section, row, behind)
        for number, row in enumerate(section.rows or ({},))
    ]


def _table(section: Section, row: Mapping[str, str], behind: str) -> str:
    known = [one.key for one in section.fields]
    more = [Field(key, str, value) for key, value in row.items() if key not in known]
    lines = [behind + section.header]
    for one in (*section.fields, *more):
        lines += _line(one, row.get(one.key), behind)
    return "\n".join(lines)


def _line(one: Field, value: str | None, behind: str) -> list[str]:
    """Write a key with its example, or a row's own; one that is not for every piece behind #."""
    written = one.written if value is None else bool(value)
    if not written and (behind or not one.comment or value is not None):
        return []
    text = f"{behind if written else UNREAD}{one.key} = {value or one.example}"
    if len(text) >= COMMENT_AT and one.comment:
        return [f"{UNREAD}{one.comment}:", text]
    return [f"{text.ljust(COMMENT_AT)}# {one.comment}" if one.comment else text]
