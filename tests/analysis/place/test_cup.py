"""Cup of a piece whose faces do not follow the air alike."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climlog import analyse_place
from climlog.analysis.place.cup import Cup, Face, cup_limit, eyes_forgive_mm
from climlog.model.board import BARE, Finish
from climlog.model.emc import equilibrium_moisture
from climlog.report.phrases import Say
from climlog.report.place.cup import cup_lines, cure_text
from tests.analysis.made import fastening, made_log, oak_top

# A film that hardly lets anything through: the sealed back of the closed form.
SEALED = Finish("foil", 1, 1e-14, "derived", "made up")
VARNISH = Finish("varnish", 3, 3e-10, "derived", "made up")
METRIC = Say("metric")


def stepping(days=400, from_pct=45.0, to_pct=55.0, after=20):
    rh_pct = np.full(days * 24, to_pct)
    rh_pct[: after * 24] = from_pct
    return made_log(np.full(days * 24, 20.0), rh_pct)


def top(**changes):
    start_pct = float(equilibrium_moisture(20.0, 45.0))
    return oak_top(
        fixed_on=date(2025, 1, 1), moisture_when_fixed_pct=start_pct, width_mm=400.0,
        thickness_mm=20.0, **changes,
    )  # fmt: skip


def test_faces_alike_stay_flat():
    assert analyse_place(top(), stepping()).cup is None
    both = top(show_face=VARNISH, hidden_face=VARNISH)
    assert analyse_place(both, stepping()).cup is None


def test_a_step_behind_a_sealed_back_cups_as_the_series_says():
    """Derived: on one face, back sealed and no film, the curvature reaches 0.960 d_eps / t.

    An air film and the steps of the air leave something less of it, never more.
    """
    piece = top(hidden_face=SEALED)
    result = analyse_place(piece, stepping())
    middle = result.middle
    emc = equilibrium_moisture(20.0, [45.0, 55.0])
    strain = 0.00369 * float(emc[1] - emc[0]) * middle.coefficient * middle.curve
    most_mm = 0.960 * strain / 20.0 * 400.0**2 / 8.0
    assert 0.6 * most_mm < result.cup.elastic_mm < 1.1 * most_mm
    # The bare show face swells first: it is the round one, and the sealed one the hollow one.
    assert result.cup.hollow is Face.HIDDEN
    assert date(2025, 1, 21) <= result.cup.on.date() < date(2025, 3, 1)


def test_the_drier_face_is_the_hollow_one():
    """Hoadley, "Understanding Wood": uneven drying cups concave to the drier face (read)."""
    drying = stepping(from_pct=45.0, to_pct=35.0)
    assert analyse_place(top(hidden_face=SEALED), drying).cup.hollow is Face.SHOW
    assert analyse_place(top(show_face=SEALED), drying).cup.hollow is Face.HIDDEN


def test_a_film_on_one_face_cups_less_than_a_seal_and_a_narrow_board_less_than_a_wide_one():
    sealed = analyse_place(top(hidden_face=SEALED), stepping()).cup
    filmed = analyse_place(top(hidden_face=VARNISH), stepping()).cup
    assert filmed.elastic_mm < sealed.elastic_mm
    boards = analyse_place(top(hidden_face=SEALED, board_width_mm=100.0), stepping()).cup
    assert boards.across_mm == 100.0
    assert boards.elastic_mm == pytest.approx(sealed.elastic_mm / 16, rel=0.02)


def test_it_is_told_where_it_exceeds_what_eyes_or_fastenings_forgive_and_only_there():
    pin = fastening("pin")
    one_faced = analyse_place(top(hidden_face=SEALED, fastenings=(pin,)), stepping())
    mild = analyse_place(
        top(hidden_face=SEALED, fastenings=(pin,)), stepping(from_pct=45.0, to_pct=46.0)
    )
    assert not mild.cup.exceeds_eyes
    assert cup_lines(mild, METRIC) == ()
    assert one_faced.cup.exceeds_eyes
    (line,) = cup_lines(one_faced, METRIC)
    assert "hollow on its hidden face" in line
    assert "Finish the show face as the hidden face" in line
    assert one_faced.cup.fastenings_mm == cup_limit("fastenings_mm").value


def test_what_is_held_by_nothing_is_said_so():
    free = analyse_place(top(hidden_face=SEALED), stepping())
    assert free.cup.fastenings_mm is None
    assert not free.cup.exceeds_fastenings
    assert "nothing here holds it flat" in cup_lines(free, METRIC)[0]


def test_limits_are_two_millimetres_in_a_metre_and_one_at_least():
    """Own default: tables/cup_limits.csv."""
    assert eyes_forgive_mm(1500.0) == 3.0
    assert eyes_forgive_mm(200.0) == 1.0
    told = Cup(Face.SHOW, None, 8.0, 2.4, 5.6, 900.0, 1.8, 4.0)
    assert told.exceeds_eyes
    assert not told.exceeds_fastenings
    assert replace(told, elastic_mm=8.1).exceeds_fastenings


def test_the_cure_names_the_open_face_and_the_finish_of_the_other():
    assert cure_text(top(show_face=VARNISH, hidden_face=BARE)) == (
        "Finish the hidden face as the show face: varnish in 3 coats."
    )
