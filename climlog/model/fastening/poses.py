"""Poses a rigid top can take over one body, and how far it can be driven one way.

A pose is (u, v, turn, strain), each as a length: slip along the grain, shift across it, turn times
the arm, strain (in the direction followed) times half the width. [mm] The displacement of every
point is linear in it, so walls are linear, tracks convex, and keep-out circles are replaced by
tangents at the pose reached.

How the search works (`Poses.drive`). It is a linear programme in four unknowns, solved by the dual
simplex method. Four rows hold a pose: at first those corners of a box round everything where the
goal is best, so that the goal is a sum of the four rows with weights of at least 0. That stays so
at every turn: the row that the pose breaks most comes in, and out goes the one of the four whose
weight reaches 0 first; the goal can only fall, so the first pose that breaks nothing is the
farthest. Tracks are round: a tangent is laid where a pose would leave one, and kept for all later
searches (cutting planes). Circles to keep out of are not convex: each is replaced by its tangent
at the pose one starts from, which is the safe side, and the caller starts again from the pose
reached until nothing is gained.

Checked against scipy.optimize.linprog on random rows, against a general optimiser where all is
convex, and against searches at random that share no code with it (tests/model/fastening). linprog
takes 2.4 ms where this takes 0.5, and a page needs hundreds of solves.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from climlog.model.fastening.shapes import Element, KeepOut, Track, Wall

Floats = NDArray[np.float64]
Some = TypeVar("Some", bound=Element)
LARGEST_STRAIN = 0.2
"""Beyond what any wood does between bone dry and green: whoever gets here is not held at all."""
LARGEST_TURN_RAD = 0.1
"""6 degrees, 90 mm at the end of a table: far more than any play lets a top turn."""
FARTHEST_MM = 50.0
"""Slip or shift, beside that of the largest strain, at which a top counts as free to go."""
WALL_MM = 1e-3
"""A plate counts as so much shorter: without any play there would be no pose to step from."""
FIT_MM = 1e-6
"""A nanometre: far below what matters, far above rounding at a metre."""
MOST_TURNS = 2000
"""Turns of one solve; some 20 are usual, so that a fault ends in an error and not in a hang."""
LEAST_MM = 1e-300
"""A pose on the middle of a track has no way out of it: any will do."""
LEAST_SHARE = 1e-9
"""Less of a row than this is rounding: to turn about it would blow the pose up."""
STRAIN = np.array([0.0, 0.0, 0.0, 1.0])
BOX = np.vstack([np.eye(4), -np.eye(4)])
NUDGE = np.array([3e-8, 7e-8, 5e-8, 0.0])
"""Settles which of several equally far poses is found: a tie would depend on the machine."""
CUTS_AT_START = 8
"""Tangents laid round a track at once: with fewer, every solve lays them again; more only wait."""
MOST_LAID = 50
"""Rounds in which tangents to circles are laid anew while a push gains; some three are usual."""


@dataclass(frozen=True)
class Held:
    """An element of a fastening's shape, and where it holds the top.

    Attributes
    ----------
    owner : int
        Which fastening.
    x_mm, y_mm : float
        Place on the top. [mm]
    """

    owner: int
    x_mm: float
    y_mm: float
    element: Element


class Poses:
    """All poses that the elements of one body allow, one way of straining.

    Parameters
    ----------
    held : iterable of Held
    half_width_mm : float
        Half the width of the top: what a strain is multiplied by. [mm]
    swelling : bool
        Which way the strain is followed; it counts as positive.
    most_strain : float
        Strain beyond which nobody asks.
    """

    def __init__(
        self,
        held: Iterable[Held],
        half_width_mm: float,
        swelling: bool,
        most_strain: float = LARGEST_STRAIN,
    ) -> None:
        """Sort the elements and lay the first tangents round every track."""
        everything = list(held)
        self.half_width_mm = half_width_mm
        self.most_mm = most_strain * half_width_mm
        self.sign = 1.0 if swelling else -1.0
        self.arm_mm = max([1.0, *(math.hypot(one.x_mm, one.y_mm) for one in everything)])
        tracks, self.track_maps, self.track_owners = self._sort(everything, Track)
        self.centres = np.array([one.centre for one in tracks]).reshape(-1, 2)
        self.sides = tuple(
            _Sides.of(some) for some in ([one.half for one in tracks], [one.side for one in tracks])
        )
        self.radii = np.array([one.radius_mm for one in tracks])
        keep_outs, self.keep_maps, self.keep_owners = self._sort(everything, KeepOut)
        self.keep_centres = np.array([one.centre for one in keep_outs]).reshape(-1, 2)
        self.keep_radii = np.array([one.radius_mm - WALL_MM for one in keep_outs])
        walls, maps, self.owners = self._sort(everything, Wall)
        normals = np.array([one.normal for one in walls]).reshape(-1, 2)
        self.rows = np.einsum("mi,mij->mj", normals, maps)
        self.limits = np.array([one.limit_mm for one in walls])
        self._last: dict[bytes, NDArray[np.int_]] = {}
        for turn in range(CUTS_AT_START):
            angle = 2 * math.pi * turn / CUTS_AT_START
            way = np.array([[math.cos(angle), math.sin(angle)]])
            self._cut(np.arange(len(tracks)), np.repeat(way, len(tracks), axis=0))

    @property
    def far_mm(self) -> float:
        """Slip or shift at which the search ends: nothing holds a top that gets there, in mm."""
        return FARTHEST_MM + 2.0 * LARGEST_STRAIN * self.half_width_mm

    @property
    def convex(self) -> bool:
        """Whether no keep-out circle stands in the way."""
        return not self.keep_radii.size

    def map_at(self, x_mm: float, y_mm: float) -> Floats:
        """Matrix from a pose to the displacement at a point, shape (2, 4)."""
        return np.array(
            [
                [1.0, 0.0, -y_mm / self.arm_mm, 0.0],
                [0.0, 1.0, x_mm / self.arm_mm, self.sign * y_mm / self.half_width_mm],
            ]
        )

    def excess_mm(self, pose: Floats) -> float:
        """Largest distance, in mm, by which a pose breaks an element; 0 or less where it fits."""
        _, beyond = self._beyond_tracks(pose)
        outside = self.keep_radii - np.linalg.norm(self._from_keep_outs(pose), axis=1)
        return max(map(float, (*(self.rows @ pose - self.limits), *beyond, *outside)), default=0.0)

    def drive(self, pose: Floats, goal: Floats) -> Floats:
        """Drive a pose as far as it goes towards a goal without letting the strain fall back.

        Parameters
        ----------
        pose : array, shape (4,)
            A pose that fits. [mm]
        goal : array, shape (4,)
            Direction in which to go as far as possible.

        Returns
        -------
        array, shape (4,)
            Reached by a straight way on which every pose fits; the pose given where what room
            there is, is less than the accuracy of the search. [mm]

        Notes
        -----
        The head of this module says how it works and what it was checked against.
        """
        least_mm = min(float(pose[3]), self.most_mm)
        farthest = self._farthest(goal, *self._all_rows(pose, least_mm), keep=True)
        return pose if farthest is None else farthest

    def first_beyond(self, row: Floats, limit_mm: float) -> float:
        """Find the least strain at which some pose can pass a limit that nothing pushes back from.

        Parameters
        ----------
        row : array, shape (4,)
            What of a pose counts towards the limit.
        limit_mm : float

        Returns
        -------
        float
            Strain times half the width; inf where none within the most asked for is. [mm]

        Notes
        -----
        A linear programme again, where all is convex: the least strain with the limit just passed.
        """
        rows, limits = self._all_rows(np.zeros(4), 0.0)
        found = self._farthest(-STRAIN, np.vstack([rows, -row]), np.append(limits, -limit_mm))
        return math.inf if found is None else max(0.0, float(found[3]))

    def most_from(self, row: Floats, pose: Floats) -> float:
        """Push a pose along a row as far as it goes at its own strain.

        Parameters
        ----------
        row, pose : array, shape (4,)

        Returns
        -------
        float
            What of the pose reached counts along the row; minus infinity where none fits at that
            strain. [mm]
        """
        most_mm = -math.inf
        for _ in range(1 if self.convex else MOST_LAID):
            rows, limits = self._all_rows(pose, float(pose[3]))
            found = self._farthest(row, np.vstack([rows, STRAIN]), np.append(limits, pose[3]))
            if found is None or float(row @ found) <= most_mm + FIT_MM:
                break
            pose, most_mm = found, float(row @ found)
        return most_mm

    def _farthest(
        self, goal: Floats, rows: Floats, limits: Floats, keep: bool = False
    ) -> Floats | None:
        """Find the farthest pose towards a goal that breaks no row and no track; None for none.

        With `keep` the four rows that held the last pose towards the same goal are begun with.
        Only for rows that stand in the same order each time.
        """
        aim = goal + NUDGE
        basis, inverse = self._begun(aim, rows if keep else None)
        for _ in range(MOST_TURNS):
            found = inverse @ limits[basis]
            gaps = rows @ found - limits
            worst = int(gaps.argmax())
            if gaps[worst] <= FIT_MM:
                cut = self._new_cut(found)
                if cut is None:
                    if keep:
                        self._last[aim.tobytes()] = basis
                    return np.asarray(found, dtype=np.float64)
                rows, limits = np.concatenate([rows, cut[0]]), np.concatenate([limits, cut[1]])
                worst = len(gaps) + cut[2]
            shares = rows[worst] @ inverse
            leaving = _leaving((aim @ inverse).tolist(), shares.tolist())
            if leaving is None:
                return None
            basis[leaving] = worst
            column = inverse[:, leaving] / shares[leaving]
            inverse = inverse - column[:, None] * shares
            inverse[:, leaving] = column
        raise RuntimeError("the farthest pose was not found")

    def _begun(self, aim: Floats, rows: Floats | None) -> tuple[NDArray[np.int_], Floats]:
        """Four rows to begin with, and their inverse: the last ones if the goal needs them all."""
        last = None if rows is None else self._last.get(aim.tobytes())
        if rows is not None and last is not None:
            held = rows[last]
            if abs(np.linalg.det(held)) > LEAST_SHARE:
                inverse = np.asarray(np.linalg.inv(held), dtype=np.float64)
                if (aim @ inverse >= 0.0).all():
                    return last.copy(), inverse
        return np.where(aim > 0, np.arange(4), np.arange(4, 8)), np.diag(
            np.where(aim > 0, 1.0, -1.0)
        )

    def tangents(self, pose: Floats) -> tuple[Floats, Floats, NDArray[np.int_]]:
        """Rows, limits and owners of the tangents to the keep-out circles at a pose."""
        away = self._from_keep_outs(pose)
        normals = away / np.linalg.norm(away, axis=1, keepdims=True)
        rows = -np.einsum("mi,mij->mj", normals, self.keep_maps)
        limits = -self.keep_radii - np.einsum("mi,mi->m", normals, self.keep_centres)
        return rows, limits, self.keep_owners

    def active(self, pose: Floats, within_mm: float) -> tuple[Floats, NDArray[np.int_]]:
        """Rows and owners of everything that touches at a pose."""
        directions, beyond = self._beyond_tracks(pose)
        touching = np.flatnonzero((beyond > -within_mm) & (beyond + self.radii > FIT_MM))
        self._cut(touching, directions[touching])
        rows, limits, owners = self.tangents(pose)
        rows = np.vstack([self.rows, rows])
        slack = np.concatenate([self.limits, limits]) - rows @ pose
        keep = slack < within_mm
        return rows[keep], np.concatenate([self.owners, owners])[keep]

    def _all_rows(self, pose: Floats, least_mm: float) -> tuple[Floats, Floats]:
        """Limits of the search first, then everything that holds, convex as seen from a pose."""
        far_mm = self.far_mm
        turn_mm = LARGEST_TURN_RAD * self.arm_mm
        box = [far_mm, far_mm, turn_mm, self.most_mm, far_mm, far_mm, turn_mm, -least_mm]
        rows, limits, _ = self.tangents(pose)
        return np.concatenate([BOX, rows, self.rows]), np.concatenate([box, limits, self.limits])

    def _new_cut(self, pose: Floats) -> tuple[Floats, Floats, int] | None:
        """Lay a tangent to every track that a pose breaks; None where it breaks none.

        Returns
        -------
        tuple
            The rows laid, their limits, and which of them belongs to the track broken most.
        """
        if not self.radii.size:
            return None
        directions, beyond = self._beyond_tracks(pose)
        broken = np.flatnonzero(beyond > FIT_MM)
        if not broken.size:
            return None
        laid = len(self.rows)
        self._cut(broken, directions[broken])
        return self.rows[laid:], self.limits[laid:], int(beyond[broken].argmax())

    def _sort(
        self, everything: list[Held], kind: type[Some]
    ) -> tuple[list[Some], Floats, NDArray[np.int_]]:
        """Pick the elements of one kind, with their maps and owners."""
        ones = [(held, held.element) for held in everything if isinstance(held.element, kind)]
        maps = np.array([self.map_at(held.x_mm, held.y_mm) for held, _ in ones]).reshape(-1, 2, 4)
        owners = np.array([held.owner for held, _ in ones], dtype=int)
        return [element for _, element in ones], maps, owners

    def _beyond_tracks(self, pose: Floats) -> tuple[Floats, Floats]:
        """Find the way out of each track, and how far beyond its edge a pose is, in mm."""
        x, y = (self.track_maps @ pose - self.centres).T
        for sides in self.sides:
            share = np.minimum(np.maximum((x * sides.x + y * sides.y) * sides.per_mm2, -1.0), 1.0)
            x, y = x - share * sides.x, y - share * sides.y
        distance = np.hypot(x, y)
        return np.array([x, y]).T / np.maximum(distance, LEAST_MM)[:, None], distance - self.radii

    def _from_keep_outs(self, pose: Floats) -> Floats:
        return np.asarray(self.keep_maps @ pose - self.keep_centres)

    def _cut(self, which: NDArray[np.int_], normals: Floats) -> None:
        """Add the tangents of some tracks, a direction for each."""
        rows = (normals[:, :, None] * self.track_maps[which]).sum(axis=1)
        limits = self.radii[which] + (normals * self.centres[which]).sum(axis=1)
        for sides in self.sides:
            limits += np.abs(normals[:, 0] * sides.x[which] + normals[:, 1] * sides.y[which])
        self.rows = np.concatenate([self.rows, rows])
        self.limits = np.concatenate([self.limits, limits])
        self.owners = np.concatenate([self.owners, self.track_owners[which]])


@dataclass(frozen=True)
class _Sides:
    """Halves of the boxes of all tracks, one of their two ways.

    Attributes
    ----------
    x, y : array, shape (m,)
        [mm]
    per_mm2 : array, shape (m,)
        One over their squared length; 1 where there is none.
    """

    x: Floats
    y: Floats
    per_mm2: Floats

    @classmethod
    def of(cls, halves: list[tuple[float, float]]) -> "_Sides":
        x, y = np.array(halves, dtype=np.float64).reshape(-1, 2).T
        length_2 = x * x + y * y
        return cls(x, y, 1.0 / np.where(length_2 > 0, length_2, 1.0))


def _leaving(weights: list[float], shares: list[float]) -> int | None:
    """Which of the four that hold a pose gives way first to another; None if none can."""
    ratios = [
        (weight / share, place)
        for place, (weight, share) in enumerate(zip(weights, shares, strict=True))
        if share > LEAST_SHARE
    ]
    return min(ratios)[1] if ratios else None
