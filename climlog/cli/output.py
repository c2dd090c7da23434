"""How a command hands out what it made: JSON to a file or to the screen, pages to a folder."""

import json
import sys
from pathlib import Path

import click

from climlog.cli.console import shows_everything
from climlog.report.files import free_path, refuse_existing, write_whole


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
