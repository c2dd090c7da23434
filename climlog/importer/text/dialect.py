"""Bytes of any logger's file in, UTF-8 bytes out: compression, encoding, line ends."""

import codecs
import gzip
import re
import zlib
from dataclasses import dataclass
from pathlib import Path

from climlog.errors import UnusableInputError
from climlog.importer.log import Guess
from climlog.importer.text.titles import roles_in

GZIP_MAGIC = b"\x1f\x8b"
ZIP_MAGIC = b"PK\x03\x04"
BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
ENCODINGS = ("cp1252", "cp1250", "cp1251", "cp1253", "cp1254", "cp932", "gb18030", "cp949", "big5")
NAMED = frozenset({"temperature", "humidity", "time", "dew point"})
TITLE_LINES = 40
WRAPPED_LINES = 100
_WHOLE_LINE = re.compile(rb'"(?:[^"]|"")*[,;\t|](?:[^"]|"")*"')
_CELL_ENDS = re.compile(r"[\n\t,;|\"]+")
ZERO_TAIL = 8
LARGEST_BYTES = 4_000_000_000
PROBE_BYTES = 65_536
MOST_CONTROL_SHARE = 0.01
CONTROLS = bytes(
    code for code in range(32) if code not in (0, 9, 10, 12, 13, 26, 27, 28, 29, 30, 31)
)


@dataclass(frozen=True)
class Text:
    """A file as UTF-8 bytes without byte order mark, lines ending in LF or CR LF.

    Attributes
    ----------
    name : str
        File name without folder, for messages.
    data : bytes
        The text.
    guesses : tuple of Guess
        What had to be settled to get there.
    """

    name: str
    data: bytes
    guesses: tuple[Guess, ...] = ()


def load_text(path: Path, encoding: str | None = None) -> Text:
    """Read a file whole, plain or gzip, in whatever encoding it was written.

    Parameters
    ----------
    path : Path
        The file.
    encoding : str, optional
        What it is written in; left out, it is found from the bytes.

    Returns
    -------
    Text
        The content as UTF-8.

    Raises
    ------
    UnusableInputError
        If the file is missing, empty, not text or not in the encoding given.
    """
    raw = _unpacked(path, _raw_bytes(path))
    if not raw or raw.isspace():
        raise UnusableInputError(f"{path.name}: the file is empty; give the logger's export")
    raw, tail = _without_zero_tail(raw)
    data, guesses = _as_utf8(path.name, raw, encoding)
    if tail:
        guesses.append(Guess("zero bytes at the end", "removed", f"{tail} after the last line"))
    if b"\0" in data:
        count = data.count(b"\0")
        data = data.replace(b"\0", b"")
        if not data.strip():
            raise UnusableInputError(f"{path.name}: the file holds no text; give the log itself")
        guesses.append(Guess("stray zero bytes", "removed", f"{count} in a file that is text"))
    if b"\r" in data and b"\n" not in data:
        data = data.replace(b"\r", b"\n")
    if _wrapped(data):
        data = b"\n".join(_unwrapped(line) for line in data.splitlines())
        guesses.append(Guess("quotes", "removed", "each line was one quoted cell"))
    return Text(path.name, data, tuple(guesses))


def _wrapped(data: bytes) -> bool:
    """Say whether nearly every line is one quoted cell that holds marks between cells."""
    lines = [line.strip() for line in data[:PROBE_BYTES].splitlines()[:WRAPPED_LINES]]
    full = [line for line in lines if line]
    wrapped = sum(_WHOLE_LINE.fullmatch(line) is not None for line in full)
    return len(full) > 1 and wrapped >= 0.9 * len(full)


def _unwrapped(line: bytes) -> bytes:
    text = line.strip()
    return text[1:-1].replace(b'""', b'"') if _WHOLE_LINE.fullmatch(text) else line


def _raw_bytes(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise UnusableInputError(f"{path}: a folder; give one file of it")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise UnusableInputError(f"{path}: no such file; check the name") from error
    except OSError as error:
        raise UnusableInputError(f"{path}: cannot be read ({error.strerror})") from error


def _without_zero_tail(raw: bytes) -> tuple[bytes, int]:
    """Drop the zeros that loggers leave behind the last line of a block; never part of a letter."""
    kept = len(raw.rstrip(b"\0"))
    if not kept or len(raw) - kept < ZERO_TAIL:
        return raw, 0
    kept += kept % 2 if b"\0" in raw[:kept] else 0
    return raw[:kept], len(raw) - kept


def _unpacked(path: Path, raw: bytes) -> bytes:
    if raw.startswith(ZIP_MAGIC):
        raise UnusableInputError(
            f"{path.name}: a zip archive or a spreadsheet workbook; unpack it or save it as CSV"
        )
    if not raw.startswith(GZIP_MAGIC):
        return raw
    try:
        with gzip.open(path) as stream:
            unpacked = stream.read(LARGEST_BYTES + 1)
    except (OSError, EOFError, zlib.error) as error:
        raise UnusableInputError(
            f"{path.name}: the gzip data are damaged ({error}); copy the file again"
        ) from error
    if len(unpacked) > LARGEST_BYTES:
        raise UnusableInputError(f"{path.name}: larger than 4 GB unpacked; split the file")
    return unpacked


def _as_utf8(name: str, raw: bytes, encoding: str | None) -> tuple[bytes, list[Guess]]:
    if encoding is not None:
        return _decoded(name, raw, encoding), []
    for mark, marked in BYTE_ORDER_MARKS:
        if raw.startswith(mark) and (marked != "utf-8" or _is_utf8(raw)):
            guess = Guess("encoding", marked, "byte order mark at the start")
            return _decoded(name, raw[len(mark) :], marked), [guess]
    if raw.isascii():
        _refuse_binary(name, raw)
        return raw, []
    wide = _wide_encoding(raw)
    if wide is not None:
        guess = Guess("encoding", wide, "every second byte at the start is zero")
        return _decoded(name, raw, wide), [guess]
    _refuse_binary(name, raw)
    if _is_utf8(raw):
        return raw, [Guess("encoding", "utf-8", "all bytes fit")]
    found, guess = _by_words(raw)
    return raw.decode(found, errors="replace").encode("utf-8"), [guess]


def _by_words(raw: bytes) -> tuple[str, Guess]:
    """Choose the encoding in which most titles are words known here; Western where none differ."""
    lines = raw[:PROBE_BYTES].splitlines()[:TITLE_LINES]
    known = {}
    for encoding in ENCODINGS:
        text = b"\n".join(lines).decode(encoding, errors="replace")
        words = {cell for cell in _CELL_ENDS.split(text) if not cell.isascii()}
        known[encoding] = sum(bool(roles_in(word) & NAMED) for word in words)
    best = max(ENCODINGS, key=lambda encoding: known[encoding])
    if known[best] <= known[ENCODINGS[0]]:
        return ENCODINGS[0], Guess(
            "encoding", ENCODINGS[0], "not UTF-8; Western single-byte text; --encoding names others"
        )
    return best, Guess("encoding", best, f"not UTF-8; {known[best]} titles are known words in it")


def _decoded(name: str, raw: bytes, encoding: str) -> bytes:
    try:
        text = raw.decode(encoding)
    except LookupError as error:
        raise UnusableInputError(
            f'{name}: "{encoding}" is no encoding; use utf-8, utf-16, cp1252 or leave it out'
        ) from error
    except UnicodeError as error:
        raise UnusableInputError(
            f"{name}: not text in {encoding} (byte {getattr(error, 'start', 0)}); "
            "save it as UTF-8 or name another with --encoding"
        ) from error
    data = text.encode("utf-8", errors="replace").removeprefix(codecs.BOM_UTF8)
    _refuse_binary(name, data)
    return data


def _is_utf8(raw: bytes) -> bool:
    try:
        codecs.decode(raw, "utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _wide_encoding(raw: bytes) -> str | None:
    """Say which two-byte encoding the zero bytes betray, if any."""
    head = raw[: PROBE_BYTES // 2 * 2]
    half = len(head) // 2
    if half and head[1::2].count(0) > 0.7 * half:
        return "utf-16-le"
    if half and head[::2].count(0) > 0.7 * half:
        return "utf-16-be"
    return None


def _refuse_binary(name: str, data: bytes) -> None:
    head = data[:PROBE_BYTES]
    control = len(head) - len(head.translate(None, CONTROLS))
    zeros = head.count(0)
    if control > MOST_CONTROL_SHARE * len(head) or zeros > 0.3 * len(head):
        raise UnusableInputError(
            f"{name}: not a text file ({control + zeros} control bytes in the first {len(head)}); "
            "export the log as CSV"
        )
