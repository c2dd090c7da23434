"""Words for what was not read: what they say, what they leave out, and where they are silent."""

from dataclasses import replace
from functools import cache

import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.importer.log import Gap
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.indoor import house_named
from climlog.report.place.advice import changes
from climlog.report.place.captions import projected_spans, shown_gaps
from climlog.report.place.charts import moisture_chart, width_chart
from climlog.report.place.figures import place_figure
from climlog.report.place.what_if import AS_IT_IS, event_lines, event_rows
from climlog.report.place.year import (
    climate_lines,
    is_projected,
    logger_advice,
    means_words,
    projection_lines,
    within_words,
)
from climlog.report.provenance import limit_lines, source_rows
from climlog.sheets.what_ifs import parse_what_if
from tests.analysis.made import fastening, oak_top, steady_log
from tests.places import SAMPLES

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
    assert projection_lines(result, "inch") == ()
    assert climate_lines(result, "inch") == ()
    assert event_rows(result, "inch") == event_lines(result, "inch") == ()
    assert (within_words(result), logger_advice(result)) == ("", None)
    assert means_words(result) == "hourly means"
    assert projected_spans(result) == width_chart(result, "inch").grounds == ()


def test_a_short_log_without_outdoors_stays_a_short_log():
    assert within_words(analyse_place(TOP, steady_log(20))) == " in the 20 days of this log"


def test_a_house_alone_is_said_with_its_settings_and_its_leaning():
    lines = " ".join(projection_lines(house(), "metric"))
    assert 'Kind of house "heated-only"' in lines
    assert "heated to 19 °C, cooled to 25 °C, a humidifier holding 40 %" in lines
    assert "safe against damp" in lines
    assert means_words(house()) == "daily means"
    assert logger_advice(house()).startswith("Put a logger where the piece will stand")


def test_a_top_that_holds_in_a_projected_year_keeps_its_logger_running():
    assert phone().as_a_set.verdict == "holds"
    first, second = changes(phone(), "inch")[:2]
    assert first.startswith("Fit it as drawn")
    assert second.startswith("Leave the logger running")


def test_a_day_is_projected_or_read_to_the_hour():
    assert not is_projected(phone(), pd.Timestamp("2025-11-03"))
    assert not is_projected(phone(), pd.Timestamp("2025-11-23 23:30"))
    assert is_projected(phone(), pd.Timestamp("2025-11-24"))


def test_grounds_of_the_drawings_begin_where_the_readings_end():
    (block,) = width_chart(phone(), "inch").grounds
    chart = width_chart(phone(), "inch")
    assert (block.style, block.x + block.width) == ("projected", pytest.approx(chart.right))
    share = (block.x - chart.left) / (chart.right - chart.left)
    assert share == pytest.approx(21 / 365, abs=0.002)
    assert len(moisture_chart(phone(), "inch").grounds) == 1


def test_the_picture_hatches_projected_days_in_both_its_axes():
    labels = [
        [one.get_label() for one in axes.patches if one.get_hatch() == ".."]
        for axes in place_figure(phone(), "inch").axes[:2]
    ]
    assert labels == [["projected: no readings, worked out from the air outdoors"]] * 2


def test_a_gap_that_was_filled_is_not_shown_as_a_gap_too():
    read, filled = (
        Gap(pd.Timestamp(first), pd.Timestamp(last), 12.0)
        for first, last in (("2025-11-05", "2025-11-05 12:00"), ("2026-01-05", "2026-01-05 12:00"))
    )
    result = replace(phone(), log=replace(phone().log, gaps=(read, filled)))
    assert shown_gaps(result) == (read,)


def test_an_event_that_the_record_is_too_short_to_see_the_end_of_says_so():
    result = with_events("in store, 2025-11-20, 30 days")
    row = event_rows(result, "metric")[1]
    assert row.back.endswith("not back by the end of the record")
    assert row.event.endswith("usual air of the table, for want of --outdoor")
    assert event_rows(result, "metric")[0].event == AS_IT_IS


def test_an_event_that_changes_nothing_says_so():
    # Steady air of 50 % is above what the humidifier is asked to hold.
    row = event_rows(with_events("humidifier, 2025-02-01, 30 days, 40 %"), "metric")[1]
    assert row.back == "changes nothing"
    assert row.dates == "1 February 2025, 30 days"


def test_events_of_a_piece_without_fastenings_are_not_judged():
    result = with_events("heating stuck, 2025-02-01, 30 days", piece=oak_top())
    row = event_rows(result, "inch")[1]
    assert (row.used, row.verdict, row.shape, row.out_of_100) == ("", "not judged", "", "")
    assert "runs out" not in " ".join(event_lines(result, "inch"))


def test_what_stands_behind_a_projected_year_is_cited():
    cited = " ".join(one.used_for for one in source_rows(phone()))
    assert "room air from outdoor air" in cited
    assert "kinds of house" not in cited
    assert "kinds of house" in " ".join(one.used_for for one in source_rows(house()))


def test_figures_beyond_their_fit_are_told_among_the_limits():
    result = replace(phone(), limits=("temperature 70 °C lies outside -45 to 60 °C",))
    assert limit_lines(result)[-1].startswith("Temperature 70 °C lies outside")
