"""JSON is told from the records by one function: keys, groups, times, numbers, the contract."""

import fnmatch
import functools
import json
import math
import tempfile
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from click.testing import CliRunner

import climlog
from climlog.cli import main
from climlog.errors import WrongKindError
from climlog.importer.log import Gap, Log, Sensor
from climlog.model.salts import Jar, SaltCheck, correct, salt_named
from climlog.report.crack.document import document as crack_document
from climlog.report.json import numbers
from climlog.report.phrases import Say
from climlog.report.place.document import document as place_document
from climlog.report.room.document import document as room_document
from climlog.sheets.quick import QuickPiece
from climlog.told import told
from tests.cli.museum import open_museum
from tests.places import DATA, SAMPLES


class Way(StrEnum):
    UP = "up"


@told(as_its="name")
@dataclass(frozen=True)
class Wood:
    name: str
    density: float


@told({"min": "low", "max": "high"})
@dataclass(frozen=True)
class Span:
    low: float
    high: float


@dataclass(frozen=True)
class Inner:
    depth: float
    rings: int = 3


@told(
    {"": "first_inner", "range.now": "span", "range.twice": "twice", "picked": "pair.1.low"},
    also="doubled",
    without="hidden",
)
@dataclass(frozen=True)
class Whole:
    name: str
    wood: Wood
    span: Span
    first_inner: Inner
    pair: tuple[Span, ...]
    hidden: object = None
    missing: Inner | None = None

    @property
    def doubled(self):
        return 2 * self.span.high

    @property
    def twice(self):
        return (self.span.low, self.span.low)


WHOLE = Whole(
    "top", Wood("oak", 0.6), Span(1.0, 2.5), Inner(4.0), (Span(0.0, 1.0), Span(7.0, 8.0)), object()
)


def test_fields_go_by_their_names_and_by_what_the_record_declares():
    assert numbers(WHOLE) == {
        "depth": 4.0,
        "rings": 3,
        "name": "top",
        "wood": "oak",
        "pair": [{"min": 0.0, "max": 1.0}, {"min": 7.0, "max": 8.0}],
        "missing": None,
        "range": {"now": {"min": 1.0, "max": 2.5}, "twice": [1.0, 1.0]},
        "picked": 7.0,
        "doubled": 5.0,
    }


def test_a_group_that_is_null_takes_nothing_in():
    @told({"missing.name": "name"})
    @dataclass(frozen=True)
    class Holed:
        name: str
        missing: Inner | None = None

    assert numbers(Holed("x")) == {"missing": None}
    assert numbers(Holed("x", Inner(2.0))) == {"missing": {"depth": 2.0, "rings": 3, "name": "x"}}


def test_a_way_through_nothing_is_null():
    @told({"depth": "inner.depth"}, without="inner")
    @dataclass(frozen=True)
    class Maybe:
        inner: Inner | None

    assert numbers(Maybe(None)) == {"depth": None}


def test_times_within_a_log_carry_the_offset_that_it_states():
    times = pd.date_range("2025-03-01", periods=3, freq="h")
    gap = Gap(times[0].to_pydatetime(), times[1].to_pydatetime(), 1.0)
    sensor = Sensor("room", "T", "C", "RH", "%")
    log = Log(("a.csv",), sensor, times, np.ones(3), np.ones(3), 3, 3, {}, 60.0, gaps=(gap,))
    assert numbers(log)["gaps"][0]["from"] == "2025-03-01T00:00:00"
    stated = numbers(replace(log, utc_offset="+02:00"))
    assert stated["first"] == "2025-03-01T00:00:00+02:00"
    assert stated["gaps"][0]["to"] == "2025-03-01T01:00:00+02:00"


@pytest.mark.parametrize(
    ("value", "told_as"),
    [
        (math.inf, None),
        (math.nan, None),
        (965.123456, 965.1235),
        (0.000512345, 0.000512),
        (np.float64(2.0), 2.0),
        (np.int64(3), 3),
        (True, True),
        (Way.UP, "up"),
        (date(2026, 1, 28), "2026-01-28"),
        (datetime(2026, 1, 28, 6, 30), "2026-01-28T06:30:00"),
        (pd.Timestamp("2026-01-28"), "2026-01-28T00:00:00"),
        (Path("/home/somebody/room.csv"), "room.csv"),
        (np.array([[1.0, np.nan]]), [[1.0, None]]),
        ({"a": (1, 2)}, {"a": [1, 2]}),
        (pd.DatetimeIndex(["2026-01-28"]), ["2026-01-28T00:00:00"]),
    ],
)
def test_every_kind_of_value_is_plain(value, told_as):
    @dataclass(frozen=True)
    class One:
        value: object

    found = numbers(One(value))
    assert found == {"value": told_as}
    assert type(found["value"]) is type(told_as)
    json.dumps(found, allow_nan=False)


@pytest.mark.parametrize("given", ["text", None, 5, Whole, {"a": 1}])
def test_what_is_no_record_is_refused(given):
    with pytest.raises(WrongKindError, match="numbers: wants a record such as analyse_place gives"):
        numbers(given)


HOUSE = SAMPLES / "ferry_house_dining_room.csv"
KEYS = pd.read_csv(DATA / "json_keys.csv")


@functools.cache
def run_of(name):
    match name:
        case _ if name.startswith("place"):
            return place_of(name)
        case "range":
            piece = climlog.read_piece(SAMPLES / "dining_table.toml")
            return climlog.analyse_air_range(piece, climlog.AirRange(30.0, 60.0, 21.1))
        case "room with stock":
            stock = climlog.read_stock(SAMPLES / "stock.toml")
            return climlog.analyse_room(climlog.read_log(SAMPLES / "drying_room.csv"), stock)
        case "room for a client":
            asked = {
                "second": climlog.read_log(SAMPLES / "drying_room.csv"),
                "client": climlog.read_log(HOUSE),
                "pieces": (climlog.read_piece(SAMPLES / "dining_table.toml"),),
                "tried_rh_pct": 30.0,
            }
            return climlog.analyse_room(climlog.read_log(SAMPLES / "shop.csv"), **asked)
        case "crack":
            sheet = SAMPLES / "crack_held_top.toml"
            piece, seen = climlog.read_piece(sheet), climlog.read_seen(sheet)
            return climlog.analyse_crack(piece, climlog.read_log(HOUSE), seen)
        case "look":
            return climlog.analyse_look(SAMPLES)
    temp_c = 21.1
    correction = correct([Jar(salt_named("NaCl"), 73.5)], temp_c)
    return SaltCheck(correction.points, correction)


def place_of(name):
    match name:
        case "place":
            piece = climlog.read_piece(SAMPLES / "dining_table.toml")
            return climlog.analyse_place(piece, climlog.read_log(HOUSE))
        case "place in a year":
            event = climlog.parse_what_if("cooling fails, 2026-08-05, 16 days")
            weeks = climlog.read_log(SAMPLES / "three_weeks_phone.csv")
            outdoor = climlog.read_weather(SAMPLES / "ferry_house_outdoors.csv")
            piece = climlog.read_piece(SAMPLES / "wide_top_slots.toml")
            around = climlog.Surroundings(weeks, outdoor)
            return climlog.analyse_in_year(piece, around, (event,))
    form = QuickPiece(wood="white oak", width="600 mm", thickness="22 mm")
    return climlog.analyse_place(form.piece(), climlog.read_log(HOUSE))


@functools.cache
def told_by(name):
    if name != "round":
        return numbers(run_of(name))
    with tempfile.TemporaryDirectory() as folder:
        file = open_museum(Path(folder))
        run = CliRunner().invoke(main, ["round", str(file), "--json", "-"])
    return json.loads(run.stdout)


def keys_in(found, above=""):
    if isinstance(found, dict):
        for key, value in found.items():
            yield above + key
            yield from keys_in(value, f"{above}{key}.")
    elif isinstance(found, list):
        for one in found:
            yield from keys_in(one, above)


RUNS = {
    "place": ("place", "place in a year", "place with a plan"),
    "room": ("room with stock", "room for a client"),
    "crack": ("crack",),
    "look": ("look",),
    "salt": ("salt",),
    "range": ("range",),
    "round": ("round",),
}
"""Runs of each job."""
INNER = {"crack": "place", "round": "place"}
"""The job whose whole record stands within another's, under its name."""


def stands(found, key):
    """Whether a run tells a key, or nothing (null, an empty list) where it would stand."""
    if isinstance(found, list):
        return not found or any(stands(one, key) for one in found)
    if not isinstance(found, dict):
        return found is None
    own, _, rest = key.partition(".")
    if own == "*":
        return not found or any(not rest or stands(one, rest) for one in found.values())
    return own in found and (not rest or stands(found[own], rest))


def listed(job):
    return set(KEYS["key"][KEYS["run"].str.split().str[0] == job])


def is_listed(job, key):
    inner = INNER.get(job)
    if inner is not None and key.startswith(f"{inner}."):
        return is_listed(inner, key.removeprefix(f"{inner}."))
    parts = key.split(".")
    return key in listed(job) or any(
        fnmatch.fnmatchcase(key, one) and one.count(".") == len(parts) - 1
        for one in listed(job) if "*" in one
    )  # fmt: skip


@pytest.mark.parametrize("name", sorted({*KEYS["run"][KEYS["version"] == 1]}))
def test_every_key_of_the_first_version_stands(name):
    found = told_by(name)
    assert found["schema"] == 2
    wanted = KEYS["key"][(KEYS["run"] == name) & (KEYS["version"] == 1)]
    assert [key for key in wanted if not stands(found, key)] == []
    json.dumps(found, allow_nan=False)


@pytest.mark.parametrize("job", RUNS)
def test_every_key_that_a_job_tells_is_listed_and_none_has_gone(job):
    runs = [told_by(name) for name in RUNS[job]]
    told_keys = sorted({key for found in runs for key in keys_in(found)})
    assert [key for key in told_keys if not is_listed(job, key)] == []
    wanted = KEYS["key"][(KEYS["run"] == job) & (KEYS["version"] == 2)]
    assert [key for key in wanted if not any(stands(found, key) for found in runs)] == []


def test_a_key_that_is_not_listed_is_seen():
    assert is_listed("place", "width_mm.min")
    assert is_listed("crack", "place.width_mm.min")
    assert is_listed("place", "fastenings.sizes_mm.anything")
    assert not is_listed("place", "width_mm.mim")
    assert not is_listed("look", "width_mm.min")
    assert stands({"a": None}, "a.b")
    assert stands({"a": [{"b": 1}, {}]}, "a.b")
    assert not stands({"a": {"c": 1}}, "a.b")


DOCUMENTS = {"place": place_document, "room with stock": room_document, "crack": crack_document}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_the_answer_stands_first_in_the_words_of_the_page(name):
    result = run_of(name)
    found = numbers(result, "inch")
    assert list(found)[:2] == ["schema", "answer"]
    answer = found["answer"]
    assert set(answer) >= {"verdict", "says", "set", "do", "odds", "not_known"}
    said = DOCUMENTS[name](result, Say("inch")).answer
    assert answer["verdict"] == said.verdict.word
    assert (answer["says"], answer["odds"]) == (said.says, said.odds)
    for key in ("set", "do", "not_known"):
        assert answer[key] == list(getattr(said, key))


def test_remedies_are_told_step_by_step_with_their_odds():
    result = run_of("crack").place
    found = numbers(result)
    assert len(found["remedies"]) == len(result.remedies) > 0
    assert found["plan"] is None
    for one, remedy in zip(found["remedies"], result.remedies, strict=True):
        assert set(one) >= {"steps", "has_mm", "share_of_draws", "verdict", "slip_mm", "says"}
        assert set(one["has_mm"]) == {"swell", "shrink"}
        assert one["share_of_draws"] <= 0.05
        assert one["verdict"] == "holds"
        for step, own in zip(one["steps"], remedy.steps, strict=True):
            assert set(step) >= {"what", "fastenings", "kind", "size", "from_mm", "to_mm"}
            assert step["fastenings"] == [at + 1 for at in own.fastenings]
    numbered = {
        number for one in found["remedies"] for s in one["steps"] for number in s["fastenings"]
    }
    assert numbered <= set(range(1, len(result.fastenings) + 1))


def test_the_least_and_the_most_width_are_ranges_of_all_cases():
    width = numbers(run_of("place"))["width_mm"]
    for key in ("least", "most"):
        assert width[key]["p05"] <= width[key]["p50"] <= width[key]["p95"]
    assert width["p05"] == width["least"]["p05"] <= width["min"]
    assert width["p95"] == width["most"]["p95"] >= width["max"]


def test_one_piece_is_told_as_it_is_and_several_under_pieces():
    one = run_of("place")
    assert numbers([one]) == numbers(one)
    both = numbers((one, run_of("place in a year")))
    assert list(both) == ["schema", "pieces"]
    assert [piece["piece"]["name"] for piece in both["pieces"]] == [
        one.piece.name, run_of("place in a year").piece.name,
    ]  # fmt: skip
    assert "schema" not in both["pieces"][0]
