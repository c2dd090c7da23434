"""The drawings: where things stand, and that thinning loses no extreme."""

import math
import re
from dataclasses import replace
from datetime import datetime
from functools import cache

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.year import project_year
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.board import ALONG
from climlog.model.fastening.fasteners import Travel
from climlog.report.drawing.axes import (
    Axis,
    area_path,
    change_ticks,
    line_path,
    second_of,
    seconds,
    thinned,
    time_ticks,
    value_ticks,
)
from climlog.report.drawing.chart import LEFT, RIGHT
from climlog.report.drawing.plan import GAUGE_WIDE
from climlog.report.drawing.timeline import Timeline
from climlog.report.html import environment
from climlog.report.phrases import Say
from climlog.report.place.air import air_bar, air_chart
from climlog.report.place.plan import plan_of
from climlog.report.place.width import width_chart
from climlog.report.place.wood import moisture_chart
from climlog.sheets.piece import read_piece
from climlog.tables import load_table
from tests.analysis.made import fastening, oak_top
from tests.places import SAMPLES

INCH, METRIC = Say("inch"), Say("metric")


@cache
def result_of(sheet: str) -> PlaceResult:
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    return analyse_place(read_piece(SAMPLES / sheet), log)


@pytest.fixture
def runs_out() -> PlaceResult:
    return result_of("dining_table.toml")


@pytest.fixture
def holds() -> PlaceResult:
    return result_of("wide_top_slots.toml")


@given(
    arrays(np.float64, st.integers(1, 400), elements=st.floats(-50, 50)),
    st.integers(2, 40),
)
def test_thinning_keeps_the_extremes_in_order(values, columns):
    x = np.arange(values.size, dtype=float)
    kept_x, kept = thinned(x, values, columns)
    assert kept.min() == values.min()
    assert kept.max() == values.max()
    assert np.all(np.diff(kept_x) > 0)
    assert kept.size <= max(values.size if values.size <= 2 * columns else 0, 2 * columns)


def test_a_gap_wider_than_a_column_stays_open():
    values = np.sin(np.arange(5000) / 50)
    values[2000:2600] = np.nan
    x, y = thinned(np.arange(5000.0), values, 100)
    assert np.isnan(y).any()
    assert line_path(x, y).count("M") == 2


def test_an_area_closes_each_stretch():
    x = np.arange(6.0)
    low = np.array([0.0, 0, np.nan, 0, 0, 0])
    assert area_path(x, low, low + 1).count("Z") == 2


@pytest.mark.parametrize(
    ("say", "labels"),
    [(INCH, ["−1/4", "−1/8", "0", "+1/8", "+1/4"]), (METRIC, ["−5", "0", "+5"])],  # noqa: RUF001
)
def test_change_is_ticked_in_fractions_or_millimetres(say, labels):
    assert [one.label for one in change_ticks(Axis(-7.0, 7.0, 0, 100), say)] == labels


def test_ticks_stand_where_their_labels_say():
    axis = Axis(12.0, 88.0, 300.0, 20.0)
    for tick in value_ticks(axis):
        assert tick.at == pytest.approx(float(axis.at(float(tick.label))), abs=0.05)


@pytest.mark.parametrize("days", [3, 21, 74, 100, 400, 1100, 2200])
def test_time_ticks_are_few_and_inside(days):
    first = datetime(2025, 2, 14)
    last = first + pd.Timedelta(days=days)
    axis = Axis(second_of(first), second_of(last), 60, 700)
    ticks = time_ticks(axis)
    assert 2 <= len(ticks) <= 16
    assert all(60 <= tick.at <= 700 for tick in ticks)
    assert len({tick.at for tick in ticks}) == len(ticks)


def numbers_of(path: str) -> np.ndarray:
    return np.array(re.findall(r"-?\d+\.\d+", path), dtype=float).reshape(-1, 2)


def test_the_line_of_width_reaches_both_extremes_on_their_days(runs_out):
    panel = width_chart(runs_out, INCH).panels[0]
    line = numbers_of(next(one.path for one in panel.curves if one.style == "middle"))
    marks = {one.shape: one for one in panel.marks}
    at = Timeline(runs_out.course.times).x.at(seconds(runs_out.course.times))
    for shape, step, extreme in (
        ("widest", np.nanargmax(runs_out.width_mm), line[:, 1].min()),
        ("narrowest", np.nanargmin(runs_out.width_mm), line[:, 1].max()),
    ):
        assert marks[shape].x == pytest.approx(at[step], abs=0.1)
        assert marks[shape].y == pytest.approx(extreme, abs=0.2)


def test_the_travel_is_hatched_beyond_its_ends(runs_out):
    blocks = width_chart(runs_out, METRIC).panels[0].blocks
    assert [one.style for one in blocks] == ["beyond upper", "beyond lower"]
    upper, lower = blocks
    # What is left between is the travel, on the scale that the ticks give.
    ticks = {one.label: one.at for one in width_chart(runs_out, METRIC).panels[0].ticks}
    per_mm = (ticks["0"] - ticks["+10"]) / 10
    has = runs_out.as_a_set.has
    assert (lower.y - upper.y - upper.height) / per_mm == pytest.approx(
        has.swell_mm + has.shrink_mm, abs=0.02
    )


def test_the_day_it_runs_out_is_marked_and_only_where_it_does(runs_out, holds):
    assert "runs-out" in {one.shape for one in width_chart(runs_out, INCH).panels[0].marks}
    assert "runs-out" not in {one.shape for one in width_chart(holds, INCH).panels[0].marks}


def test_travel_without_end_is_not_hatched(holds):
    endless = replace(holds, as_a_set=replace(holds.as_a_set, has=Travel(math.inf, math.inf)))
    assert width_chart(endless, INCH).panels[0].blocks == ()


def test_measured_widths_are_marked(holds):
    shapes = [one.shape for one in width_chart(holds, INCH).panels[0].marks]
    assert shapes.count("measured") == len(holds.piece.measured)


def test_moisture_shows_mean_faces_and_core(runs_out):
    (panel,) = moisture_chart(runs_out, INCH).panels
    assert [one.style for one in panel.curves] == ["zero", "show", "hidden", "core", "middle"]


def test_gaps_and_faults_are_shaded_where_they_lie(runs_out):
    chart = air_chart(runs_out, INCH)
    gaps = [one for one in chart.shades if one.style == "gap"]
    assert len(gaps) == len(runs_out.lived.gaps) > 0
    x = Timeline(runs_out.course.times).x
    longest = max(runs_out.log.gaps, key=lambda gap: gap.hours)
    assert any(one.x == pytest.approx(x.one(second_of(longest.first)), abs=0.1) for one in gaps)


def test_values_can_be_read_all_along(runs_out):
    for chart in (width_chart(runs_out, INCH), moisture_chart(runs_out, INCH)):
        assert 380 < len(chart.readings) <= 400
        moments = [words.split(":")[0] for _, words in chart.readings]
        assert len(set(moments)) == len(moments)
        places = [x for x, _ in chart.readings]
        assert places == sorted(places)
        assert all(words for _, words in chart.readings)


def test_safe_air_lies_on_the_scale(holds):
    bar = air_bar(holds, INCH)
    low, high = holds.safe_rh_pct
    assert bar.safe[0] == pytest.approx(bar.left + low / 100 * (bar.right - bar.left), abs=0.1)
    assert bar.safe[1] == pytest.approx(bar.left + high / 100 * (bar.right - bar.left), abs=0.1)


def test_a_band_reaches_as_far_as_its_drawing_and_no_farther():
    times = pd.date_range("2025-01-01", periods=200, freq="D")
    longer = pd.date_range("2024-12-01", periods=400, freq="D")
    ends = (np.zeros(400), np.ones(400))
    area = Timeline(times).area("doubt", Axis(0.0, 1.0, 100.0, 0.0), longer, ends)
    x = [float(one) for one in re.findall(r"[ML](-?[\d.]+) ", area.path)]
    assert min(x) == pytest.approx(LEFT, abs=3)
    assert max(x) == pytest.approx(RIGHT, abs=3)


def test_the_band_of_projected_air_spans_the_days_that_were_projected():
    weeks = read_log([SAMPLES / "three_weeks_phone.csv"])
    year = project_year(weeks, read_weather(SAMPLES / "ferry_house_outdoors.csv"))
    result = analyse_place(read_piece(SAMPLES / "wide_top_slots.toml"), weeks, projection=year)
    held = air_chart(result, INCH).panels[-1]
    (band,) = held.areas
    x = [float(one) for one in re.findall(r"[ML](-?[\d.]+) ", band.path)]
    wide = RIGHT - LEFT
    assert max(x) > LEFT + 0.97 * wide
    assert min(x) < LEFT + 0.1 * wide


def test_the_plan_is_the_piece_turned_over(runs_out):
    plan = plan_of(runs_out, INCH)
    left, top, long, wide = plan.top
    scale = long / runs_out.piece.length_mm
    assert wide / runs_out.piece.width_mm == pytest.approx(scale, rel=0.01)
    for seat, one in zip(plan.seats, runs_out.fastenings, strict=True):
        assert seat.x == pytest.approx(left + long / 2 + one.fastening.x_mm * scale, abs=0.1)
        assert seat.y == pytest.approx(top + wide / 2 + one.fastening.y_mm * scale, abs=0.1)
        assert seat.kind == one.fastening.kind


def test_the_worst_fastenings_are_ringed_and_their_gauge_stands_first(runs_out):
    plan = plan_of(runs_out, INCH)
    worst = max(one.judgement.used_pct for one in runs_out.fastenings)
    ringed = {seat.number for seat in plan.seats if seat.is_worst}
    assert ringed == {
        number
        for number, one in enumerate(runs_out.fastenings, start=1)
        if one.judgement.used_pct == pytest.approx(worst)
    }
    assert [one.named.split(":")[0] for one in plan.gauges] == [
        "All together, over the width", "7-14", "1, 3-4, 6", "2, 5",
    ]  # fmt: skip
    assert ringed == set(range(7, 15))


def test_a_gauge_draws_needs_and_has_to_one_scale_and_marks_what_is_beyond(runs_out):
    plan = plan_of(runs_out, METRIC)
    together, first, *_, last = plan.gauges
    judged = runs_out.fastenings[6].judgement
    scale = (first.needs[1] - first.zero) / judged.needs.swell_mm
    assert (first.has[1] - first.zero) / scale == pytest.approx(judged.has.swell_mm, abs=0.05)
    assert (first.zero - first.needs[0]) / scale == pytest.approx(judged.needs.shrink_mm, abs=0.05)
    assert first.beyond == ((first.needs[0], first.has[0]), (first.has[1], first.needs[1]))
    assert together.needs[1] - together.zero == pytest.approx(
        scale * runs_out.as_a_set.needs.swell_mm, abs=0.2
    )
    assert {gauge.zero for gauge in plan.gauges} == {first.zero}
    assert last.beyond == ()
    assert f"{judged.needs.swell_mm:.1f} mm swelling" in first.says


def test_no_gauge_and_no_mark_leaves_its_drawing():
    for sheet in ("dining_table.toml", "cupboard_door.toml", "breadboard_table.toml"):
        plan = plan_of(result_of(sheet), INCH)
        for gauge in plan.gauges:
            assert 0 <= min(gauge.has + gauge.needs) <= max(gauge.has + gauge.needs) <= GAUGE_WIDE
        for seat in plan.seats:
            assert 0 < seat.x < plan.width
            assert 14 < seat.y < plan.height - 14


def test_every_kind_of_fastening_has_a_shape_of_its_own():
    # Edges in a frame or an opening are one shape: what they are is said by the piece.
    kinds = load_table("fastening_kinds")["place"]
    template = environment().from_string('{% from "marks.j2" import seat %}{{ seat(kind, 0, 0) }}')
    drawn = {kind: template.render(kind=kind) for kind, place in kinds.items() if place == "rail"}
    assert len(set(drawn.values())) == len(drawn) > 8


# A floor is walked on and laid from above, between walls and on battens or joists that run across
# its boards; a door and a panel are hung and looked at from the front (common practice, no source).
def test_a_floor_is_seen_from_above_between_its_walls_board_by_board(holds):
    edge = fastening("floor", 1800.0, 0.0, ALONG)
    edges = (edge, replace(edge, y_mm=-1800.0))
    size = {"width_mm": 3600.0, "length_mm": 5000.0, "board_width_mm": 130.0}
    piece = replace(oak_top(), fastenings=edges, **size)
    plan = plan_of(replace(holds, piece=piece, fastenings=()), METRIC)
    assert plan.title == f"{piece.name} from above"
    assert "battens or joists" in plan.lies.lower()
    assert "seen from above" in plan.says
    _, top, long, wide = plan.top
    # 3600 / 130 is 27 boards and a narrower one: 27 joints, the first a board from the edge.
    heights = [float(re.match(r"M\S+ (\S+)H", one).group(1)) for one in plan.joints]
    assert len(heights) == 27
    assert heights[0] - top == pytest.approx(wide * 130 / 3600, abs=0.2)
    assert plan.grain == ()
    walls = sorted(plan.rails, key=lambda one: one.y)
    assert [one.width for one in walls] == [long, long]
    assert walls[0].y + walls[0].height < top
    assert walls[1].y > top + wide
    assert 0 < walls[0].y < walls[1].y + walls[1].height < plan.height


def test_a_floor_of_unknown_or_countless_boards_shows_its_grain_instead(holds):
    edge = fastening("floor", 1800.0, 0.0, ALONG)
    for board_mm in (None, 30.0):
        size = {"width_mm": 3600.0, "length_mm": 5000.0, "board_width_mm": board_mm}
        piece = replace(oak_top(), fastenings=(edge,), **size)
        plan = plan_of(replace(holds, piece=piece, fastenings=()), METRIC)
        assert plan.joints == ()
        assert plan.grain


def test_a_door_is_seen_from_the_front_and_a_top_from_below(runs_out):
    assert plan_of(result_of("cupboard_door.toml"), INCH).title.endswith("from the front")
    top = plan_of(runs_out, INCH)
    assert top.title.endswith("from below")
    assert top.lies == "Turned over about its length."


def test_a_top_with_its_grain_the_short_way_is_drawn_whole(holds):
    piece = replace(holds.piece, length_mm=300.0, width_mm=1200.0, fastenings=())
    plan = plan_of(replace(holds, piece=piece, fastenings=()), INCH)
    x, y, long, wide = plan.top
    assert wide == pytest.approx(4 * long, rel=0.01)
    assert x + long <= plan.width
    assert y + wide <= plan.height
    assert plan.held == ()
