"""climlog salt as a person runs it, and its correction as the other commands take it."""

import json

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from tests.places import SAMPLES

ROOM = SAMPLES / "ferry_house_dining_room.csv"


def run(*arguments):
    return CliRunner().invoke(main, [str(one) for one in arguments])


def numbers_of(*arguments):
    result = run(*arguments, "--json", "-")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_one_jar_gives_an_offset_and_the_option_to_type():
    # 75.5 % at 20 °C: the fit of Greenspan 1977 as transcribed (see tests/model/test_salts.py).
    numbers = numbers_of("salt", "--at", "68 F", "--jar", "table salt=73.5")
    (jar,) = numbers["jars"]
    assert jar["should_read_pct"] == pytest.approx(75.5, abs=0.05)
    assert jar["off_by_pct"] == pytest.approx(-2.0, abs=0.05)
    assert numbers["correction"]["options"] == "--rh-offset 1.98"
    text = run("salt", "--at", "68 F", "--jar", "table salt=73.5").stdout
    assert text.startswith("The sensor reads 2.0 points low at 68 °F (20 °C): add 2.0.")
    assert "--rh-offset 1.98\n" in text


def test_a_sensor_that_reads_high_is_told_so():
    text = run("salt", "--at", "20 C", "--jar", "NaCl=80", "--units", "metric").stdout
    assert text.startswith("The sensor reads 4.5 points high at 20 °C: take off 4.5.")
    assert "--rh-offset -4.52" in text


def test_the_options_it_prints_are_taken_by_look_and_do_what_they_say():
    numbers = numbers_of("salt", "--at", "20 C", "--jar", "NaCl=73", "--jar", "MgCl2=36")
    correction = numbers["correction"]
    assert set(correction["options"].split()[::2]) == {"--rh-gain", "--rh-offset"}
    plain, moved = (
        numbers_of("look", ROOM, *options)["logs"][0]["sensors"][0]["rh_pct"]["mean"]
        for options in ([], correction["options"].split())
    )
    expected = correction["rh_gain"] * plain + correction["rh_offset"]
    # The printed options are rounded to 0.0001 and 0.01.
    assert moved == pytest.approx(expected, abs=0.02)
    assert abs(moved - plain) > 0.5


def test_the_gain_is_applied_before_the_offset_and_nothing_is_clipped(tmp_path):
    log = tmp_path / "made.csv"
    rows = [f"2025-01-01 {hour:02d}:00,20,{rh}" for hour, rh in enumerate((40, 60, 96, 50))]
    log.write_text("\n".join(["time,temperature (C),humidity (%)", *rows]), encoding="utf-8")
    read = read_log([log], ImportOptions(rh_gain=1.1, rh_offset=-4.0))
    assert read.rh_pct.tolist() == pytest.approx([40.0, 62.0, 51.0])
    assert sum(read.rows_left_out.values()) == 1


def test_without_a_jar_it_says_what_jars_should_read_and_how_to_make_one():
    result = run("salt", "--at", "70 F", "--full")
    assert result.exit_code == 0
    assert "table salt (NaCl): 75.4 %, give or take 0.4" in result.stdout
    assert "damp slurry" in result.stdout
    numbers = numbers_of("salt", "--at", "70 F")
    assert numbers["correction"] is None
    assert all(jar["reading_pct"] is None for jar in numbers["jars"])


def test_the_usual_cautions_stand_in_text_and_numbers():
    jar = ("salt", "--at", "20 C", "--jar", "Mg(NO3)2=54")
    short, full = (" ".join(run(*jar, *more).stdout.split()) for more in ((), ("--full",)))
    for words in ("wash your hands", "feeds fire"):
        assert words in short
    for words in ("wash your hands", "rust", "feeds fire", "no further", "still air"):
        assert words in full
    assert len(run(*jar).stdout.splitlines()) <= 25
    cautions = " ".join(numbers_of("salt", "--at", "20 C", "--jar", "Mg(NO3)2=54")["cautions"])
    assert "feeds fire" in cautions


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--at", "70", "--jar", "NaCl=75"], "not a temperature"),
        (["--at", "20 C", "--jar", "pepper=75"], "known are table salt"),
        (["--at", "20 C", "--jar", "NaCl=wet"], "not a percentage"),
        (["--at", "20 C", "--jar", "NaCl=175"], "outside 0 to 100"),
        (["--at", "60 C", "--jar", "NaCl=75"], "outside 5 to 40"),
        (["--at", "60 C"], "choose a place"),
    ],
)
def test_what_cannot_be_used_is_one_clear_line_and_exit_1(arguments, says):
    result = run("salt", *arguments)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert says in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1


@pytest.mark.parametrize("arguments", [[], ["--at", "20 C", "--jar", "NaCl"]])
def test_wrong_usage_exits_with_2(arguments):
    assert run("salt", *arguments).exit_code == 2


def test_json_is_not_written_over(tmp_path):
    target = tmp_path / "salt.json"
    assert run("salt", "--at", "20 C", "--json", target).exit_code == 0
    before = target.read_bytes()
    assert run("salt", "--at", "20 C", "--json", target).exit_code == 1
    assert target.read_bytes() == before
    assert run("salt", "--at", "20 C", "--json", target, "--replace").exit_code == 0
