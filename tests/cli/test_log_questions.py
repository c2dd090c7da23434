"""What a log leaves open is asked at a terminal, and elsewhere named with options that work."""

import json
import os
import re
import subprocess
import sys

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.importer.made_logs import ISO, air, fahrenheit, iso, lines
from tests.places import SAMPLES

TERMINAL = pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of POSIX")
CELLAR, ROOM = air("cellar"), air("room")


@pytest.fixture
def cellar(tmp_path):
    """A cellar in °F that says no unit: 51 could be a kiln in °C."""
    path = tmp_path / "cellar.csv"
    rows = lines(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}", CELLAR)
    path.write_text(f"Time,Temp,RH\n{rows}", encoding="utf-8")
    return path


def at_a_terminal(answers, *words):
    import pty

    typed, terminal = pty.openpty()
    os.write(typed, "".join(f"{one}\n" for one in answers).encode())
    done = subprocess.run(
        [sys.executable, "-m", "climlog", *words],
        stdin=terminal, stderr=terminal, stdout=subprocess.PIPE, check=False,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent), "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    shown = os.read(typed, 1_000_000).decode()
    os.close(terminal)
    os.close(typed)
    return done, shown


@TERMINAL
def test_each_way_to_read_is_shown_with_three_readings_and_the_answer_told(cellar):
    done, shown = at_a_terminal(["2"], "look", str(cellar), "--json", "-")
    assert done.returncode == 0, shown
    assert 'no unit for "Temp"' in shown
    assert len(re.findall(r"°C, \d+ %", shown)) == 6
    assert "Next time: --temp-unit F" in shown
    (log,) = json.loads(done.stdout)["logs"]
    assert log["sensors"][0]["temperature_unit"] == "°F"


@TERMINAL
def test_a_file_of_rooms_is_asked_which_one(tmp_path):
    path = tmp_path / "rooms.csv"
    rows = lines(
        lambda p: f"{iso(p[0])},{p[1].temp_c},{p[1].rh_pct}", zip(ROOM, CELLAR, strict=True)
    )
    path.write_text(f"Time,Hall T,Hall RH,Cellar T,Cellar RH\n{rows}", encoding="utf-8")
    sheet = str(SAMPLES / "dining_table.toml")
    words = ("place", str(path), "--piece", sheet, "--out", str(tmp_path / "out"))
    done, shown = at_a_terminal(["2"], *words)
    assert done.returncode == 0, shown
    assert "Next time: --sensor Cellar" in shown


def test_elsewhere_the_question_is_one_line_with_options_that_work(cellar):
    runner = CliRunner()
    asked = runner.invoke(main, ["look", str(cellar)])
    assert asked.exit_code == 1
    assert asked.stderr.count("\n") == 1
    for unit in ("C", "F"):
        assert f"--temp-unit {unit}" in asked.stderr
        assert runner.invoke(main, ["look", str(cellar), "--temp-unit", unit]).exit_code == 0


def test_of_several_files_each_is_settled_for_itself(cellar, tmp_path):
    other = tmp_path / "room.csv"
    other.write_text(f"Time,Temp (°C),RH\n{lines(iso, ROOM)}", encoding="utf-8")
    runner = CliRunner()
    asked = runner.invoke(main, ["look", str(other), str(cellar)])
    assert '--for-file "cellar.csv: temp-unit F"' in asked.stderr
    words = [
        "look",
        str(other),
        str(cellar),
        "--for-file",
        "cellar.csv: temp-unit F",
        "--json",
        "-",
    ]
    first, second = json.loads(runner.invoke(main, words).stdout)["logs"]
    assert first["sensors"][0]["temp_c"]["max"] < 30
    assert second["sensors"][0]["temperature_unit"] == "°F"


@pytest.mark.parametrize("text", ["cellar.csv", "cellar.csv: ", "cellar.csv: colour blue"])
def test_an_option_for_a_file_that_is_none_is_wrong_usage(cellar, text):
    done = CliRunner().invoke(main, ["look", str(cellar), "--for-file", text])
    assert done.exit_code == 2
    assert "--for-file" in done.stderr


def test_several_time_columns_and_a_written_pattern_can_be_given(tmp_path):
    path = tmp_path / "odd.csv"
    rows = lines(lambda o: f"{o.at:%Y|%d.%m},{o.at:%H-%M},{o.temp_c},{o.rh_pct}", ROOM)
    path.write_text(f"A,B,Temp,RH\n{rows}", encoding="utf-8")
    words = ["--time-column", "A", "--time-column", "B", "--time-format", "yyyy|dd.mm hh-mm"]
    done = CliRunner().invoke(main, ["look", str(path), *words, "--json", "-"])
    assert done.exit_code == 0, done.stderr
    (log,) = json.loads(done.stdout)["logs"]
    assert log["first"] == ROOM[0].at.isoformat()
    assert log["rows_used"] == len(ROOM)


def test_look_obeys_the_sensor_that_is_named_or_refuses(tmp_path):
    path = tmp_path / "rooms.csv"
    rows = lines(
        lambda p: f"{iso(p[0])},{p[1].temp_c},{p[1].rh_pct}", zip(ROOM, CELLAR, strict=True)
    )
    path.write_text(f"Time,Hall T,Hall RH,Cellar T,Cellar RH\n{rows}", encoding="utf-8")
    runner = CliRunner()
    done = runner.invoke(main, ["look", str(path), "--sensor", "cellar", "--json", "-"])
    (log,) = json.loads(done.stdout)["logs"]
    assert [one["name"] for one in log["sensors"]] == ["Cellar"]
    refused = runner.invoke(main, ["look", str(path), "--sensor", "attic"])
    assert refused.exit_code == 1
    assert '"Hall", "Cellar"' in refused.stderr
