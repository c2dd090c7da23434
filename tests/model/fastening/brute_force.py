"""Searches for the travel as a set that know nothing of how climlog finds it.

Each fastening is written here a second time, from what one would measure on it: by how much a
displacement breaks what stops it, and by how much it lets go of what nothing pushes back. Two
searches: a cloud of poses that is strained step by step and wanders at random (never jumping
farther than a gap is wide), and scipy's general optimiser where every shape is convex.

Of climlog it uses the records and the size of the largest strain, nothing else.
"""

import math

import numpy as np
from scipy.optimize import brentq, minimize

from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.kinds import typical_sizes
from climlog.model.fastening.poses import LARGEST_STRAIN

WIDTH_MM = 900.0
ARM_MM = 500.0
STEP_MM, FINEST_MM = 0.05, 0.002
CLOUD = 1500
SCALES = np.array([1.0, 1.0, 1.0 / ARM_MM])
BESIDE_HOLE_MM = 6.0
LEAST_CANT_DEG = 5.0


def outwards(one, dx, dy):
    """Displacement square to the rail, away from the middle, and along the rail."""
    if one.rail == ACROSS:
        return math.copysign(1.0, one.x_mm) * dx, dy
    return math.copysign(1.0, one.y_mm) * dy, dx


def swing_of(plate):
    """Angle at which the neck's edge comes to the corner of the bore's mouth, from square."""
    sizes = plate.sizes_mm
    if sizes["recess_corners_cleared"]:
        return math.radians(sizes["cleared_swing_deg"])
    radius, back = sizes["recess_diameter_mm"] / 2, sizes["pivot_set_back_mm"]
    corner, neck = math.sqrt(radius**2 - back**2), sizes["neck_width_mm"] / 2
    if corner <= neck:
        return 0.0
    return brentq(lambda a: corner * math.cos(a) - back * math.sin(a) - neck, 0.0, math.pi / 2)


def plate_stops(one, dx, dy, tips):
    """Distance from screw to screw, the angle from square to the rail, and what jams."""
    sizes = one.sizes_mm
    length, play, cant = (
        sizes["hole_to_hole_mm"],
        sizes["play_mm"],
        math.radians(sizes["cant_deg"]),
    )
    out, slid = outwards(one, dx, dy)
    inwards, aside = length * math.cos(cant) - out, length * math.sin(cant) + slid
    span, angle = np.hypot(inwards, aside), np.arctan2(aside, inwards)
    broken = [np.abs(span - length) - play, (np.abs(angle) - swing_of(one)) * length]
    if one.rail == ALONG and abs(sizes["cant_deg"]) < LEAST_CANT_DEG and not tips:
        broken.append(out - play)
    return np.max(np.broadcast_arrays(*broken), axis=0)


TONGUES = {
    "clip": ("kerf_length_mm", "clip_width_mm", "kerf_depth_mm"),
    "button": ("mortise_length_mm", "button_width_mm", "groove_depth_mm"),
}


def round_screw(one):
    sizes = one.sizes_mm
    return (sizes["mounting_hole_mm"] - sizes["shank_mm"]) / 2 if one.kind == "button" else 0.0


def tongue_stops(one, dx, dy):
    """Gap at the rail or depth of the kerf, ends of the kerf, room round the screw."""
    sizes = one.sizes_mm
    length, wide, deep = (sizes[name] for name in TONGUES[one.kind])
    out, slid = outwards(one, dx, dy)
    room_out = min(sizes["gap_mm"], deep - sizes["tongue_length_mm"] + sizes["gap_mm"])
    start = (2 * sizes["start_share"] - 1) * (length - wide) / 2
    side = math.copysign(1.0, one.y_mm if one.rail == ACROSS else one.x_mm)
    past_end = np.maximum(np.abs(side * slid + start) - (length - wide) / 2, 0.0)
    past_gap = np.maximum(out - room_out, 0.0)
    if round_screw(one):
        return np.hypot(past_end, past_gap) - round_screw(one)
    return np.maximum(np.abs(side * slid + start) - (length - wide) / 2, np.asarray(out) - room_out)


def tongue_lost(one, dx, dy):
    """What lacks of the least tongue in its kerf, the screw having gone all its way out."""
    sizes = one.sizes_mm
    still_in = sizes["tongue_length_mm"] - sizes["gap_mm"] + outwards(one, dx, dy)[0]
    return sizes["least_engagement_mm"] - (still_in - round_screw(one))


def panel_lost(one, dx, dy):
    sizes = one.sizes_mm
    return sizes["least_engagement_mm"] - (sizes["edge_in_groove_mm"] + outwards(one, dx, dy)[0])


def bored(one, size):
    """What of a hole a rail along the grain has wood for."""
    if one.rail == ACROSS:
        return size
    return min(size, max(one.rail_thickness_mm - 2 * BESIDE_HOLE_MM, one.sizes_mm["shank_mm"]))


def slot_stops(one, dx, dy):
    """Shank against the sides and round ends of a slot across the grain."""
    sizes = one.sizes_mm
    wide = bored(one, sizes["slot_width_mm"])
    straight = (max(wide, bored(one, sizes["slot_length_mm"])) - wide) / 2
    out = math.copysign(1.0, one.y_mm) * dy + (2 * sizes["start_share"] - 1) * straight
    beyond = np.maximum(np.abs(out) - straight, 0.0)
    return np.hypot(beyond, dx) - (wide - sizes["shank_mm"]) / 2


def hole_stops(one, dx, dy):
    sizes = one.sizes_mm
    return np.hypot(dx, dy) - (bored(one, sizes["hole_mm"]) - sizes["shank_mm"]) / 2


def pocket_stops(one, dx, dy):
    sizes = one.sizes_mm
    hole, long = sizes["hole_mm"], max(sizes["pilot_length_mm"], sizes["hole_mm"])
    straight = (long - hole) / 2 if one.rail == ACROSS else 0.0
    beyond = np.maximum(np.abs(dy) - straight, 0.0)
    return np.hypot(beyond, dx) - (hole - sizes["shank_mm"]) / 2


STOPS = {
    "clip": tongue_stops,
    "button": tongue_stops,
    "slot": slot_stops,
    "round-hole": hole_stops,
    "pocket-screw": pocket_stops,
    "panel": lambda one, dx, dy: outwards(one, dx, dy)[0] - one.sizes_mm["gap_mm"],
    "pin": lambda one, dx, dy: np.hypot(dx, dy) - one.sizes_mm["play_mm"],
}
LOST = {"clip": tongue_lost, "button": tongue_lost, "panel": panel_lost}


def moved(one, pose, strain):
    u, v, w = np.asarray(pose).T
    return u - w * one.y_mm, v + w * one.x_mm + strain * one.y_mm


def stopped(fastenings, pose, strain, tips=False):
    """Largest distance by which poses (u, v, w) break what stops them. [mm]."""
    each = [
        plate_stops(one, *moved(one, pose, strain), tips)
        if one.kind == "figure-eight"
        else STOPS[one.kind](one, *moved(one, pose, strain))
        for one in fastenings
    ]
    return np.max(np.broadcast_arrays(*each), axis=0)


def lost(one, pose, strain):
    return np.asarray(LOST[one.kind](one, *moved(one, pose, strain)))


def breaks(fastenings, pose, strain, tips=False):
    """As `stopped`, and by how much it lets go of anything. [mm]."""
    each = [lost(one, pose, strain) for one in fastenings if one.kind in LOST]
    return np.max(np.broadcast_arrays(stopped(fastenings, pose, strain, tips), *each), axis=0)


def random_sizes(kind, rng):
    if kind == "figure-eight":
        cleared = rng.random() < 0.6
        return {
            "hole_to_hole_mm": rng.uniform(14, 22),
            "play_mm": rng.uniform(0.3, 0.8),
            "cant_deg": rng.choice([0.0, 0.0, rng.uniform(-1, 1) * (45 if cleared else 19)]),
            "recess_corners_cleared": float(cleared),
        }
    if kind in ("clip", "button"):
        deep = "kerf_depth_mm" if kind == "clip" else "groove_depth_mm"
        sizes = {"gap_mm": rng.uniform(0.5, 5), deep: rng.uniform(9.6, 12)}
        if kind == "button" and rng.random() < 0.5:
            sizes["mounting_hole_mm"] = rng.uniform(5, 8)
        return sizes
    if kind == "slot":
        return {"slot_length_mm": rng.uniform(8, 20), "start_share": rng.uniform(0, 1)}
    if kind == "pocket-screw":
        return {"hole_mm": rng.uniform(3.8, 6), "pilot_length_mm": rng.uniform(3.5, 8)}
    if kind == "pin":
        return {"play_mm": rng.uniform(0.2, 0.5)}
    if kind == "panel":
        return {"gap_mm": rng.uniform(0.5, 5), "edge_in_groove_mm": rng.uniform(5, 12)}
    return {"hole_mm": rng.uniform(5, 10)}


def random_layout(rng, kinds, fewest=2, most=5):
    fastenings = []
    for _ in range(rng.integers(fewest, most + 1)):
        kind = str(rng.choice(kinds))
        rail = ALONG if kind == "panel" or rng.random() < 0.5 else ACROSS
        x_mm = float(rng.choice([-1, 1]) * (700 if rail == ACROSS else rng.uniform(50, 650)))
        y_mm = float(rng.choice([-1, 1]) * (420 if rail == ALONG else rng.uniform(50, 400)))
        sizes = {**typical_sizes(kind), **random_sizes(kind, rng)}
        thick_mm = float(rng.uniform(19, 32))
        fastenings.append(
            Fastening(kind, kind, rail, x_mm, y_mm, sizes, rail_thickness_mm=thick_mm)
        )
    return fastenings


def sound_layout(rng, kinds, fewest=2, most=5):
    """Draw layouts until one has nothing that drift alone can let go of, as it was fixed."""
    while True:
        layout = random_layout(rng, kinds, fewest, most)
        losable = [one for one in layout if one.kind in LOST]
        if all(worst_loss(layout, one, 0.0, rng) < -2 * STEP_MM for one in losable):
            return layout


def _spread(cloud, rng, stopped_at):
    """Move poses a little at random and keep those that fit."""
    parents = cloud[rng.integers(len(cloud), size=CLOUD)]
    size = 10 ** rng.uniform(-3.5, -0.4, size=(CLOUD, 1))
    tried = parents + rng.normal(size=(CLOUD, 3)) * size * SCALES
    return tried[stopped_at(tried) <= 0]


def wander(fastenings, sign, rng, tips=False, finest_mm=FINEST_MM):
    """Strain at the edge that a cloud of poses reaches, at the best place. [mm].

    It goes on in steps, and in finer ones where a step finds no pose that fits.
    """
    cloud, edge_mm, step_mm = np.zeros((1, 3)), 0.0, STEP_MM
    most_mm = LARGEST_STRAIN * WIDTH_MM / 2
    while edge_mm < most_mm - finest_mm and step_mm >= finest_mm:
        strain = sign * (edge_mm + step_mm) / (WIDTH_MM / 2)
        fit = []
        for _ in range(25):
            fit.append(_spread(cloud, rng, lambda p, e=strain: breaks(fastenings, p, e, tips)))
            if sum(map(len, fit)) >= CLOUD // 5:
                break
        if sum(map(len, fit)):
            cloud, edge_mm = np.concatenate(fit), edge_mm + step_mm
        else:
            step_mm /= 4
    return edge_mm


def worst_loss(fastenings, one, strain, rng):
    """Most that a fastening can lack as the others let the top wander at a strain. [mm]."""
    cloud = _resting(fastenings, strain, rng)
    best = -math.inf
    for turn in range(120 if len(cloud) else 0):
        near = np.concatenate(
            [cloud, _spread(cloud, rng, lambda poses: stopped(fastenings, poses, strain))]
        )
        cloud = near[np.argsort(-lost(one, near, strain))[:40]]
        now = float(lost(one, cloud[:1], strain)[0])
        if turn > 20 and now <= best + 1e-4:
            return now
        best = now
    return best


def _resting(fastenings, strain, rng):
    """Some poses that nothing stops at a strain, sought downhill from rest; none if there are."""
    cloud = np.zeros((1, 3))
    for _ in range(200):
        depth = stopped(fastenings, cloud, strain)
        if depth.min() <= 0:
            return cloud[depth <= 0]
        floor = depth.min() - 1e-9
        near = _spread(cloud, rng, lambda p, at=floor: stopped(fastenings, p, strain) - at)
        if len(near):
            cloud = near[np.argsort(stopped(fastenings, near, strain))[:50]]
    return cloud[:0]


def lets_go(fastenings, sign, until_mm, rng):
    """Strain at the edge, up to one, at which drift lets go of something. [mm]; inf for never."""
    first_mm = math.inf
    for one in (one for one in fastenings if one.kind in LOST):

        def lack(edge_mm, one=one):
            return worst_loss(fastenings, one, sign * edge_mm / (WIDTH_MM / 2), rng)

        if lack(until_mm) <= 0:
            continue
        low_mm, high_mm = 0.0, until_mm
        while high_mm - low_mm > FINEST_MM:
            middle_mm = (low_mm + high_mm) / 2
            low_mm, high_mm = (low_mm, middle_mm) if lack(middle_mm) > 0 else (middle_mm, high_mm)
        first_mm = min(first_mm, high_mm)
    return first_mm


def _farthest(goal, room, rng, bounds=((-200, 200), (-200, 200), (-50, 50), (0, 90))):
    """Highest goal over what leaves room everywhere, by SLSQP from five starts; -inf for none."""
    best = -math.inf
    for _ in range(5):
        tried = minimize(
            lambda z: -goal(z), rng.normal(size=4) * 0.2, method="SLSQP", bounds=bounds,
            constraints={"type": "ineq", "fun": room}, options={"maxiter": 500, "ftol": 1e-11},
        )  # fmt: skip
        if min(room(tried.x)) >= -1e-5:
            best = max(best, float(goal(tried.x)))
    return best


def optimised(fastenings, sign, rng):
    """Strain at the edge by a general optimiser, which all shapes have to be convex for. [mm]."""
    scales = np.array([1.0, 1.0, ARM_MM, WIDTH_MM / 2])

    def each(measure, z, some):
        u, v, w, e = z / scales
        return [float(np.ravel(measure(one, np.array([[u, v, w]]), sign * e))[0]) for one in some]

    def stops(z):
        return [-one for one in each(lambda one, *at: stopped([one], *at), z, fastenings)]

    losable = [one for one in fastenings if one.kind in LOST]
    farthest = _farthest(
        lambda z: z[3], lambda z: [*stops(z), *(-one for one in each(lost, z, losable))], rng
    )
    for one in losable:

        def lack(z, one=one):
            return each(lost, z, [one])[0]

        first = -_farthest(lambda z: -z[3], lambda z: [*stops(z), lack(z)], rng)
        if first <= 1e-4:
            sides = [((-200, 200), (-200, 200), (-50, 50), (at, at)) for at in (0.0, 0.01)]
            before, after = (_farthest(lack, stops, rng, bounds) for bounds in sides)
            first = 0.0 if after > before + 1e-5 else math.inf
        farthest = min(farthest, first)
    return max(0.0, farthest)
