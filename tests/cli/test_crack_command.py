"""The command crack as a person runs it: what it prints, writes, refuses, and how it exits."""

import json

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.places import SAMPLES

ROOM = SAMPLES / "ferry_house_dining_room.csv"
TOP = SAMPLES / "crack_held_top.toml"
TABLE = SAMPLES / "dining_table.toml"


def run(*arguments):
    return CliRunner().invoke(main, [str(one) for one in arguments])


def test_it_answers_first_then_says_where_the_page_is(tmp_path):
    result = run("crack", ROOM, "--piece", TOP, "--out", tmp_path)
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("Enough by itself: being held while it shrank.")
    (page,) = tmp_path.glob("*.html")
    assert page.name == "crack-ferry-house-hall-table.html"
    assert f"Page: {page}" in result.stdout
    assert page.read_text(encoding="utf-8").lower().startswith("<!doctype html>")


def test_quiet_prints_the_page_alone(tmp_path):
    result = run("crack", ROOM, "--piece", TOP, "--out", tmp_path, "--quiet")
    assert result.exit_code == 0, result.output
    assert result.stdout.splitlines() == [f"Page: {next(tmp_path.glob('*.html'))}"]


def test_json_on_the_screen_is_json_alone(tmp_path):
    signs = ("--sign", "where=middle", "--sign", "heat", "--gap", "3 mm")
    result = run("crack", ROOM, "--piece", TABLE, "--seen", "2026-01-28", *signs, "--json", "-")
    assert result.exit_code == 0, result.output
    numbers = json.loads(result.stdout)
    assert numbers["seen"] == {
        "on": "2026-01-28",
        "gap_mm": 3.0,
        "signs": {"where": "middle", "heat": "yes"},
    }
    assert numbers["window"]["log"] == "inside"


def test_the_shop_log_tells_the_moisture_when_fixed(tmp_path):
    sheet = tmp_path / "piece.toml"
    text = TABLE.read_text(encoding="utf-8")
    sheet.write_text(
        "\n".join(line for line in text.splitlines() if "moisture_when_fixed" not in line),
        encoding="utf-8",
    )
    result = run(
        "crack", ROOM, "--piece", sheet, "--seen", "2026-01-28",
        "--made-in", SAMPLES / "shop.csv", "--json", "-",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    place = json.loads(result.stdout)["place"]
    assert place["piece"]["moisture_known_from"] == "made in"


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ((), "the day the crack was seen is missing: add --seen"),
        (("--seen", "28.1.26"), "is not a day; write 2025-02-14"),
        (("--seen", "2026-01-28", "--sign", "were=middle"), 'did you mean "where"'),
        (("--seen", "2026-01-28", "--sign", "where=top"), "is not an answer; write one of middle"),
        (("--seen", "2026-01-28", "--gap", "3"), "is not a length"),
        (("--seen", "2024-01-28"), "before it was fixed on 2025-02-14"),
    ],
)
def test_bad_input_is_one_line_on_stderr_and_exit_1(given, words, tmp_path):
    result = run("crack", ROOM, "--piece", TABLE, *given, "--out", tmp_path)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1
    assert words in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_missing_sheet_is_wrong_usage():
    result = run("crack", ROOM)
    assert result.exit_code == 2
    assert "--piece" in result.stderr


def test_an_existing_json_file_is_kept(tmp_path):
    target = tmp_path / "numbers.json"
    target.write_text("mine", encoding="utf-8")
    result = run("crack", ROOM, "--piece", TOP, "--json", target, "--out", tmp_path)
    assert result.exit_code == 1
    assert target.read_text(encoding="utf-8") == "mine"


def test_the_signs_are_listed_the_most_telling_first():
    result = run("crack", "--list-signs")
    assert result.exit_code == 0, result.output
    first, second = result.stdout.splitlines()[:2]
    assert first.startswith("where=middle|screw-row|ends")
    assert "photo of the whole top" in second


@pytest.mark.parametrize(
    "outdoors",
    [("--outdoor", "ferry_house_outdoors.csv"), ("--outdoor-months", "ferry_house_months.csv")],
)
def test_a_history_without_a_log_of_the_client_is_told_stretch_by_stretch(outdoors, tmp_path):
    option, file = outdoors
    result = run(
        "crack", "--piece", TABLE, "--seen", "2026-01-28", "--made-in", SAMPLES / "shop.csv",
        "--delivered", "2025-07-12", option, SAMPLES / file,
        "--house", "iso13788-class-2", "--out", tmp_path, "--full",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    said = " ".join(result.stdout.split())
    assert "Where it was made, 14 February 2025 to 11 July 2025: read (shop.csv)" in said
    assert "12 July 2025 to 28 January 2026: worked out from the air outdoors" in said


def test_a_weather_file_is_refused_as_a_log_in_one_line(tmp_path):
    weather = SAMPLES / "ferry_house_outdoors.csv"
    result = run("crack", weather, "--piece", TOP, "--out", tmp_path)
    assert result.exit_code == 1
    assert "--outdoor ferry_house_outdoors.csv --house" in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_without_a_log_or_the_outdoors_it_says_what_to_add(tmp_path):
    result = run("crack", "--piece", TOP, "--out", tmp_path)
    assert result.exit_code == 2
    assert "--outdoor FILE and --house NAME" in result.stderr
