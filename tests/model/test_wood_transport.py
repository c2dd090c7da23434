"""Diffusivity and face transfer of a wood, and the slab of a whole piece."""

import psychrolib
import pytest

from climlog.errors import ClimlogError, ExtrapolationWarning, ImpossibleValueError
from climlog.model.board import BARE, Finish, Piece, Wood
from climlog.model.diffusion import days_to_63_pct
from climlog.model.emc import sorption_slope
from climlog.model.finishes import finish_named
from climlog.model.wood_transport import (
    diffusivity_m2_s,
    figure,
    permeance_kg_m2_s_pa,
    rate_at,
    slab_for,
    transfer_m_s,
)

SHELLAC, OIL = finish_named("shellac", 2), finish_named("linseed oil", 2)


def piece(thickness_mm=22.0, show=BARE, hidden=BARE):
    oak = Wood("a wood", "", 0.0, 0.0, 0.0, 0.0, specific_gravity=0.60)
    return Piece("top", oak, "flat-sawn", 1.0, 900.0, 1800.0, thickness_mm, show, hidden)


def test_diffusivity_lies_between_the_published_models_and_follows_their_slope():
    # Siau (1995, form from memory) and Nelson (2000, read) at 20 °C and 8 %, m²/s.
    published = {0.55: (2.6e-11, 7.6e-11), 0.60: (2.2e-11, 6.4e-11), 0.65: (1.8e-11, 5.5e-11)}
    for gravity, (siau, nelson) in published.items():
        assert siau < diffusivity_m2_s(gravity) < nelson
    # Norway spruce by dynamic sorption (Sanchez-Ferrer and Engelhardt, abstract read), SG 0.40.
    assert diffusivity_m2_s(0.40) == pytest.approx(0.97e-10, rel=0.1)
    # Spruce over beech, about 450 and 680 kg/m³: 2 to 3 (Sonderegger et al. 2011, abstract read).
    assert 2 < diffusivity_m2_s(0.45) / diffusivity_m2_s(0.68) < 3


def test_still_air_moves_about_4e_minus_7_metres_a_second_for_a_650_kg_hardwood():
    # Heat and mass analogy: 2e-8 kg/(m² s Pa) x p_sat / (650 kg/m³ x 0.17) (relation from memory).
    assert transfer_m_s(BARE, 0.65, moisture_per_rh=0.17) == pytest.approx(4e-7, rel=0.1)
    psychrolib.SetUnitSystem(psychrolib.SI)
    by_hand = 2e-8 * psychrolib.GetSatVapPres(20.0) / (650 * float(sorption_slope(20.0, 41.8)))
    assert transfer_m_s(BARE, 0.65) == pytest.approx(by_hand, rel=2e-3)


def test_air_and_finish_stand_one_behind_the_other():
    air, film = permeance_kg_m2_s_pa(BARE), 3.64e-10
    assert 1 / permeance_kg_m2_s_pa(SHELLAC) == pytest.approx(1 / air + 1 / film)
    assert permeance_kg_m2_s_pa(SHELLAC, 0.5) == pytest.approx(0.5 * permeance_kg_m2_s_pa(SHELLAC))


def test_a_piece_becomes_the_slab_of_its_thickness_wood_and_two_faces():
    slab = slab_for(piece(show=SHELLAC))
    assert slab.thickness_m == pytest.approx(0.022)
    assert slab.diffusivity_m2_s == pytest.approx(4e-11)
    assert slab.transfer_m_s == (transfer_m_s(SHELLAC, 0.60), transfer_m_s(BARE, 0.60))
    bare = slab_for(piece(show=SHELLAC), faces=(BARE, BARE))
    assert bare == slab_for(piece())


def test_factors_of_a_draw_scale_diffusivity_and_films():
    slab = slab_for(piece(), diffusivity_factor=2.0, film_factor=0.25)
    assert slab.diffusivity_m2_s == pytest.approx(8e-11)
    assert slab.transfer_m_s[0] == pytest.approx(0.25 * transfer_m_s(BARE, 0.60))


def test_a_weak_film_counts_as_none_on_all_but_thin_wood():
    assert slab_for(piece(22.0, show=OIL)) == slab_for(piece(22.0))
    assert slab_for(piece(8.0, show=OIL)) != slab_for(piece(8.0))
    just_tight = Finish("film", 1, 0.99 * figure("weak_film_permeance").value)
    assert slab_for(piece(22.0, show=just_tight)) != slab_for(piece(22.0))


def test_denser_wood_and_tighter_films_take_longer():
    assert days_to_63_pct(slab_for(piece(show=SHELLAC))) > days_to_63_pct(slab_for(piece()))
    assert diffusivity_m2_s(0.75) < diffusivity_m2_s(0.45)


def test_woods_beyond_comparison_warn_and_impossible_ones_are_refused():
    with pytest.warns(ExtrapolationWarning, match="specific gravity 1.05 "):
        diffusivity_m2_s(1.05)
    with pytest.warns(ExtrapolationWarning, match="specific gravity 0.16 "):
        diffusivity_m2_s(0.16)
    for impossible in (0.04, 1.6):
        with pytest.raises(ImpossibleValueError, match="specific gravity"):
            diffusivity_m2_s(impossible)
        with pytest.raises(ImpossibleValueError, match="specific gravity"):
            transfer_m_s(BARE, impossible)


def test_temperatures_that_no_air_has_are_refused():
    with pytest.raises(ImpossibleValueError, match="air temperature 200 °C"):
        rate_at([20.0, 200.0])
    assert rate_at(-40.0) < rate_at(0.0) < 1.0


def test_an_unknown_figure_is_named():
    with pytest.raises(ClimlogError, match=r'transport.csv has no row "viscosity"'):
        figure("viscosity")
