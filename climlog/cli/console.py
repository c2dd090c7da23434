"""Terminal manners: no console is crashed by a character, and long work says that it goes on."""

import codecs
import io
import sys
import threading
import time
import unicodedata
from types import TracebackType
from typing import Self, TextIO

LOOKALIKES = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{EM DASH}": "-",
        "\N{MULTIPLICATION SIGN}": "x",
        "\N{DEGREE SIGN}": "",
        "\N{LEFT SINGLE QUOTATION MARK}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{LEFT DOUBLE QUOTATION MARK}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{LATIN SMALL LETTER SHARP S}": "ss",
        "\N{LATIN SMALL LETTER O WITH STROKE}": "o",
    }
)
PLAIN_LETTERS = "climlog-plain-letters"
PATIENCE_S = 2.0
UNICODE = "utf"


def plain_letters(text: str) -> str:
    r"""Write a text in ASCII: a minus stays a minus, accents fall away, the rest becomes "?".

    Examples
    --------
    >>> plain_letters("\N{MINUS SIGN}3 mm, 20 °C, Gästetisch, 床")
    '-3 mm, 20 C, Gastetisch, ?'
    """
    spelt = unicodedata.normalize("NFKD", text.translate(LOOKALIKES))
    kept = "".join(one for one in spelt if not unicodedata.combining(one))
    return kept.encode("ascii", "replace").decode("ascii")


def _spell(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain_letters(error.object[error.start : error.end]), error.end


codecs.register_error(PLAIN_LETTERS, _spell)


def spell_what_cannot_be_shown(*streams: TextIO) -> None:
    """Make streams write a plain letter where their encoding lacks the one asked for.

    A Windows console of code page 437 or 1252, or a pipe in it, has no minus sign and no
    subscripts; Python would stop there with an error.
    """
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors=PLAIN_LETTERS)


def shows_everything(stream: TextIO) -> bool:
    """Whether a stream can carry any character."""
    return (stream.encoding or "").lower().startswith(UNICODE)


class Progress:
    """One line on stderr while work takes over two seconds; only on a terminal, gone afterwards.

    Parameters
    ----------
    doing : str
        What is going on, such as "reading the log".
    stream : text stream, optional
        sys.stderr unless given.
    patience_s : float
        How long to stay silent. [s]
    quiet : bool
        Say nothing at all.
    """

    def __init__(
        self,
        doing: str,
        stream: TextIO | None = None,
        patience_s: float = PATIENCE_S,
        quiet: bool = False,
    ) -> None:
        self._doing = doing
        self._stream = sys.stderr if stream is None else stream
        self._speaks = self._stream.isatty() and not quiet
        self._lock = threading.Lock()
        self._written = 0
        self._since = time.monotonic()
        self._patience_s = patience_s
        self._timer = threading.Timer(patience_s, self._show)
        self._timer.daemon = True

    def say(self, doing: str) -> None:
        """Change what is going on."""
        self._doing = doing
        if self._speaks and time.monotonic() - self._since >= self._patience_s:
            self._show()

    def count(self, done: int, total: int) -> None:
        """Say how many of several are done."""
        if total > 1:
            self.say(f"{done} of {total} pieces done")

    def __enter__(self) -> Self:
        """Begin to wait."""
        if self._speaks:
            self._timer.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Take the line away, whatever happened."""
        self._timer.cancel()
        if self._timer.is_alive():
            self._timer.join()
        with self._lock:
            if self._written:
                self._stream.write("\r" + " " * self._written + "\r")
                self._stream.flush()

    def _show(self) -> None:
        with self._lock:
            line = f"climlog: {self._doing} ..."
            self._stream.write("\r" + line.ljust(self._written))
            self._stream.flush()
            self._written = max(self._written, len(line))
