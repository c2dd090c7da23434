"""What a page tells to type, in words of a round: its reader writes keys into the round's file."""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar, cast

from climlog.report.document import Picture

Said = TypeVar("Said")

ROUND_WORDS = (
    (r"--house ([\w-]+) --cooling", r"--house \1 and --cooling"),
    (r"--(house|heating|cooling|humidifier|outdoor|outdoor-months) ([A-Z]+\b|[\w-]+)",
     lambda at: f'{at[1].replace("-", "_")} = "{at[2]}"'),
    (r'(house = "[\w-]+")((?: or (?!\w+ = )[\w-]+)+)',
     lambda at: at[1] + re.sub(r" or ([\w-]+)", r' or "\1"', at[2])),
    (r'([Gg])ive (\w+ = "[^"]+"(?:(?: or | and )\w+ = "[^"]+")*(?: or "[^"]+")*)',
     lambda at: f"{'W' if at[1] == 'G' else 'w'}rite {at[2]} under [[place]]"),
    (r'with (house = "[^"]+")', r"with \1 under [[place]]"),
    (r"name its kind with --house", "name its kind with house = under [[place]]"),
    (r"give --outdoor\b", 'write outdoor = "FILE" under [[place]]'),
    (r"add --made-in(?: with the log of the shop)?", "write made_in = under [[place]]"),
    (r"give --moisture-when-fixed(?: or the sheet)?", "write moisture_when_fixed in its sheet"),
    (r", or give --fastening\b", ""),
    (r"a sheet with \[\[fastening\]\], or --fastening KIND", "[[fastening]] in its sheet"),
    (r"^--save-sheet FILE writes it down as a sheet, --picture FILE\.pdf draws it",
     "climlog place, of the same log and sheet, writes it down as a sheet with --save-sheet FILE, "
     "and with --picture FILE.pdf draws it"),
    (r"add --target PERCENT, --stock SHEET or --for LOG",
     'write target = "PERCENT" or stock = "SHEET" under [[place]]'),
)  # fmt: skip
"""Each way of naming an option, and the key of the round file or of the sheet that does the same.

What names a command whole is left: it is typed there.
"""


def in_round_words(message: str) -> str:
    """Say what to write in the round's file where a command would take an option.

    Examples
    --------
    >>> in_round_words('Taken for "unheated"; if it is another kind, give --house roof-space.')
    'Taken for "unheated"; if it is another kind, write house = "roof-space" under [[place]].'
    """
    for pattern, words in ROUND_WORDS:
        message = re.sub(pattern, words, message)
    return message


def reworded(said: Said, words: Callable[[str], str] = in_round_words) -> Said:
    """Give a document, or any part of one, with each of its texts in other words; drawings stay."""
    return cast("Said", _reworded(said, words))


def _reworded(said: object, words: Callable[[str], str]) -> object:
    if type(said) is str:
        return words(said)
    if isinstance(said, tuple):
        return tuple(_reworded(one, words) for one in said)
    if not is_dataclass(said) or isinstance(said, type | Picture):
        return said
    own = {one.name: getattr(said, one.name) for one in fields(said) if one.init}
    return replace(said, **{name: _reworded(one, words) for name, one in own.items()})
