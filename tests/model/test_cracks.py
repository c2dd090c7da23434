"""Held wood against published strain limits and cases, and what must hold for any held wood."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climlog.errors import ClimlogError, ImpossibleValueError
from climlog.model.cracks import Hold, crack_limit, march
from climlog.model.emc import equilibrium_moisture, humidity_holding
from climlog.model.movement import strain_across
from climlog.model.woods import wood_named
from tests.places import DATA

FREE = np.inf


# M. Richard, M. Mecklenburg, C. Tumosa in "The Structural Conservation of Panel Paintings", 1998
# (read): yield at about 0.004, brittle gesso 0.0025, failure at 0.009 or more between 35 and 65 %
# RH. R. B. Hoadley, same volume (read): elastic to 0.5 to 1 % in compression.
@pytest.mark.parametrize(
    ("name", "figures"),
    [
        ("tension_yield", (0.004, 0.0025, 0.004)),
        ("tension_failure", (0.009, 0.009, 0.015)),
        ("compression_elastic", (0.0075, 0.005, 0.010)),
    ],
)
def test_limits_are_the_published_ones(name, figures):
    one = crack_limit(name)
    assert (one.value, one.low, one.high) == figures
    assert one.mark == "read"


def test_woods_pulled_across_the_grain_fail_about_where_a_top_is_taken_to_split():
    # "Wood Handbook", FPL-GTR-282 (2021), table 5-3b, tension across the grain at 12 %, over its
    # stiffness along the rings (table 5-1, share of that along the grain): a straight line to
    # failure, so a little short of the true stretch. Clear small pieces, pulled in minutes.
    strength = pd.read_csv(DATA / "published" / "strength_across.csv", index_col=0)
    stiffness = strength["bending_stiffness_mpa"] * strength["tangential_stiffness_share"]
    stretch = (strength["tension_across_mpa"] / stiffness).dropna()
    limit = crack_limit("crack_limit")
    assert stretch.size > 20
    assert limit.low < stretch.median() < limit.high
    assert stretch.max() < 1.05 * crack_limit("tension_failure").value


# Restrained limits, derived from the shrinkage table of Hoadley, 1998 (read): total tangential
# shrinkage -> moisture lost at 0.004 and at 0.009 with the wood fully held.
SHRINKAGE_PCT = {"beech": 11.8, "white oak": 10.2, "ash": 8.3, "cherry": 7.8, "walnut": 6.4}
MOISTURE_AT_YIELD = {"beech": 1.02, "white oak": 1.18, "ash": 1.45, "cherry": 1.54, "walnut": 1.88}
MOISTURE_AT_FAILURE = {
    "beech": 2.29,
    "white oak": 2.65,
    "ash": 3.25,
    "cherry": 3.46,
    "walnut": 4.22,
}


@pytest.mark.parametrize("wood", SHRINKAGE_PCT)
def test_fully_held_wood_reaches_the_limits_at_the_derived_moisture_loss(wood):
    lost_pct = np.arange(0, 6, 0.01)
    tight = Hold(0.0, 0.0, 0.0075, 1.0)
    held = march(-SHRINKAGE_PCT[wood] / 100 / 30 * lost_pct, tight, step_days=1.0)
    for limit, expected in (
        ("tension_yield", MOISTURE_AT_YIELD),
        ("tension_failure", MOISTURE_AT_FAILURE),
    ):
        first = int(np.argmax(held.stretch[0] >= crack_limit(limit).value))
        assert lost_pct[first] == pytest.approx(expected[wood], abs=0.011)


def test_framed_poplar_comes_back_narrower_as_in_the_published_case():
    # Hoadley, 1998 (set-up read, continued by arithmetic): flat-sawn poplar, 8.5 % total shrinkage,
    # framed tight at 20 % RH and taken to 80 %: 11.53 % moisture, 3.27 % free swelling, set 2.3 to
    # 2.8 %, a 300 mm panel returns 7 to 8 mm narrower.
    gained_pct = float(np.diff(equilibrium_moisture(20.0, [20.0, 80.0]))[0])
    assert gained_pct == pytest.approx(11.53, abs=0.02)
    swelling = 8.5 / 100 / 30 * gained_pct
    assert swelling == pytest.approx(0.0327, abs=0.0001)
    elastic = crack_limit("compression_elastic").between([1.0, 0.0])
    year = np.concatenate([np.linspace(0, swelling, 50), np.linspace(swelling, 0, 50)])
    held = march(year, Hold(0.0, FREE, elastic, 1.0), step_days=1.0)
    assert held.set_strain[:, -1] == pytest.approx([0.0227, 0.0277], abs=0.0002)
    assert 300 * held.set_strain[:, -1] == pytest.approx([7.0, 8.0], abs=0.35)
    closed = march(year, Hold(0.0, 0.0, elastic, 1.0), step_days=1.0)
    assert (closed.stretch[:, -1] > crack_limit("tension_failure").value).all()


@pytest.mark.parametrize(
    ("wood", "cut_share", "opening_mm"),
    [("red oak", 1.0, 7.7), ("black cherry", 1.0, 5.2), ("white oak", 0.0, 3.8)],
)
def test_a_held_zone_opens_as_the_size_examples_say(wood, cut_share, opening_mm):
    # Coefficients of the "Wood Handbook", FPL-GTR-190, table 13-5 (read) times 700 mm times a fall
    # of 3 %; width taken at the start, so up to 2 % apart from the handbook's short form.
    free = float(strain_across(wood_named(wood), cut_share, 10.0, 7.0))
    held = march([0.0, free], Hold(0.0, 0.0, 0.0075, 1.0), step_days=30.0)
    assert 700 * held.opening[0, -1] == pytest.approx(opening_mm, rel=0.02)


def test_a_fully_held_oak_passes_one_percent_in_the_published_moisture_fall():
    # Trade arithmetic on the handbook's coefficient: flat-sawn red oak reaches 1 % in 2.7 %
    # moisture, a lasting fall of about 17 % RH in the middle of the range.
    oak = wood_named("red oak")
    high_pct = float(equilibrium_moisture(20.0, 58.0))
    assert float(strain_across(oak, 1.0, high_pct, high_pct - 2.7)) == pytest.approx(
        -0.01, abs=3e-4
    )
    assert 58.0 - float(humidity_holding(high_pct - 2.7, 20.0)) == pytest.approx(17, abs=1.5)


seasons = st.lists(st.floats(-0.03, 0.03), min_size=3, max_size=30)


@given(seasons, st.floats(0.0, 0.02), st.floats(0.0, 0.02), st.floats(0.25, 1.0))
def test_more_travel_never_strains_wood_more(free, swell, shrink, keeps):
    tight = march(free, Hold(swell, shrink, 0.0075, keeps), step_days=6.0)
    freer = march(free, Hold(FREE, FREE, 0.0075, keeps), step_days=6.0)
    assert freer.stretch.max() == freer.squeeze.max() == freer.set_strain.max() == 0.0
    assert (tight.squeeze <= 0.0075 + 1e-12).all()
    assert (np.diff(tight.set_strain[0]) >= -1e-12).all()
    assert (tight.stretch <= tight.opening + 1e-12).all()
    assert (tight.stretch * tight.squeeze == 0).all()


@given(seasons, st.floats(0.0, 0.02))
def test_without_relaxation_and_set_the_stretch_is_shrinkage_less_travel(free, shrink):
    held = march(free, Hold(FREE, shrink, 0.0075, 1.0), step_days=6.0)
    assert held.stretch[0] == pytest.approx(np.maximum(-np.array(free) - shrink, 0.0), abs=1e-12)


def test_a_strain_held_through_a_season_keeps_the_stated_share():
    held = march(np.full(91, -0.006), Hold(0.0, 0.0, 0.0075, [0.25, 0.5, 1.0]), step_days=1.0)
    assert held.stretch[:, 0] == pytest.approx([0.006] * 3)
    assert held.stretch[:, -1] == pytest.approx([0.0015, 0.003, 0.006], rel=1e-6)
    assert held.opening[:, -1] == pytest.approx([0.006] * 3)


def test_a_gap_stays_a_gap_and_changes_nothing():
    free = np.array([0.0, 0.02, np.nan, np.nan, -0.002])
    held = march(free, Hold(0.0, 0.0, 0.0075, 1.0), step_days=1.0)
    assert np.isnan(held.stretch[0, 2:4]).all()
    assert held.set_strain[0, -1] == pytest.approx(0.0125)
    assert held.opening[0, -1] == pytest.approx(0.0145)


def test_impossible_holds_are_refused():
    with pytest.raises(ImpossibleValueError, match="below 0"):
        march([0.0], Hold(-0.1, 0.0, 0.0075, 1.0), step_days=1.0)
    with pytest.raises(ImpossibleValueError, match="above 0 and at most 1"):
        march([0.0], Hold(0.0, 0.0, 0.0075, 0.0), step_days=1.0)
    with pytest.raises(ImpossibleValueError, match="step_days"):
        march([0.0], Hold(0.0, 0.0, 0.0075, 1.0), step_days=0.0)
    with pytest.raises(ClimlogError, match='no row "glue_strength"'):
        crack_limit("glue_strength")
