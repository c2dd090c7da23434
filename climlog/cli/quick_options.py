"""Options of `place` that describe a piece in a few words, in place of a sheet."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli import completion
from climlog.cli.asking import settled
from climlog.cli.options import NEW_FILE, OneOf, option, with_options
from climlog.report.files import one_file_each

if TYPE_CHECKING:
    from climlog.model.board import Piece
    from climlog.sheets.piece import ReadPiece

NEEDED = ("wood", "width", "thickness")


@dataclass(frozen=True)
class QuickOptions:
    """The quick form; None where nothing was said."""

    wood: str | None
    width: str | None
    thickness: str | None
    cut: str | None
    length: str | None
    finish: str | None
    hidden_finish: str | None
    board_width: str | None
    layout: str | None
    fastenings: tuple[str, ...]
    rails: str | None
    count: int | None
    gap: str | None
    rail_thickness: str | None
    fixed_on: str | None
    moisture_when_fixed: str | None
    measured_by: str | None
    save_sheet: Path | None


KEPT = frozenset(one.name for one in fields(QuickOptions)) - {"fastenings", "save_sheet"}


@dataclass(frozen=True)
class Made:
    """Pieces to judge, the tables each was read from, and the sheet each is written down to."""

    pieces: "tuple[Piece, ...]"
    tables: "tuple[Mapping[str, object], ...]"
    sheets: tuple[Path, ...] = ()


quick_options = with_options(
    option("--wood", shell_complete=completion.woods, help="Wood, such as 'red oak'."),
    option("--width", help="Width across the grain, such as '38 in'."),
    option("--thickness", help="Thickness, such as '7/8 in'."),
    option(
        "--cut", shell_complete=completion.cuts,
        help="Flat-sawn, rift, quartersawn or a ring angle.",
    ),
    option("--length", help="Length along the grain."),
    option("--finish", shell_complete=completion.finishes, help="Finish on the show face."),
    option(
        "--hidden-finish", shell_complete=completion.finishes, help="Finish on the hidden face."
    ),
    option("--board-width", help="Of a floor, the width of its boards."),
    option(
        "--layout", shell_complete=completion.layouts, metavar="NAME",
        help="Places rails and fastenings by rule: apron, trestle, 'slab on a frame', "
        "'breadboard ends', 'panel in a frame', door, 'drawer front', 'floor between walls'.",
    ),
    option(
        "--fastening", "fastenings", multiple=True, metavar="KIND",
        shell_complete=completion.fastenings,
        help="Kind of fastening; each one more is a candidate of its own, judged "
        "apart (a sheet mixes kinds).",
    ),
    option(
        "--rails", type=OneOf(["across", "along", "all"]),
        help="The rails they sit on, by the way these run to the grain.",
    ),
    option(
        "--count", type=click.IntRange(1), metavar="NUMBER", help="How many on each rail."
    ),
    option("--gap", help="Gap left at clips, buttons, edges, such as '1/8 in'."),
    option(
        "--rail-thickness", help="Of rails along the grain that slots run across."
    ),
    option("--fixed-on", metavar="DAY", help="Day it is fixed down, 2025-02-14."),
    option(
        "--moisture-when-fixed", metavar="PERCENT", help="Its moisture that day."
    ),
    option(
        "--measured-by", shell_complete=completion.measured_by, metavar="HOW",
        help="Oven, pin meter or guess.",
    ),
    option(
        "--save-sheet", metavar="FILE", type=NEW_FILE,
        help="Write the quick form, or a plan for a sheet without fastenings, down as a sheet.",
    ),
)  # fmt: skip


def pieces_of(sheets: tuple[Path, ...], quick: QuickOptions) -> Made:
    """Read the sheets, or make the pieces of the quick form.

    Raises
    ------
    click.UsageError
        If there is neither a sheet nor enough for a quick form.
    """
    if sheets:
        named = [one.name for one in fields(quick) if one.name != "save_sheet"]
        beside = [name for name in named if getattr(quick, name)]
        if beside:
            raise click.UsageError(
                f"{_option(beside[0])} describes a piece that has no sheet; write it in the sheet, "
                "or leave --piece out"
            )
        from climlog.sheets.sheet import Sheet

        return _made([settled(Sheet.of_file(sheet)) for sheet in sheets], quick.save_sheet)
    missing = [f"--{name}" for name in NEEDED if not getattr(quick, name)]
    if missing:
        raise click.UsageError(
            f"give --piece SHEET, or for the quick form also {', '.join(missing)}"
        )
    return _candidates(quick)


def _option(name: str) -> str:
    return "--fastening" if name == "fastenings" else f"--{name.replace('_', '-')}"


def _candidates(quick: QuickOptions) -> Made:
    """Make a piece of the quick form for each kind of fastening, or one without any."""
    from climlog.report.phrases import plural_of
    from climlog.sheets.quick import QuickPiece, sheet_of_options

    shared = {one.name: getattr(quick, one.name) for one in fields(QuickPiece) if one.name in KEPT}
    kinds: list[str | None] = [*dict.fromkeys(quick.fastenings)] or [None]
    forms = [QuickPiece(**shared, fastening=kind) for kind in kinds]
    reads = [settled(sheet_of_options(form.tables())) for form in forms]
    pieces = [one.piece for one in reads]
    if len(pieces) > 1:
        pieces = [
            replace(piece, name=f"{piece.name} with {plural_of(kind or '')}")
            for piece, kind in zip(pieces, kinds, strict=True)
        ]
    reads = [replace(one, piece=piece) for one, piece in zip(reads, pieces, strict=True)]
    return _made(reads, quick.save_sheet)


def _made(reads: "list[ReadPiece]", save_sheet: Path | None) -> Made:
    pieces, tables = (
        tuple(part) for part in zip(*((r.piece, r.tables) for r in reads), strict=True)
    )
    if save_sheet is None:
        return Made(pieces, tables)
    return Made(pieces, tables, tuple(one_file_each(save_sheet, [one.name for one in pieces])))
