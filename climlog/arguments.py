"""What a caller hands to a public function: paths in any usual form, records of the right kind."""

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from types import UnionType
from typing import TypeAlias

from climlog.errors import UnusableInputError, WrongKindError, shown

OnePath: TypeAlias = str | os.PathLike[str]
"""A file or a folder, as text or as a Path."""
Paths: TypeAlias = OnePath | Iterable[OnePath]
"""One of them or several: a list, a tuple."""


def paths_of(given: Paths, where: str) -> list[Path]:
    """Turn a path or several into a list of Path, in the order given.

    Raises
    ------
    WrongKindError
        If something is no path; `where` names the function in the message.

    Examples
    --------
    >>> paths_of("room.csv", "read_log") == paths_of([Path("room.csv")], "read_log")
    True
    """
    if isinstance(given, str | os.PathLike):
        return [_path(given, where)]
    is_one = isinstance(given, bytes | Mapping) or hasattr(given, "read") or hasattr(given, "iloc")
    if is_one or not isinstance(given, Iterable):  # an open file and a table iterate too
        return [_path(given, where)]
    return [_path(one, where) for one in given]


def one_path(given: Paths, where: str) -> Path:
    """Turn a path, or a list that holds one, into a Path.

    Raises
    ------
    WrongKindError
        If it is no path.
    UnusableInputError
        If there are several or none.
    """
    found = paths_of(given, where)
    if len(found) != 1:
        names = f" ({shown(', '.join(map(str, found)))})" if found else ""
        raise UnusableInputError(
            f"{where} reads one file at a time, not {len(found)}{names}: call it for each"
        )
    return found[0]


def require_kind(value: object, kind: type | UnionType, where: str, comes_from: str) -> None:
    """Refuse a value of another kind, saying where one of the right kind comes from.

    Raises
    ------
    WrongKindError
        One line, such as "analyse_place: wants a Log, not str; read_log gives one".
    """
    if not isinstance(value, kind):
        name = kind.__name__ if isinstance(kind, type) else str(kind).replace(" | ", " or ")
        one = "" if comes_from[:1].islower() or "(" in comes_from else ", such as"
        raise WrongKindError(
            f"{where}: wants a {name}, not {_kind_of(value)}{one or ';'} {comes_from}"
            f"{'' if one else ' gives one'}"
        )


def _path(given: object, where: str) -> Path:
    if isinstance(given, str | os.PathLike):
        path = os.fspath(given)
        if isinstance(path, str) and path.strip():
            return Path(path)
    raise WrongKindError(
        f"{where}: a path is text or a Path, or a list of them, not {_kind_of(given)}"
    )


def _kind_of(value: object) -> str:
    return "None" if value is None else f"{type(value).__name__} ({shown(repr(value), 40)})"
