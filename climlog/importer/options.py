"""ImportOptions: every guess of the importer that a person may overrule."""

from dataclasses import dataclass, replace
from typing import Any

from climlog.arguments import require_kind
from climlog.errors import UnknownNameError, UnusableInputError, shown
from climlog.tables import find

NUMBERS = frozenset({"rh_gain", "rh_offset", "temp_offset"})
OF_A_FILE = (
    "date_order", "time_column", "time_format", "temp_column", "rh_column", "temp_unit", "sensor",
    "decimal_mark", "delimiter", "encoding", *sorted(NUMBERS),
)  # fmt: skip
"""Options that can be settled for one file of several."""


WORDS = {
    "date_order": ("day-first", "month-first", "year-first"),
    "temp_unit": ("C", "F", "K"),
}
"""What may be said of those options that are one of a few words."""


@dataclass(frozen=True)
class ForFile:
    """One reading option that holds for one file only.

    Attributes
    ----------
    file : str
        Its name, without folders.
    option : str
        A field of ImportOptions.
    """

    file: str
    option: str
    value: str


def for_file(text: str) -> ForFile:
    """Read an option for one file, written as "FILE: OPTION VALUE".

    Raises
    ------
    UnusableInputError
        If it is not written so, or there is no such option.

    Examples
    --------
    >>> for_file("shop.csv: temp-unit F")
    ForFile(file='shop.csv', option='temp_unit', value='F')
    """
    file, mark, rest = text.rpartition(": ") if ": " in text else text.partition(":")
    name, _, value = rest.strip().partition(" ")
    if not (mark and file.strip() and name and value.strip()):
        raise UnusableInputError(
            f'--for-file "{shown(text)}": write it as "FILE: OPTION VALUE", such as '
            '"shop.csv: temp-unit F"'
        )
    known = [one.replace("_", "-") for one in OF_A_FILE]
    option = find(known, name.removeprefix("--"), "reading option").replace("-", "_")
    return ForFile(file.strip(), option, value.strip())


@dataclass(frozen=True)
class ImportOptions:
    """What the user settled; None leaves it to the importer.

    Attributes
    ----------
    date_order : {"day-first", "month-first", "year-first"} or None
    temp_column, rh_column : str or None
        Header text or column number counted from 1.
    time_column : str, tuple of str or None
        Likewise; several where day, clock, or the parts of a date stand apart.
    time_format : str or None
        How the time is written, as "dd.mm.yyyy hh:mm" or "%d.%m.%Y %H:%M".
    temp_unit : {"C", "F", "K"} or None
    sensor : str or None
        Which one, where a file holds several.
    decimal_mark : {".", ","} or None
    delimiter, encoding : str or None
        What parts the columns, and how letters are written down.
    rh_gain : float
        Every humidity reading is multiplied by it before `rh_offset` is added. [1]
    rh_offset, temp_offset : float
        Added to every reading: the sensor's correction. [% RH], [°C]
    for_files : tuple of ForFile
        What holds for one of several files alone; it goes before what holds for all.
    by_file : bool
        Whether questions are to be answered for the file they are about, not for all.
    """

    date_order: str | None = None
    time_column: str | tuple[str, ...] | None = None
    time_format: str | None = None
    temp_column: str | None = None
    rh_column: str | None = None
    temp_unit: str | None = None
    sensor: str | None = None
    decimal_mark: str | None = None
    delimiter: str | None = None
    encoding: str | None = None
    rh_gain: float = 1.0
    rh_offset: float = 0.0
    temp_offset: float = 0.0
    for_files: tuple[ForFile, ...] = ()
    by_file: bool = False

    def __post_init__(self) -> None:
        """Refuse numbers that are none, names that are none, and words that mean nothing here."""
        for name in sorted(NUMBERS):
            require_kind(getattr(self, name), float | int, f"ImportOptions, {name}", "0.5")
        for name in OF_A_FILE:
            value = getattr(self, name)
            if name not in NUMBERS and value is not None:
                kind = str | tuple if name == "time_column" else str
                require_kind(value, kind, f"ImportOptions, {name}", '"RH"')
        for name, words in WORDS.items():
            value = getattr(self, name)
            if value is not None and value not in words:
                raise UnknownNameError(
                    f'{name.replace("_", " ")} "{shown(value)}" is none of {", ".join(words)}'
                )

    def of(self, file: str) -> "ImportOptions":
        """Give the options that hold for a file."""
        own: dict[str, Any] = {}
        for one in self.for_files:
            if one.file != file:
                continue
            if one.option == "time_column" and one.option in own:
                own[one.option] = (*_several(own[one.option]), one.value)
            else:
                own[one.option] = float(one.value) if one.option in NUMBERS else one.value
        return replace(self, **own, for_files=()) if own else self

    def beside(self) -> "ImportOptions":
        """Give the options for a log beside the main ones: what was settled for its file alone."""
        return ImportOptions(for_files=self.for_files, by_file=True)

    @property
    def time_columns(self) -> tuple[str, ...]:
        """The columns named for the time, none or more."""
        told = self.time_column
        return () if told is None else (told,) if isinstance(told, str) else tuple(told)


def _several(value: "str | tuple[str, ...]") -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else value
