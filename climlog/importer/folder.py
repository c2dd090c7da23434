"""Which files of a folder are logs: one rule, for every command."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from climlog.errors import UnusableInputError

LOG_ENDINGS = (".csv", ".tsv", ".tab", ".txt", ".dat", ".asc", ".log", ".epw")
PACKED = ".gz"
"""Packed files count by the ending before it; a bare .gz counts too."""


@dataclass(frozen=True)
class Folder:
    """The files of a folder, by name: those read as logs, and those passed over."""

    path: Path
    logs: tuple[Path, ...]
    passed_over: tuple[Path, ...]


def is_log(path: Path) -> bool:
    """Whether a file of a folder counts as a log, by its ending.

    Examples
    --------
    >>> [is_log(Path(name)) for name in ("room.CSV", "room.tab", "room.csv.gz", "room.pdf")]
    [True, True, True, False]
    """
    name = path.name.lower().removesuffix(PACKED)
    return name.endswith(LOG_ENDINGS) or (name != path.name.lower() and not Path(name).suffix)


def look_into(path: Path) -> Folder:
    """Sort the files of a folder; names that begin with a dot are not its user's and not told.

    Raises
    ------
    UnusableInputError
        If the folder cannot be read.
    """
    try:
        files = sorted(
            one for one in path.iterdir() if one.is_file() and not one.name.startswith(".")
        )
    except OSError as error:
        raise UnusableInputError(f"{path}: cannot be read ({error.strerror})") from error
    logs = tuple(one for one in files if is_log(one))
    return Folder(path, logs, tuple(one for one in files if not is_log(one)))


def folders_in(paths: Sequence[Path]) -> tuple[Folder, ...]:
    """Sort the files of every folder among the paths."""
    return tuple(look_into(path) for path in paths if path.is_dir())


def expand_paths(paths: Sequence[Path]) -> list[Path]:
    """Replace folders by the log files in them, sorted by name.

    Raises
    ------
    UnusableInputError
        If nothing is given or a folder holds no log.
    """
    found: list[Path] = []
    for path in paths:
        if not path.is_dir():
            found.append(path)
            continue
        inside = look_into(path)
        if not inside.logs:
            raise UnusableInputError(
                f"{path}: no log in this folder ({', '.join(LOG_ENDINGS)}, or one of these packed "
                f"as {PACKED}); name the file itself"
            )
        found += inside.logs
    if not found:
        raise UnusableInputError("no log given; name a file or a folder")
    return found
