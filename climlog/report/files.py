"""Files written whole or not at all, and never over another file unless that was asked for."""

import contextlib
import os
import re
import tempfile
import unicodedata
from pathlib import Path

from climlog.errors import UnusableInputError

LONGEST_NAME = 60
RESERVED = {"con", "prn", "aux", "nul", *(f"{p}{n}" for p in ("com", "lpt") for n in range(1, 10))}


def file_name(*words: str) -> str:
    """Make a plain file name, safe on every system, out of any words.

    Examples
    --------
    >>> file_name("place", "Ferry-house dining table <1>")
    'place-ferry-house-dining-table-1'
    """
    plain = unicodedata.normalize("NFKD", " ".join(words)).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:LONGEST_NAME].strip("-")
    return f"{name}-file" if name in RESERVED else name or "page"


def free_path(folder: Path, name: str, suffix: str, replace: bool) -> Path:
    """Name a file that does not exist yet, by numbering it; with `replace`, the plain name."""
    path, number = folder / f"{name}{suffix}", 1
    while path.exists() and not replace:
        number += 1
        path = folder / f"{name}-{number}{suffix}"
    return path


def refuse_existing(path: Path, replace: bool) -> None:
    """Refuse a named file that is there already.

    Raises
    ------
    UnusableInputError
        Naming --replace as the way to write over it.
    """
    if path.exists() and not replace:
        raise UnusableInputError(f"{path} exists; add --replace to write over it")


def write_whole(path: Path, content: str | bytes) -> None:
    """Write bytes, or text as UTF-8 with its newlines as they are, whole or not at all.

    Raises
    ------
    UnusableInputError
        If the folder cannot be made or written to.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, draft = tempfile.mkstemp(prefix=".draft-", dir=path.parent)
    except OSError as error:
        raise UnusableInputError(f"{path}: cannot be written ({error.strerror})") from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content.encode("utf-8") if isinstance(content, str) else content)
        _share_as_usual(Path(draft))
        Path(draft).replace(path)
    except OSError as error:
        raise UnusableInputError(f"{path}: cannot be written ({error.strerror})") from error
    finally:
        with contextlib.suppress(FileNotFoundError):
            Path(draft).unlink()


def _share_as_usual(draft: Path) -> None:
    """Give a draft the rights of an ordinary new file (drafts start private)."""
    if os.name == "posix":
        mask = os.umask(0)
        os.umask(mask)
        draft.chmod(0o666 & ~mask)
