"""Poses a rigid top can take over one body, and how far it can be driven one way.

A pose is (u, v, turn, strain), each as a length: slip along the grain, shift across it, turn times
the arm, strain (in the direction followed) times half the width. [mm] The displacement of every
point is linear in it, so walls are linear, tracks convex, and keep-out circles are replaced by
tangents at the pose reached.
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
LARGEST_TURN_RAD = 0.1
WALL_MM = 1e-3
FIT_MM = 1e-6
MOST_TURNS = 2000
LEAST_SHARE = 1e-9
BOX = np.vstack([np.eye(4), -np.eye(4)])
NUDGE = np.array([3e-8, 7e-8, 5e-8, 0.0])
"""Settles which of several equally far poses is found."""
CUTS_AT_START = 8


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
        self.halves = np.array([one.half for one in tracks]).reshape(-1, 2)
        self.radii = np.array([one.radius_mm for one in tracks])
        keep_outs, self.keep_maps, self.keep_owners = self._sort(everything, KeepOut)
        self.keep_centres = np.array([one.centre for one in keep_outs]).reshape(-1, 2)
        self.keep_radii = np.array([one.radius_mm - WALL_MM for one in keep_outs])
        walls, maps, self.owners = self._sort(everything, Wall)
        normals = np.array([one.normal for one in walls]).reshape(-1, 2)
        self.rows = np.einsum("mi,mij->mj", normals, maps)
        self.limits = np.array([one.limit_mm for one in walls])
        for turn in range(CUTS_AT_START):
            angle = 2 * math.pi * turn / CUTS_AT_START
            self._cut(np.arange(len(tracks)), np.array([[math.cos(angle), math.sin(angle)]]))

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
        The dual simplex method on four unknowns, which lays a tangent to a track where the search
        first breaks it. A general solver takes ten times as long over so small a problem, and a
        page needs hundreds of them.
        """
        rows, limits = self._all_rows(pose)
        aim = goal + NUDGE
        basis = np.where(aim > 0, np.arange(4), np.arange(4, 8))
        inverse = np.diag(np.where(aim > 0, 1.0, -1.0))
        for _ in range(MOST_TURNS):
            found = inverse @ limits[basis]
            gaps = rows @ found - limits
            worst = int(gaps.argmax())
            if gaps[worst] <= FIT_MM:
                cut = self._new_cut(found)
                if cut is None:
                    return np.asarray(found, dtype=np.float64)
                worst = len(rows)
                rows, limits = np.vstack([rows, cut[0]]), np.append(limits, cut[1])
            shares = rows[worst] @ inverse
            leaving = _leaving((aim @ inverse).tolist(), shares.tolist())
            if leaving is None:
                return pose
            basis[leaving] = worst
            column = inverse[:, leaving] / shares[leaving]
            inverse = inverse - column[:, None] * shares
            inverse[:, leaving] = column
        raise RuntimeError("the farthest pose was not found")

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

    def _all_rows(self, pose: Floats) -> tuple[Floats, Floats]:
        """Limits of the search first, then everything that holds, convex as seen from a pose."""
        far_mm = 50.0 + 2.0 * LARGEST_STRAIN * self.half_width_mm
        turn_mm = LARGEST_TURN_RAD * self.arm_mm
        least_mm = min(float(pose[3]), self.most_mm)
        box = [far_mm, far_mm, turn_mm, self.most_mm, far_mm, far_mm, turn_mm, -least_mm]
        rows, limits, _ = self.tangents(pose)
        return np.vstack([BOX, self.rows, rows]), np.concatenate([box, self.limits, limits])

    def _new_cut(self, pose: Floats) -> tuple[Floats, float] | None:
        """Lay a tangent to the track that a pose breaks most; None where it breaks none."""
        if not self.radii.size:
            return None
        directions, beyond = self._beyond_tracks(pose)
        worst = int(beyond.argmax())
        if beyond[worst] <= FIT_MM:
            return None
        self._cut(np.array([worst]), directions[worst : worst + 1])
        return self.rows[-1], float(self.limits[-1])

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
        offset = self.track_maps @ pose - self.centres
        length_2 = np.einsum("mi,mi->m", self.halves, self.halves)
        along = np.einsum("mi,mi->m", offset, self.halves)
        share = np.clip(along / np.where(length_2 > 0, length_2, 1.0), -1.0, 1.0)
        offset -= share[:, None] * self.halves
        distance = np.linalg.norm(offset, axis=1)
        return offset / np.maximum(distance, 1e-300)[:, None], distance - self.radii

    def _from_keep_outs(self, pose: Floats) -> Floats:
        return np.asarray(self.keep_maps @ pose - self.keep_centres)

    def _cut(self, which: NDArray[np.int_], directions: Floats) -> None:
        """Add the tangents of some tracks, one direction each (or one for all)."""
        normals = np.broadcast_to(directions, (len(which), 2))
        rows = np.einsum("mi,mij->mj", normals, self.track_maps[which])
        limits = self.radii[which] + np.abs(np.einsum("mi,mi->m", normals, self.halves[which]))
        limits = limits + np.einsum("mi,mi->m", normals, self.centres[which])
        self.rows = np.vstack([self.rows, rows])
        self.limits = np.concatenate([self.limits, limits])
        self.owners = np.concatenate([self.owners, self.track_owners[which]])


def _leaving(weights: list[float], shares: list[float]) -> int | None:
    """Which of the four that hold a pose gives way first to another; None if none can."""
    ratios = [
        (weight / share, place)
        for place, (weight, share) in enumerate(zip(weights, shares, strict=True))
        if share > LEAST_SHARE
    ]
    return min(ratios)[1] if ratios else None
