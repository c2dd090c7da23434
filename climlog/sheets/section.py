"""Field and Section: what may stand in a sheet, told once for reader, interview and blank sheet."""

from collections.abc import Callable
from dataclasses import dataclass

from climlog.errors import SeveralFaultsError
from climlog.sheets.bounds import bound
from climlog.sheets.reading import quoted


@dataclass(frozen=True)
class Field:
    """One key.

    Attributes
    ----------
    key : str
    read : function of a TOML value
        Gives it in our units, or refuses it in words that follow "KEY: ".
    example : str
        The value as a starting sheet has it, in TOML.
    comment : str
        What stands behind it there.
    bound : str
        Row of tables/bounds.csv; empty where nothing is to be bounded.
    needed : bool
        Whether a sheet without it is refused.
    written : bool
        Whether a starting sheet has it in force, or behind a #.
    question, usual : str
        What the interview asks, and the answer that Enter gives; empty where it is not asked.
    """

    key: str
    read: Callable[[object], object]
    example: str = ""
    comment: str = ""
    bound: str = ""
    needed: bool = False
    written: bool = False
    question: str = ""
    usual: str = ""

    def value(self, given: object) -> object:
        """Read a value and hold it to its bounds."""
        value = self.read(given)
        if self.bound:
            limits = bound(self.bound)
            for one in value if isinstance(value, tuple) else (value,):
                if isinstance(one, int | float):
                    limits.require(one, quoted(given))
        return value


@dataclass(frozen=True)
class Section:
    """One table of a sheet.

    Attributes
    ----------
    name : str
        As in its header; of a table in a table, "board.reading".
    fields : tuple of Field
    words : str
        The comment above it in a starting sheet.
    many : bool
        Whether it may stand more than once, as [[name]].
    needed : bool
    rows : tuple of dict
        For a starting sheet, a table each: values that differ from the fields' examples, empty
        ones for keys left out; no rows put the table behind #.
    """

    name: str
    fields: tuple[Field, ...]
    words: str = ""
    many: bool = False
    needed: bool = False
    rows: tuple[dict[str, str], ...] = ({},)

    @property
    def header(self) -> str:
        """As it stands in a sheet."""
        return f"[[{self.name}]]" if self.many else f"[{self.name}]"

    def field(self, key: str) -> Field:
        """Give one field by its key."""
        return next(one for one in self.fields if one.key == key)


def inner_faults(error: Exception) -> tuple[str, ...]:
    """Give what an error says: one thing, or each of several."""
    return error.faults if isinstance(error, SeveralFaultsError) else (str(error),)
