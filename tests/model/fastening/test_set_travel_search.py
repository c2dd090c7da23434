"""The travel as a set against searches that know nothing of how it was found (brute_force.py)."""

from itertools import pairwise

import numpy as np
import pytest

from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.fastening.poses import WALL_MM, Poses
from climlog.model.fastening.set_travel import bodies_of, follow, travel_as_a_set
from tests.model.fastening.brute_force import (
    LOST,
    WIDTH_MM,
    breaks,
    lets_go,
    optimised,
    random_layout,
    sound_layout,
    stopped,
    wander,
)

FIT_MM = 2e-3
NEAR_MM = 0.02
"""Ten of the finest steps of the cloud, which thins out where the room closes to a point."""
ALL = ["figure-eight", "clip", "button", "slot", "round-hole", "pocket-screw", "panel", "pin"]
PLATES = ["figure-eight", "figure-eight", "round-hole"]
CONVEX = ["clip", "button", "slot", "round-hole", "pocket-screw", "panel"]


def assert_free(fastenings, sign, may_tip=False):
    """Walk the path that was found: no step of it may break what a maker would measure."""
    poses = Poses(bodies_of(fastenings, WIDTH_MM, may_tip)["base"], WIDTH_MM / 2, sign > 0)
    path = np.array(follow(poses).path)
    for before, after in pairwise(path):
        for share in np.linspace(0.0, 1.0, 40):
            u, v, turn, strain = before + share * (after - before)
            pose = (u, v, turn / poses.arm_mm)
            depth = breaks(fastenings, pose, sign * strain / (WIDTH_MM / 2), may_tip)
            assert depth <= WALL_MM + 1e-4


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_a_wandering_cloud_of_poses_gets_as_far_and_no_farther(seed):
    rng = np.random.default_rng(seed)
    fastenings = sound_layout(rng, ALL if seed < 20 else PLATES)
    found = travel_as_a_set(fastenings, WIDTH_MM)
    for sign, strain in ((1, found.swell_strain), (-1, found.shrink_strain)):
        edge_mm = strain * WIDTH_MM / 2
        reached = wander(fastenings, sign, rng)
        if any(one.kind in LOST for one in fastenings):
            reached = min(reached, lets_go(fastenings, sign, max(reached, edge_mm), rng))
        assert reached == pytest.approx(edge_mm, abs=NEAR_MM)
        assert_free(fastenings, sign)


@pytest.mark.parametrize("seed", range(12))
def test_a_cloud_that_may_tip_plates_over_gets_no_farther(seed):
    rng = np.random.default_rng(500 + seed)
    fastenings = random_layout(rng, ["figure-eight", "figure-eight", "slot"])
    found = travel_as_a_set(fastenings, WIDTH_MM)
    strain = found.swell_strain if found.tips is None else found.tips.swell_strain
    # Less than the least length that counts is no gain by tipping.
    most_mm = strain * WIDTH_MM / 2 + SMALLEST_LENGTH_MM
    assert wander(fastenings, 1, rng, tips=True) <= most_mm + FIT_MM
    assert_free(fastenings, 1, may_tip=True)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_a_general_optimiser_agrees_where_all_is_convex(seed):
    rng = np.random.default_rng(1000 + seed)
    fastenings = random_layout(rng, CONVEX)
    found = travel_as_a_set(fastenings, WIDTH_MM)
    for sign, strain in ((1, found.swell_strain), (-1, found.shrink_strain)):
        assert optimised(fastenings, sign, rng) == pytest.approx(strain * WIDTH_MM / 2, abs=1e-3)


def test_the_searches_see_a_fault():
    # A check that cannot fail is none: one slot a tenth of a millimetre longer than told.
    rng = np.random.default_rng(7)
    fastenings = random_layout(rng, ["slot"], 3, 3)
    found = travel_as_a_set(fastenings, WIDTH_MM)
    strain = found.swell_strain + 0.1 / 400
    assert stopped(fastenings, found.pose_swelling, strain) > 0.01
