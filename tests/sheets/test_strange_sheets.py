"""Sheets and logs at the edge: one clear line, or a sane answer, never a traceback."""

from datetime import datetime, timedelta

import pytest
from click.testing import CliRunner

from climlog.cli import main

SHEET = """[piece]
wood = "red oak"
cut = "flat-sawn"
width = "38 in"
length = "72 in"
thickness = "7/8 in"
fixed_on = 2024-01-05
moisture_when_fixed = "7.5 %"
[finish]
show_face = { kind = "polyurethane", coats = 3 }
hidden_face = "none"
[[fastening]]
kind = "figure-eight"
rail = "across the grain"
count = 3
spread = "30 in"
"""
REFUSED = {
    "a width of 400 digits": (SHEET.replace("38 in", "9" * 99 * 4 + " mm"), "hundred digits"),
    "a width of 90 digits": (SHEET.replace("38 in", "9" * 90 + " mm"), "is more than"),
    "coats of 5000 digits": (SHEET.replace("coats = 3", "coats = " + "9" * 5000), "hundred digits"),
    "brackets without end": ("a = " + "[" * 5000 + "]" * 5000, "nested too deep"),
    "200 fastenings on a rail": (SHEET.replace("count = 3", "count = 200"), "more than 60"),
    "120 fastenings": (SHEET.replace("count = 3", "count = 60"), "at most 90"),
}


def write_log(folder, rh_pct=45.0, step=timedelta(hours=1), rows=24 * 60):
    lines = [
        f"{datetime(2024, 1, 1) + n * step:%Y-%m-%d %H:%M},{20 + n % 3 / 10},{rh_pct}"
        for n in range(rows)
    ]
    path = folder / "log.csv"
    path.write_text("\n".join(["Time,Temp °C,RH %", *lines]), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("name", REFUSED)
def test_a_sheet_beyond_reason_is_refused_in_one_line(tmp_path, name):
    text, message = REFUSED[name]
    sheet = tmp_path / "piece.toml"
    sheet.write_text(text, encoding="utf-8")
    run = CliRunner().invoke(main, ["place", write_log(tmp_path), "--piece", str(sheet)])
    assert run.exit_code == 1
    assert run.stderr.count("\n") == 1
    assert message in run.stderr
    assert "piece.toml" in run.stderr


def test_a_log_of_one_reading_a_month_still_tells_the_room(tmp_path):
    log = write_log(tmp_path, step=timedelta(days=30), rows=14)
    run = CliRunner().invoke(main, ["room", log, "--json", "-"])
    assert run.exit_code == 0
    assert "nan" not in run.output.lower().split()


def test_air_that_stays_saturated_still_tells_of_a_crack(tmp_path):
    sheet = tmp_path / "piece.toml"
    sheet.write_text(SHEET, encoding="utf-8")
    log = write_log(tmp_path, rh_pct=100.0)
    given = ["crack", log, "--piece", str(sheet), "--seen", "2024-01-20", "--json", "-"]
    run = CliRunner().invoke(main, given)
    assert run.exit_code == 0
    assert "past half a circle" in run.output


@pytest.mark.parametrize(
    "given",
    [["--target", "nan"], ["--rh-offset", "nan"], ["--temp-offset", "inf"], ["--rh-gain", "nan"]],
)
def test_a_number_that_is_none_is_wrong_usage(tmp_path, given):
    run = CliRunner().invoke(main, ["room", write_log(tmp_path), *given])
    assert run.exit_code == 2
    assert given[0] in run.stderr
