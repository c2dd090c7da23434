"""Cup geometry against beam theory, printed arithmetic, and a real panel as a bound."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy import trapezoid

from climlog.errors import ImpossibleValueError
from climlog.model.diffusion import Slab
from climlog.model.warp import curvature_per_mm, face_stretch, ring_cup_mm, sagitta_mm

FINE = np.linspace(0, 1, 4001)


# Integrals of beam theory, worked out by hand: curvature x thickness / strain of the drier face.
# Derived: they test our algebra, not nature.
@pytest.mark.parametrize(
    ("profile", "expected"),
    [
        (FINE, 1.0),
        (FINE**2, 1.0),
        (FINE**3, 0.9),
        (np.where(FINE > 0.5, 1.0, 0.0), 1.5),
        (np.where(FINE > 0.95, 1.0, 0.0), 0.285),
        (np.where(FINE > 0.9, 1.0, 0.0), 0.54),
        (np.where(FINE > 0.75, 1.0, 0.0), 1.125),
    ],
)
def test_curvature_of_known_profiles_agrees_with_the_integral(profile, expected):
    curved = 20.0 * curvature_per_mm(profile, FINE, 20.0)
    # The grid has 4001 points: a jump lies within one part in 4000 of the thickness.
    assert float(curved) == pytest.approx(expected, abs=2e-3)


@given(st.floats(0.02, 0.98))
def test_a_skin_at_full_strain_curves_as_two_layers_of_one_stiffness(share):
    # S. Timoshenko, "Analysis of bi-metal thermostats", Journal of the Optical Society of America
    # 11, 1925 (formula from memory): with equal stiffness it must reduce to 6 d (1 - d).
    m = share / (1 - share)
    two_layers = 6 * (1 + m) ** 2 / (3 * (1 + m) ** 2 + (1 + m) * (m**2 + 1 / m))
    depths = np.array([0.0, share - 1e-9, share + 1e-9, 1.0])
    curved = float(curvature_per_mm([-1.0, -1.0, 0.0, 0.0], depths, 1.0))
    assert curved == pytest.approx(two_layers, abs=1e-6)
    assert curved == pytest.approx(6 * share * (1 - share), abs=1e-6)


# Moisture step on one face, back sealed, constant diffusivity, no surface film; derived by series:
# Fourier number -> (curvature x thickness / strain, mean change).
STEP_ON_ONE_FACE = {
    0.005: (0.419, 0.080),
    0.01: (0.557, 0.113),
    0.02: (0.717, 0.160),
    0.05: (0.914, 0.252),
    0.085: (0.960, 0.329),
    0.1: (0.954, 0.357),
    0.2: (0.802, 0.504),
    0.3: (0.633, 0.613),
    0.5: (0.387, 0.764),
    1.0: (0.113, 0.931),
}
# Stretch of the drying face at the same times, held flat and free to cup; derived likewise.
FACE_STRETCH = {0.01: (0.89, 0.61), 0.05: (0.75, 0.29), 0.1: (0.64, 0.17), 0.3: (0.39, 0.07)}


def profile_after_step(fourier):
    steps = 400
    slab = Slab(0.02, 4e-11, (np.inf, 0.0))
    seconds = fourier * slab.thickness_m**2 / slab.diffusivity_m2_s
    depths = (1 - np.cos(np.linspace(0, np.pi, 81))) / 2
    emc = np.concatenate([[0.0], np.ones(steps)])
    # The step stands between the first two samples, half a sample early on average.
    whole = slab.profile(emc, seconds / (steps - 0.5), 0.0, depth_shares=depths)
    return depths, whole[:, -1]


@pytest.mark.parametrize(("fourier", "printed"), STEP_ON_ONE_FACE.items())
def test_cup_after_a_step_on_one_face_agrees_with_the_series(fourier, printed):
    depths, profile = profile_after_step(fourier)
    curved = -float(curvature_per_mm(profile, depths, 1.0))
    # Half a unit of the printed digit, and a hundredth for the ramp in place of a step.
    assert curved == pytest.approx(printed[0], abs=0.0105)
    assert float(trapezoid(profile, depths)) == pytest.approx(printed[1], abs=0.002)


@pytest.mark.parametrize(("fourier", "printed"), FACE_STRETCH.items())
def test_face_stretch_after_a_step_agrees_with_the_series(fourier, printed):
    depths, drying = profile_after_step(fourier)
    flat, _ = face_stretch(-drying, depths, held_flat=True)
    free, _ = face_stretch(-drying, depths, held_flat=False)
    assert float(flat) == pytest.approx(printed[0], abs=0.01)
    assert float(free) == pytest.approx(printed[1], abs=0.01)


def test_a_symmetric_parabola_stretches_the_faces_by_two_thirds():
    # Derived: a parabola of depth 1 has the mean 1/3 of its faces, so they are stretched by 2/3.
    parabola = -((2 * FINE - 1) ** 2)
    show, hidden = face_stretch(parabola, FINE, held_flat=True)
    assert float(show) == pytest.approx(2 / 3, abs=1e-4)
    assert float(hidden) == pytest.approx(2 / 3, abs=1e-4)


# Worked sizes, derived: strain face to face, thickness, width -> radius in m, hollow in mm
# by the small-cup form w² / 8R, which falls short of the exact arc by (w / 4R)².
@pytest.mark.parametrize(
    ("strain", "thickness_mm", "width_mm", "radius_m", "hollow_mm"),
    [(0.003, 25, 900, 8.33, 12.15), (0.002, 20, 600, 10.0, 4.50), (0.005, 20, 300, 4.0, 2.81)],
)
def test_worked_cups(strain, thickness_mm, width_mm, radius_m, hollow_mm):
    curved = float(curvature_per_mm([-strain, 0.0], [0, 1], thickness_mm))
    assert 1 / curved / 1000 == pytest.approx(radius_m, abs=0.005)
    arc_mm = float(sagitta_mm(curved, width_mm))
    assert arc_mm == pytest.approx(hollow_mm, abs=0.02)
    radius_mm = 1 / curved
    assert arc_mm == pytest.approx(radius_mm - np.sqrt(radius_mm**2 - width_mm**2 / 4), rel=1e-6)


# Ring cup, derived from the stress-free map: strain apart 0.02, width 200 mm.
RING_CUP_MM = {50: 2.214, 100: 1.571, 200: 0.927, 400: 0.490}


@pytest.mark.parametrize(("pith_mm", "hollow_mm"), RING_CUP_MM.items())
def test_ring_cup_agrees_with_the_map(pith_mm, hollow_mm):
    assert float(ring_cup_mm(-0.02, 200.0, pith_mm)) == pytest.approx(hollow_mm, abs=5e-4)
    assert float(ring_cup_mm(0.02, 200.0, pith_mm)) == pytest.approx(-hollow_mm, abs=5e-4)


@given(st.floats(-0.03, 0.03), st.floats(20, 400), st.floats(1500, 5000))
def test_ring_cup_halves_far_from_the_pith_and_vanishes_without_a_difference(apart, width, pith):
    near, far = ring_cup_mm(apart, width, pith), ring_cup_mm(apart, width, 2 * pith)
    assert float(far) == pytest.approx(float(near) / 2, rel=0.03, abs=1e-9)
    assert float(ring_cup_mm(0.0, width, pith)) == 0.0


@given(st.floats(0.0005, 0.02), st.floats(10, 60))
def test_the_drier_face_is_the_hollow_one(shrunk, thickness_mm):
    # R. B. Hoadley in "The Structural Conservation of Panel Paintings", 1998: uneven drying cups a
    # panel concave to the drier face (read).
    assert float(curvature_per_mm([-shrunk, 0.0], [0, 1], thickness_mm)) > 0
    assert float(curvature_per_mm([0.0, -shrunk], [0, 1], thickness_mm)) < 0
    assert float(curvature_per_mm([-shrunk, -shrunk], [0, 1], thickness_mm)) == 0


def test_a_bare_model_predicts_no_less_cup_than_a_published_panel_showed():
    # Framing chapter of "The Structural Conservation of Panel Paintings", 1998 (read): poplar
    # panel 1.69 m wide, 10 mm thin: 10 % RH changed its warp by 10 mm within two hours. Films and
    # old coatings only slow it, so a model without any must give at least that. 10 % RH is taken
    # as 2 % moisture and poplar as 0.0028 per 1 % (derived).
    slab = Slab(0.010, 4e-11 * (0.60 / 0.42) ** 2, (np.inf, 0.0))
    depths = (1 - np.cos(np.linspace(0, np.pi, 41))) / 2
    profile = slab.profile([0.0, *[2.0] * 24], 300.0, 0.0, depth_shares=depths)[:, -1]
    curved = curvature_per_mm(-0.0028 * profile, depths, 10.0)
    assert abs(float(sagitta_mm(curved, 1690.0))) >= 10.0


def test_impossible_boards_are_refused():
    with pytest.raises(ImpossibleValueError, match="size of a board"):
        curvature_per_mm([0.0, 0.1], [0, 1], 0.0)
    with pytest.raises(ImpossibleValueError, match="depths must rise"):
        curvature_per_mm([0.0, 0.1], [0, 0.9], 20.0)
    assert np.isnan(sagitta_mm(0.01, 300.0))
