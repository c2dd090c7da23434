"""What would hold: changes to the fastenings, each tried on the whole set before it is told.

A remedy is one step, or a few that only work together. It is judged by the likely cases: a function
handed in tells in what share of them some fastenings run out.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from climlog.model.board import Fastening, Piece
from climlog.model.fastening.bench import Bench, Change, Held, Judge, Step, Trial
from climlog.model.fastening.changes import FAMILIES, MOST_KINDS, is_tight, of_kind
from climlog.model.fastening.fasteners import can_be_made
from climlog.model.fastening.hold_down import holding
from climlog.model.fastening.kinds import all_kinds, kind_named
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set
from climlog.model.fastening.shapes import rule
from climlog.told import told
from climlog.units import Units

MOST_REMEDIES = 5
"""What a maker reads and can choose among; the simplest ones."""


@told(without="travel odds after")
@dataclass(frozen=True)
class Remedy:
    """A change after which the set holds.

    Attributes
    ----------
    steps : tuple of Step
        What to do, in this order; one or a few that only work together.
    effort : int
        Work, as a rank: the least is told first (own judgement, no source).
    travel : SetTravel
        Of the whole set after all steps; its fastenings are places in `after`.
    odds : float
        Share of the likely cases in which it still runs out, 0 to 1.
    after : tuple of Fastening
        The set after all steps.
    stays : int
        How many of them hold the top down.
    """

    steps: tuple[Step, ...]
    effort: int
    travel: SetTravel
    odds: float
    after: tuple[Fastening, ...]
    stays: int

    @property
    def slip_mm(self) -> float:
        """How far the top has to slip along its length for it. [mm]."""
        return self.travel.slip_mm


@dataclass(frozen=True)
class KindOutcome:
    """A kind at the places of the piece's own, with the sizes of the table.

    Attributes
    ----------
    kind, words : str
    travel : SetTravel
    after : tuple of Fastening
        The set with that kind.
    """

    kind: str
    words: str
    travel: SetTravel
    after: tuple[Fastening, ...]


def remedies(
    piece: Piece,
    needs: tuple[float, float],
    judge: Judge,
    at_most: float,
    units: Units = Units.METRIC,
) -> tuple[Remedy, ...]:
    """Work out which changes would hold, the simplest first.

    Parameters
    ----------
    piece : Piece
    needs : (float, float)
        Strains to swell and to shrink by, each counted positive, that a set has to reach before
        it is judged: short of them it runs out too often one way alone.
    judge : callable
        Share of the likely cases in which some fastenings, with their travel as a set, run out.
    at_most : float
        Share that may run out, 0 to 1.
    units : Units
        Rule in whose steps sizes are proposed.

    Returns
    -------
    tuple of Remedy
        At most five, none a variant of another; empty where the set holds as it is, or nothing
        tried does. None leaves a corner loose or more edge unheld than
        tables/fastening_rules.csv allows, unless it was so before.

    Raises
    ------
    ImpossibleValueError
        If the sizes of a fastening do not go together.
    """
    held: Held = dict(enumerate(piece.fastenings))
    bench = Bench(piece, needs, judge, at_most, units)
    if not held or bench.try_out((), 0, held):
        return ()
    still_y_mm = _still_y_mm(held, travel_as_a_set(piece.fastenings, piece.width_mm))
    found: list[Trial] = []
    for family in FAMILIES:
        found += family(bench, held, still_y_mm)
        if len(chosen(found)) >= MOST_REMEDIES:
            break
    return tuple(_as_remedy(trial) for trial in chosen(found))


def chosen(trials: Sequence[Trial]) -> list[Trial]:
    """Pick the simplest, none of them a variant of another.

    A variant does what a simpler one does and something more, elsewhere, or half of it at least.
    """
    kept: dict[frozenset[tuple[str, str]], Trial] = {}
    kinds = 0
    for trial in sorted(trials, key=_work):
        sort = frozenset(_sort_of(step) for step in trial.steps)
        exchanges = any(step.what is Change.OTHER_KIND for step in trial.steps)
        is_variant = any(
            2 * len(other & sort) >= len(other | sort) or other < sort for other in kept
        )
        if is_variant or (exchanges and kinds >= MOST_KINDS):
            continue
        kept[sort] = trial
        kinds += exchanges
    return list(kept.values())[:MOST_REMEDIES]


def _sort_of(step: Step) -> tuple[str, str]:
    named = step.size if step.what is Change.SIZE else step.kind
    return step.what, named


def _work(trial: Trial) -> tuple[int, int, int]:
    touched = sum(len(step.fastenings) or len(step.places_mm) for step in trial.steps)
    return trial.effort, len(trial.steps), touched


def _as_remedy(trial: Trial) -> Remedy:
    after = tuple(trial.held.values())
    return Remedy(trial.steps, trial.effort, trial.travel, trial.odds, after, len(holding(after)))


def _still_y_mm(held: Held, travel: SetTravel) -> float:
    """Line to count movement from, or NaN where none is known to stay put.

    Where the set holds the top; if it lets it strain not at all, the middle, if something sits
    there.
    """
    if not math.isnan(travel.held_line_swelling_y_mm):
        return travel.held_line_swelling_y_mm
    nearest_mm = min((abs(one.y_mm) for one in held.values()), default=math.inf)
    return 0.0 if nearest_mm <= rule("on_line") else math.nan


def kinds_tried(fastenings: Sequence[Fastening], width_mm: float) -> tuple[KindOutcome, ...]:
    """Put every kind that fits there in the places of a piece's own fastenings.

    Tight fastenings stay as they are where others move; where all are tight, all are replaced.

    Parameters
    ----------
    fastenings : sequence of Fastening
    width_mm : float
        Width of the top. [mm]

    Returns
    -------
    tuple of KindOutcome
        In the order of the table of kinds; a kind that the rails are too thin for is left out.
    """
    moving = [one for one in fastenings if not is_tight(one)] or fastenings
    outcomes = []
    for kind in all_kinds().values():
        places = {id(one) for one in moving if kind_named(one.kind).seat is kind.seat}
        if not places:
            continue
        changed = tuple(of_kind(one, kind.name) if id(one) in places else one for one in fastenings)
        if not all(map(can_be_made, changed)):
            continue
        travel = travel_as_a_set(changed, width_mm)
        outcomes.append(KindOutcome(kind.name, kind.words, travel, changed))
    return tuple(outcomes)
