"""The travel as a set against searches that know nothing of how it was found.

Each fastening is written here a second time, from what one would measure on it. Two searches of
random layouts: a cloud of poses that is strained step by step and wanders at random (never jumping
farther than a gap is wide), and scipy's general optimiser where every shape is convex.
"""

import math

import numpy as np
import pytest
from scipy.optimize import minimize

from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.kinds import typical_sizes
from climlog.model.fastening.poses import LARGEST_STRAIN, WALL_MM
from climlog.model.fastening.set_travel import travel_as_a_set
from climlog.model.fastening.shapes import recess_swing_deg

WIDTH_MM = 900.0
ARM_MM = 500.0
STEP_MM = 0.05
CLOUD = 1500
FIT_MM = 2e-3


def plate_breaks(one, dx, dy):
    """Distance from screw to screw, and angle turned since it was fixed."""
    sizes, away = one.sizes_mm, math.copysign(1.0, one.x_mm if one.rail == ACROSS else one.y_mm)
    cant = math.radians(sizes["cant_deg"])
    ahead, aside = -away * math.cos(cant), math.sin(cant)
    x, y = (ahead, aside) if one.rail == ACROSS else (aside, ahead)
    length, play = sizes["hole_to_hole_mm"], sizes["play_mm"]
    px, py = length * x + dx, length * y + dy
    span = np.hypot(px, py)
    turned = np.abs(np.arctan2(x * py - y * px, x * px + y * py))
    swung = (turned - math.radians(recess_swing_deg(one))) * length
    return np.maximum(np.abs(span - length) - play, swung)


def tongue_breaks(one, dx, dy):
    """Gap left at the rail, tongue still in, depth left, ends of the kerf or mortise."""
    sizes = one.sizes_mm
    across = one.rail == ACROSS
    out = math.copysign(1.0, one.x_mm) * dx if across else math.copysign(1.0, one.y_mm) * dy
    slid = np.abs(dy if across else dx)
    words = {"clip": ("kerf_length_mm", "clip_width_mm", "kerf_depth_mm")}
    length, wide, deep = words.get(
        one.kind, ("mortise_length_mm", "button_width_mm", "groove_depth_mm")
    )
    engaged = sizes["tongue_length_mm"] - sizes["gap_mm"] + out
    broken = [
        out - sizes["gap_mm"],
        engaged - sizes[deep],
        sizes["least_engagement_mm"] - engaged,
        slid - (sizes[length] - sizes[wide]) / 2,
    ]
    return np.max(np.broadcast_arrays(*broken), axis=0)


def slot_breaks(one, dx, dy):
    """Shank against the sides and round ends of a slot across the grain."""
    sizes = one.sizes_mm
    straight = (sizes["slot_length_mm"] - sizes["slot_width_mm"]) / 2
    out = math.copysign(1.0, one.y_mm) * dy + (2 * sizes["start_share"] - 1) * straight
    beyond = np.maximum(np.abs(out) - straight, 0.0)
    return np.hypot(beyond, dx) - (sizes["slot_width_mm"] - sizes["shank_mm"]) / 2


def hole_breaks(one, dx, dy):
    sizes = one.sizes_mm
    return np.hypot(dx, dy) - (sizes["hole_mm"] - sizes["shank_mm"]) / 2


BREAKS = {
    "figure-eight": plate_breaks,
    "clip": tongue_breaks,
    "button": tongue_breaks,
    "slot": slot_breaks,
    "round-hole": hole_breaks,
}


def moved(one, pose, strain):
    u, v, w = np.asarray(pose).T
    return u - w * one.y_mm, v + w * one.x_mm + strain * one.y_mm


def breaks(fastenings, pose, strain):
    """Largest distance by which poses (u, v, w) break anything. [mm]."""
    each = [BREAKS[one.kind](one, *moved(one, pose, strain)) for one in fastenings]
    return np.max(np.broadcast_arrays(*each), axis=0)


def random_sizes(kind, rng):
    if kind == "figure-eight":
        return {
            "hole_to_hole_mm": rng.uniform(14, 22),
            "play_mm": rng.uniform(0.3, 0.8),
            "cant_deg": rng.choice([0.0, 0.0, rng.uniform(-45, 45)]),
            "recess_corners_cleared": float(rng.random() < 0.6),
        }
    if kind in ("clip", "button"):
        deep = "kerf_depth_mm" if kind == "clip" else "groove_depth_mm"
        return {"gap_mm": rng.uniform(0.5, 5), deep: rng.uniform(9.6, 12)}
    if kind == "slot":
        return {"slot_length_mm": rng.uniform(8, 20), "start_share": rng.uniform(0, 1)}
    return {"hole_mm": rng.uniform(5, 10)}


def random_layout(rng, kinds):
    fastenings = []
    for _ in range(rng.integers(2, 6)):
        kind = str(rng.choice(kinds))
        rail = ALONG if rng.random() < 0.5 else ACROSS
        x_mm = float(rng.choice([-1, 1]) * (700 if rail == ACROSS else rng.uniform(50, 650)))
        y_mm = float(rng.choice([-1, 1]) * (420 if rail == ALONG else rng.uniform(50, 400)))
        sizes = {**typical_sizes(kind), **random_sizes(kind, rng)}
        fastenings.append(Fastening(kind, kind, rail, x_mm, y_mm, sizes))
    return fastenings


def wander(fastenings, sign, rng):
    """Strain at the edge that a cloud of poses reaches in steps. [mm]."""
    cloud, edge_mm = np.zeros((1, 3)), 0.0
    scales = np.array([1.0, 1.0, 1.0 / ARM_MM])
    while edge_mm < LARGEST_STRAIN * WIDTH_MM / 2 - STEP_MM / 2:
        strain = sign * (edge_mm + STEP_MM) / (WIDTH_MM / 2)
        fit = []
        for _ in range(25):
            parents = cloud[rng.integers(len(cloud), size=CLOUD)]
            size = 10 ** rng.uniform(-2.5, -0.4, size=(CLOUD, 1))
            tried = parents + rng.normal(size=(CLOUD, 3)) * size * scales
            tried = tried[breaks(fastenings, tried, strain) <= 0]
            if len(tried):
                fit.append(tried)
            if sum(map(len, fit)) >= CLOUD // 5:
                break
        if not fit:
            return edge_mm
        cloud, edge_mm = np.concatenate(fit), edge_mm + STEP_MM
    return edge_mm


@pytest.mark.parametrize("seed", range(36))
def test_a_wandering_cloud_of_poses_gets_as_far_and_no_farther(seed):
    rng = np.random.default_rng(seed)
    kinds = list(BREAKS) if seed < 16 else ["figure-eight", "figure-eight", "round-hole"]
    fastenings = random_layout(rng, kinds)
    found = travel_as_a_set(fastenings, WIDTH_MM)
    for sign, strain, pose in (
        (1, found.swell_strain, found.pose_swelling),
        (-1, found.shrink_strain, found.pose_shrinking),
    ):
        assert breaks(fastenings, pose, sign * strain) <= WALL_MM + 1e-4
        reached = wander(fastenings, sign, rng)
        edge_mm = strain * WIDTH_MM / 2
        assert reached <= edge_mm + FIT_MM
        # The cloud thins out where the room closes to a point: with steps of 0.01 mm and four
        # times the poses it ends within 0.02 mm in the two worst of these layouts.
        assert reached >= edge_mm - max(4 * STEP_MM, 0.01 * edge_mm)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(25))
def test_a_general_optimiser_agrees_where_all_is_convex(seed):
    rng = np.random.default_rng(1000 + seed)
    fastenings = random_layout(rng, ["clip", "button", "slot", "round-hole"])
    found = travel_as_a_set(fastenings, WIDTH_MM)
    scales = np.array([1.0, 1.0, ARM_MM, WIDTH_MM / 2])

    for sign, strain in ((1, found.swell_strain), (-1, found.shrink_strain)):

        def room(z, sign=sign):
            u, v, w, e = z / scales
            pose = np.array([[u, v, w]])
            return [-float(breaks([one], pose, sign * e)[0]) for one in fastenings]

        best = 0.0
        for _ in range(5):
            start = rng.normal(size=4) * 0.2
            tried = minimize(
                lambda z: -z[3], start, method="SLSQP",
                bounds=[(-200, 200), (-200, 200), (-50, 50), (0, 90)],
                constraints={"type": "ineq", "fun": room},
                options={"maxiter": 500, "ftol": 1e-10},
            )  # fmt: skip
            if min(room(tried.x)) >= -1e-5:
                best = max(best, float(tried.x[3]))
        edge_mm = strain * WIDTH_MM / 2
        assert best <= edge_mm + 1e-3
        assert best >= edge_mm - 1e-3
