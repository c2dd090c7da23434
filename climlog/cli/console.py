"""Terminal manners: no console is crashed by a character, none obeys one that came from a file."""

import codecs
import contextlib
import io
import os
import sys
import unicodedata
from types import TracebackType
from typing import Self, TextIO

import click

from climlog.errors import cleaned

LOOKALIKES = str.maketrans(
    "\u2212\u2013\u2014\u00d7\u2018\u2019\u201c\u201d", "---x''\"\"", "\u00b0"
)
"""Minus, dashes, times, quotes and the degree sign, which no decomposition turns into letters."""
PLAIN_LETTERS = "climlog-plain-letters"
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


def spell_what_cannot_be_shown(*streams: TextIO | None) -> None:
    """Make streams write a plain letter where their encoding lacks the one asked for.

    A Windows console of code page 437 or 1252, or a pipe in it, has no minus sign and no
    subscripts; Python would stop there with an error.
    """
    for stream in streams:
        if isinstance(stream, io.TextIOWrapper) and stream.errors == "strict":
            stream.reconfigure(errors=PLAIN_LETTERS)


def shows_everything(stream: TextIO | None) -> bool:
    """Whether a stream can carry any character."""
    return (getattr(stream, "encoding", None) or "").lower().startswith(UNICODE)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether somebody sits at the other end; a closed stream is nobody."""
    return stream is not None and not stream.closed and stream.isatty()


def say(text: str, err: bool = False) -> None:
    """Print a text, cleaned of whatever a terminal would obey."""
    click.echo(cleaned(text), err=err)


def give_up_on(stream: TextIO | None) -> None:
    """Let a stream that is full or closed swallow what is still to come, the last flush too."""
    if isinstance(stream, io.TextIOWrapper):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        with contextlib.suppress(OSError):
            os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


class Progress:
    """One line on a terminal that says what is going on, gone afterwards; silent anywhere else.

    Parameters
    ----------
    doing : str
        What is going on, such as "reading the log".
    stream : text stream, optional
        sys.stderr unless given.
    quiet : bool
        Say nothing at all.
    """

    def __init__(self, doing: str, stream: TextIO | None = None, quiet: bool = False) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._speaks = is_terminal(self._stream) and not quiet
        self._written = 0
        self._doing = doing

    def say(self, doing: str) -> None:
        """Change what is going on."""
        if self._speaks:
            line = cleaned(f"climlog: {doing} ...")
            self._write("\r" + line.ljust(self._written))
            self._written = max(self._written, len(line))

    def count(self, done: int, total: int) -> None:
        """Say how many of several are done."""
        if total > 1:
            self.say(f"{done} of {total} pieces done")

    def _write(self, text: str) -> None:
        self._stream.write(text)
        self._stream.flush()

    def __enter__(self) -> Self:
        """Say what begins."""
        self.say(self._doing)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Take the line away, whatever happened."""
        if self._written:
            self._write("\r" + " " * self._written + "\r")
