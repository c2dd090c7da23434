"""place with --hourly and --picture: written whole, never over others, nothing loaded unasked."""

import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.report.files import one_file_each
from tests.cli.museum import open_museum
from tests.places import SAMPLES

ROOM, SHEET = SAMPLES / "shop.csv", SAMPLES / "held_top.toml"


def place(folder, *arguments, sheets=(SHEET,)):
    pieces = [word for sheet in sheets for word in ("--piece", sheet)]
    words = ["place", ROOM, *pieces, "--out", folder / "out", *arguments]
    return CliRunner().invoke(main, [str(one) for one in words])


@pytest.mark.slow
def test_the_table_and_the_picture_are_written_and_named(tmp_path):
    table, picture = tmp_path / "hours.csv", tmp_path / "new" / "top.svg"
    result = place(tmp_path, "--hourly", table, "--picture", picture)
    assert result.exit_code == 0, result.output
    assert result.stderr.splitlines() == [f"Written: {table}", f"Written: {picture}"]
    assert len(pd.read_csv(table)) > 1000
    assert picture.read_bytes().startswith(b"<?xml")


def test_they_are_written_beside_numbers_on_the_screen_too(tmp_path):
    result = place(tmp_path, "--hourly", tmp_path / "h.csv", "--json", "-")
    assert result.exit_code == 0
    assert result.stdout.startswith("{")
    assert (tmp_path / "h.csv").exists()


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["svg", "png", "pdf"])
def test_the_same_numbers_give_the_same_picture(tmp_path, kind):
    first, second = tmp_path / f"a.{kind}", tmp_path / f"b.{kind}"
    for path in (first, second):
        assert place(tmp_path, "--picture", path).exit_code == 0
    assert first.read_bytes() == second.read_bytes()


@pytest.mark.parametrize("option", ["--hourly", "--picture"])
def test_a_file_that_is_there_is_refused_before_the_work(tmp_path, option):
    target = tmp_path / "mine.png"
    target.write_bytes(b"mine")
    result = place(tmp_path, option, target)
    assert result.exit_code == 1
    assert "--replace" in result.stderr
    assert result.stdout == ""
    assert target.read_bytes() == b"mine"
    assert not (tmp_path / "out").exists()
    assert place(tmp_path, option, target, "--replace").exit_code == 0
    assert target.read_bytes() != b"mine"


def test_an_unknown_kind_of_picture_is_refused(tmp_path):
    result = place(tmp_path, "--picture", tmp_path / "top.jpeg")
    assert result.exit_code == 1
    assert ".svg, .png, .pdf" in result.stderr


def test_several_pieces_get_a_picture_each_and_one_table(tmp_path):
    sheets = (SHEET, SAMPLES / "wide_top_slots.toml")
    result = place(
        tmp_path, "--picture", tmp_path / "p.png", "--hourly", tmp_path / "h.csv", sheets=sheets
    )
    assert result.exit_code == 0, result.output
    assert len(list(tmp_path.glob("p-*.png"))) == 2
    assert pd.read_csv(tmp_path / "h.csv")["piece"].nunique() == 2


def test_pieces_of_one_name_do_not_share_a_file():
    paths = one_file_each(Path("x/p.svg"), ["Top", "top", "Other"])
    assert [path.name for path in paths] == ["p-top.svg", "p-top-2.svg", "p-other.svg"]
    assert one_file_each(Path("p.svg"), ["Top"]) == [Path("p.svg")]


def test_a_name_beyond_the_font_is_said_once_and_kept_in_the_svg(tmp_path):
    sheet = tmp_path / "sheet.toml"
    text = SHEET.read_text(encoding="utf-8").replace("side table", "\u5e8a")
    assert "\u5e8a" in text
    sheet.write_text(text, encoding="utf-8")
    result = place(tmp_path, "--picture", tmp_path / "p.png", sheets=(sheet,))
    assert result.exit_code == 0
    assert result.stderr.count("font lacks some letters") == 1
    result = place(tmp_path, "--picture", tmp_path / "p.svg", sheets=(sheet,))
    assert "lacks" not in result.stderr
    assert "\u5e8a" in (tmp_path / "p.svg").read_text(encoding="utf-8")


def test_matplotlib_and_helpers_are_loaded_only_when_asked_for(tmp_path):
    words = ["place", ROOM, "--piece", SHEET, "--out", tmp_path, "--quiet"]
    script = (
        "import sys\n"
        "from climlog.cli import main\n"
        f"try: main({[str(one) for one in words]!r})\n"
        "except SystemExit as end: assert end.code == 0\n"
        "print([name for name in ('matplotlib', 'concurrent.futures.process') "
        "if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert done.stdout.splitlines()[-1] == "[]"


HOUSE = SAMPLES / "ferry_house_dining_room.csv"


@pytest.mark.parametrize(
    ("job", "reason"),
    [
        (("room", SAMPLES / "drying_room.csv", "--stock", SAMPLES / "stock.toml"), ""),
        (("crack", HOUSE, "--piece", SAMPLES / "crack_held_top.toml"), ""),
        (("room", SAMPLES / "drying_room.csv"), "no target given"),
    ],
    ids=["room", "crack", "room without a target"],
)
def test_room_and_crack_write_a_picture_and_a_letter_or_say_why_not(job, reason, tmp_path):
    picture, letter = tmp_path / "p.svg", tmp_path / "letter.txt"
    words = [*map(str, job), "--picture", str(picture), "--letter", str(letter), "-q"]
    result = CliRunner().invoke(main, [*words, "--out", str(tmp_path), "--client", "Ms Rowan"])
    assert "<svg" in picture.read_text(encoding="utf-8")
    assert len(list(tmp_path.glob("*.html"))) == 1
    assert letter.exists() != bool(reason)
    assert result.exit_code == bool(reason), result.output
    if reason:
        assert "no letter is written" in result.stderr
        assert reason in result.stderr
        return
    lines = [one for one in letter.read_text(encoding="utf-8").splitlines() if one]
    assert lines[0] == "Dear Ms Rowan,"
    assert len(lines) <= 12


CRACKED = SAMPLES / "crack_held_top.toml"
JOBS = {
    "place": ("place", ROOM, "--piece", SHEET),
    "place without a log": ("place", "--piece", SHEET, "--air", "30 to 60 % RH at 20 C"),
    "room": ("room", ROOM),
    "crack": ("crack", SAMPLES / "ferry_house_dining_room.csv", "--piece", CRACKED),
}


def run(*words):
    return CliRunner().invoke(main, [str(one) for one in words])


@pytest.mark.parametrize("job", JOBS)
def test_a_page_that_is_named_is_that_file_and_never_a_folder(tmp_path, job):
    page = tmp_path / "new" / "answer.html"
    first = run(*JOBS[job], "--out", page, "--quiet")
    assert first.exit_code == 0, first.output
    assert first.stdout.splitlines()[-1] == f"Page: {page}"
    assert page.read_bytes().startswith(b"<!DOCTYPE html>")
    page.write_text("mine", encoding="utf-8")
    again = run(*JOBS[job], "--out", page)
    assert again.exit_code == 1
    assert "add --replace" in again.stderr
    assert page.read_text(encoding="utf-8") == "mine"
    assert [one.name for one in page.parent.iterdir()] == [page.name]


def test_a_page_that_is_named_is_written_over_when_told_to(tmp_path):
    page = tmp_path / "answer.html"
    page.write_text("mine", encoding="utf-8")
    job = JOBS["place without a log"]
    assert run(*job, "--out", page, "--replace").exit_code == 0
    assert page.read_bytes().startswith(b"<!DOCTYPE html>")


def test_several_pieces_have_a_page_each_beside_the_name_given(tmp_path):
    other = SAMPLES / "wide_top_slots.toml"
    result = run(
        *JOBS["place without a log"], "--piece", other, "--out", tmp_path / "both.htm", "--quiet"
    )
    assert result.exit_code == 0, result.output
    assert len(list(tmp_path.glob("both-*.htm"))) == 2


def test_a_folder_that_ends_like_a_page_stays_a_folder(tmp_path):
    folder = tmp_path / "old.html"
    folder.mkdir()
    assert run(*JOBS["room"], "--out", folder, "--quiet").exit_code == 0
    assert [one.suffix for one in folder.iterdir()] == [".html"]


@pytest.mark.parametrize("job", JOBS)
def test_a_name_of_another_kind_of_file_is_no_place_for_pages(tmp_path, job):
    result = run(*JOBS[job], "--out", tmp_path / "answer.pdf")
    assert result.exit_code == 2
    assert "answer.pdf: a page ends in .html; name such a file, or a folder" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_round_has_many_pages_and_wants_a_folder(tmp_path):
    (tmp_path / "f").write_text("mine", encoding="utf-8")
    file = open_museum(tmp_path)
    named = run("round", file, "--out", tmp_path / "round.html")
    assert named.exit_code == 1
    assert "round.html: a round has a page for each piece; name a folder" in named.stderr
    plain = run("round", file, "--out", tmp_path / "f")
    assert plain.exit_code == 1
    assert "is no folder" in plain.stderr


@pytest.mark.parametrize("folder", ["both", "both/inner"])
@pytest.mark.parametrize("command", ["room", "round"])
def test_a_file_and_the_folder_of_the_pages_cannot_have_one_name(tmp_path, command, folder):
    read = open_museum(tmp_path) if command == "round" else ROOM
    before = sorted(tmp_path.rglob("*"))
    result = run(command, read, "--json", tmp_path / "both", "--out", tmp_path / folder)
    assert result.exit_code == 1
    assert "a file and a folder of this run would have that name" in result.stderr
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("option", ["--letter", "--picture", "--hourly", "--save-sheet"])
def test_a_file_is_never_called_like_the_screen(option, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = ("place", "log.csv", "--piece", "p.toml", option, "-")
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert "name a file" in result.stderr
    assert not list(tmp_path.iterdir())
