"""What all fastenings together allow: the travel of a top as a set, and what binds it.

The top is a rigid sheet over its base that may slip along the grain (u), shift across it (v), turn
a little (w) and strain across the grain (e). A fastening at (x, y) is displaced by
(u - w y, v + w x + e y), which must stay in its shape. The strain is followed from 0, one way and
then the other, along a connected path, until no u, v and w satisfy every shape.

Every step (poses.Poses.drive) goes straight through poses that fit, so no gap is jumped. Where a
step gains nothing, the top is pushed along, or turned, as far as it goes at that strain, and tried
again: plates that jam head-on may still swing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

from climlog.errors import ImpossibleValueError
from climlog.model.board import Fastening
from climlog.model.fastening.fasteners import shape_of
from climlog.model.fastening.poses import FIT_MM, LARGEST_STRAIN, Held, Poses
from climlog.model.fastening.shapes import BASE_BODY, KeepOut

Floats = NDArray[np.float64]
Point = tuple[float, float]
SETTLED_MM = 1e-4
ACTIVE_MM = 5e-3
SAME_STRAIN = 1e-6
LEAST_SHARE_OF_FORCE = 0.05
EVEN_FORCES = 1e-2
SMALL_FORCES = 1e-3
MOST_STEPS = 500
STRAIN = np.array([0.0, 0.0, 0.0, 1.0])
PUSHES = tuple(sign * np.eye(4)[axis] for axis in (0, 2) for sign in (1.0, -1.0))


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
    moved_swelling_mm, moved_shrinking_mm : tuple of (dx, dy)
        Displacement of the top over the base at each fastening at the limit. [mm]
    """

    swell_strain: float
    shrink_strain: float
    binds_swelling: tuple[int, ...]
    binds_shrinking: tuple[int, ...]
    pose_swelling: tuple[float, float, float]
    pose_shrinking: tuple[float, float, float]
    held_line_swelling_y_mm: float
    held_line_shrinking_y_mm: float
    moved_swelling_mm: tuple[Point, ...]
    moved_shrinking_mm: tuple[Point, ...]


@dataclass(frozen=True)
class _OneWay:
    strain: float
    binds: tuple[int, ...]
    pose: tuple[float, float, float]
    held_line_y_mm: float
    moved_mm: tuple[Point, ...]


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

    Raises
    ------
    ImpossibleValueError
        If the width is not above 0 or the sizes of a fastening do not go together.

    Notes
    -----
    Strains are searched to 20 % and turns to 0.1 rad. A plate counts as one micrometre shorter
    than its play allows, so that a plate without any play can still be followed as it swings.
    """
    bodies = _bodies(fastenings, width_mm)
    swell, shrink = (
        _one_way(fastenings, bodies, width_mm / 2, swelling) for swelling in (True, False)
    )
    return SetTravel(
        swell.strain,
        shrink.strain,
        swell.binds,
        shrink.binds,
        swell.pose,
        shrink.pose,
        swell.held_line_y_mm,
        shrink.held_line_y_mm,
        swell.moved_mm,
        shrink.moved_mm,
    )


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
        for held in _bodies(fastenings, width_mm).values()
        for need, swelling in ((swell_strain, True), (shrink_strain, False))
    ]
    for loosened in (True, False):
        for held, swelling, need in asked:
            some = [one for one in held if not (loosened and isinstance(one.element, KeepOut))]
            poses = Poses(some, width_mm / 2, swelling, need)
            if not _at_most(poses, _follow(poses).path):
                return False
    return True


def _bodies(fastenings: Sequence[Fastening], width_mm: float) -> dict[str, list[Held]]:
    """Sort what holds the top by what it is held to."""
    if not width_mm > 0:
        raise ImpossibleValueError(
            f"a top {width_mm:g} mm wide has no room to move: check its width"
        )
    bodies: dict[str, list[Held]] = {}
    for owner, one in enumerate(fastenings):
        shape = shape_of(one)
        bodies.setdefault(shape.body, []).extend(
            Held(owner, one.x_mm, one.y_mm + offset_mm, element)
            for offset_mm, element in shape.elements
        )
    return bodies


def _one_way(
    fastenings: Sequence[Fastening],
    bodies: dict[str, list[Held]],
    half_width_mm: float,
    swelling: bool,
) -> _OneWay:
    """Follow the strain one way over every body; the first to bind stops the top."""
    binds: list[int] = []
    strain_mm = LARGEST_STRAIN * half_width_mm
    ways = {body: _follow(Poses(held, half_width_mm, swelling)) for body, held in bodies.items()}
    for way in ways.values():
        strain_mm = min(strain_mm, float(way.path[-1][3]))
    for way in ways.values():
        limited = strain_mm < (LARGEST_STRAIN - SAME_STRAIN) * half_width_mm
        if limited and way.path[-1][3] <= strain_mm + SAME_STRAIN * half_width_mm:
            binds.extend(_binding(way.poses, way.path[-1]))
    at_limit = {body: way.at(strain_mm) for body, way in ways.items()}
    moved: list[Point] = [(0.0, 0.0)] * len(fastenings)
    for body, held in bodies.items():
        for one in held:
            where = fastenings[one.owner]
            dx, dy = ways[body].poses.map_at(where.x_mm, where.y_mm) @ at_limit[body]
            moved[one.owner] = (float(dx), float(dy))
    base = at_limit.get(BASE_BODY, np.array([0.0, 0.0, 0.0, strain_mm]))
    arm_mm = ways[BASE_BODY].poses.arm_mm if BASE_BODY in ways else 1.0
    strain = strain_mm / half_width_mm
    signed = strain if swelling else -strain
    return _OneWay(
        strain,
        tuple(sorted(set(binds))),
        (float(base[0]), float(base[1]), float(base[2]) / arm_mm),
        0.0 - float(base[1]) / signed if strain > SAME_STRAIN else math.nan,
        tuple(moved),
    )


@dataclass(frozen=True)
class _Way:
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


def _follow(poses: Poses) -> _Way:
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
    return _Way(poses, path)


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
