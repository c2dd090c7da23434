"""place with --hourly and --picture: written whole, never over others, nothing loaded unasked."""

import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.report.files import one_file_each
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
        (("room", SAMPLES / "drying_room.csv"), "no target was given to judge it by"),
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
