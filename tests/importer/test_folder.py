"""Which files of a folder are logs: every command goes by the same rule, and look tells it."""

import json

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.errors import UnusableInputError
from climlog.importer.folder import expand_paths, look_into
from tests.places import SAMPLES

ROWS = "Time,Temp (C),RH (%)\n" + "".join(
    f"2025-01-{day:02} {hour:02}:00,20.{hour % 10},4{day % 10}\n"
    for day in range(1, 29)
    for hour in range(24)
)


@pytest.fixture
def folder(tmp_path):
    inside = tmp_path / "logs"
    inside.mkdir()
    for name in ("a.txt", "b.tab", "c.CSV", "d.csv.gz", "notes.pdf", ".hidden.csv"):
        (inside / name).write_text(ROWS, encoding="utf-8")
    (inside / "deeper.csv").mkdir()
    return inside


def test_texts_tables_and_packed_files_are_logs_and_others_are_told(folder):
    seen = look_into(folder)
    assert [one.name for one in seen.logs] == ["a.txt", "b.tab", "c.CSV", "d.csv.gz"]
    assert [one.name for one in seen.passed_over] == ["notes.pdf"]


def test_look_and_place_read_the_same_files_of_a_folder(folder):
    (folder / "d.csv.gz").unlink()
    looked = CliRunner().invoke(main, ["look", str(folder), "--json", "-"])
    assert looked.exit_code == 0, looked.output
    files = [one["file"] for one in json.loads(looked.stdout)["logs"]]
    placed = CliRunner().invoke(
        main, ["place", str(folder), "--piece", str(SAMPLES / "held_top.toml"), "--json", "-"]
    )
    assert placed.exit_code == 0, placed.output
    assert (
        json.loads(placed.stdout)["log"]["file"].split(", ") == files == ["a.txt", "b.tab", "c.CSV"]
    )


def test_look_names_what_it_passed_over(folder):
    (folder / "d.csv.gz").unlink()
    looked = CliRunner().invoke(main, ["look", str(folder)])
    first = " ".join(looked.stdout.split("\n\n")[0].split())
    assert "3 of its files are read as logs: a.txt, b.tab, c.CSV." in first
    assert "notes.pdf" in first


def test_a_folder_without_logs_is_refused_with_the_endings_that_count(tmp_path):
    (tmp_path / "picture.png").write_bytes(b"")
    with pytest.raises(UnusableInputError, match=r"\.csv.*name the file"):
        expand_paths([tmp_path])
