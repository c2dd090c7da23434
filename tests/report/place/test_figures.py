"""Pictures of a place result: their lines and labels, not their pixels."""

import io
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from matplotlib.dates import date2num

from climlog.analysis.place.place import analyse_place
from climlog.model.board import Measured
from climlog.report.place.answer import headline
from climlog.report.place.figures import moisture_figure, place_figure, width_figure
from tests.analysis.made import fastening, made_log, oak_top


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


def labelled(axes):
    handles, labels = axes.get_legend_handles_labels()
    return dict(zip(labels, handles, strict=True))


def texts(axes):
    return [one.get_text() for one in axes.texts]


def test_width_is_drawn_hour_by_hour_from_the_day_it_was_fixed(held):
    (axes,) = width_figure(held, "metric").axes
    line = labelled(axes)["width that log and sheet give"]
    np.testing.assert_allclose(line.get_ydata(), held.width_mm - 900.0)
    np.testing.assert_allclose(
        date2num(line.get_xdata(orig=True)), date2num(held.course.times.to_numpy())
    )
    assert axes.get_ylabel() == "change of width [mm]"


def test_inches_are_inches_with_millimetres_on_the_right(held):
    (axes,) = width_figure(held, "inch").axes
    line = labelled(axes)["width that log and sheet give"]
    np.testing.assert_allclose(line.get_ydata() * 25.4, held.width_mm - 900.0)
    assert axes.get_ylabel() == "change of width [in]"
    (other,) = axes.child_axes
    assert other.get_ylabel() == "[mm]"
    axes.figure.draw_without_rendering()
    assert {one.get_text() for one in axes.get_yticklabels()} & {"1/8", "1/4", "1/2"}


def test_the_edge_of_the_travel_and_the_day_it_runs_out_are_drawn_and_named(held):
    (axes,) = width_figure(held, "metric").axes
    has = held.as_a_set.has
    edges = [line.get_ydata()[0] for line in axes.lines if len(line.get_ydata()) == 2]
    assert has.swell_mm in edges
    assert -has.shrink_mm in edges
    assert [one for one in texts(axes) if one.startswith("no room left swelling")]
    assert "no travel left: the fastenings, not the air, decide here" in labelled(axes)
    (named,) = [one for one in labelled(axes) if one.startswith("runs out")]
    at = labelled(axes)[named].get_segments()[0][0][0]
    assert at == pytest.approx(date2num(held.as_a_set.runs_out_on))


def test_travel_far_outside_is_not_drawn_and_measurements_are(roomy):
    (axes,) = width_figure(roomy, "metric").axes
    assert not [one for one in texts(axes) if "no room" in one]
    assert not [one for one in labelled(axes) if one.startswith("runs out")]
    measured = labelled(axes)["measured on the piece"]
    assert measured.get_ydata() == pytest.approx([3.0])


def test_moisture_has_its_mean_faces_core_and_start_each_with_its_own_stroke(held):
    (axes,) = moisture_figure(held).axes
    lines = labelled(axes)
    assert len(lines) == 4
    strokes = {str(line.get_linestyle()) + str(line._dash_pattern) for line in lines.values()}
    assert len(strokes) == 4
    assert "both faces, which are alike (no finish), daily means" in lines
    np.testing.assert_array_equal(lines["core"].get_ydata(), held.course.core_pct)
    assert lines["when fixed, 8.0 %"].get_ydata()[0] == 8.0


def test_gaps_stay_open_in_the_lines():
    rh = np.full(24 * 60, 50.0)
    rh[500:700] = np.nan
    result = analyse_place(oak_top(), made_log(np.full(rh.size, 20.0), rh))
    (axes,) = moisture_figure(result).axes
    values = labelled(axes)["core"].get_ydata()
    assert np.isnan(values[510:690]).all()
    assert np.isfinite(values[:500]).all()


def test_both_drawings_share_their_time_and_stand_under_the_answer(held):
    figure = place_figure(held, "inch")
    upper, lower = figure.axes
    assert upper.get_xlim() == lower.get_xlim()
    title = figure.get_suptitle()
    assert " ".join(title.split()) == headline(held, "inch")
    assert max(map(len, title.splitlines())) <= 115


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["svg", "png", "pdf"])
def test_names_are_never_read_as_formulas(roomy, kind):
    drawn = io.BytesIO()
    place_figure(roomy, "metric").savefig(drawn, format=kind)
    assert len(drawn.getvalue()) > 1000
    if kind == "svg":
        assert "a_top $x^2$" in drawn.getvalue().decode()


def test_a_piece_without_fastenings_or_movement_is_drawn_too():
    still = analyse_place(oak_top(), made_log(np.full(240, 20.0), np.full(240, 43.0)))
    figure = place_figure(replace(still), "inch")
    figure.draw_without_rendering()
    assert not [one for one in texts(figure.axes[0]) if "no room" in one]
