"""place beyond what was read, as a person runs it: --outdoor, --house and what-ifs."""

import calendar
import csv
import html
import json
import re
from datetime import datetime, timedelta
from pathlib import Path

import pandas as pd
import pvlib
import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.places import SAMPLES

PHONE = SAMPLES / "three_weeks_phone.csv"
OUTDOORS = SAMPLES / "ferry_house_outdoors.csv"
ROOM = SAMPLES / "ferry_house_dining_room.csv"
SHOP = SAMPLES / "shop.csv"
MONTHS = SAMPLES / "ferry_house_months.csv"
TABLE = SAMPLES / "wide_top_slots.toml"
TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
EVENTS = {
    "cooling-fails": "cooling fails, 2026-08-05, 16 days",
    "heating-stuck": "heating stuck, 2025-12-28, 3 weeks, 30 C",
    "humidifier": "humidifier, 2025-12-01, 3 months, 40 %",
    "shut-up": "shut up, 2025-12-15",
    "in-store": "in store, 2026-02-01, 2 months",
    "move": f"move, 2026-03-01, 2 months, {SHOP}",
}
JUDGED = {"needs_mm", "has_mm", "used_pct", "verdict", "share_of_draws"}
SHEET_EVENT = """
[[what_if]]
kind = "in store"
start = 2026-02-01
length = "5 weeks"
log = "elsewhere.csv"
"""


def run(*arguments):
    return CliRunner().invoke(main, ["place", *(str(one) for one in arguments)])


def plain(text):
    return " ".join(text.split())


class Answer:
    """What one run printed and wrote."""

    def __init__(self, folder, *arguments):
        files = {"json": folder / "n.json", "hourly": folder / "h.csv", "picture": folder / "p.svg"}
        options = [part for name, path in files.items() for part in (f"--{name}", path)]
        result = run(*arguments, *options, "--full", "--out", folder)
        assert result.exit_code == 0, result.output
        self.text = plain(result.stdout)
        self.numbers = json.loads(files["json"].read_text(encoding="utf-8"))
        with files["hourly"].open(encoding="utf-8-sig", newline="") as stream:
            self.hourly = list(csv.DictReader(stream))
        self.picture = files["picture"].read_text(encoding="utf-8")
        (page,) = folder.glob("*.html")
        self.page = page.read_text(encoding="utf-8")
        body = re.sub(r"<(style|script)\b.*?</\1>", " ", self.page, flags=re.DOTALL)
        self.words = plain(html.unescape(re.sub(r"<[^>]+>", " ", body)))


@pytest.fixture(scope="module")
def phone(tmp_path_factory):
    asked = [part for one in EVENTS.values() for part in ("--what-if", one)]
    folder = tmp_path_factory.mktemp("phone")
    return Answer(folder, PHONE, "--piece", TABLE, "--outdoor", OUTDOORS, *asked)


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("house")
    return Answer(
        folder, "--piece", TABLE, "--outdoor", TMY3, "--house", "ISO13788 class 2",
        "--heating", "68 F", "--cooling", "26 C", "--humidifier", "35",
    )  # fmt: skip


def test_the_answer_says_that_the_year_is_projected(phone):
    assert "likely cases run out in a projected year" in phone.text[:600]
    assert "Only 21 days were read; 344 days are projected" in phone.text


def test_the_page_marks_projected_days_in_every_drawing_its_key_and_its_words(phone):
    for name in ("width", "moisture", "air"):
        figure = re.search(rf'<figure id="figure-{name}".*?</figure>', phone.page, re.DOTALL)[0]
        assert '<rect class="projected"' in figure
        assert "projected: no readings, worked out from the air outdoors" in figure
        assert (
            "Projected, not read: 14 February 2025 to 2 November 2025, 24 November 2025 to "
            "2 November 2026." in figure
        )
    assert '<pattern id="columns"' in phone.page
    assert "How the year was projected" in phone.words
    assert "Projected from 21 days of readings" in phone.words
    assert "Only 21 days were read; 344 days are projected" in phone.words


def test_the_picture_and_the_hourly_table_mark_projected_days(phone):
    assert "projected: no readings, worked out from the air outdoors" in phone.picture
    # From the fixing in February to the phone's first day, 262 days as in the projected year.
    assert [row["air_from"] for row in phone.hourly].count("projected") == (262 + 344) * 24
    assert {row["air_from"] for row in phone.hourly} == {"measured", "projected"}


def test_json_says_what_was_projected_and_how_well_it_is_known(phone):
    year = phone.numbers["projection"]
    assert (year["matched"], year["outdoor_file"]) == ("by date", OUTDOORS.name)
    assert (year["days_read"], year["days_projected"]) == (21, 344)
    assert year["projected"] == [
        {"from": "2025-02-14T00:00:00", "to": "2025-11-02T23:00:00"},
        {"from": "2025-11-24T00:00:00", "to": "2026-11-02T23:00:00"},
    ]
    assert set(year["fit"]) >= {"days_used", "temperature_c", "vapour_pa"}
    assert year["house"] is None
    assert 0 < year["emc_sd_pct"]["min"] < year["emc_sd_pct"]["max"]
    assert [one for one in year["says"] if plain(one) not in phone.text] == []
    # On the page an option is an element of its own, so that it is never broken.
    bare = phone.words.replace(" ", "")
    assert [one for one in year["says"] if one.replace(" ", "") not in bare] == []
    half = f"about {year['emc_half_band_pct']['mean']:.1f} % moisture either way"
    assert half in phone.words


def test_every_kind_of_event_has_its_row_in_json_page_and_terminal(phone):
    rows = phone.numbers["what_ifs"]
    assert [row["kind"] for row in rows] == [None, *EVENTS]
    table = re.search(r'<h2 id="what-if">.*?</section>', phone.page, re.DOTALL)[0]
    assert table.count("<tr") == len(rows) + 1
    said = plain(table)
    for row in rows:
        assert {"width_mm", "needs_mm", "has_mm", "used_pct", "verdict", "share_of_draws"} <= set(
            row
        )
        assert row["says"] in phone.words
        assert f"{row['used_pct']:.0f} %" in said
    assert rows[1]["departure_mm"] > 0 > rows[2]["departure_mm"]
    assert rows[3]["departure_mm"] > 0
    assert (rows[2]["temp_c"], rows[3]["rh_pct"], rows[6]["log"]) == (30.0, 40.0, SHOP.name)
    assert "local codes" in plain(html.unescape(table))


def test_events_move_the_piece_the_way_physics_has_it(phone):
    as_it_is, *rows = phone.numbers["what_ifs"]
    failed, stuck = rows[0], rows[1]
    assert failed["width_mm"]["max"] > as_it_is["width_mm"]["max"]
    assert stuck["width_mm"]["min"] < as_it_is["width_mm"]["min"]
    assert failed["width_mm"]["max_on"][:7] in ("2026-08", "2026-09")


def test_the_care_card_knows_the_cold_of_the_place(phone):
    # The printed steps for windows (tables/sources.csv, Minnesota-winter-RH, read): between 10 and
    # 20 °F, and -10.9 °C is 12.4 °F, no more than 35 %.
    assert phone.numbers["outdoor_low_c"] == pytest.approx(-10.9, abs=0.1)
    assert "In your coldest weeks hold no more than 35 %" in phone.words
    # It holds, but most of its year was not read.
    assert phone.numbers["as_a_set"]["verdict"] == "holds"
    assert "Hand it over when a winter and a summer have been read." in phone.words


def test_a_house_alone_has_no_log_and_says_so(house):
    assert house.numbers["log"] is None
    year = house.numbers["projection"]
    assert (year["matched"], year["days_read"], year["fit"]) == ("by class of house", 0, None)
    assert year["house"]["heating_c"] == pytest.approx(20.0)
    assert (year["house"]["cooling_c"], year["house"]["humidifier_pct"]) == (26.0, 35.0)
    assert "No reading of this room went into this" in house.text
    assert "worked out for a kind of house, not read" in house.words
    assert 'id="log"' not in house.page
    assert {row["air_from"] for row in house.hourly} == {"projected"}
    assert house.numbers["piece"]["fixed_on"] == "2025-02-14"


def test_set_points_alone_mean_an_ordinary_home(tmp_path):
    result = run(
        "--piece", TABLE, "--outdoor", TMY3, "--heating", "20 C", "--full", "--out", tmp_path
    )
    assert result.exit_code == 0, result.output
    assert 'Kind of house "iso13788-class-2": home or office' in plain(result.stdout)


def test_a_typical_year_is_matched_by_day_of_year(tmp_path):
    answer = Answer(tmp_path, PHONE, "--piece", TABLE, "--outdoor", TMY3)
    assert answer.numbers["projection"]["matched"] == "by day of year"
    assert answer.numbers["what_ifs"] == []
    assert "Matched by day of the year" in answer.words
    assert 'id="what-if"' not in answer.page


def test_outdoor_readings_from_elsewhere_count_by_season(tmp_path):
    answer = Answer(tmp_path, PHONE, "--piece", TABLE, "--outdoor", OUTDOORS, "--outdoor-elsewhere")
    assert answer.numbers["projection"]["matched"] == "by day of year"


def test_a_year_that_was_read_is_described_and_not_projected(tmp_path):
    event = "cooling fails, 2025-08-01, 10 days"
    answer = Answer(tmp_path, ROOM, "--piece", TABLE, "--outdoor", OUTDOORS, "--what-if", event)
    assert answer.numbers["projection"] is None
    assert answer.numbers["log"]["is_full_year"] is True
    band = answer.numbers["climate"]["band"]
    assert band["covers_a_whole_cycle"] is True
    season = band["season_pct"]
    assert f"from {season['min']:.0f} to {season['max']:.0f} %" in answer.words
    assert all(one in answer.text for one in answer.numbers["climate"]["says"])
    assert "EN 15757" in answer.words
    assert "projected" not in answer.words
    assert [row["kind"] for row in answer.numbers["what_ifs"]] == [None, "cooling-fails"]


def test_without_the_options_the_new_keys_are_empty(tmp_path):
    answer = Answer(tmp_path, PHONE, "--piece", TABLE)
    assert answer.numbers["projection"] is None
    assert answer.numbers["what_ifs"] == []
    assert answer.numbers["climate"] is None
    assert answer.numbers["outdoor_low_c"] is None
    assert 'class="projected"' not in answer.page
    assert "of air are no year" in answer.text


def test_a_sheet_holds_events_and_names_logs_beside_it(tmp_path):
    sheet = tmp_path / "table.toml"
    sheet.write_text(TABLE.read_text(encoding="utf-8") + SHEET_EVENT, encoding="utf-8")
    (tmp_path / "elsewhere.csv").write_bytes(SHOP.read_bytes())
    folder = tmp_path / "out"
    folder.mkdir()
    answer = Answer(
        folder, PHONE, "--piece", sheet, "--outdoor", OUTDOORS, "--what-if", EVENTS["humidifier"]
    )
    rows = answer.numbers["what_ifs"]
    assert [row["kind"] for row in rows] == [None, "in-store", "humidifier"]
    assert (rows[1]["days"], rows[1]["log"]) == (35.0, "elsewhere.csv")


def test_several_pieces_share_the_year(tmp_path):
    other = SAMPLES / "dining_table.toml"
    result = run(
        PHONE, "--piece", TABLE, "--piece", other, "--outdoor", OUTDOORS, "--out", tmp_path,
        "--json", "-",
    )  # fmt: skip
    pieces = json.loads(result.stdout)["pieces"]
    assert [one["projection"]["days_projected"] for one in pieces] == [344, 344]


OUT = ("--outdoor", str(OUTDOORS))
SHEET = ("--piece", str(TABLE))
REFUSED = {
    "no air at all": (SHEET, 2, "give the LOG of the place, or without one --outdoor FILE and"),
    "outdoors alone": ((*SHEET, *OUT), 2, "--house NAME (iso13788-class-2 is an ordinary home)"),
    "house without outdoors": (
        (PHONE, *SHEET, "--house", "heated-only"), 2, "--house works with the air outdoors",
    ),
    "set point without outdoors": (
        (PHONE, *SHEET, "--heating", "20 C"), 2, "--heating works with the air outdoors",
    ),
    "elsewhere without outdoors": (
        (PHONE, *SHEET, "--outdoor-elsewhere"), 2, "--outdoor-elsewhere works with",
    ),
    "unknown house": ((*SHEET, *OUT, "--house", "palace"), 1,
        'house is called "palace"; known are'),
    "set point without a unit": (
        (*SHEET, *OUT, "--heating", "20"), 1, '--heating: "20" is not a temperature',
    ),
    "humidifier beyond nature": (
        (*SHEET, *OUT, "--humidifier", "140 %"), 1, "is more than 100 %",
    ),
    "set points that fight": (
        (*SHEET, *OUT, "--heating", "25 C", "--cooling", "20 C"), 1, "would fight each other",
    ),
    "no such file": ((PHONE, *SHEET, "--outdoor", "nowhere.epw"), 1, "nowhere.epw: no such file"),
    "outdoors that are a room's": (
        (*SHEET, "--outdoor", PHONE, "--house", "heated-only"), 1,
        "three_weeks_phone.csv: this is the air of a room, not of outdoors (on a usual day it",
    ),
    "outdoors twice": (
        (PHONE, *SHEET, *OUT, "--outdoor-months", MONTHS), 2, "leave one of them out",
    ),
    "house misspelt": ((*SHEET, *OUT, "--house", "unheatd"), 1, 'did you mean "unheated"?'),
    "months as a log": (
        (MONTHS, *SHEET), 1, "a table of monthly means, not a log: give it as --outdoor-months",
    ),
    "months as outdoors": (
        (PHONE, *SHEET, "--outdoor", MONTHS), 1, "monthly means, not a log: give it as --outdoor-m",
    ),
    "a log as months": (
        (PHONE, *SHEET, "--outdoor-months", OUTDOORS), 1, "give a log or a weather file as --out",
    ),
    "no such months": (
        (PHONE, *SHEET, "--outdoor-months", "nowhere.csv"), 1, "nowhere.csv: no such file",
    ),
    "unknown event": (
        (PHONE, *SHEET, "--what-if", "meteor, 2025-11-05"), 1, 'no what-if is called "meteor"',
    ),
    "event in a month not read": (
        (PHONE, *SHEET, "--what-if", "shut up, in May"), 1, "the piece has no air of May here",
    ),
    "event in another year": (
        (PHONE, *SHEET, *OUT, "--what-if", "cooling fails, 2024-08-05"), 1,
        "the same day inside it is 2025-08-05",
    ),
    "event beyond a short log": (
        (PHONE, *SHEET, "--what-if", "cooling fails, 2026-08-05"), 1,
        "fill the year up with --outdoor",
    ),
    "move to nowhere": (
        (PHONE, *SHEET, *OUT, "--what-if", "move, 2026-01-05"), 1, "a move needs the log of",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("arguments", "status", "says"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_is_refused_in_one_clear_line(arguments, status, says, tmp_path):
    result = run(*arguments, "--out", tmp_path)
    assert result.exit_code == status
    assert says in plain(result.stderr)
    assert status == 2 or result.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ('[[what_if]]\nkind = "meteor"\nstart = 2026-01-05\n', 'no what-if is called "meteor"'),
        ('[[what_if]]\nkind = "shut up"\nbegin = 2026-01-05\n', "start"),
        ('[[what_if]]\nkind = "shut up"\nstart = 2026-01-05\nlength = "16"\n', "length"),
    ],
)
def test_an_event_of_a_sheet_is_refused_with_the_name_of_the_sheet(row, says, tmp_path):
    sheet = tmp_path / "table.toml"
    sheet.write_text(f"{TABLE.read_text(encoding='utf-8')}\n{row}", encoding="utf-8")
    result = run(PHONE, "--piece", sheet, *OUT, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert "table.toml" in result.stderr
    assert "line " in result.stderr
    assert says in result.stderr


def test_without_outdoor_air_one_line_says_where_a_file_of_it_comes_from():
    result = run(PHONE, *SHEET, "--house", "heated-only")
    assert result.exit_code == 2
    assert "typical year" in result.stderr
    assert "EPW or TMY3" in result.stderr
    assert "--outdoor-months FILE" in result.stderr


@pytest.fixture(scope="module")
def months(tmp_path_factory):
    folder = tmp_path_factory.mktemp("months")
    return Answer(folder, PHONE, "--piece", TABLE, "--outdoor-months", MONTHS)


@pytest.fixture(scope="module")
def july(tmp_path_factory):
    folder = tmp_path_factory.mktemp("july")
    log = cut(ROOM, folder / "july.csv", "2025-07-01", "2025-07-22")
    return Answer(folder, log, "--piece", TABLE, "--outdoor-months", MONTHS)


def test_twelve_monthly_means_stand_in_for_the_outdoors(months):
    year = months.numbers["projection"]
    assert (year["outdoor_kind"], year["outdoor_file"]) == ("months", MONTHS.name)
    assert (year["outdoor_from"], year["outdoor_to"]) == (None, None)
    assert year["outdoor_coldest_month"] in (1, 2)
    assert "twelve monthly means: a smooth course that keeps each of them" in months.text
    assert "projected from the monthly means of ferry_house_months.csv" in months.words
    # The table's January is -5.6 °C; the weather of its coldest week is lower, and not printed.
    assert months.numbers["outdoor_low_c"] == pytest.approx(-10.6)


def test_months_and_their_whole_year_tell_nearly_the_same(phone, months):
    """The table was printed from that year's own outdoor file: what it lacks are the days."""
    for end in ("least", "most"):
        (of_months, of_days) = (one.numbers["width_mm"][end] for one in (months, phone))
        # Of the weather only its usual spread is known, so that the range is hardly narrower; the
        # middle lies within an eighth of it.
        spans = [one["p95"] - one["p05"] for one in (of_months, of_days)]
        assert of_months["p50"] == pytest.approx(of_days["p50"], abs=0.125 * spans[1])
        assert spans[0] > 0.8 * spans[1]


def test_the_month_to_log_next_is_in_json_as_in_the_answer(phone):
    month = phone.numbers["projection"]["least_known_month"]
    assert f"two weeks of readings in {calendar.month_name[month]} would add most" in phone.text


def test_a_short_log_is_told_where_the_outdoors_come_from_in_one_line(tmp_path):
    result = run(PHONE, *SHEET, "--out", tmp_path)
    said = plain(result.stdout)
    assert "--outdoor FILE (EPW or TMY3 of a weather service) or --outdoor-months FILE" in said
    full = plain(run(PHONE, *SHEET, "--full", "--out", tmp_path / "full").stdout)
    assert "a typical year (EPW or TMY3) as weather services publish them" in full
    assert "--outdoor-months FILE, the twelve monthly means of any climate table" in full


@pytest.mark.parametrize("columns", [48, 60, 80])
def test_what_is_to_be_typed_is_never_cut_at_a_hyphen(columns, tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(columns))
    said = run(PHONE, *SHEET, "--out", tmp_path).stdout
    assert "--outdoor-months FILE" in plain(said)
    assert not re.search(r"[a-z]-\s*\n", said)


def cut(source, target, first, last):
    """Keep the days of a sample log from one to before another."""
    head, *rows = source.read_text(encoding="utf-8").splitlines()
    kept = [row for row in rows if first <= row[:10] < last]
    target.write_text("\n".join([head, *kept, ""]), encoding="utf-8")
    return target


def moved(target, days):
    """Write the sample outdoors as if so many days later."""
    head, *rows = OUTDOORS.read_text(encoding="utf-8").splitlines()
    later = [
        f"{datetime.fromisoformat(row[:16]) + timedelta(days=days):%Y-%m-%d %H:%M}{row[16:]}"
        for row in rows
    ]
    target.write_text("\n".join([head, *later, ""]), encoding="utf-8")
    return target


def test_a_summer_log_asks_whether_the_room_is_heated_in_winter(july, phone):
    for said in (july.text, july.words):
        assert "Whether it is heated in winter: taken for granted, no cold day was read." in said
        assert "--house unheated or barely-heated or roof-space" in said
    assert "taken for granted" not in phone.text


def test_the_short_answer_tells_the_kind_that_a_cold_log_was_taken_for(tmp_path, phone):
    days = pd.date_range("2026-01-05", periods=21)
    rows = [f"{day:%Y-%m-%d 12:00},{13.0 + day.day % 3:.1f},55.0" for day in days]
    cold = tmp_path / "cold.csv"
    cold.write_text("\n".join(["date,temperature (°C),humidity (% RH)", *rows]), encoding="utf-8")
    said = plain(run(cold, *SHEET, "--outdoor", OUTDOORS, "--out", tmp_path / "out").stdout)
    assert 'Building: It stands cold: taken for "barely-heated"' in said
    assert "Building:" not in phone.text


def test_outdoors_of_the_other_half_of_the_earth_are_refused_in_one_line(tmp_path):
    half = cut(ROOM, tmp_path / "half.csv", "2025-04-01", "2025-10-01")
    south = moved(tmp_path / "south.csv", 182)
    result = run(half, *SHEET, "--outdoor", south, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert result.stderr.count("\n") == 1
    assert "south.csv: its seasons run against the log's" in result.stderr
    assert "--house NAME" in result.stderr
    named = run(
        half, *SHEET, "--outdoor", south, "--house", "en15026-normal", "--full", "--out", tmp_path
    )
    assert named.exit_code == 0, named.output
    assert "its seasons run against the log's" in plain(named.stdout)


def test_outdoors_of_another_year_are_told_with_their_year(tmp_path):
    early = moved(tmp_path / "early.csv", -6 * 365 - 2)
    said = plain(run(PHONE, *SHEET, "--outdoor", early, "--full", "--out", tmp_path).stdout)
    assert "The weather of those days: early.csv is of 2019 to 2020; its season counts." in said
    assert "early.csv is of 2019 to 2020 and counts by its season alone" in said


def test_a_gap_in_the_outdoors_is_refused_with_its_days(tmp_path):
    head, *rows = OUTDOORS.read_text(encoding="utf-8").splitlines()
    kept = [row for row in rows if not "2025-06-10" <= row[:10] < "2025-07-12" and row < "2026-02"]
    gappy = tmp_path / "gappy.csv"
    gappy.write_text("\n".join([head, *kept, ""]), encoding="utf-8")
    result = run(PHONE, *SHEET, "--outdoor", gappy, "--out", tmp_path / "out")
    assert result.exit_code == 1
    assert "no readings for 32 of the 365 days wanted, the first 10 June" in result.stderr
    assert "--outdoor-months" in result.stderr
