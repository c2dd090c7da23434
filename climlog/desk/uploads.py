"""Logs that were dropped on the page: in a private folder that goes with the process.

A name from a browser is never a path: only its last part is kept, cleaned, in a folder of its own
whose name is ours. What a killed process left is taken away by the next one.
"""

import contextlib
import gzip
import re
import secrets
import shutil
import sys
import tempfile
import threading
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, BinaryIO

from climlog.errors import UnusableInputError, shown

if sys.platform != "win32":
    import fcntl

PREFIX = "climlog-desk-"
LOCK = "in-use"
LARGEST_UPLOAD_BYTES = 256 * 2**20
"""Five years of readings each minute take about half of it."""
LARGEST_ALL_BYTES = 2**30
MOST_UPLOADS = 60
MOST_ROWS = 3_000_000
"""Five years of readings each minute, with something to spare."""
CHUNK_BYTES = 2**20
LONGEST_NAME = 100
_GZIP = b"\x1f\x8b"
_UNSAFE = re.compile(r'[<>:"/\\|?*\x00-\x1f\x7f]')
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)


@dataclass(frozen=True)
class Upload:
    """One dropped file."""

    key: str
    path: Path
    size_bytes: int

    @property
    def name(self) -> str:
        """As the person knows it."""
        return self.path.name


def safe_name(given: str, ending: str = "") -> str:
    r"""Make a file name of whatever a browser calls a file.

    Examples
    --------
    >>> safe_name("..\\..\\etc/passwd"), safe_name("con.csv"), safe_name("Ess zimmer.csv")
    ('passwd', '_con.csv', 'Ess zimmer.csv')
    """
    last = re.split(r"[/\\]", given)[-1]
    clean = "".join(one for one in _UNSAFE.sub("_", last) if one.isprintable())
    clean = clean.strip(" .") or "log"
    if ending and not clean.lower().endswith(ending):
        clean += ending
    if clean.startswith("-"):
        clean = f"_{clean}"
    if len(clean) > LONGEST_NAME:
        clean = clean[: LONGEST_NAME // 2] + clean[-LONGEST_NAME // 2 :]
    return f"_{clean}" if _DEVICES.match(clean) else clean


@dataclass
class Uploads:
    """Every dropped file of this process, by its key."""

    folder: Path
    _kept: dict[str, Upload] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, name: str, stream: BinaryIO | IO[bytes]) -> Upload:
        """Keep a file.

        Raises
        ------
        UnusableInputError
            If it is too large, has too many rows, or too much is kept already.
        """
        key = secrets.token_hex(8)
        folder = self.folder / key
        with self._lock:
            if len(self._kept) >= MOST_UPLOADS:
                raise UnusableInputError(
                    f"{MOST_UPLOADS} files are kept already; take some off the page first"
                )
            folder.mkdir()
        path = folder / safe_name(name)
        try:
            size = _copied(stream, path)
            _refuse_many_rows(path)
            upload = Upload(key, path, size)
            with self._lock:
                if sum(one.size_bytes for one in self._kept.values()) + size > LARGEST_ALL_BYTES:
                    raise UnusableInputError(
                        f"{shown(path.name)}: with it more than {_mb(LARGEST_ALL_BYTES)} would be "
                        "kept; take some files off the page first"
                    )
                self._kept[key] = upload
        except BaseException:
            shutil.rmtree(folder, ignore_errors=True)
            raise
        return upload

    def get(self, key: str) -> Upload:
        """Give a file that was dropped.

        Raises
        ------
        UnusableInputError
            If there is none of that key.
        """
        with self._lock:
            found = self._kept.get(key)
        if found is None:
            raise UnusableInputError("a log is no longer here; drop it on the page once more")
        return found

    def all(self) -> list[Upload]:
        """Every file kept."""
        with self._lock:
            return list(self._kept.values())

    def remove(self, key: str) -> None:
        """Take a file away."""
        with self._lock:
            found = self._kept.pop(key, None)
        if found is not None:
            shutil.rmtree(found.path.parent, ignore_errors=True)

    @contextlib.contextmanager
    def sheet(self, name: str, text: str) -> Iterator[Path]:
        """Lay a sheet in a folder of its own, as a command would find it."""
        folder = self.folder / f"sheet-{secrets.token_hex(8)}"
        folder.mkdir()
        try:
            path = folder / safe_name(name, ".toml")
            path.write_text(text, encoding="utf-8", newline="\n")
            yield path
        finally:
            shutil.rmtree(folder, ignore_errors=True)


def _mb(size_bytes: int) -> str:
    return f"{size_bytes // 2**20} MB"


def _copied(stream: BinaryIO | IO[bytes], path: Path) -> int:
    size = 0
    with path.open("wb") as kept:
        while chunk := stream.read(CHUNK_BYTES):
            size += len(chunk)
            if size > LARGEST_UPLOAD_BYTES:
                raise UnusableInputError(
                    f"{shown(path.name)}: larger than {_mb(LARGEST_UPLOAD_BYTES)}; "
                    "climlog place LOG reads larger ones"
                )
            kept.write(chunk)
    return size


def _refuse_many_rows(path: Path) -> None:
    """Count line ends, unpacked where it is packed; a damaged pack is left to the reader."""
    with path.open("rb") as plain:
        packed = plain.read(2) == _GZIP
    size = rows = returns = 0
    with gzip.open(path) if packed else path.open("rb") as stream:
        while chunk := _read(stream):
            size += len(chunk)
            rows += chunk.count(b"\n")
            returns += chunk.count(b"\r")
            if max(rows, returns) > MOST_ROWS or size > LARGEST_UPLOAD_BYTES:
                raise UnusableInputError(
                    f"{shown(path.name)}: more than {MOST_ROWS:,} rows, or "
                    f"{_mb(LARGEST_UPLOAD_BYTES)} of text; climlog place LOG reads larger ones"
                )


def _read(stream: "BinaryIO | IO[bytes] | gzip.GzipFile") -> bytes:
    try:
        return stream.read(CHUNK_BYTES)
    except (OSError, EOFError, zlib.error):  # a damaged pack, which the importer names
        return b""


@contextlib.contextmanager
def private_uploads() -> Iterator[Uploads]:
    """Open the private folder of this process; it is gone when the block ends."""
    sweep(Path(tempfile.gettempdir()))
    folder = Path(tempfile.mkdtemp(prefix=PREFIX))
    try:
        with (folder / LOCK).open("wb") as lock:
            if sys.platform != "win32":
                fcntl.flock(lock.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
            yield Uploads(folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def sweep(parent: Path) -> None:
    """Take away the folders of processes that were killed; those of living ones stay."""
    for folder in parent.glob(f"{PREFIX}*"):
        if folder.is_symlink() or not folder.is_dir():
            continue
        with contextlib.suppress(OSError):
            if _abandoned(folder / LOCK):
                shutil.rmtree(folder, ignore_errors=True)


def _abandoned(lock: Path) -> bool:
    """Whether no process holds a folder; Windows itself keeps what is open from being taken."""
    if sys.platform == "win32":
        lock.unlink()
        return True
    with lock.open("rb") as stream:
        try:
            fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
    return True
