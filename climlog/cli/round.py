"""climlog round: many places and pieces at once, from one file that is kept."""

import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.help import GroupedCommand, examples
from climlog.cli.options import FILE, output_options, takes, with_options
from climlog.cli.output import Delivery, OutputOptions, names_a_page
from climlog.errors import UnusableInputError, shown, shown_path

if TYPE_CHECKING:
    from climlog.analysis.round.changes import LastRound
    from climlog.cli.console import Progress
    from climlog.report.document import Document
    from climlog.report.json import Numbers
    from climlog.report.round.rows import Telling
    from climlog.sheets.round import RoundFile

INDEX, NUMBERS = "index.html", "round.json"


@dataclass(frozen=True)
class RoundOptions:
    """What `climlog round` was asked."""

    file: Path
    output: OutputOptions


@click.command(
    "round",
    cls=GroupedCommand,
    epilog=examples(
        "climlog sheet round --out museum.toml",
        "climlog round museum.toml",
        "climlog round museum.toml --units metric --json -",
    ),
)
@click.argument("file", type=FILE)
@with_options(output_options)
@takes(RoundOptions)
def command(asked: RoundOptions) -> None:
    """Go through all places and pieces of FILE: what is worst, and what changed since last time.

    Pages stand under fixed names in a folder of the round's own and are replaced by the next
    round; index.html leads to them, round.json has the numbers. A place or a sheet that cannot be
    read is a row that says so.
    """
    from climlog.cli.console import Progress, say
    from climlog.report.files import file_name
    from climlog.report.json import numbers
    from climlog.report.round.document import brief, document, short_table
    from climlog.report.terminal import render_with
    from climlog.sheets.round import read_round

    output = asked.output
    if names_a_page(output.out):
        raise UnusableInputError(
            f"{shown_path(output.out)}: a round has a page for each piece; name a folder"
        )
    file = read_round(asked.file)
    inputs = (asked.file, *(path for place in file.places for path in place.inputs))
    delivery = Delivery(output.json_file, output.replace, inputs, (), output.out)
    folder = output.out / file_name("round", file.name)
    _refuse_among(folder, Path(output.json_file or "-"))
    seen_as = _seen_from(folder, asked.file)
    last, note = _last(folder, output.replace, seen_as)
    with Progress("reading the places", quiet=output.quiet) as progress:
        pages = None if delivery.to_screen else folder
        telling = _gone_round(file, asked, last, pages, progress)
    report = telling.report(file.name, seen_as)
    found, said = numbers(report, output.units), output.signed(document(report))
    if pages is not None:
        _write_index(folder, inputs, said, found)
    delivery.numbers(lambda: found)
    if note and not output.quiet:
        say(note, err=True)
    words = (
        None
        if output.quiet
        else lambda: render_with(said, short_table(report), output.full, brief(report))
    )
    delivery.finish(words)
    if pages is not None:
        say(f"Page: {folder / INDEX}")


def _seen_from(folder: Path, file: Path) -> str:
    """Give the way from a round's pages to its file: the same when both are moved together."""
    try:
        return Path(os.path.relpath(file.resolve(), folder.resolve())).as_posix()
    except ValueError:  # Another drive of Windows.
        return file.resolve().as_posix()


def _last(folder: Path, replace: bool, seen_as: str) -> "tuple[LastRound | None, str]":
    """Read what the last round of this file left, and say where it cannot be read.

    Raises
    ------
    UnusableInputError
        If the folder holds files that no round left, or the round of another file, and they may
        not be written over, or a link or a folder where a file of the round would go, whatever may
        be written over.
    """
    from climlog.analysis.round.changes import read_last

    _refuse_what_leads_away(folder)
    numbers = folder / NUMBERS
    taken = [numbers, folder / INDEX, *sorted(folder.glob("*.html"))]
    there = next((path for path in taken if path.exists()), None)
    if there is None:
        return None, ""
    note = ""
    if numbers.exists():
        try:
            last = read_last(numbers.read_text(encoding="utf-8"))
        except (UnusableInputError, OSError, UnicodeDecodeError) as error:
            note = f"{shown_path(numbers)}: not compared with the last round ({error})"
        else:
            if last.file in ("", seen_as):
                return last, ""
            return None, _of_another(folder, last.file, replace)
    if not replace:
        raise UnusableInputError(
            f"{shown_path(there)}: not of a round; add --replace to write over it, or choose "
            "another --out"
        )
    return None, note


def _of_another(folder: Path, other: str, replace: bool) -> str:
    """Say that a folder holds the round of another file; refuse it unless it may be replaced."""
    says = f"{shown_path(folder)}: has the round of another file of that name, {shown(other)}"
    if not replace:
        raise UnusableInputError(f"{says}; choose another --out, or give one round another name")
    return f"{says}; not compared with it"


def _refuse_what_leads_away(folder: Path) -> None:
    """Refuse links and folders among the files of a round: writing there would go elsewhere."""
    for path in (folder, *(sorted(folder.iterdir()) if folder.is_dir() else ())):
        if path.is_symlink():
            raise UnusableInputError(f"{shown_path(path)}: a link; take it away")
    for name in (INDEX, NUMBERS):
        if (folder / name).is_dir():
            raise UnusableInputError(f"{shown_path(folder / name)}: a folder; move it elsewhere")


def _refuse_among(folder: Path, numbers: Path) -> None:
    """Refuse to write numbers asked for among the round's own files."""
    if str(numbers) != "-" and numbers.resolve().parent == folder.resolve():
        raise UnusableInputError(
            f"{shown_path(numbers)}: among the round's own files, which stand under their own "
            f"names ({NUMBERS} has the numbers); choose another folder"
        )


def _gone_round(
    file: "RoundFile",
    asked: RoundOptions,
    last: "LastRound | None",
    folder: Path | None,
    progress: "Progress",
) -> "Telling":
    """Run all places, each place's pages written as soon as it is done."""
    from climlog.analysis.round.round import go_round
    from climlog.report import html
    from climlog.report.files import Outbox
    from climlog.report.phrases import Say
    from climlog.report.round.rows import Telling

    telling = Telling(file.folder, last, Say(asked.output.units))
    for number, run in enumerate(go_round(file, asked.output.units), start=1):
        box = Outbox((asked.file, *run.place.inputs), replace=True)
        for name, document in telling.add(run):
            if folder is not None:
                box.put(folder / name, html.render(asked.output.signed(document)))
        box.write()
        progress.say(f"{number} of {len(file.places)} places done")
    return telling


def _write_index(
    folder: Path, inputs: tuple[Path, ...], said: "Document", found: "Numbers"
) -> None:
    """Write the index and the numbers together, last: till then the last good ones stay."""
    from climlog.report import html
    from climlog.report.files import Outbox
    from climlog.report.json import json_text

    box = Outbox(inputs, replace=True)
    box.put(folder / INDEX, html.render(said))
    box.put(folder / NUMBERS, json_text(found))
    box.write()
