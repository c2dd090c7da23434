"""How far every likely case goes, and in how many of them a travel is too little."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.board.sampling import weighted_quantiles
from climlog.analysis.place.verdict import (
    Verdict,
    most_share,
    place_limit,
    strain_limits,
    verdict_of,
)
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.tables import figure

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PLAY_FACTORS = (0.5, 1.0, 2.0)
"""Amounts of play for which the travel is worked out; between, it is read off."""
DECIMALS = 12
"""Of a share: weights that add up to five hundredths are not more for the last bit."""


@dataclass(frozen=True, eq=False)
class Outcomes:
    """How far every likely case goes: what all odds of a piece are counted from.

    Attributes
    ----------
    swell, shrink : array, shape (k,)
        Farthest each way, as a share of the width, counted positive.
    play, luck : array, shape (k,)
        Factor on the play in holes, and an even draw from 0 to 1 for what happens in some cases.
    weights : array, shape (k,), sums to 1
    width_mm : float
    is_known : bool
        Whether a whole year is covered, and everything that decides was given.
    """

    swell: "Floats"
    shrink: "Floats"
    play: "Floats"
    luck: "Floats"
    weights: "Floats"
    width_mm: float
    is_known: bool

    @property
    def middle(self) -> tuple[float, float]:
        """Median of the cases, swelling and shrinking."""
        both = np.stack([self.swell, self.shrink], axis=1)
        swell, shrink = weighted_quantiles(both, self.weights, [0.5])[0].tolist()
        return swell, shrink

    def share_beyond(self, swell: "Floats | float", shrink: "Floats | float") -> float:
        """Give the share of cases beyond a strain either way; less than the least never counts."""
        least = SMALLEST_LENGTH_MM / self.width_mm
        beyond = (self.swell > np.maximum(swell, least)) | (self.shrink > np.maximum(shrink, least))
        return min(1.0, round(float(self.weights @ beyond), DECIMALS))

    def odds_of(self, fastenings: Sequence[Fastening], travel: SetTravel | None = None) -> float:
        """Count the cases in which some fastenings, as a set, have too little travel.

        Parameters
        ----------
        fastenings : sequence of Fastening
        travel : SetTravel, optional
            Theirs with the play as it is, if it was worked out.
        """
        travel = travel or travel_as_a_set(list(fastenings), self.width_mm)
        swell, shrink = strain_limits(travel)
        tipped = self._tipped(swell, travel)
        share = self.share_beyond(tipped, shrink)
        low, high = place_limit("play_matters_from"), place_limit("play_matters_to")
        if not low < share < high or not any(map(_has_play, fastenings)):
            return share
        return self.share_beyond(*self.travel_of_cases(fastenings, travel))

    def odds_to_hold(self, fastenings: Sequence[Fastening], travel: SetTravel) -> float:
        """Count as `odds_of`, but for a set that play cannot save: then with the play as it is."""
        swell, shrink = strain_limits(travel)
        share = self.share_beyond(self._tipped(swell, travel), shrink)
        if share > place_limit("play_saves") * most_share(Verdict.HOLDS):
            return share
        return self.odds_of(fastenings, travel)

    def _tipped(self, swell: "Floats | float", travel: SetTravel) -> "Floats | float":
        """Give the swelling of every case, more where plates that can tip over do."""
        if travel.tips is None:
            return swell
        share = float(figure("fastening_rules", "tips_over"))
        return np.where(self.luck < share, np.maximum(swell, travel.tips.swell_strain), swell)

    def travel_of_cases(
        self, fastenings: Sequence[Fastening], travel: SetTravel
    ) -> "tuple[Floats, Floats]":
        """Strain limits of every case, read off between those of a few amounts of play."""
        limits = []
        for factor in PLAY_FACTORS:
            loosened = [with_play(one, factor) for one in fastenings]
            same = factor == 1.0 or loosened == list(fastenings)
            limits.append(travel if same else travel_as_a_set(loosened, self.width_mm))
        swell, shrink = (
            np.interp(np.log(self.play), np.log(PLAY_FACTORS), ends)
            for ends in (
                [one.swell_strain for one in limits],
                [one.shrink_strain for one in limits],
            )
        )
        return np.asarray(self._tipped(swell, travel)), shrink

    def verdict_of(self, share: float) -> Verdict:
        """Turn odds of this piece into a verdict."""
        return verdict_of(share, self.is_known)

    def least_needs(self) -> tuple[float, float]:
        """Strains, each way, short of which no set holds: it runs out too often that way alone.

        What reaches both need not hold: cases that run out one way and cases that run out the
        other count together. How many may be of either is left open, for a change that gives much
        one way may spend nearly all of them the other.
        """
        return self._within(most_share(Verdict.HOLDS))

    def shared_needs(self) -> tuple[float, float]:
        """Strains, each way, for which a set holds: half of what may run out is left to each."""
        return self._within(most_share(Verdict.HOLDS) / 2)

    def _within(self, share: float) -> tuple[float, float]:
        """Strains, each way, that no more than a share of the cases go beyond."""
        swell, shrink = (
            float(weighted_quantiles(one, self.weights, [1.0 - share])[0])
            for one in (self.swell, self.shrink)
        )
        return swell, shrink


def _has_play(one: Fastening) -> bool:
    return one.sizes_mm.get("play_mm", 0.0) > 0.0


def with_play(one: Fastening, factor: float) -> Fastening:
    """Give a fastening so many times its play."""
    sizes = {k: v * factor if k == "play_mm" else v for k, v in one.sizes_mm.items()}
    return replace(one, sizes_mm=sizes)
