"""Words for what was not read: what they say, what they leave out, and where they are silent."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.event_air import Events
from climlog.analysis.place.place import Asked, analyse, analyse_place
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.importer.log import Gap
from climlog.importer.read import read_log
from climlog.importer.weather import Weather, read_weather
from climlog.model.indoor import house_named
from climlog.report.drawing.picture import picture_of
from climlog.report.phrases import Say
from climlog.report.place.advice import changes
from climlog.report.place.answer import answer
from climlog.report.place.cautions import limit_lines
from climlog.report.place.document import charts, cited
from climlog.report.place.what_if import AS_IT_IS, event_lines, events_table, in_short
from climlog.report.place.width import width_chart
from climlog.report.place.wood import moisture_chart
from climlog.report.place.year import (
    climate_lines,
    is_projected,
    logger_advice,
    means_words,
    projection_lines,
    within_words,
)
from climlog.sheets.what_ifs import parse_what_if
from climlog.tables import ORDINARY_HOME
from tests.analysis.made import fastening, oak_top, steady_log
from tests.places import SAMPLES
from tests.report.documents import said_by

INCH, METRIC = Say("inch"), Say("metric")

TOP = oak_top(
    fastening("slot", -300.0, slot_length_mm=60.0),
    fastening("pin", 0.0),
    fastening("slot", 300.0, slot_length_mm=60.0),
)
YEAR = steady_log(365)


@cache
def phone():
    around = Surroundings(
        read_log([SAMPLES / "three_weeks_phone.csv"]),
        read_weather(SAMPLES / "ferry_house_outdoors.csv"),
    )
    return analyse_in_year(TOP, around)


@cache
def house():
    weather = read_weather(SAMPLES / "ferry_house_outdoors.csv")
    kind = house_named("heated-only", heating_c=19.0, cooling_c=25.0, humidifier_pct=40.0)
    return analyse_in_year(TOP, Surroundings(None, weather, kind))


def with_events(*texts, piece=TOP):
    events = [parse_what_if(one) for one in texts]
    return analyse_in_year(piece, Surroundings(YEAR), events)


def test_a_read_year_has_no_words_of_projection():
    result = analyse_place(TOP, YEAR)
    assert projection_lines(result, INCH) == ()
    assert climate_lines(result, INCH) == ()
    assert events_table(result, INCH) is None
    assert (within_words(result), logger_advice(result)) == ("", None)
    assert means_words(result) == "hourly means"
    assert result.lived.projected == width_chart(result, INCH).grounds == ()


def test_a_short_log_without_outdoors_stays_a_short_log():
    assert within_words(analyse_place(TOP, steady_log(20))) == " in the 20 days known"


def test_a_house_alone_is_said_with_its_settings_and_its_leaning():
    lines = " ".join(projection_lines(house(), METRIC))
    assert 'Kind of house "heated-only"' in lines
    assert "heated to 19 °C, cooled to 25 °C, a humidifier holding 40 %" in lines
    assert "safe against damp" in lines
    assert means_words(house()) == "daily means"
    assert logger_advice(house()).startswith("Put a logger where the piece will stand")


def test_a_top_that_holds_in_a_projected_year_keeps_its_logger_running():
    assert phone().as_a_set.verdict == "holds"
    first, second = changes(phone(), INCH)[:2]
    assert first.startswith("Fit it as drawn")
    assert second.startswith("Leave the logger running")


def test_a_day_is_projected_or_read_to_the_hour():
    assert not is_projected(phone(), pd.Timestamp("2025-11-03"))
    assert not is_projected(phone(), pd.Timestamp("2025-11-23 23:30"))
    assert is_projected(phone(), pd.Timestamp("2025-11-24"))


def test_grounds_of_the_drawings_begin_where_the_readings_end():
    (block,) = width_chart(phone(), INCH).grounds
    chart = width_chart(phone(), INCH)
    assert (block.style, block.x + block.width) == ("projected", pytest.approx(chart.right))
    share = (block.x - chart.left) / (chart.right - chart.left)
    assert share == pytest.approx(21 / 365, abs=0.002)
    assert len(moisture_chart(phone(), INCH).grounds) == 1


def test_the_picture_hatches_projected_days_in_both_its_axes():
    figure = picture_of(charts(phone(), INCH), "")
    hatched = [
        [one for one in axes.patches if one.get_gid() == "projected"] for axes in figure.axes[:2]
    ]
    assert [len(found) for found in hatched] == [1, 1]
    assert all(found[0].get_hatch() == ".." for found in hatched)


def test_a_gap_that_was_filled_is_not_shown_as_a_gap_too():
    whole = read_log([SAMPLES / "three_weeks_phone.csv"])
    days, hours = (
        Gap(pd.Timestamp(first), pd.Timestamp(last), 0.0)
        for first, last in (("2025-11-10", "2025-11-14"), ("2025-11-18 02:00", "2025-11-18 08:00"))
    )
    kept = np.ones(whole.times.size, dtype=bool)
    for one in (days, hours):
        kept &= ~((whole.times > one.first) & (whole.times < one.last))
    log = replace(
        whole, times=whole.times[kept], temp_c=whole.temp_c[kept], rh_pct=whole.rh_pct[kept],
        gaps=(days, hours),
    )  # fmt: skip
    around = Surroundings(log, read_weather(SAMPLES / "ferry_house_outdoors.csv"))
    assert days not in analyse_in_year(TOP, around).lived.gaps
    assert analyse_place(TOP, log).lived.gaps == (days, hours)


def row_of(result, say=METRIC, at=1):
    table = events_table(result, say)
    return dict(zip(table.heads, table.rows[at], strict=True))


def test_an_event_says_when_the_piece_is_back_or_that_it_stays():
    result = with_events(
        "in store, 2025-11-20, 30 days", "humidifier, 2025-06-01, 60 %", "shut up, 2025-02-01"
    )
    ends = [row_of(result, at=at)["Largest change, and back"] for at in (1, 2)]
    assert re.search(r"; back \d+ days after it ends, \d+ January 2026$", ends[0])
    assert ends[1].endswith("; it stays so")
    assert row_of(result, at=0)["Event"] == AS_IT_IS


def test_an_event_names_the_outdoors_that_it_took():
    told = event_lines(with_events("in store, 2025-11-20", "cooling fails, 2025-08-01"), METRIC)
    assert "No readings outdoors: worked back from the room, about" in told[0]
    assert "a cooled room hides them: as usual in August where rooms are cooled" in told[1]
    around = Surroundings(YEAR, read_weather(SAMPLES / "ferry_house_outdoors.csv"), elsewhere=True)
    (other,) = event_lines(
        analyse_in_year(TOP, around, [parse_what_if("in store, 2025-11-20")]), METRIC
    )
    assert "Outdoors as read on those days of the year, " in other


def test_an_event_that_changes_nothing_says_so():
    # Steady air of 50 % is above what the humidifier is asked to hold.
    row = row_of(with_events("humidifier, 2025-02-01, 30 days, 40 %"))
    assert row["Largest change, and back"] == "changes nothing"
    assert row["When"] == "1 February 2025, 30 days"


def test_the_short_answer_tells_each_event_that_was_asked_about():
    events = ("humidifier, 40 %", "in store, 2025-04-01", "shut up, 2025-02-01", "heating stuck")
    lines = in_short(with_events(*events), METRIC)
    assert lines[0] == "A humidifier, 40 %: changes nothing in any month."
    assert re.search(
        r"^In store, 1 April 2025, 90 days: holds; \d.*wider than without, back \d+ \w+ 2025\.$",
        lines[1],
    )
    assert len(lines) == 4
    assert lines[3] == "1 more in the table of the page."
    assert in_short(analyse_place(TOP, YEAR), METRIC) == ()


@pytest.mark.parametrize(
    ("kind", "way"),
    [("iso13788-class-2", "give --cooling TEMP"),
     ("unheated", "give --house unheated --cooling TEMP")],
)  # fmt: skip
def test_a_cooling_that_nobody_told_of_is_not_said_to_fail(kind, way):
    weather = read_weather(SAMPLES / "ferry_house_outdoors.csv")
    event = [parse_what_if("cooling fails, 2025-08-01")]
    untold = analyse_in_year(TOP, Surroundings(None, weather, house_named(kind)), event)
    (short,) = in_short(untold, METRIC)
    assert short.startswith("Cooling fails: no cooling was told, so the year already goes without")
    assert way in short
    (line,) = event_lines(untold, METRIC)
    assert "its year already goes without" in line
    assert way[1:] in line
    assert "mended" not in line
    cooled = house_named(kind, cooling_c=22.0)
    told = analyse_in_year(TOP, Surroundings(None, weather, cooled), event)
    assert "no cooling" not in " ".join((*in_short(told, METRIC), *event_lines(told, METRIC)))


def test_a_cooling_that_fails_in_days_that_were_read_needs_no_word_of_it():
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    june = (log.times >= pd.Timestamp("2025-06-01")) & (log.times < pd.Timestamp("2025-07-15"))
    part = replace(
        log, times=log.times[june], temp_c=log.temp_c[june], rh_pct=log.rh_pct[june], gaps=()
    )
    around = Surroundings(part, read_weather(SAMPLES / "ferry_house_outdoors.csv"))
    read, later = ([parse_what_if(f"cooling fails, 2025-0{month}-25, 9 days")] for month in (6, 8))
    assert "no cooling" not in " ".join(in_short(analyse_in_year(TOP, around, read), METRIC))
    assert "no cooling was told" in " ".join(in_short(analyse_in_year(TOP, around, later), METRIC))


def test_one_kind_that_stands_cold_told_for_another_is_remarked_on():
    told = replace(phone().projection.fit, house=house_named("unheated"), nearer="barely-heated")
    result = replace(phone(), projection=replace(phone().projection, fit=told))
    (line,) = (one for one in answer(result, METRIC).not_known if "barely-heated" in one)
    assert line.startswith('Told "unheated", and counted so; ')
    assert "give --house barely-heated" in line


def test_heating_told_far_from_the_cold_days_read_is_told_with_both():
    phones = phone()
    for told_c, is_said in ((27.0, True), (20.0, False)):
        fit = replace(
            phones.projection.fit,
            house=house_named(ORDINARY_HOME, heating_c=told_c), chosen=False, stands_at_c=20.5,
        )  # fmt: skip
        result = replace(phones, projection=replace(phones.projection, fit=fit))
        said = " ".join(answer(result, METRIC).not_known)
        assert ("Told heated to 27 °C, and counted so; its cold days were read at 20" in said) == (
            is_said
        )


def test_weeks_of_damp_are_warned_of_with_their_days():
    damp = Weather(steady_log(365, rh_pct=82.0, temp_c=18.0), "logger", False)
    around = Surroundings(YEAR, damp)
    (line,) = event_lines(
        analyse_in_year(TOP, around, [parse_what_if("cooling fails, 2025-08-01")]), METRIC
    )
    assert "mould" not in line
    (line,) = event_lines(
        analyse_in_year(TOP, around, [parse_what_if("shut up, 2025-08-01, 40 days, 0 C")]), METRIC
    )
    # Outdoors 82 % at 18 °C make 77 % in a shed at 19.1 °C; none, then.
    assert "mould" not in line
    cool = Weather(steady_log(365, rh_pct=97.0, temp_c=8.0), "logger", False)
    (line,) = event_lines(
        analyse_in_year(
            TOP, Surroundings(YEAR, cool), [parse_what_if("in store, 2025-08-01, 40 days")]
        ),
        METRIC,
    )
    # 97 % at 8 °C make 90 % at 9.1 °C, where wood moulds from 83 % on (Hukka, Viitanen).
    assert "40 days of it are damp enough for mould to grow on wood" in line
    assert "leaves water" not in line


def test_air_that_is_all_but_saturated_is_told_to_leave_water():
    fog = steady_log(365, rh_pct=98.0, temp_c=6.0, start="2024-01-01")
    asked = Asked(
        TOP, YEAR, what_ifs=[parse_what_if("move, 2025-03-01, 30 days, fog.csv")],
        events=Events(logs={Path("fog.csv"): fog}),
    )  # fmt: skip
    (line,) = event_lines(analyse(asked), METRIC)
    assert (
        "6 °C and 98 % indoors on average, 98 % on the dampest day. Air so damp leaves water"
        in line
    )


def test_events_of_a_piece_without_fastenings_are_not_judged():
    result = with_events("heating stuck, 2025-02-01, 30 days", piece=oak_top())
    assert "Verdict" not in row_of(result, INCH)
    assert "runs out" not in " ".join(said_by(events_table(result, INCH))).lower()


def test_what_stands_behind_a_projected_year_is_cited():
    used = {what for what, *_ in cited(phone())}
    assert "room air from outdoor air" in used
    assert "kinds of house" not in used
    assert "kinds of house" in {what for what, *_ in cited(house())}


def test_figures_beyond_their_fit_are_told_among_the_limits():
    result = replace(phone(), limits=("temperature 70 °C lies outside -45 to 60 °C",))
    assert limit_lines(result.limits)[-1].startswith("Temperature 70 °C lies outside")
    told = limit_lines([*result.limits, "south.csv: its seasons run against the log's"])
    assert told[-2].endswith("°C, beyond what the figure was fitted to.")
    assert told[-1] == "south.csv: its seasons run against the log's."
