"""Where advice in the trade contradicts itself, settled with the numbers of one piece.

Pivoting plates on rails along the grain: turned, or left off. The set-back of clips and buttons:
seated fully, or with a gap. Quartersawn wood: "half" the movement, or this wood's own share of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from climlog.analysis.place.followed import Followed
from climlog.analysis.place.gaps import GapToSet
from climlog.analysis.place.verdict import (
    Judgement,
    Verdict,
    counted,
    travel_over_width,
    used_pct_of,
)
from climlog.model.board import ACROSS, ALONG, Fastening, Piece
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.model.fastening.shapes import rule
from climlog.model.movement import tangential_share_of
from climlog.told import told

PLATE = "figure-eight"
DEPTHS = {"clip": "kerf_depth_mm", "button": "groove_depth_mm"}
QUARTERSAWN = "quartersawn"
MOSTLY_FLAT = 0.5


@told(
    {
        "turned_mm": "turned",
        "turned_and_free_mm": "turned_and_free",
        "left_off_mm": "left_off",
    }
)
@dataclass(frozen=True)
class PlateChoices:
    """Travel over the whole width for each way to treat plates on rails along the grain.

    `turned_and_free` leaves the plates on rails across the grain out, so that the top may slip
    along its length; None where there are none.
    """

    turned: Travel
    turned_and_free: Travel | None
    left_off: Travel | None


@told({"needs_mm": "needs", "numbers": "numbers"}, also="fixed_share", without="fastenings")
@dataclass(frozen=True)
class SetBack:
    """Which gap clips or buttons on a rail along the grain want, from the day they were fixed.

    Attributes
    ----------
    fastenings : tuple of int
        Which, as places in the piece's own.
    needs : Travel
        Of the one that needs most. [mm]
    gap_mm, tongue_mm : float
        As drawn: shoulder to rail, and the tongue less the least that must stay in. [mm]
    least_gap_mm, most_gap_mm : float
        Smallest gap that lets it swell, largest that lets it shrink; no gap does both where the
        first is the larger. [mm]
    even_gap_mm : float
        Gap at which both ways use the same share. [mm]
    """

    kind: str
    fastenings: tuple[int, ...]
    needs: Travel
    gap_mm: float
    tongue_mm: float
    least_gap_mm: float
    most_gap_mm: float
    even_gap_mm: float

    @property
    def numbers(self) -> tuple[int, ...]:
        """Which, counted from 1 as on the plan."""
        return tuple(at + 1 for at in self.fastenings)

    @property
    def fixed_share(self) -> float:
        """Where it was fixed between its driest, 0, and its wettest, 1."""
        return self.needs.shrink_mm / (self.needs.swell_mm + self.needs.shrink_mm)

    @property
    def can_hold(self) -> bool:
        """Whether some gap lets it go both ways."""
        return self.least_gap_mm <= self.most_gap_mm


@told({"radial_over_tangential": "ratio", "needs_mm": "needs"})
@dataclass(frozen=True)
class Quartersawn:
    """The same piece of quartersawn boards.

    Attributes
    ----------
    ratio : float
        Movement of this wood square to the rings over that along them.
    needs : Travel
        Over the whole width, in the median case. [mm]
    used_pct : float
        Of the set's travel, in the worse direction. [%]
    share_of_draws : float
        Share of the likely cases in which it runs out, 0 to 1.
    """

    ratio: float
    needs: Travel
    used_pct: float
    share_of_draws: float
    verdict: Verdict


@told({"plates_along_the_grain": "plates"})
@dataclass(frozen=True)
class Disputes:
    """Those that this piece raises; None or empty where it does not."""

    plates: PlateChoices | None
    set_backs: tuple[SetBack, ...]
    quartersawn: Quartersawn | None


def disputes_of(
    followed: Followed,
    travel: SetTravel,
    alone: Sequence[Judgement],
    gaps: Sequence[GapToSet] = (),
) -> Disputes:
    """Settle what this piece raises.

    Parameters
    ----------
    followed : Followed
    travel : SetTravel
        Of the set.
    alone : sequence of Judgement
        Of the piece's fastenings, in their order.
    gaps : sequence of GapToSet
        To set today, by the likely cases: told as the range of a set-back.
    """
    piece = followed.stay.piece
    return Disputes(
        plate_choices(piece),
        tuple(_by_cases(one, gaps) for one in set_backs(piece, [one.needs for one in alone])),
        _quartersawn(followed, travel),
    )


def plate_choices(piece: Piece) -> PlateChoices | None:
    """Work the choices out; None where no plate sits on a rail along the grain."""
    along = [one for one in piece.fastenings if one.kind == PLATE and one.rail == ALONG]
    if not along:
        return None
    rest = [one for one in piece.fastenings if one not in along]
    across = [one for one in rest if one.kind == PLATE and one.rail == ACROSS]
    turned = [_turned(one) for one in along]
    others = [one for one in rest if one not in across]
    return PlateChoices(
        turned=_set(turned + rest, piece),
        turned_and_free=_set(turned + others, piece) if across else None,
        left_off=_set(rest, piece) if rest else None,
    )


def turned_deg() -> float:
    """Tell a little turn, as far as it still leans on: half of the swing with cut corners."""
    return rule("most_swing") / 2


def _turned(one: Fastening) -> Fastening:
    turned = {"cant_deg": turned_deg(), "recess_corners_cleared": 1.0}
    return replace(one, sizes_mm={**one.sizes_mm, **turned})


def _set(fastenings: Sequence[Fastening], piece: Piece) -> Travel:
    return travel_over_width(travel_as_a_set(fastenings, piece.width_mm), piece.width_mm)


def set_backs(piece: Piece, needs: Sequence[Travel]) -> tuple[SetBack, ...]:
    """Work out the gaps, one row for clips or buttons of the same sizes.

    Parameters
    ----------
    piece : Piece
    needs : sequence of Travel
        Of each fastening, in the order of the piece's own. [mm]
    """
    groups: dict[tuple[str, ...], list[int]] = {}
    for at, one in enumerate(piece.fastenings):
        if one.kind in DEPTHS and one.rail == ALONG:
            key = (one.kind, *(f"{k}={v:g}" for k, v in sorted(one.sizes_mm.items())))
            groups.setdefault(key, []).append(at)
    rows = [_set_back(piece, tuple(places), needs) for places in groups.values()]
    return tuple(one for one in rows if one is not None)


def _by_cases(one: SetBack, gaps: Sequence[GapToSet]) -> SetBack:
    """Tell the range that all but as many cases hold in as may run out, not the middle's."""
    for gap in gaps:
        if set(one.fastenings) <= set(gap.fastenings):
            return replace(
                one, least_gap_mm=gap.low_mm, most_gap_mm=gap.high_mm, even_gap_mm=gap.set_mm
            )
    return one


def _set_back(piece: Piece, places: tuple[int, ...], needs: Sequence[Travel]) -> SetBack | None:
    one = piece.fastenings[places[0]]
    swell_mm = max(needs[at].swell_mm for at in places)
    shrink_mm = max(needs[at].shrink_mm for at in places)
    if not counted(swell_mm + shrink_mm):
        return None
    sizes = one.sizes_mm
    tongue_mm = sizes["tongue_length_mm"] - sizes["least_engagement_mm"]
    bottomed_mm = max(0.0, sizes["tongue_length_mm"] - sizes[DEPTHS[one.kind]])
    return SetBack(
        kind=one.kind,
        fastenings=places,
        needs=Travel(swell_mm, shrink_mm),
        gap_mm=sizes["gap_mm"],
        tongue_mm=tongue_mm,
        least_gap_mm=swell_mm + bottomed_mm,
        most_gap_mm=tongue_mm - shrink_mm,
        even_gap_mm=bottomed_mm + (tongue_mm - bottomed_mm) * swell_mm / (swell_mm + shrink_mm),
    )


def _quartersawn(followed: Followed, travel: SetTravel) -> Quartersawn | None:
    """Move the same boards, quartersawn, through the same moisture; None where most are already."""
    piece = followed.stay.piece
    if piece.tangential_share <= MOSTLY_FLAT:
        return None
    turned = replace(piece, cut=QUARTERSAWN, tangential_share=tangential_share_of(QUARTERSAWN))
    cut = followed.of_piece(turned)
    outcomes = cut.outcomes
    needs = Travel(*(one * piece.width_mm for one in cut.middle_strain))
    share = outcomes.odds_of(piece.fastenings, travel)
    return Quartersawn(
        piece.wood.radial_per_pct / piece.wood.tangential_per_pct,
        needs,
        used_pct_of(needs, travel_over_width(travel, piece.width_mm)),
        share,
        outcomes.verdict_of(share),
    )
