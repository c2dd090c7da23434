"""Every message names the file or the option that it is about, and a full disk what to do."""

import errno
import os

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.cli.naming import naming
from climlog.errors import ImpossibleValueError, SeveralFaultsError, UnusableInputError
from tests.places import SAMPLES

HOUSE, TOP = SAMPLES / "ferry_house_dining_room.csv", SAMPLES / "crack_held_top.toml"


def run(*words):
    return CliRunner().invoke(main, [str(one) for one in words])


def spoilt(folder, sheet, was, becomes):
    path = folder / "mine.toml"
    text = (SAMPLES / sheet).read_text(encoding="utf-8")
    assert was in text
    path.write_text(text.replace(was, becomes), encoding="utf-8")
    return path


def test_a_reading_far_beyond_the_log_names_sheet_and_board(tmp_path):
    sheet = spoilt(tmp_path, "stock.toml", "measured_on = 2025", "measured_on = 2045")
    result = run("room", SAMPLES / "drying_room.csv", "--stock", sheet, "--out", tmp_path)
    assert result.exit_code == 1
    assert result.stderr.startswith(
        "climlog: mine.toml: oak A for the top: a reading on 2045-03-03"
    )


def test_a_missing_day_of_the_crack_names_the_sheet(tmp_path):
    sheet = spoilt(tmp_path, TOP.name, "seen = ", "# seen = ")
    result = run("crack", HOUSE, "--piece", sheet, "--out", tmp_path)
    assert result.exit_code == 1
    assert result.stderr.startswith("climlog: mine.toml: the day the crack was seen is missing")


@pytest.mark.parametrize("day", ["2025-05-01", "2035-01-01"])
def test_days_out_of_order_name_sheet_and_option(tmp_path, day):
    result = run("crack", HOUSE, "--piece", TOP, "--delivered", day, "--out", tmp_path)
    assert result.exit_code == 1
    assert result.stderr.startswith(f"climlog: {TOP.name}: Ferry House hall table: ")
    assert f"--delivered {day}" in result.stderr


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--at", "x"), '--at: "x" is not a temperature'),
        (("--at", "20 C", "--jar", "NaCl=x"), '--jar: "x" is not a percentage'),
        (("--at", "20 C", "--jar", "NaXCl=70"), '--jar: no salt is called "NaXCl"; did you mean'),
    ],
)
def test_a_salt_jar_that_cannot_be_read_names_its_option(words, says):
    result = run("salt", *words)
    assert result.exit_code == 1
    assert result.stderr.startswith(f"climlog: {says}")


def test_a_jar_without_a_reading_is_wrong_usage_of_its_option():
    result = run("salt", "--at", "20 C", "--jar", "x")
    assert result.exit_code == 2
    assert 'Error: --jar: "x" should be a salt and a reading' in result.stderr


def test_an_open_bracket_is_told_in_our_words(tmp_path):
    sheet = spoilt(tmp_path, TOP.name, "[piece]", "[piece")
    result = run("place", HOUSE, "--piece", sheet, "--out", tmp_path)
    assert "the bracket is not closed" in result.stderr
    assert "Expected" not in result.stderr


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_a_full_disk_says_what_helps(tmp_path, monkeypatch, number):
    def full(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("climlog.report.files._write_all", full)
    result = run("look", HOUSE, "--json", tmp_path / "n.json")
    assert result.exit_code == 1
    assert "n.json: cannot be written (" in result.stderr
    assert result.stderr.endswith("; make room there, or write to another disk\n")
    assert list(tmp_path.iterdir()) == []


def test_only_what_is_said_of_one_thing_in_a_sheet_gets_its_name(tmp_path):
    sheets = [(tmp_path / "a.toml", "Oak"), (tmp_path / "b.toml", "Ash")]

    def said(error):
        with pytest.raises(type(error)) as raised, naming(sheets):
            raise error
        return str(raised.value)

    assert said(ImpossibleValueError("Ash: too wide")) == "b.toml: Ash: too wide"
    assert said(UnusableInputError("Ashen: no log")) == "Ashen: no log"
    several = SeveralFaultsError("Oak", ["one", "two"])
    assert said(several) == "Oak: 2 things to mend: (1) one (2) two"
