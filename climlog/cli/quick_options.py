"""Options of `place` that describe a piece in a few words, in place of a sheet."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.options import FILE, with_options
from climlog.report.files import one_file_each

if TYPE_CHECKING:
    from climlog.model.board import Piece

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
    fastenings: tuple[str, ...]
    fixed_on: str | None
    moisture_when_fixed: str | None
    save_sheet: Path | None


@dataclass(frozen=True)
class Made:
    """Pieces to judge, and sheets to write down, by the file each goes to."""

    pieces: "tuple[Piece, ...]"
    sheets: Mapping[Path, str] = field(default_factory=dict)


quick_options = with_options(
    click.option("--wood", help="Quick form: wood, such as 'red oak'."),
    click.option("--width", help="Quick form: width across the grain, such as '38 in'."),
    click.option("--thickness", help="Quick form: thickness, such as '7/8 in'."),
    click.option("--cut", help="Quick form: flat-sawn, rift, quartersawn or a ring angle."),
    click.option("--length", help="Quick form: length along the grain."),
    click.option("--finish", help="Quick form: finish on the show face."),
    click.option(
        "--fastening", "fastenings", multiple=True, metavar="KIND",
        help="Quick form: kind of fastening, on rails across the grain; each one more is a "
        "candidate of its own, judged apart (a sheet mixes kinds).",
    ),
    click.option("--fixed-on", metavar="DAY", help="Quick form: day it is fixed down, 2025-02-14."),
    click.option(
        "--moisture-when-fixed", metavar="PERCENT", help="Quick form: its moisture that day."
    ),
    click.option(
        "--save-sheet", metavar="FILE", type=FILE,
        help="Quick form: write the options down as a sheet.",
    ),
)  # fmt: skip


def pieces_of(sheets: tuple[Path, ...], quick: QuickOptions) -> Made:
    """Read the sheets, or make the pieces of the quick form.

    Raises
    ------
    click.UsageError
        If there is neither a sheet nor enough for a quick form.
    """
    from climlog.sheets.piece import read_piece

    if sheets:
        return Made(tuple(read_piece(sheet) for sheet in sheets))
    missing = [f"--{name}" for name in NEEDED if not getattr(quick, name)]
    if missing:
        raise click.UsageError(
            f"give --piece SHEET, or for the quick form also {', '.join(missing)}"
        )
    return _candidates(quick)


def _candidates(quick: QuickOptions) -> Made:
    """Make a piece of the quick form for each kind of fastening, or one without any."""
    from dataclasses import replace

    from climlog.report.phrases import plural_of
    from climlog.sheets.quick import QuickPiece

    kinds = list(dict.fromkeys(quick.fastenings))
    each: list[tuple[str, ...]] = [(kind,) for kind in kinds] or [()]
    forms = [
        QuickPiece(
            wood=quick.wood or "",
            width=quick.width or "",
            thickness=quick.thickness or "",
            cut=quick.cut,
            length=quick.length,
            finish=quick.finish,
            fastenings=some,
            fixed_on=quick.fixed_on,
            moisture_when_fixed=quick.moisture_when_fixed,
        )
        for some in each
    ]
    pieces = [form.piece() for form in forms]
    if len(pieces) > 1:
        pieces = [
            replace(piece, name=f"{piece.name} with {plural_of(kind)}")
            for piece, kind in zip(pieces, kinds, strict=True)
        ]
    if quick.save_sheet is None:
        return Made(tuple(pieces))
    paths = one_file_each(quick.save_sheet, [piece.name for piece in pieces])
    texts = [form.sheet() for form in forms]
    return Made(tuple(pieces), dict(zip(paths, texts, strict=True)))
