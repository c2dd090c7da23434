"""The commands as a person runs them: what they print, write, refuse, and how they exit."""

import json
import shutil
import tomllib

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.sheets.piece import read_piece
from tests.places import SAMPLES

ROOM = SAMPLES / "ferry_house_dining_room.csv"
TABLE = SAMPLES / "dining_table.toml"


def run(*arguments):
    return CliRunner().invoke(main, [str(one) for one in arguments])


@pytest.fixture(scope="module")
def placed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("placed")
    result = run("place", ROOM, "--piece", TABLE, "--out", folder, "--json", folder / "n.json")
    assert result.exit_code == 0, result.output
    return folder, result.stdout, json.loads((folder / "n.json").read_text(encoding="utf-8"))


def test_place_answers_in_its_first_sentence(placed):
    _, text, _ = placed
    assert text.startswith("Runs out on ")
    assert "plates along the grain" in text.splitlines()[0]
    assert len(text.splitlines()) <= 25


def test_full_prints_everything_the_answer_first(placed, tmp_path):
    _, short, _ = placed
    full = run("place", ROOM, "--piece", TABLE, "--out", tmp_path, "--full").stdout
    assert full.splitlines()[0] == short.splitlines()[0]
    for title in ("What to do", "Fastenings", "Mind", "The log", "Limits and sources"):
        assert f"\n{title}\n" in full


def test_place_says_where_the_page_is_and_it_is_there(placed):
    folder, text, _ = placed
    (page,) = folder.glob("*.html")
    assert f"Page: {page}" in text
    assert page.read_text(encoding="utf-8").lower().startswith("<!doctype html>")


def test_place_gives_exactly_the_numbers_of_the_contract(placed):
    _, _, numbers = placed
    assert {"piece", "log", "moisture", "width_mm", "fastenings", "as_a_set", "safe_rh_pct"} <= set(
        numbers
    )
    assert {"advice", "cautions"} <= set(numbers)
    moisture = numbers["moisture"]
    for key in ("emc_pct", "board_pct"):
        assert moisture[key]["min"] < moisture[key]["mean"] < moisture[key]["max"]
    assert {"when_fixed_pct", "days_to_63_pct"} <= set(moisture)
    assert {"when_fixed", "min", "min_on", "max", "max_on", "p05", "p95"} <= set(
        numbers["width_mm"]
    )
    assert {"low", "high", "temp_c"} <= set(numbers["safe_rh_pct"])
    fastening = {"name", "kind", "rail", "x_mm", "y_mm", "needs_mm", "has_mm", "used_pct"}
    for one in numbers["fastenings"]:
        assert fastening | {"verdict", "runs_out_on"} <= set(one)
        assert set(one["needs_mm"]) == set(one["has_mm"]) == {"swell", "shrink"}
    together = {"has_mm", "needs_mm", "binds", "verdict", "runs_out_on", "share_of_draws"}
    assert together <= set(numbers["as_a_set"])
    assert len(numbers["fastenings"]) == 14


def test_place_refuses_to_write_over_named_numbers_before_it_works(placed):
    folder, _, _ = placed
    before = (folder / "n.json").read_bytes()
    result = run("place", ROOM, "--piece", TABLE, "--out", folder, "--json", folder / "n.json")
    assert result.exit_code == 1
    assert "--replace" in result.stderr
    assert (folder / "n.json").read_bytes() == before
    assert len(list(folder.glob("*.html"))) == 1


def test_json_to_the_screen_is_json_and_nothing_else():
    result = run("place", ROOM, "--piece", TABLE, "--json", "-")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["piece"]["wood"] == "red oak"


def test_several_pieces_give_a_summary_first(tmp_path):
    result = run(
        "place", ROOM, "--piece", TABLE, "--piece", SAMPLES / "held_top.toml", "--out", tmp_path
    )
    assert result.exit_code == 0
    assert result.stdout.startswith("Pieces\n")
    assert len(list(tmp_path.glob("*.html"))) == 2


def test_the_quick_form_needs_no_sheet_and_says_what_it_assumed(tmp_path):
    result = run(
        "place", ROOM, "--wood", "cherry", "--width", "20 in", "--thickness", "3/4 in",
        "--fastening", "button", "--out", tmp_path, "--save-sheet", tmp_path / "quick.toml",
        "--full",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "What was assumed" in result.stdout
    again = run("place", ROOM, "--piece", tmp_path / "quick.toml", "--out", tmp_path)
    assert again.exit_code == 0, again.output


QUICK = ("--wood", "cherry", "--width", "20 in", "--thickness", "3/4 in")


def test_each_fastening_of_the_quick_form_is_a_candidate_of_its_own(tmp_path):
    kinds = ("--fastening", "glue", "--fastening", "slot", "--fastening", "slot")
    result = run("place", ROOM, *QUICK, *kinds, "--out", tmp_path, "--json", tmp_path / "n.json")
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    assert lines[0] == "Candidates"
    assert "with glue" in result.stdout
    pieces = json.loads((tmp_path / "n.json").read_text(encoding="utf-8"))["pieces"]
    found = {one["piece"]["name"]: one for one in pieces}
    assert set(found) == {"Cherry top with glue", "Cherry top with slotted screws"}
    assert {one["kind"] for one in found["Cherry top with glue"]["fastenings"]} == {"glue"}
    # Common practice, no source: glue lets nothing move, slots of the usual size let a top move.
    assert found["Cherry top with glue"]["as_a_set"]["verdict"] == "runs out"
    assert found["Cherry top with slotted screws"]["as_a_set"]["has_mm"]["swell"] > 10
    assert len(list(tmp_path.glob("*.html"))) == 2


def test_candidates_are_written_down_as_a_sheet_each(tmp_path):
    kinds = ("--fastening", "button", "--fastening", "clip")
    result = run(
        "place", ROOM, *QUICK, *kinds, "--out", tmp_path, "-q", "--save-sheet", tmp_path / "q.toml"
    )
    assert result.exit_code == 0, result.output
    sheets = sorted(tmp_path.glob("q-*.toml"))
    assert len(sheets) == 2
    for sheet, kind in zip(sheets, ("button", "clip"), strict=True):
        assert f'kind = "{kind}"' in sheet.read_text(encoding="utf-8")


def test_spells_and_the_month_are_among_the_numbers(placed):
    _, _, numbers = placed
    spells = numbers["safe_rh_pct"]["spells"]
    assert [(one["spell"], one["begins"]) for one in spells] == [
        (spell, begins) for spell in ("damp", "dry")
        for begins in ("when fixed", "driest", "wettest")
    ]  # fmt: skip
    assert {"rh_pct", "begins_pct", "days"} <= set(spells[0])
    assert {"best", "month"} <= set(numbers["fixing"])
    assert 1 <= numbers["fixing"]["month"]["month"] <= 12
    assert {"plates_along_the_grain", "set_backs", "quartersawn"} == set(numbers["disputes"])
    assert {"kind", "has_mm", "used_pct", "holds"} <= set(numbers["kinds"][0])


@pytest.mark.parametrize(("units", "says"), [("inch", "44 °F (7 °C)"), ("metric", "7 °C to 27 °C")])
def test_look_tells_temperatures_in_the_readers_units(units, says):
    assert says in run("look", SAMPLES / "shop.csv", "--units", units).stdout


def test_look_gives_the_numbers_of_the_contract():
    result = run("look", ROOM, "--json", "-")
    (log,) = json.loads(result.stdout)["logs"]
    assert {
        "file", "rows_read", "rows_used", "rows_left_out", "first", "last", "median_step_minutes",
        "gaps", "guesses", "faults", "sensors",
    } <= set(log)  # fmt: skip
    assert log["rows_read"] == log["rows_used"] + sum(log["rows_left_out"].values())
    (sensor,) = log["sensors"]
    for key in ("temp_c", "rh_pct", "emc_pct"):
        assert set(sensor[key]) == {"min", "mean", "max"}


def test_the_sheet_command_writes_a_sheet_that_place_reads(tmp_path):
    sheet = tmp_path / "piece.toml"
    assert run("sheet", "piece", "--out", sheet).exit_code == 0
    assert run("place", ROOM, "--piece", sheet, "--out", tmp_path).exit_code == 0
    assert run("sheet", "piece", "--out", sheet).exit_code == 1


def asked(*answers):
    return CliRunner().invoke(main, ["sheet", "piece", "--ask"], input="\n".join(answers) + "\n")


def sheet_of(result):
    """The sheet alone: click before 8.4 has its test runner repeat what is typed on stdout."""
    return result.stdout[result.stdout.index("[piece]") :]


TOP = ("black cherry", "30 in", "60 in", "3/4 in", "rift", "shellac", "none")


def test_the_sheet_can_be_asked_for_question_by_question():
    result = asked("oek", *TOP, "apron", "slot", "later", "unknown")
    assert result.exit_code == 0, result.output
    sheet = tomllib.loads(sheet_of(result))
    assert sheet["piece"]["width"] == "30 in"
    assert sheet["finish"] == {"show_face": "shellac", "hidden_face": "none"}
    assert sheet["base"] == {"layout": "apron"}
    assert sheet["fastening"] == [{"kind": "slot"}]
    assert "did you mean" in result.stderr or "lists them all" in result.stderr


def test_the_interview_asks_rails_numbers_gap_and_hidden_face_where_no_layout_tells():
    result = asked(*TOP[:-1], "wax", "9", "z clip", "3", "24 in", "3", "12 in", "4", "1/8 in",
                   "2025-02-14", "8 %", "oven")  # fmt: skip
    assert result.exit_code == 0, result.output
    sheet = tomllib.loads(sheet_of(result))
    assert sheet["finish"]["hidden_face"] == "wax"
    assert sheet["base"] == {"rails_across_grain": {"at": "24 in"},
                             "rails_along_grain": {"at": "12 in"}}  # fmt: skip
    assert sheet["fastening"] == [
        {"kind": "clip", "rail": "across the grain", "count": 3},
        {"kind": "clip", "rail": "along the grain", "count": 4, "gap": "1/8 in"},
    ]
    assert sheet["piece"]["measured_by"] == "oven"


def test_a_door_is_asked_for_its_gap_and_hung_at_its_edge(tmp_path):
    result = asked(*TOP, "door", "3/32 in", "later", "unknown")
    assert result.exit_code == 0, result.output
    path = tmp_path / "door.toml"
    path.write_text(sheet_of(result), encoding="utf-8")
    piece = read_piece(path)
    assert {(one.kind, round(one.y_mm)) for one in piece.fastenings} == {
        ("hinge", -381), ("door", 381)
    }  # fmt: skip
    assert piece.undecided == ()


def test_answers_that_clash_are_asked_once_more_with_what_was_said_as_usual():
    clash = (*TOP[:-1], "none", "9", "slot", "1", "40 in", "3", "later", "unknown")
    again = ("",) * 9 + ("", "24 in", "", "", "")
    result = asked(*clash, *again)
    assert result.exit_code == 0, result.output
    assert "outside the top" in result.stderr
    assert tomllib.loads(sheet_of(result))["base"] == {"rails_across_grain": {"at": "24 in"}}


@pytest.mark.parametrize("kind", ["wood", "finish", "fastening", "source"])
def test_tables_list_what_they_know_with_sources(kind):
    result = run("tables", kind)
    assert result.exit_code == 0
    assert len(result.stdout.splitlines()) > 10


def test_a_wood_names_the_sources_of_all_its_figures():
    shown = run("tables", "wood", "Norway spruce").stdout
    for source in ("Encyclopaedia Britannica", "DIN 68100", "EN 350-2:1994"):
        assert source in shown.split("Sources:")[1]


@pytest.fixture
def broken(tmp_path):
    def write(name, content):
        path = tmp_path / name
        path.write_bytes(content)
        return path

    return write


BAD_LOGS = {
    "empty.csv": b"",
    "picture.csv": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00",
    "no_humidity.csv": b"time,temperature (C)\n2025-01-01 00:00,20\n2025-01-01 01:00,20\n",
    "unusable.csv": b"time,temperature (C),humidity (%)\n2025-01-01,-,-\n2025-01-02,-,-\n",
}


@pytest.mark.parametrize(("name", "content"), BAD_LOGS.items())
@pytest.mark.parametrize("command", ["look", "place"])
def test_a_bad_log_is_one_clear_line_and_exit_1(broken, name, content, command, tmp_path):
    more = ["--piece", TABLE, "--out", tmp_path / "out"] if command == "place" else []
    result = run(command, broken(name, content), *more)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert result.stderr.startswith("climlog: ")
    assert name in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("command", ["look", "place"])
def test_a_missing_log_is_one_clear_line_and_exit_1(command):
    more = ["--piece", TABLE] if command == "place" else []
    result = run(command, "nowhere.csv", *more)
    assert result.exit_code == 1
    assert "nowhere.csv" in result.stderr


def edited(folder, old, new):
    text = TABLE.read_text(encoding="utf-8")
    assert old in text
    path = folder / "edited.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('wood = "red oak"', 'wood = "red oek"', "red oak"),
        ('width = "38 in"', 'width = "-38 in"', "above 0"),
        ('width = "38 in"', 'widht = "38 in"', "did you mean"),
        ("fixed_on = 2025-02-14", "fixed_on = 1824-02-14", "less than 1900"),
        (
            "[finish]",
            '[[measured]]\non = 2025-08-20\nwidth = "38 in"\nwood_temp = "50 F"\n[finish]',
            "wood_temp corrects",
        ),
    ],
    ids=[
        "unknown wood",
        "negative width",
        "misspelt key",
        "a day beyond reason",
        "a wood temperature without a meter",
    ],
)
def test_a_bad_sheet_is_one_clear_line_and_exit_1(tmp_path, old, new, says):
    sheet = edited(tmp_path, old, new)
    result = run("place", ROOM, "--piece", sheet, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert says in result.stderr
    assert len(result.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


def test_a_misspelt_command_is_told_the_nearest():
    result = run("palce", ROOM)
    assert result.exit_code == 2
    assert 'no command is called "palce"; did you mean "place"?' in result.stderr


def test_a_percentage_may_carry_its_sign():
    assert run("room", ROOM, "--target", "7 %", "--json", "-").exit_code == 0


def test_help_shows_no_limit_that_is_none():
    assert "None" not in run("room", "--help").output + run("place", "--help").output


def test_wrong_usage_exits_with_2():
    assert run("place", ROOM).exit_code == 2
    assert run("plaice", ROOM).exit_code == 2
    assert run("look").exit_code == 2


@pytest.mark.parametrize("option", ["--width", "--layout", "--gap"])
def test_options_of_the_quick_form_do_not_go_with_a_sheet(option):
    result = run("place", ROOM, "--piece", TABLE, option, "38 in")
    assert result.exit_code == 2
    assert f"{option} describes a piece that has no sheet" in result.stderr


def test_hostile_names_do_not_reach_the_page_as_markup(tmp_path):
    sheet = edited(tmp_path, "Ferry House dining table", "<script>alert(1)</script> table")
    log = tmp_path / "<b>room.csv"
    try:
        shutil.copy(ROOM, log)
    except OSError:
        pytest.skip("this file system takes no such file name")
    assert run("place", log, "--piece", sheet, "--out", tmp_path / "out").exit_code == 0
    (page,) = (tmp_path / "out").glob("*.html")
    text = page.read_text(encoding="utf-8")
    assert "<script>alert(1)" not in text
    assert "<b>room" not in text
