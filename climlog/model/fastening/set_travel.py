"""What all fastenings together allow: the travel of a top as a set, and what binds it.

The top is a rigid sheet over its base that may slip along the grain (u), shift across it (v), turn
a little (w) and strain across the grain (e). A fastening at (x, y) is displaced by
(u - w y, v + w x + e y), which must stay in its shape. The strain is followed from 0, one way and
then the other, along a connected path, until no u, v and w satisfy every shape.

How the path is followed. Every step (poses.Poses.drive) goes straight through poses that fit, so
no gap is jumped. Where all is convex, one step is the answer. Plates make it a maze: where a step
gains nothing, the top is pushed along, or turned, as far as it goes at that strain, and tried
again, for plates that jam head-on may still swing; and because the first push decides the hand to
which they swing, each is tried from rest as well and the longest path taken.

What nothing pushes back. A tongue that leaves its kerf and a panel that leaves its groove are lost,
not stopped, and where nothing brings the top back it can have drifted to its worst place before.
So the path above, which takes the best place, is an upper bound there: the travel ends at the
least strain at which some pose that the other elements allow lets one go.

Plates square to rails along the grain jam as the top swells unless they tip over, all the same
way, the top slipping along its length. The travel counts without that; what it would be if they
do tip over stands beside it (`Tipping`).

Checked against closed forms (tests/model/fastening/test_set_travel.py) and against two searches
at random that share no code with it (test_set_travel_search.py, brute_force.py).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from operator import itemgetter
from typing import TypeGuard

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from climlog.errors import ImpossibleValueError
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening
from climlog.model.fastening.fasteners import shape_of
from climlog.model.fastening.poses import FIT_MM, LARGEST_STRAIN, STRAIN, Held, Poses
from climlog.model.fastening.shapes import (
    BASE_BODY,
    Element,
    KeepOut,
    Wall,
    is_square_along,
    untipped,
)

Floats = NDArray[np.float64]
SETTLED_MM = 1e-4
"""A step that gains less has come to its end; a tenth of what counts as touching."""
ACTIVE_MM = 5e-3
"""Nearer than this an element touches: more than a path leaves between two of its steps."""
SAME_STRAIN = 1e-6
"""Half a micrometre at the edge of a wide top: two bodies that bind so near bind together."""
MOST_KEPT = 256
"""Sets whose travel is kept: a page asks for some fifty, many of them twice."""
LEAST_SHARE_OF_FORCE = 0.05
"""A fastening that carries less of the force does not bind; it only touches."""
EVEN_FORCES = 1e-2
SMALL_FORCES = 1e-3
"""Weights that choose among equal forces: even over the fastenings first, then the least."""
MOST_STEPS = 500
"""Steps of one path; some ten are usual, so that a fault ends in an error and not in a hang."""
SLOPE_MM = 1e-2
"""Strain over which it is seen whether a drift gets worse as the top moves."""
# Along the grain and in turn, either way: a shift across it is what the strain itself finds.
PUSHES = tuple(sign * np.eye(4)[axis] for axis in (0, 2) for sign in (1.0, -1.0))
SLIP, SHIFT = np.eye(4)[0], np.eye(4)[1]


@dataclass(frozen=True)
class Tipping:
    """Swelling as it would be if plates square to rails along the grain tip over to one side.

    It works in a share of cases only (`tips_over` of tables/fastening_rules.csv).

    Attributes
    ----------
    swell_strain : float
        As in SetTravel.
    slip_mm : float
        How far the top slips along its length for it. [mm]
    fastenings : tuple of int
        The plates that tip over, as places in the given sequence.
    """

    swell_strain: float
    slip_mm: float
    fastenings: tuple[int, ...]


@dataclass(frozen=True)
class Drift:
    """How far a top can wander over its base, nothing straining it.

    Attributes
    ----------
    along_mm, across_mm : float
        Either way at the most, along its length and across it; inf where nothing stops it. [mm]
    counts_swelling, counts_shrinking : bool
        Whether the worst place it can drift to is what ends the travel that way.
    """

    along_mm: float
    across_mm: float
    counts_swelling: bool
    counts_shrinking: bool


@dataclass(frozen=True)
class SetTravel:
    """Travel of a top with all its fastenings holding.

    Attributes
    ----------
    swell_strain, shrink_strain : float
        Largest change of width, as a share of it, each counted positive; `LARGEST_STRAIN` where
        nothing stops it that far.
    binds_swelling, binds_shrinking : tuple of int
        Which fastenings hold it at the limit, as places in the given sequence.
    pose_swelling, pose_shrinking : (u_mm, v_mm, w_rad)
        Slip, shift and turn over the base at the limit.
    held_line_swelling_y_mm, held_line_shrinking_y_mm : float
        Where the top stays put at the limit, measured at its middle line; NaN without strain.
    tips : Tipping or None
        What swelling could be besides if plates tip over; None where none do or it gains nothing.
    drift : Drift or None
        None where everything that holds the top pushes it back.
    """

    swell_strain: float
    shrink_strain: float
    binds_swelling: tuple[int, ...]
    binds_shrinking: tuple[int, ...]
    pose_swelling: tuple[float, float, float]
    pose_shrinking: tuple[float, float, float]
    held_line_swelling_y_mm: float
    held_line_shrinking_y_mm: float
    tips: Tipping | None = None
    drift: Drift | None = None

    @property
    def slip_mm(self) -> float:
        """How far the top has to slip along its length for this travel, either way at most."""
        return max(abs(self.pose_swelling[0]), abs(self.pose_shrinking[0]))


@dataclass(frozen=True)
class _OneWay:
    strain: float
    binds: tuple[int, ...]
    pose: tuple[float, float, float]
    held_line_y_mm: float
    drifted: bool


def travel_as_a_set(fastenings: Sequence[Fastening], width_mm: float) -> SetTravel:
    """Find how far all fastenings together let the top swell and shrink.

    Parameters
    ----------
    fastenings : sequence of Fastening
        Any number, also none.
    width_mm : float
        Width of the top. [mm]

    Returns
    -------
    SetTravel
        Strain that the set allows each way, and which fastenings stop it there; a way that even
        `LARGEST_STRAIN` does not use up has no limit.

    Raises
    ------
    ImpossibleValueError
        If the width is not above 0 or the sizes of a fastening do not go together.

    Notes
    -----
    Strains are searched to 20 % and turns to 0.1 rad. A plate counts as one micrometre shorter
    than its play allows, so that a plate without any play can still be followed as it swings.
    """
    bodies = bodies_of(fastenings, width_mm)
    swell, shrink = (_one_way(bodies, width_mm / 2, swelling) for swelling in (True, False))
    return SetTravel(
        swell.strain,
        shrink.strain,
        swell.binds,
        shrink.binds,
        swell.pose,
        shrink.pose,
        swell.held_line_y_mm,
        shrink.held_line_y_mm,
        _tipping(fastenings, width_mm, swell.strain),
        _drift(bodies.get(BASE_BODY, []), width_mm / 2, (swell.drifted, shrink.drifted)),
    )


def _tipping(fastenings: Sequence[Fastening], width_mm: float, without: float) -> Tipping | None:
    plates = tuple(at for at, one in enumerate(fastenings) if is_square_along(one))
    if not plates:
        return None
    tipped = _one_way(bodies_of(fastenings, width_mm, may_tip=True), width_mm / 2, swelling=True)
    if tipped.strain <= without + SMALLEST_LENGTH_MM / width_mm:
        return None
    return Tipping(tipped.strain, abs(tipped.pose[0]), plates)


def reaches(
    fastenings: Sequence[Fastening], width_mm: float, swell_strain: float, shrink_strain: float
) -> bool:
    """Tell whether a set lets the top go as far as it needs, without asking how much farther.

    Parameters
    ----------
    fastenings : sequence of Fastening
    width_mm : float
        Width of the top. [mm]
    swell_strain, shrink_strain : float
        Change of width as a share of it, each counted positive; `LARGEST_STRAIN` at most.

    Raises
    ------
    ImpossibleValueError
        As for `travel_as_a_set`.

    Notes
    -----
    What does not reach even without the circles that plates must keep out of needs no search.
    """
    asked = [
        (held, swelling, min(need, LARGEST_STRAIN))
        for held in bodies_of(fastenings, width_mm).values()
        for need, swelling in ((swell_strain, True), (shrink_strain, False))
    ]
    for loosened in (True, False):
        for held, swelling, need in asked:
            some = [one for one in held if not (loosened and isinstance(one.element, KeepOut))]
            if not loosened and not _has_keep_outs(held):
                continue
            poses = Poses(some, width_mm / 2, swelling, need)
            if not _at_most(poses, follow(poses).path):
                return False
    return all(
        at_mm >= need * width_mm / 2 - SETTLED_MM
        for held, swelling, need in asked
        for at_mm, _ in _drifts(held, width_mm / 2, swelling, need)
    )


def _has_keep_outs(held: Sequence[Held]) -> bool:
    return any(isinstance(one.element, KeepOut) for one in held)


def bodies_of(
    fastenings: Sequence[Fastening], width_mm: float, may_tip: bool = False
) -> dict[str, list[Held]]:
    """Sort what holds the top by what it is held to."""
    if not width_mm > 0:
        raise ImpossibleValueError(
            f"a top {width_mm:g} mm wide has no room to move: check its width"
        )
    bodies: dict[str, list[Held]] = {}
    for owner, one in enumerate(fastenings):
        shape = shape_of(one) if may_tip else untipped(one, shape_of(one))
        bodies.setdefault(shape.body, []).extend(
            Held(owner, one.x_mm, one.y_mm + offset_mm, element)
            for offset_mm, element in shape.elements
        )
    return bodies


def _one_way(bodies: dict[str, list[Held]], half_width_mm: float, swelling: bool) -> _OneWay:
    """Follow the strain one way over every body; the first to bind stops the top."""
    frozen = tuple((body, tuple(held)) for body, held in bodies.items())
    return _followed(frozen, half_width_mm, swelling)


@lru_cache(maxsize=MOST_KEPT)
def _followed(
    frozen: tuple[tuple[str, tuple[Held, ...]], ...], half_width_mm: float, swelling: bool
) -> _OneWay:
    """Follow as `_one_way`; kept, for changes that are tried come to the same set again."""
    bodies = dict(frozen)
    most_mm, same_mm = LARGEST_STRAIN * half_width_mm, SAME_STRAIN * half_width_mm
    ways = {body: follow(Poses(held, half_width_mm, swelling)) for body, held in bodies.items()}
    gone = {body: _lets_go(held, half_width_mm, swelling) for body, held in bodies.items()}
    ends = {body: min(_end_mm(way), gone[body][0]) for body, way in ways.items()}
    strain_mm = min([most_mm, *ends.values()])
    binds: list[int] = []
    drifted = False
    for body in (body for body, end_mm in ends.items() if end_mm <= strain_mm + same_mm):
        if gone[body][0] < _end_mm(ways[body]) - SETTLED_MM:
            binds.extend(gone[body][1])
            drifted = True
        elif strain_mm < most_mm - same_mm:
            binds.extend(_binding(ways[body].poses, ways[body].path[-1]))
    base = np.array([0.0, 0.0, 0.0, strain_mm])
    arm_mm = 1.0
    if BASE_BODY in ways:
        base, arm_mm = ways[BASE_BODY].at(strain_mm), ways[BASE_BODY].poses.arm_mm
    strain = strain_mm / half_width_mm
    signed = strain if swelling else -strain
    return _OneWay(
        strain,
        tuple(sorted(set(binds))),
        (float(base[0]), float(base[1]), float(base[2]) / arm_mm),
        0.0 - float(base[1]) / signed if strain > SAME_STRAIN else math.nan,
        drifted,
    )


def _end_mm(way: "Way") -> float:
    return float(way.path[-1][3])


def _lets_go(
    held: Sequence[Held], half_width_mm: float, swelling: bool
) -> tuple[float, tuple[int, ...]]:
    """Find the least strain, times half the width, at which drift can let go, and of which."""
    drifts = list(_drifts(held, half_width_mm, swelling))
    least_mm = min((at_mm for at_mm, _ in drifts), default=math.inf)
    return least_mm, tuple({owner for at_mm, owner in drifts if at_mm <= least_mm + SETTLED_MM})


def _drifts(
    held: Sequence[Held],
    half_width_mm: float,
    swelling: bool,
    most_strain: float = LARGEST_STRAIN,
) -> Iterator[tuple[float, int]]:
    """Yield the strain, times half the width, at which drift can let go of a fastening.

    Where something can go as the top lies and straining does not make it worse, it is no limit
    this way: what takes it there is the strain the other way, or none.
    """
    stops = [one for one in held if not _releases(one.element)]
    if len(stops) == len(held):
        return
    poses = Poses(stops, half_width_mm, swelling, most_strain)
    way = Way(poses, [np.zeros(4)]) if poses.convex else follow(poses)
    for one, wall in _outermost_releases(held):
        row = np.asarray(wall.normal) @ poses.map_at(one.x_mm, one.y_mm)
        at_mm = _first_beyond(way, row, wall.limit_mm)
        if not math.isinf(at_mm) and (at_mm > FIT_MM or _gets_worse(poses, row)):
            yield at_mm, one.owner


def _first_beyond(way: "Way", row: Floats, limit_mm: float) -> float:
    """Least strain, times half the width, at which drift can pass a limit; inf for none, in mm.

    With plates the poses at one strain are pushed from the way that was followed, and the strain
    is found by halving: what lies behind a jam is not to be reached.
    """
    if way.poses.convex:
        return way.poses.first_beyond(row, limit_mm)

    def goes(strain_mm: float) -> bool:
        return way.poses.most_from(row, way.at(strain_mm)) > limit_mm

    low_mm, high_mm = 0.0, _end_mm(way)
    if goes(low_mm):
        return 0.0
    if not goes(high_mm):
        return math.inf
    while high_mm - low_mm > SETTLED_MM:
        middle_mm = (low_mm + high_mm) / 2
        low_mm, high_mm = (low_mm, middle_mm) if goes(middle_mm) else (middle_mm, high_mm)
    return high_mm


def _gets_worse(poses: Poses, row: Floats) -> bool:
    before, after = (poses.most_from(row, mm * STRAIN) for mm in (0.0, SLOPE_MM))
    return after > before + FIT_MM


def _releases(element: Element) -> TypeGuard[Wall]:
    return isinstance(element, Wall) and element.releases


def _outermost_releases(held: Sequence[Held]) -> Iterator[tuple[Held, Wall]]:
    """Pick the first and the last of alike ones in a row: one of them lets go before the rest."""
    rows: dict[tuple[float, Wall], list[tuple[float, Held]]] = {}
    for one in held:
        if _releases(one.element):
            line, along = (one.y_mm, one.x_mm) if one.element.normal[1] else (one.x_mm, one.y_mm)
            rows.setdefault((line, one.element), []).append((along, one))
    for (_, wall), row in rows.items():
        ends = min(row, key=itemgetter(0)), max(row, key=itemgetter(0))
        yield from ((one, wall) for _, one in ends[: 1 + (ends[0] is not ends[1])])


def _drift(held: Sequence[Held], half_width_mm: float, counts: tuple[bool, bool]) -> Drift | None:
    """Tell how far the top can wander as it was fixed; None where nothing can let go."""
    stops = [one for one in held if not _releases(one.element)]
    if len(stops) == len(held):
        return None
    poses = Poses(stops, half_width_mm, swelling=True)

    def most_mm(way: Floats) -> float:
        there = max(poses.most_from(sign * way, np.zeros(4)) for sign in (1.0, -1.0))
        return math.inf if there >= poses.far_mm - SETTLED_MM else there

    return Drift(most_mm(SLIP), most_mm(SHIFT), *counts)


@dataclass(frozen=True)
class Way:
    """Poses passed, from rest to the limit, with straight free ways between them."""

    poses: Poses
    path: list[Floats]

    def at(self, strain_mm: float) -> Floats:
        """Pose at a strain, as near to rest as can be seen by dropping turn, slip and shift."""
        after = next(k for k, pose in enumerate(self.path) if pose[3] >= strain_mm - FIT_MM)
        pose = self.path[after]
        if after and pose[3] > strain_mm:
            before = self.path[after - 1]
            share = (strain_mm - before[3]) / (pose[3] - before[3])
            pose = np.asarray(before + share * (pose - before))
        for keep in sorted(product((0.0, 1.0), repeat=3), key=sum):
            calmer = pose * np.array([*keep, 1.0])
            if self.poses.excess_mm(calmer) <= 2 * FIT_MM:
                return np.asarray(calmer)
        return pose


def follow(poses: Poses) -> Way:
    """Follow the strain from rest until neither driving nor pushing gains any more."""
    rest = np.zeros(4)
    path = _ascend(poses, [rest])
    for push in () if poses.convex or _at_most(poses, path) else PUSHES:
        path = max(path, _ascend(poses, [rest, poses.drive(rest, push)]), key=_reached_mm)
    while not poses.convex and not _at_most(poses, path):
        asides = [poses.drive(path[-1], push) for push in PUSHES]
        longer = max((_ascend(poses, [*path, aside]) for aside in asides), key=_reached_mm)
        if _reached_mm(longer) <= _reached_mm(path) + SETTLED_MM:
            break
        path = longer
    return Way(poses, path)


def _at_most(poses: Poses, path: list[Floats]) -> bool:
    return bool(path[-1][3] >= poses.most_mm - SETTLED_MM)


def _reached_mm(path: list[Floats]) -> float:
    return round(float(path[-1][3]) / SETTLED_MM) * SETTLED_MM


def _ascend(poses: Poses, start: list[Floats]) -> list[Floats]:
    """Drive the strain on until a step gains nothing."""
    path = list(start)
    for _ in range(MOST_STEPS):
        reached = poses.drive(path[-1], STRAIN)
        gain_mm = reached[3] - path[-1][3]
        if gain_mm > 0:
            path.append(reached)
        if poses.convex or gain_mm <= SETTLED_MM:
            return path
    raise RuntimeError("the travel as a set did not settle")


def _binding(poses: Poses, pose: Floats) -> list[int]:
    """Fastenings that carry force at the limit, as if all were equally springy.

    The forces are the least ones, over everything that touches, that hold the strain and leave
    slip, shift and turn in balance.
    """
    rows, owners = poses.active(pose, ACTIVE_MM)
    names = sorted(set(owners.tolist()))
    if not names:
        return []
    touches = len(owners)
    even = np.zeros((4 * len(names), touches))
    for column, owner in enumerate(owners):
        at = 4 * names.index(owner)
        even[at : at + 4, column] = EVEN_FORCES * rows[column]
    small = SMALL_FORCES * np.eye(touches)
    pushes, _ = nnls(
        np.vstack([rows.T, even, small]),
        np.concatenate([STRAIN, np.zeros(4 * len(names) + touches)]),
    )
    forces = {name: (rows.T * pushes)[:, owners == name].sum(axis=1) for name in names}
    size = {name: float(np.linalg.norm(force)) for name, force in forces.items()}
    return [name for name in names if size[name] > LEAST_SHARE_OF_FORCE * max(size.values())]
