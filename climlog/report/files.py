"""The files of one run: checked before the work, written together or not at all, destroying none.

Every file is first a draft beside its place, held locked while its run lives. When all drafts are
whole they take their places one by one; if one cannot, those before it are taken back. So two runs
into one folder get two names, and a draft that a killed run left is swept by the next.
"""

import contextlib
import errno
import os
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from climlog.errors import UnusableInputError, shown_path, slug_of

if sys.platform != "win32":
    import fcntl

LONGEST_NAME = 60
RESERVED = {"con", "prn", "aux", "nul", *(f"{p}{n}" for p in ("com", "lpt") for n in range(1, 10))}
DRAFT, KEPT = ".climlog-draft-", ".climlog-kept-"
KEPT_FOR_S = 600.0
MOST_TRIES = 5


def file_name(*words: str) -> str:
    """Make a plain file name, safe on every system, out of any words.

    Examples
    --------
    >>> file_name("place", "Ferry-house dining table <1>")
    'place-ferry-house-dining-table-1'
    """
    name = slug_of(" ".join(words))[:LONGEST_NAME].strip("-")
    return f"{name}-file" if name in RESERVED else name or "page"


@dataclass(frozen=True)
class _Item:
    """One file to write: under its own name, or under a free one made from it."""

    path: Path
    content: bytes
    numbered: bool


@dataclass
class _Draft:
    """A whole file that waits for its place."""

    item: _Item
    path: Path
    handle: int

    def unlock(self) -> None:
        """Give up the lock."""
        handle, self.handle = self.handle, -1
        if handle >= 0:
            os.close(handle)

    def let_go(self) -> None:
        """Give up the lock, and the file if it is still there."""
        self.unlock()
        with contextlib.suppress(OSError):
            self.path.unlink()


@dataclass
class _Placed:
    """A file in its place, and what stood there before it."""

    path: Path
    before: Path | None

    def forget_before(self) -> None:
        """Let go what stood there before."""
        if self.before is not None:
            with contextlib.suppress(OSError):
                self.before.unlink()

    def take_back(self) -> None:
        """Leave the place as it was."""
        with contextlib.suppress(OSError):
            if self.before is None:
                self.path.unlink()
            else:
                self.before.replace(self.path)


@dataclass
class Outbox:
    """What one run writes.

    Attributes
    ----------
    inputs : tuple of Path
        Files, and folders of files, that the run reads: none of them is ever written over.
    replace : bool
        Whether other files that are there already may be written over.
    """

    inputs: tuple[Path, ...] = ()
    replace: bool = False
    _named: list[Path] = field(default_factory=list)
    _items: list[_Item] = field(default_factory=list)

    def reserve(self, path: Path) -> None:
        """Check a file that will be written, before the work begins.

        Raises
        ------
        UnusableInputError
            If it is an input, a folder, a device, a dangling link or named twice, if it is there
            already and may not be written over, or if nothing can be written there.
        """
        with _as_our_error(path):
            self._check(path)
        self._named.append(path)

    def reserve_folder(self, folder: Path) -> None:
        """Check a folder for pages, before the work begins.

        Raises
        ------
        UnusableInputError
            If it is no folder, none can be made, or a file of this run would stand in its way.
        """
        for one in (folder, *folder.parents):
            if any(_same(one, named) for named in self._named):
                raise UnusableInputError(
                    f"{_path_text(one)}: a file and a folder of this run would have that name; "
                    "give each a name of its own"
                )
        with _as_our_error(folder):
            _refuse_place(folder / "page.html", _path_text(folder))

    def put(self, path: Path, content: str | bytes) -> None:
        """Give a reserved file its content; nothing is written yet."""
        self._items.append(_Item(path, _bytes(content), numbered=False))

    def put_page(self, path: Path, content: str | bytes) -> None:
        """Add a file whose name is numbered where it is taken, unless it may be written over."""
        taken = [*self._named, *(one.path for one in self._items)]
        own, number = path, 1
        while any(_same(own, one) for one in taken):
            number += 1
            own = _numbered(path, number)
        self._items.append(_Item(own, _bytes(content), numbered=not self.replace))

    def write(self) -> list[Path]:
        """Write all that was put, together or not at all, in that order.

        Returns
        -------
        list of Path
            Where each file is.

        Raises
        ------
        UnusableInputError
            If a file cannot be written, or came to be there since it was reserved.
        """
        made = _Folders()
        with contextlib.ExitStack() as always:
            always.callback(made.tidy)
            drafts = [self._drafted(item, made, always) for item in self._items]
            with contextlib.ExitStack() as on_failure:
                placed = []
                for draft in drafts:
                    with _as_our_error(draft.item.path):
                        placed.append(self._place(draft))
                    on_failure.callback(placed[-1].take_back)
                on_failure.pop_all()
            made.keep()
            for one in placed:
                one.forget_before()
        self._items.clear()
        return [one.path for one in placed]

    def _drafted(self, item: _Item, made: "_Folders", always: contextlib.ExitStack) -> _Draft:
        with _as_our_error(item.path):
            made.make(item.path.parent)
            draft = _draft(item)
        always.callback(draft.let_go)
        return draft

    def _check(self, path: Path) -> None:
        name = _path_text(path)
        if path.is_symlink() and not path.exists():
            raise UnusableInputError(
                f"{name}: a link to nothing; name the file itself, or take the link away"
            )
        if os.name == "nt" and path.stem.lower() in RESERVED:
            raise UnusableInputError(f"{name}: the name of a device here; choose another name")
        if any(_same(path, other) for other in self._named):
            raise UnusableInputError(
                f"{name}: two outputs of this run would go there; give each a name of its own"
            )
        if path.exists():
            self._check_existing(path, name)
        else:
            _refuse_place(path, name)

    def _check_existing(self, path: Path, name: str) -> None:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise UnusableInputError(f"{name}: a folder; name a file in it")
        if not stat.S_ISREG(mode):
            raise UnusableInputError(
                f"{name}: no plain file; name a file, or for --json write - to print the numbers"
            )
        if any(_reads(one, path) for one in self.inputs):
            raise UnusableInputError(
                f"{name}: read by this very run, so it is not written over; choose another name"
            )
        if not self.replace:
            raise UnusableInputError(f"{name} exists; add --replace to write over it")

    def _place(self, draft: _Draft) -> _Placed:
        path = draft.item.path
        if os.name == "nt":
            draft.unlock()
        if self.replace:
            self._refuse_inputs(path)
            return _over(draft.path, path)
        if not draft.item.numbered:
            _onto_free(draft.path, path)
            return _Placed(path, None)
        number, free = 1, path
        while True:
            try:
                _onto_free(draft.path, free)
            except FileExistsError:
                number += 1
                free = _numbered(path, number)
            else:
                return _Placed(free, None)

    def _refuse_inputs(self, path: Path) -> None:
        if path.exists() and any(_reads(one, path) for one in self.inputs):
            raise UnusableInputError(f"{_path_text(path)}: read by this very run; not written over")


@dataclass
class _Folders:
    """Folders made on the way, taken away again where nothing came of it."""

    made: list[Path] = field(default_factory=list)

    def make(self, folder: Path) -> None:
        missing = [one for one in (folder, *folder.parents) if not one.exists()]
        folder.mkdir(parents=True, exist_ok=True)
        self.made += reversed(missing)

    def keep(self) -> None:
        self.made.clear()

    def tidy(self) -> None:
        for one in reversed(self.made):
            with contextlib.suppress(OSError):
                one.rmdir()


def sweep(folder: Path) -> None:
    """Take away what a killed run left in a folder; what living runs need stays.

    What stood in a file's place before is kept for the moments until all files are in theirs; so
    what was kept ten minutes ago is needed no more.
    """
    for path in _ours_in(folder):
        with contextlib.suppress(OSError):
            if _abandoned(path) if path.name.startswith(DRAFT) else _old(path):
                path.unlink()


def _ours_in(folder: Path) -> Sequence[Path]:
    try:
        return [one for one in folder.iterdir() if one.name.startswith((DRAFT, KEPT))]
    except OSError:
        return []


def _old(path: Path) -> bool:
    return time.time() - path.stat().st_ctime > KEPT_FOR_S


def _abandoned(path: Path) -> bool:
    """Whether no run holds a draft; Windows itself refuses to take away what is held."""
    if sys.platform == "win32":
        return True
    with path.open("rb") as stream:
        return _locked(stream.fileno()) is True


def _locked(handle: int) -> bool | None:
    """Lock an open file: False where another run holds it, None where nothing can be locked."""
    if sys.platform == "win32":
        return None
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return None
    return True


def _draft(item: _Item) -> _Draft:
    """Write the content beside its place, whole, and keep it locked."""
    folder = item.path.parent
    sweep(folder)
    for _ in range(MOST_TRIES):
        handle, name = tempfile.mkstemp(prefix=DRAFT, dir=folder)
        draft = _Draft(item, Path(name), handle)
        try:
            if _locked(handle) is False or not draft.path.exists():
                draft.let_go()
                continue
            _write_all(handle, item.content)
            _share_as_usual(draft.path)
        except BaseException:
            draft.let_go()
            raise
        return draft
    raise UnusableInputError(f"{_path_text(item.path)}: something takes drafts away in its folder")


def _write_all(handle: int, content: bytes) -> None:
    left = memoryview(content)
    while left:
        left = left[os.write(handle, left) :]


def _onto_free(draft: Path, path: Path) -> None:
    """Give a draft a name that nobody has; FileExistsError where somebody has it."""
    if path.is_symlink():
        raise FileExistsError(f"{path} is a link")
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:
        with path.open("xb"):
            pass
        draft.replace(path)


def _over(draft: Path, path: Path) -> _Placed:
    """Put a draft in place of what is there, which is kept until all files are in their places."""
    path = path.resolve()
    before = None
    if path.exists():
        before = path.with_name(f"{KEPT}{draft.name.removeprefix(DRAFT)}")
        try:
            os.link(path, before)
        except OSError:
            shutil.copy2(path, before)
    try:
        draft.replace(path)
    except BaseException:
        if before is not None:
            before.unlink(missing_ok=True)
        raise
    return _Placed(path, before)


def _share_as_usual(draft: Path) -> None:
    """Give a draft the rights of an ordinary new file (drafts start private)."""
    if os.name == "posix":
        mask = os.umask(0)
        os.umask(mask)
        draft.chmod(0o666 & ~mask)


def _refuse_place(path: Path, name: str) -> None:
    """Refuse a new file whose folder is no folder, or closed."""
    _name_fits(path)
    folder = next(one for one in path.absolute().parents if one.exists())
    if not folder.is_dir():
        raise UnusableInputError(f"{name}: cannot be written ({_path_text(folder)} is no folder)")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise UnusableInputError(f"{name}: cannot be written (its folder takes no files)")


def _name_fits(path: Path) -> None:
    """Raise OSError for a name that the file system cannot hold."""
    with contextlib.suppress(FileNotFoundError, NotADirectoryError):
        path.lstat()


def _reads(given: Path, path: Path) -> bool:
    """Whether a file is one that was given, or lies in a folder that was given."""
    if not given.exists():
        return False
    return given.samefile(path.parent if given.is_dir() else path)


def _same(one: Path, other: Path) -> bool:
    return _plain(one) == _plain(other)


def _plain(path: Path) -> str:
    return os.path.normcase(path.resolve())


def _path_text(path: Path) -> str:
    return shown_path(path)


def _numbered(path: Path, number: int) -> Path:
    return path.with_name(f"{path.stem}-{number}{path.suffix}")


def _bytes(content: str | bytes) -> bytes:
    return content.encode("utf-8") if isinstance(content, str) else content


@contextlib.contextmanager
def _as_our_error(path: Path) -> Iterator[None]:
    """Turn what the system says of a file into one clear line."""
    try:
        yield
    except FileExistsError as error:
        raise UnusableInputError(
            f"{_path_text(path)} came to be there while this ran; add --replace to write over it"
        ) from error
    except OSError as error:
        raise UnusableInputError(
            f"{_path_text(path)}: cannot be written ({error.strerror or error}){room_for(error)}"
        ) from error


def room_for(error: OSError) -> str:
    """Say what helps where a disk is full; empty for any other trouble."""
    if error.errno not in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return ""
    return "; make room there, or write to another disk"


def one_file_each(path: Path, names: Iterable[str]) -> list[Path]:
    """Keep a file's name for one piece; for several, add the name of each, numbered where alike."""
    each = list(names)
    if len(each) == 1:
        return [path]
    paths: list[Path] = []
    for name in each:
        plain = file_name(path.stem, name)
        first = path.with_name(f"{plain}{path.suffix}")
        number, made = 1, first
        while made in paths:
            number += 1
            made = _numbered(first, number)
        paths.append(made)
    return paths
