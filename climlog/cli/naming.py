"""What is said of a piece or a board begins with the sheet that it stands in."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from climlog.errors import ImpossibleValueError, UnknownNameError, UnusableInputError, shown

SAYS_ONE_THING = (UnusableInputError, ImpossibleValueError, UnknownNameError)


@contextmanager
def naming(sheets: Iterable[tuple[Path, str]]) -> Iterator[None]:
    """Put the sheet's name before a fault that begins with the name of what stands in it.

    Parameters
    ----------
    sheets : iterable of (Path, str)
        Each sheet with the name of a piece or a board of it.
    """
    try:
        yield
    except SAYS_ONE_THING as error:
        says = str(error)
        if type(error) in SAYS_ONE_THING:
            for sheet, name in sheets:
                if says.startswith((f"{name}:", f"{name},")):
                    raise type(error)(f"{shown(sheet.name)}: {says}") from error
        raise


@contextmanager
def naming_option(option: str) -> Iterator[None]:
    """Put the option's name before what is wrong with its value."""
    try:
        yield
    except SAYS_ONE_THING as error:
        raise type(error)(f"{option}: {error}") from error
