"""Pictures drawn from the page's own charts: their lines and labels, not their pixels."""

import io
from datetime import date

import numpy as np
import pytest
from matplotlib.path import Path

from climlog.analysis.place.place import analyse_place
from climlog.model.board import Measured
from climlog.report.drawing.picture import picture_of
from climlog.report.phrases import Say
from climlog.report.place.air import air_chart
from climlog.report.place.answer import headline
from climlog.report.place.document import charts
from climlog.report.place.width import width_chart
from climlog.report.place.wood import moisture_chart
from tests.analysis.made import fastening, made_log, oak_top
from tests.report.documents import CHART

INCH, METRIC = Say("inch"), Say("metric")


def seasons(days=400):
    hours = np.arange(24 * days)
    return made_log(np.full(hours.size, 20.0), 45 + 20 * np.sin(2 * np.pi * hours / (24 * 365)))


def slots(room_mm):
    return [
        fastening("slot", y, slot_length_mm=2 * room_mm + 4.2, shank_mm=4.2) for y in (400, -400)
    ]


@pytest.fixture(scope="module")
def held():
    return analyse_place(oak_top(fastening("screw"), *slots(2)), seasons())


@pytest.fixture(scope="module")
def roomy():
    readings = (Measured(date(2025, 4, 1), width_mm=903.0),)
    top = oak_top(fastening("screw"), *slots(60), measured=readings, name="a_top $x^2$")
    return analyse_place(top, seasons())


def drawn(axes):
    """What is drawn, by its style word."""
    found = {}
    for one in (*axes.patches, *axes.lines):
        if one.get_gid():
            found.setdefault(one.get_gid(), []).append(one)
    return found


def texts(axes):
    return [one.get_text() for one in axes.texts]


def labels(axis):
    return [one.get_text() for one in axis.get_ticklabels()]


def numbers_of(path):
    words = path.replace("M", " ").replace("L", " ").split()
    return np.array(words, dtype=float).reshape(-1, 2)


def test_the_line_of_width_is_the_page_s_own_path(held):
    chart = width_chart(held, METRIC)
    (axes,) = picture_of([chart], "").axes
    (line,) = drawn(axes)["middle"]
    curve = next(one for one in chart.panels[0].curves if one.style == "middle")
    np.testing.assert_allclose(line.get_path().vertices, numbers_of(curve.path))
    assert axes.get_ylabel() == "mm"
    assert axes.get_ylim() == (chart.panels[0].bottom, chart.panels[0].top)


@pytest.mark.parametrize(("say", "unit", "other"), [(INCH, "in", "mm"), (METRIC, "mm", "in")])
def test_both_units_stand_at_the_sides_at_their_places(held, say, unit, other):
    chart = width_chart(held, say)
    (axes,) = picture_of([chart], "").axes
    (second,) = axes.child_axes
    assert (axes.get_ylabel(), second.get_ylabel()) == (unit, other)
    panel = chart.panels[0]
    for axis, ticks in ((axes.yaxis, panel.ticks), (second.yaxis, panel.other_ticks)):
        assert labels(axis) == [one.label for one in ticks]
        assert axis.get_ticklocs().tolist() == [one.at for one in ticks]


def test_the_edges_of_the_travel_and_the_day_it_runs_out_are_drawn_and_named(held):
    chart = width_chart(held, METRIC)
    (axes,) = picture_of([chart], "").axes
    assert {"beyond upper", "beyond lower", "runs-out"} <= drawn(axes).keys()
    said = texts(axes)
    assert any(one.startswith("no room left swelling") for one in said)
    assert any(one.startswith("runs out ") for one in said)
    legend = [one.get_text() for one in axes.get_legend().get_texts()]
    assert legend == [words for _, words in chart.key]


def test_travel_far_outside_is_not_drawn_and_measurements_are(roomy):
    (axes,) = picture_of([width_chart(roomy, METRIC)], "").axes
    assert not [one for one in texts(axes) if "no room" in one]
    assert "runs-out" not in drawn(axes)
    (measured,) = drawn(axes)["measured"]
    ticks = dict(zip(labels(axes.yaxis), axes.get_yticks(), strict=True))
    per_mm = (ticks["+5"] - ticks["0"]) / 5
    assert measured.get_ydata() == pytest.approx([ticks["0"] + 3.0 * per_mm], abs=0.1)


def test_every_line_of_moisture_has_its_own_stroke(held):
    (axes,) = picture_of([moisture_chart(held, INCH)], "").axes
    strokes = [str(found[0].get_linestyle()) for style, found in drawn(axes).items()]
    assert len(strokes) == 4
    assert len(set(strokes)) == 4


def test_gaps_stay_open_in_the_lines():
    rh = np.full(24 * 60, 50.0)
    rh[500:700] = np.nan
    result = analyse_place(oak_top(), made_log(np.full(rh.size, 20.0), rh))
    (axes,) = picture_of([moisture_chart(result, INCH)], "").axes
    (core,) = drawn(axes)["core"]
    assert (core.get_path().codes == Path.MOVETO).sum() == 2


def test_both_drawings_share_their_time_and_stand_under_the_answer(held):
    figure = picture_of(charts(held, INCH), headline(held, INCH))
    upper, lower = figure.axes
    assert upper.get_xlim() == lower.get_xlim()
    title = figure.get_suptitle()
    assert " ".join(title.split()) == headline(held, INCH)
    assert max(map(len, title.splitlines())) <= 115


def test_any_chart_can_be_drawn(held):
    for chart in (CHART, air_chart(held, METRIC)):
        figure = picture_of([chart], "Any chart.")
        assert len(figure.axes) == len(chart.panels)
        figure.draw_without_rendering()


@pytest.mark.parametrize("kind", ["svg", "png", "pdf"])
def test_names_are_never_read_as_formulas(roomy, kind):
    stream = io.BytesIO()
    picture_of(charts(roomy, METRIC), roomy.piece.name).savefig(stream, format=kind)
    assert len(stream.getvalue()) > 1000
    if kind == "svg":
        assert "a_top $x^2$" in stream.getvalue().decode()


def test_a_piece_without_fastenings_or_movement_is_drawn_too():
    still = analyse_place(oak_top(), made_log(np.full(240, 20.0), np.full(240, 43.0)))
    figure = picture_of(charts(still, INCH), "")
    figure.draw_without_rendering()
    assert not [one for one in texts(figure.axes[0]) if "no room" in one]
