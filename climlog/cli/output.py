"""How a command hands out what it made: JSON to a file or to the screen, pages to a folder."""

import io
import json
import sys
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from climlog.cli.console import shows_everything
from climlog.errors import UnusableInputError
from climlog.report.files import file_name, free_path, refuse_existing, write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PICTURES = (".svg", ".png", ".pdf")
PICTURE_DPI = 150


def check_json_target(json_file: str | None, replace: bool) -> None:
    """Refuse a JSON file that is there already, before the work is done."""
    if json_file and json_file != "-":
        refuse_existing(Path(json_file), replace)


def deliver_json(numbers: object, json_file: str | None, replace: bool) -> bool:
    """Write numbers as JSON; return whether they went to the screen in place of text."""
    if json_file is None:
        return False
    if json_file == "-":
        click.echo(_json_text(numbers, ensure_ascii=not shows_everything(sys.stdout)), nl=False)
        return True
    check_json_target(json_file, replace)
    write_whole(Path(json_file), _json_text(numbers, ensure_ascii=False))
    return False


def _json_text(numbers: object, ensure_ascii: bool) -> str:
    return json.dumps(numbers, indent=2, ensure_ascii=ensure_ascii, allow_nan=False) + "\n"


def deliver_page(page: str, name: str, folder: Path, replace: bool) -> None:
    """Write a page under a name that is free, and say where it is."""
    path = free_path(folder, name, ".html", replace)
    write_whole(path, page)
    click.echo(f"Page: {path}")


def deliver_text(text: str, path: Path, replace: bool) -> None:
    """Write a text to a named file and say so."""
    refuse_existing(path, replace)
    write_whole(path, text)
    click.echo(f"Written: {path}", err=True)


def one_file_each(path: Path, names: Sequence[str]) -> list[Path]:
    """Keep a file's name for one piece; for several, add the name of each, numbered where alike."""
    if len(names) == 1:
        return [path]
    paths: list[Path] = []
    for name in names:
        plain = file_name(path.stem, name)
        number, made = 1, path.with_name(f"{plain}{path.suffix}")
        while made in paths:
            number += 1
            made = path.with_name(f"{plain}-{number}{path.suffix}")
        paths.append(made)
    return paths


def check_picture_target(path: Path, replace: bool) -> None:
    """Refuse a picture of an unknown kind, or one that is there already."""
    if path.suffix.lower() not in PICTURES:
        raise UnusableInputError(f"{path}: a picture ends in {', '.join(PICTURES)}")
    refuse_existing(path, replace)


def deliver_picture(figure: "Figure", path: Path, replace: bool, says: str) -> None:
    """Save a figure whole, the same bytes for the same numbers; `says` tells it to the blind."""
    from matplotlib import rc_context

    kind = path.suffix.lower()
    drawn = io.BytesIO()
    with (
        warnings.catch_warnings(record=True) as told,
        rc_context({"svg.fonttype": "none", "svg.hashsalt": "climlog"}),
    ):
        warnings.simplefilter("always")
        figure.savefig(drawn, format=kind[1:], dpi=PICTURE_DPI, metadata=_metadata(kind, says))
    lacking = [one for one in told if str(one.message).startswith("Glyph")]
    for other in (one for one in told if one not in lacking):
        warnings.warn(other.message, other.category, stacklevel=2)
    if lacking and kind != ".svg":
        click.echo(f"{path.name}: its font lacks some letters; SVG keeps them all", err=True)
    check_picture_target(path, replace)
    write_whole(path, drawn.getvalue())
    click.echo(f"Written: {path}", err=True)


def _metadata(kind: str, says: str) -> dict[str, str | None]:
    if kind == ".pdf":
        return {"Title": says, "CreationDate": None}
    if kind == ".svg":
        return {"Title": says, "Date": None}
    return {"Title": says}
