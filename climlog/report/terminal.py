"""Blocks of plain text for a terminal: titles, bullets wrapped to its width."""

import shutil
import textwrap
from collections.abc import Iterable, Sequence

WIDEST = 100


def joined(names: Sequence[str]) -> str:
    """Name one or two; of more, the first and how many like it."""
    if len(names) <= 2:
        return " and ".join(names)
    return f"{names[0]} and {len(names) - 1} like it"


def section(title: str, lines: Iterable[str]) -> list[str]:
    """Give a title, its bullets and an empty line; nothing where there are no lines."""
    body = bullets(lines)
    if not body:
        return []
    return [*([title] if title else []), *body, ""]


def bullets(lines: Iterable[str]) -> list[str]:
    """Indent and wrap each line."""
    return [wrapped(line, "  ") for line in lines]


def wrapped(line: str, indent: str = "") -> str:
    """Wrap one line to the terminal's width."""
    width = min(WIDEST, max(40, shutil.get_terminal_size((WIDEST, 24)).columns - 1))
    return textwrap.fill(
        line, width, initial_indent=indent, subsequent_indent=indent + ("  " if indent else "")
    )
