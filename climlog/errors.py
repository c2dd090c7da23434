"""Every exception and warning of climlog, and how input is shown in them. Imports nothing."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Settled = Mapping[str, str | tuple[str, ...]]
"""Reading options by the name of their field, each with its value."""

LONGEST_ECHO = 60
"""Characters of somebody's input that a message repeats: enough to find it, not to drown in."""


def cleaned(text: object) -> str:
    r"""Take out what a terminal obeys instead of showing: escape sequences, marks that turn lines.

    Line ends and tabs stay.

    Examples
    --------
    >>> cleaned("a\x1b[2Jb\u202ec"), cleaned("two\nlines")
    ('a?[2Jb?c', 'two\nlines')
    """
    return "".join(
        one if one.isprintable() or one in "\n\t" else " " if one.isspace() else "?"
        for one in str(text)
    )


def shown(text: object, longest: int = LONGEST_ECHO) -> str:
    r"""Repeat input in a message: one clean line, cut where it is long.

    Examples
    --------
    >>> shown("x" * 5000, 6), shown("two\nlines")
    ('xxxxx\u2026', 'two lines')
    """
    line = " ".join(cleaned(str(text)[: 4 * longest]).split())
    return line if len(line) <= longest else line[: longest - 1] + "\N{HORIZONTAL ELLIPSIS}"


def slug_of(name: str) -> str:
    """Make a name plain: small letters and figures, one hyphen for all else, safe in a file's name.

    Examples
    --------
    >>> slug_of("Ferry-house dining table <1>")
    'ferry-house-dining-table-1'
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")


def shown_path(path: object, longest: int = LONGEST_ECHO) -> str:
    r"""Repeat a path in a message: one clean line, the end kept where it is long.

    Examples
    --------
    >>> shown_path("/a/very/long/way/to/room.csv", 12)
    '\u2026to/room.csv'
    """
    line = " ".join(cleaned(str(path)).split())
    return line if len(line) <= longest else "\N{HORIZONTAL ELLIPSIS}" + line[1 - longest :]


class ClimlogError(Exception):
    """Any problem a person can mend: one line that says where, what was found, what fixes it."""


class UnusableInputError(ClimlogError):
    """A file that cannot be read as what it was given for."""


class NoTableError(UnusableInputError):
    """A text without a line of readings: no log at all; a reader of folders may pass over it."""


class SeveralFaultsError(UnusableInputError):
    """Several things to mend in one sheet, told together.

    Parameters
    ----------
    where : str
        The sheet.
    faults : sequence of str
        One line each, with its place in the sheet.
    """

    def __init__(self, where: str, faults: "list[str]") -> None:
        self.where, self.faults = where, tuple(faults)
        listed = " ".join(f"({number}) {one}" for number, one in enumerate(faults, start=1))
        super().__init__(f"{where}: {len(faults)} things to mend: {listed}")


@dataclass(frozen=True)
class Choice:
    """One way to read a log.

    Attributes
    ----------
    options : mapping of str to str or tuple of str
        The reading options that settle it this way.
    says : str
        What it would mean, in a few words.
    rows : tuple of str
        Some readings of the log as this choice gives them; empty until it was tried.
    file : str
        The one file that it is meant for, among several; "" for all.
    """

    options: Settled
    says: str
    rows: tuple[str, ...] = ()
    file: str = ""

    @property
    def as_options(self) -> str:
        """The options as they are typed after a command."""
        return " ".join(
            quoted_option(name, one) if not self.file else f'--for-file "{self.file}: {name} {one}"'
            for name, one in self.settled
        )

    @property
    def settled(self) -> tuple[tuple[str, str], ...]:
        """Each option by its name as it is typed, without the hyphens before it, and its value."""
        return tuple(
            (name.replace("_", "-"), one)
            for name, value in self.options.items()
            for one in ((value,) if isinstance(value, str) else value)
        )


def quoted_option(name: str, value: str) -> str:
    """Write an option and its value as they are typed after a command."""
    return f"--{name} {quoted(value)}"


def quoted(word: str) -> str:
    """Put a word in quotes where a shell would cut it."""
    plain = word and all(letter.isalnum() or letter in "._-:/" for letter in word)
    return word if plain else f'"{word}"'


class UndecidedError(UnusableInputError):
    """A step of the importer that can go several ways; none of them has been tried yet.

    Attributes
    ----------
    problem : str
        Where and what is open, without advice.
    candidates : sequence of Choice
        What might settle it.
    otherwise : str
        What the file lacks, for when no candidate leads to readings.
    """

    def __init__(self, problem: str, candidates: Sequence[Choice], otherwise: str = "") -> None:
        super().__init__(f"{problem}; {otherwise}" if otherwise else problem)
        self.problem = problem
        self.candidates = tuple(candidates)
        self.otherwise = otherwise


class OpenQuestionError(UnusableInputError):
    """A log that can be read in more than one way; every choice was tried on it and reads it.

    Attributes
    ----------
    problem : str
        Where and what is open, without advice.
    choices : tuple of Choice
        Each with some readings as it gives them.
    """

    def __init__(self, problem: str, choices: Sequence[Choice], told: str) -> None:
        super().__init__(told)
        self.problem = problem
        self.choices = tuple(choices)


class ImpossibleValueError(ClimlogError):
    """A quantity outside what nature or geometry allows."""


class UnknownNameError(ClimlogError):
    """A wood, finish, fastening or key that the tables do not hold."""


class WrongKindError(ClimlogError, TypeError):
    """A caller's argument of the wrong kind: no path, or a path where a record is wanted."""


class ExtrapolationWarning(UserWarning):
    """A value beyond the range that a published fit was made for."""
