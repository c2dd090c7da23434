"""climlog as a library: typed, paths in any form, one clear line for what is of the wrong kind."""

import ast
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from threading import Barrier

import pandas as pd
import pytest

import climlog
from climlog.analysis.warned import collected
from climlog.arguments import one_path, paths_of
from climlog.errors import ClimlogError, ExtrapolationWarning, UnusableInputError, WrongKindError
from tests.places import ROOT, SAMPLES

HOUSE = SAMPLES / "ferry_house_dining_room.csv"
CLIENT = '''
"""What a program of somebody else's does with climlog."""
from pathlib import Path
from climlog import analyse_crack, analyse_look, analyse_place, analyse_room, project_year
from climlog import numbers, read_log, read_piece, read_stock, read_weather
log, piece = read_log("room.csv"), read_piece(Path("table.toml"))
year = project_year(read_log(["a.csv", Path("b.csv")]), read_weather("town.epw"))
share: float = analyse_place(piece, log, projection=year).as_a_set.share_of_draws
names: list[str] = [one.file for one in analyse_look("room.csv").logs]
held: float = analyse_crack(piece, log, seen="2026-01-28").held_width_mm
target: float | None = analyse_room(log, read_stock("stock.toml"), target_pct=7.0).target_pct
told: dict[str, object] = numbers(analyse_room(log))
reveal_type((share, names, held, target, analyse_room(log)))
'''


@pytest.mark.slow
def test_a_client_is_checked_strictly_and_every_name_has_its_type(tmp_path):
    pytest.importorskip("mypy", reason="a check only, not needed to run climlog or its tests")
    wrong = 'from climlog import analyse_place\nanalyse_place("table.toml", "room.csv")\n'
    for name, text in (("client.py", CLIENT), ("wrong.py", wrong)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    options = ["--strict", "--config-file=", "--follow-imports=silent", "client.py", "wrong.py"]
    env = os.environ | {"MYPYPATH": str(ROOT), "MYPY_CACHE_DIR": str(tmp_path / "cache")}
    command = [sys.executable, "-m", "mypy", *options]
    run = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, text=True)
    said = run.stdout.splitlines()
    (told,) = [line for line in said if "Revealed type" in line]
    assert told.partition('"')[2].rstrip('"').replace("builtins.", "") == (
        "tuple[float, list[str], float, float | None, climlog.analysis.room.result.RoomResult]"
    )
    faults = [line for line in said if " error: " in line]
    assert len(faults) == 2, run.stdout
    assert all("wrong.py" in line and 'incompatible type "str"' in line for line in faults)


def test_every_name_is_there_and_the_type_checker_sees_the_same_ones():
    tree = ast.parse(Path(climlog.__file__).read_text(encoding="utf-8"))
    (typed,) = [one for one in tree.body if isinstance(one, ast.If)]
    seen = {(line.module, alias.asname) for line in typed.body for alias in line.names}
    assert seen == {(f"climlog.{home}", name) for name, home in climlog._HOMES.items()}
    for name in climlog.__all__:
        assert getattr(climlog, name) is not None
    assert set(dir(climlog)) == set(climlog.__all__)


@pytest.mark.parametrize("given", [str(HOUSE), HOUSE, [HOUSE], (str(HOUSE),), iter([HOUSE])])
def test_a_log_is_read_from_text_a_path_or_several(given):
    lines = HOUSE.read_text(encoding="utf-8").splitlines()
    assert climlog.read_log(given).rows_read == len(lines) - 1


def test_sheets_and_weather_are_read_from_text_and_path_alike():
    for name, read in (("dining_table", climlog.read_piece), ("stock", climlog.read_stock)):
        sheet = SAMPLES / f"{name}.toml"
        assert read(str(sheet)) == read(sheet) == read([sheet])
    outdoors = SAMPLES / "ferry_house_outdoors.csv"
    found = [climlog.read_weather(one).log.rows_used for one in (str(outdoors), [outdoors])]
    assert found[0] == found[1] > 9000


def test_two_sheets_are_not_taken_for_one():
    with pytest.raises(UnusableInputError, match=r"read_piece reads one file at a time, not 2 \(a"):
        climlog.read_piece(["a.toml", "b.toml"])
    with pytest.raises(UnusableInputError, match="not 0: call it"):
        one_path([], "read_stock")


@pytest.mark.parametrize("given", [5, None, b"room.csv", [None], [3.5, "room.csv"]])
def test_what_is_no_path_is_refused_in_one_clear_line(given):
    with pytest.raises(WrongKindError, match=r"^read_log: a path is text or a Path, or a list"):
        paths_of(given, "read_log")
    with pytest.raises(TypeError, match="read_log"):
        climlog.read_log(given)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: climlog.analyse_place("t.toml", None), "wants a Piece, not str ('t.toml')"),
        (lambda: climlog.analyse_room("room.csv"), "wants a Log, not str ('room.csv'); read_log"),
        (lambda: climlog.analyse_room(LOG, "stock.toml"), "wants a Stock, not str"),
        (lambda: climlog.analyse_room(LOG, second="b.csv"), "analyse_room, second: wants a Log"),
        (lambda: climlog.analyse_crack(None, LOG, "2026-01-28"), "wants a Piece, not None"),
        (lambda: climlog.analyse_crack(PIECE, "room.csv", "2026-01-28"), "wants a Log, not str"),
        (lambda: climlog.analyse_place(PIECE, "room.csv"), "analyse_place: wants a Log, not str"),
        (lambda: climlog.project_year(LOG, LOG), "wants a Weather, not Log"),
    ],
)
def test_a_path_where_a_record_is_wanted_says_what_gives_one(call, says):
    with pytest.raises(WrongKindError) as told:
        call()
    assert says in str(told.value)
    assert "\n" not in str(told.value)


LOG = climlog.read_log(SAMPLES / "three_weeks_phone.csv")
PIECE = climlog.read_piece(SAMPLES / "held_top.toml")


def test_the_day_of_a_crack_may_be_text_a_date_or_all_that_was_seen():
    day = date(2026, 1, 28)
    log = climlog.read_log(HOUSE)
    found = [
        climlog.analyse_crack(PIECE, log, seen=seen) for seen in ("2026-01-28", climlog.Seen(day))
    ]
    assert found[0].seen == found[1].seen == climlog.Seen(day)
    with pytest.raises(ClimlogError, match=r"^seen: "):
        climlog.analyse_crack(PIECE, log, seen="some day")


def test_a_log_is_looked_at_as_its_file_is():
    of_file, of_log = (
        climlog.analyse_look(one).logs[0] for one in (HOUSE, climlog.read_log(HOUSE))
    )
    assert of_log.file == of_file.file
    assert of_log.sensors[0].emc_pct.tolist() == of_file.sensors[0].emc_pct.tolist()


def test_a_short_log_is_filled_up_as_the_command_does_it():
    outdoor = climlog.read_weather(SAMPLES / "ferry_house_outdoors.csv")
    year = climlog.project_year(LOG, outdoor, fixed_on=PIECE.fixed_on)
    alone = climlog.analyse_place(PIECE, LOG, projection=year)
    around = climlog.analyse_in_year(PIECE, climlog.Surroundings(LOG, outdoor))
    assert alone.as_a_set == around.as_a_set
    assert climlog.project_year(climlog.read_log(HOUSE), outdoor) is None
    no_log = climlog.project_year(None, outdoor, "iso13788-class-2")
    assert no_log.days_read == 0


def test_two_runs_at_once_keep_their_limits_apart():
    def run(temp_c):
        with collected() as found:
            climlog.equilibrium_moisture(temp_c, 50.0)
            started.wait(timeout=20)
            climlog.equilibrium_moisture(temp_c, 60.0)
        return found

    started = Barrier(2)
    with ThreadPoolExecutor(2) as threads:
        cold, mild = threads.map(run, (-10.0, 20.0))
    assert len(cold) == 1
    assert mild == []


def test_units_are_one_of_two():
    result = climlog.analyse_place(PIECE, LOG)
    for ask in (
        lambda: climlog.numbers(result, units="furlong"),
        lambda: climlog.analyse_place(PIECE, LOG, units="inches"),
        lambda: climlog.analyse_crack(PIECE, LOG, "2026-01-28", units="inches"),
        lambda: climlog.Surroundings(LOG, units="cm"),
    ):
        with pytest.raises(ClimlogError, match='say "metric" or "inch"'):
            ask()


def test_a_projection_stands_beside_its_own_log_only():
    outdoor = climlog.read_weather(SAMPLES / "ferry_house_outdoors.csv")
    with pytest.warns(ExtrapolationWarning):
        barn = climlog.project_year(None, outdoor, "unheated")
    with pytest.raises(UnusableInputError, match="was not made from"):
        climlog.analyse_place(PIECE, LOG, projection=barn)
    assert climlog.analyse_place(PIECE, None, projection=barn).log is None


@pytest.mark.parametrize("wanted", [700.0, 0.07, float("nan")])
def test_a_target_no_air_can_hold_is_refused(wanted):
    with pytest.raises(ClimlogError, match="target_pct"):
        climlog.analyse_room(LOG, target_pct=wanted)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: climlog.read_log(HOUSE, {"temp_unit": "C"}),
        lambda: climlog.ImportOptions(rh_offset="5"),
        lambda: climlog.ImportOptions(sensor=3),
        lambda: climlog.analyse_in_year(PIECE, LOG),
        lambda: climlog.Surroundings("a.csv"),
        lambda: climlog.Lived(house="iso13788-class-2"),
        lambda: climlog.Lived(delivered="2025-11-10"),
        lambda: climlog.analyse_crack(PIECE, LOG, "2026-01-28", lived="x"),
        lambda: climlog.parse_what_if(5),
        lambda: climlog.analyse_room(LOG, target_pct="7"),
        lambda: climlog.analyse_room(LOG, pieces="x"),
        lambda: climlog.read_log(pd.DataFrame({"time": [1]})),
        lambda: climlog.read_log(""),
    ],
)
def test_what_is_of_the_wrong_kind_is_told_in_one_line(ask):
    with pytest.raises(WrongKindError) as told:
        ask()
    assert "\n" not in str(told.value)
    assert len(str(told.value)) < 200


def test_a_date_order_that_means_nothing_is_refused():
    with pytest.raises(ClimlogError, match="day-first"):
        climlog.ImportOptions(date_order="sideways")


def test_a_film_that_lets_little_through_is_not_told_as_tight():
    face = climlog.numbers(climlog.analyse_place(PIECE, LOG))["piece"]["show_face"]
    assert face["permeance_kg_m2_s_pa"] > 0
