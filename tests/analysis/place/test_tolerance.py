"""Spells against Crank's series, and against the board marched through the same air."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from climlog.analysis.air.air import air_of
from climlog.analysis.board.cases import Case
from climlog.analysis.board.simulation import Stay
from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.tolerance import (
    Begins,
    Board,
    SpellKind,
    days_to_share,
    safe_humidities,
    spells_needed,
)
from climlog.model.board import BARE
from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture
from climlog.model.fastening.set_travel import travel_as_a_set
from climlog.model.wood_transport import rate_at
from tests.analysis.made import fastening, oak_top, steady_log

DAY_S = 86400.0
SLOTS = [fastening("slot", y, slot_length_mm=10.2, shank_mm=4.2) for y in (400, -400)]
TOP = oak_top(fastening("screw"), *SLOTS)
ROOM = air_of(steady_log(30))


def board(piece=TOP, **case):
    """The piece fixed at 8 %, in a room about there."""
    return Board(Stay(piece, ROOM, 8.0, 8.0), Case(**case))


def crank_share(slab: Slab, time_s: float) -> float:
    """J. Crank, "The Mathematics of Diffusion", 2nd ed., 1975: eq. 4.50 (surface evaporation).

    Half thickness l, L = l x transfer / D, roots b of b tan b = L; from memory, and summed here
    from roots found one by one.
    """
    half_m = slab.thickness_m / 2
    biot = half_m * slab.transfer_m_s[0] / slab.diffusivity_m2_s
    left = 0.0
    for n in range(200):
        low, high = n * math.pi, n * math.pi + math.pi / 2
        root = brentq(lambda b: b * math.sin(b) - biot * math.cos(b), low + 1e-12, high)
        weight = 2 * biot**2 / (root**2 * (root**2 + biot**2 + biot))
        left += weight * math.exp(-(root**2) * slab.diffusivity_m2_s * time_s / half_m**2)
    return 1.0 - left


@pytest.mark.parametrize("share", [0.05, 0.3, 0.632, 0.95])
@pytest.mark.parametrize("transfer_m_s", [2e-8, 4e-7])
def test_a_spell_takes_as_long_as_in_cranks_series(share, transfer_m_s):
    slab = Slab(0.022, 5e-11, (transfer_m_s, transfer_m_s))
    days = days_to_share(slab, share, 20.0)
    # Both are sums of the same kind; what is left is the truncation of 200 terms.
    assert crank_share(slab, days * DAY_S) == pytest.approx(share, abs=1e-6)


def test_warm_boards_follow_as_much_sooner_as_the_rate_says():
    slab = Slab(0.022, 5e-11, (4e-7, 4e-7))
    cold, warm = days_to_share(slab, 0.5, 10.0), days_to_share(slab, 0.5, 30.0)
    assert cold / warm == pytest.approx(float(rate_at(30.0) / rate_at(10.0)), rel=1e-6)


def test_the_board_marched_through_the_spell_is_at_the_limit_on_that_day():
    travel = travel_as_a_set(TOP.fastenings, TOP.width_mm)
    fixed = board()
    damp = spells_needed(fixed, travel, 7.0, 9.0)[0]
    assert (damp.spell, damp.begins) == (SpellKind.DAMP, Begins.WHEN_FIXED)
    hours = np.arange(0, math.ceil(damp.days * 24) + 1)
    emc = np.full(hours.size, float(equilibrium_moisture(21.0, damp.rh_pct)))
    rate = np.full(hours.size, float(rate_at(21.0)))
    mean = fixed.slab().respond(emc, 3600.0, 8.0, rate).mean_pct
    reached = float(np.interp(damp.days * 24, hours, mean))
    # Hours are short beside the spell; between them the mean bends a little.
    assert float(fixed.strain(reached)) * 400.0 == pytest.approx(3.0, abs=2e-3)


def test_a_spell_inside_the_safe_air_never_uses_the_travel_up():
    travel = travel_as_a_set(TOP.fastenings, TOP.width_mm)
    low, high = safe_humidities(board(), travel)
    assert low < 15.0 or high > 15.0
    wide = oak_top(fastening("screw"), *[replace(s, sizes_mm={**s.sizes_mm,
                   "slot_length_mm": 50.0}) for s in SLOTS])  # fmt: skip
    rows = spells_needed(board(wide), travel_as_a_set(wide.fastenings, 900.0), 5.0, 12.0)
    assert {one.days for one in rows} == {None}


def test_from_nearer_the_limit_it_takes_less_and_beyond_it_nothing():
    travel = travel_as_a_set(TOP.fastenings, TOP.width_mm)
    rows = {(one.spell, one.begins): one.days for one in
            spells_needed(board(), travel, 6.5, 20.0)}  # fmt: skip
    assert rows[SpellKind.DAMP, Begins.DRIEST] > rows[SpellKind.DAMP, Begins.WHEN_FIXED] > 0.0
    assert rows[SpellKind.DAMP, Begins.WETTEST] == 0.0
    assert (
        rows[SpellKind.DRY, Begins.WETTEST]
        > rows[SpellKind.DRY, Begins.WHEN_FIXED]
        > rows[SpellKind.DRY, Begins.DRIEST]
    )


@given(st.floats(0.01, 0.98), st.floats(0.01, 0.98))
def test_more_of_the_way_never_takes_less_time(one, other):
    slab = Slab(0.02, 5e-11, (4e-7, 1e-8))
    low, high = sorted((one, other))
    assert days_to_share(slab, low, 21.0) <= days_to_share(slab, high, 21.0) + 1e-5


def test_sealed_faces_and_shares_beyond_the_air_never_get_there():
    assert days_to_share(Slab(0.02, 5e-11, (0.0, 0.0)), 0.5, 21.0) is None
    open_slab = Slab(0.02, 5e-11, (4e-7, 4e-7))
    assert days_to_share(open_slab, 1.0, 21.0) is None
    assert days_to_share(open_slab, -0.1, 21.0) is None


def test_a_locked_top_stands_no_spell_and_a_free_one_any():
    locked = oak_top(fastening("glue", 400), fastening("glue", -400))
    rows = analyse_place(locked, steady_log(30)).spells_needed
    assert [one.days for one in rows if one.begins == Begins.WHEN_FIXED] == [0.0, 0.0]
    free = analyse_place(oak_top(), steady_log(30))
    assert all(one.days is None for one in free.spells_needed)


def test_a_tuned_board_that_moves_less_stands_more():
    travel = travel_as_a_set(TOP.fastenings, TOP.width_mm)
    usual = safe_humidities(board(), travel)
    calmer = safe_humidities(board(coefficient=0.8), travel)
    drier = safe_humidities(board(curve=0.9), travel)
    assert calmer[0] < usual[0]
    assert calmer[1] > usual[1]
    # Wood that any air holds a tenth drier stands damper air on both sides.
    assert drier[0] > usual[0]
    assert drier[1] > usual[1]
    assert TOP.show_face == BARE


@pytest.mark.parametrize("share", [1e-16, 1e-9, 1e-6, 1e-4])
def test_the_least_share_of_the_way_takes_next_to_no_time(share):
    days = days_to_share(Slab(0.02, 4e-11, (4e-7, 4e-7)), share, 20.0)
    assert 0.0 <= days < 0.01
