"""How a command hands out what it made: files together first, then the words."""

import os
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.console import say, shows_everything
from climlog.errors import UnusableInputError, cleaned
from climlog.report.files import Outbox, one_file_each
from climlog.units import Units

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from climlog.report.document import Document

PICTURES = (".svg", ".png", ".pdf")
PAGES = (".html", ".htm")
SCREEN = "-"
EPOCH = "SOURCE_DATE_EPOCH"


@dataclass(frozen=True)
class OutputOptions:
    """Where the answer goes.

    Attributes
    ----------
    json_file : str or None
        A file for the numbers, or "-" for the screen in place of words and page.
    out : Path
        Folder of the pages, or by its ending the page itself.
    maker_name, client_name : str
        Who made it and for whom; empty where nobody said.
    """

    json_file: str | None
    out: Path
    units: Units
    replace: bool
    full: bool
    quiet: bool
    maker_name: str = ""
    client_name: str = ""

    def pages(self, subjects: Sequence[str]) -> "Path | list[Path]":
        """Give the folder that pages go to, or the page of each subject where a file was named."""
        return one_file_each(self.out, subjects) if names_a_page(self.out) else self.out

    def signed(self, document: "Document") -> "Document":
        """Put maker, client, day and version to a document."""
        from climlog import __version__
        from climlog.report.document import Imprint

        return document.signed(Imprint(self.maker_name, self.client_name, today(), __version__))


def today() -> date:
    """Give the day that is printed: of SOURCE_DATE_EPOCH where it is set, for pages made again.

    https://reproducible-builds.org/specs/source-date-epoch/
    """
    epoch = os.environ.get(EPOCH, "")
    if epoch.isdecimal():
        return datetime.fromtimestamp(int(epoch), UTC).date()
    return datetime.now().astimezone().date()


class Delivery:
    """What one command hands out, its targets checked at once.

    Parameters
    ----------
    json_file : str or None
        As in `OutputOptions`.
    replace : bool
    inputs : iterable of Path
        Everything that the command reads.
    named : iterable of Path
        Other files that it was told to write.
    pages : Path or list of Path, optional
        Folder that its pages go to, or the pages themselves in their order.
    """

    def __init__(
        self,
        json_file: str | None,
        replace: bool,
        inputs: Iterable[Path] = (),
        named: Iterable[Path] = (),
        pages: Path | list[Path] | None = None,
    ) -> None:
        self._json_file = json_file
        self._box = Outbox(tuple(inputs), replace)
        self._numbers: object = None
        self._named: list[Path] = []
        self._refused: list[str] = []
        self._pages = pages
        own = pages if isinstance(pages, list) and not self.to_screen else ()
        numbers = [Path(json_file)] if json_file and not self.to_screen else ()
        for path in (*named, *numbers, *own):
            self._box.reserve(path)
        if isinstance(pages, Path) and not self.to_screen:
            self._box.reserve_folder(pages)

    @property
    def to_screen(self) -> bool:
        """Whether the numbers are printed in place of words and page."""
        return self._json_file == SCREEN

    def numbers(self, make: Callable[[], object]) -> None:
        """Hand out numbers as JSON, made only where that was asked for."""
        if not self._json_file:
            return
        self._numbers = make()
        if not self.to_screen:
            from climlog.report.json import json_text

            self._box.put(Path(self._json_file), json_text(self._numbers, ensure_ascii=False))

    def file(self, path: Path, content: str | bytes) -> None:
        """Hand out a named file."""
        self._box.put(path, content)
        self._named.append(path)

    def letter(self, path: Path, document: "Document") -> None:
        """Hand out the message to the client; one that is withheld is told when all is done."""
        from climlog.report import letter

        try:
            text = letter.render(document)
        except UnusableInputError as error:
            self._refused.append(str(error))
            return
        self.file(path, text)

    def picture(self, path: Path, document: "Document") -> None:
        """Hand out the drawings under a document's answer as a picture."""
        from climlog.report.drawing.picture import picture_of_answer

        self.file(path, drawn(picture_of_answer(document), path, document.answer.says))

    def told(self, document: "Document", picture: Path | None, letter: Path | None) -> None:
        """Hand out the picture and the letter of a document, those of them that were asked for."""
        if picture is not None:
            self.picture(picture, document)
        if letter is not None:
            self.letter(letter, document)

    def page(self, name: str, make: Callable[[], str]) -> None:
        """Hand out a page, unless the numbers take the screen.

        It goes under a name that is free, or into the file that was named for it.
        """
        if self.to_screen:
            return
        if isinstance(self._pages, list):
            self._box.put(self._pages.pop(0), make())
        elif self._pages is not None:
            self._box.put_page(self._pages / f"{name}.html", make())

    def finish(self, words: Callable[[], str] | None) -> None:
        """Write all files together; then print the numbers, or the words and where the pages are.

        Raises
        ------
        UnusableInputError
            If a file cannot be written: then none is; or, all else done, if a letter is withheld.
        """
        self._show(self._box.write(), words)
        if self._refused:
            raise UnusableInputError("; ".join(self._refused))

    def _show(self, written: list[Path], words: Callable[[], str] | None) -> None:
        for path in self._named:
            say(f"Written: {path}", err=True)
        if self.to_screen:
            from climlog.report.json import json_text

            lacks = not shows_everything(sys.stdout)
            click.echo(json_text(self._numbers, ensure_ascii=lacks), nl=False)
            return
        if words is not None:
            say(words())
        for path in written:
            if names_a_page(path) and path not in self._named:
                say(f"Page: {path}")


def names_a_page(path: Path) -> bool:
    """Whether a name is a page's, not a folder's."""
    return path.suffix.lower() in PAGES and not path.is_dir()


def named_files(picture: Path | None, letter: Path | None) -> list[Path]:
    """List the files of a document that were asked for; a picture of an unknown kind is refused."""
    if picture is not None:
        check_picture_name(picture)
    return [path for path in (picture, letter) if path is not None]


def check_picture_name(path: Path) -> None:
    """Refuse a picture of an unknown kind."""
    if path.suffix.lower() not in PICTURES:
        raise UnusableInputError(f"{cleaned(path)}: a picture ends in {', '.join(PICTURES)}")


def drawn(figure: "Figure", path: Path, says: str) -> bytes:
    """Draw a figure for a file; `says` tells it to the blind."""
    from climlog.report.drawing.drawn import drawn as drawn_as

    picture = drawn_as(figure, path.suffix.lower(), says)
    if picture.lacks_letters:
        say(f"{path.name}: its font lacks some letters; SVG keeps them all", err=True)
    return picture.content
