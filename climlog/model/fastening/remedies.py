"""What would hold: changes to the fastenings, each tried on the whole set before it is told.

A remedy is one step, or a few that only work together; remedy_search tries them.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from climlog.errors import ImpossibleValueError
from climlog.model.board import Fastening
from climlog.model.fastening.kinds import all_kinds, kind_named
from climlog.model.fastening.poses import LARGEST_STRAIN
from climlog.model.fastening.remedy_search import (
    EFFORT,
    MOVE_LINE,
    OTHER_KIND,
    ROUNDING,
    STAYS_MM,
    TAKE_OUT,
    Bench,
    Held,
    Step,
    Trial,
    groups_of,
    is_tight,
    kind_trials,
    lines_of,
    moved_line,
    of_kind,
    size_trials,
    taken_out,
)
from climlog.model.fastening.set_travel import SetTravel, travel_as_a_set

__all__ = [
    "MOVE_LINE",
    "OTHER_KIND",
    "TAKE_OUT",
    "KindOutcome",
    "Remedy",
    "Step",
    "kinds_that_hold",
    "remedies",
]


@dataclass(frozen=True)
class Remedy:
    """A change that holds with the margin asked for.

    Attributes
    ----------
    what, fastenings, size, from_mm, to_mm, kind
        The first step, as in Step.
    effort : int
        Work, as a rank: the least is told first (own judgement, no source).
    travel : SetTravel
        Of the whole set after all steps; where fastenings are taken out, its places count those
        left only.
    further : tuple of Step
        What has to be done as well.
    """

    what: str
    fastenings: tuple[int, ...]
    size: str
    from_mm: float | None
    to_mm: float | None
    effort: int
    travel: SetTravel
    kind: str = ""
    further: tuple[Step, ...] = ()


@dataclass(frozen=True)
class KindOutcome:
    """How a kind would do at the places of the piece's own, with the sizes of the table.

    Attributes
    ----------
    kind, words : str
    travel : SetTravel
    used_share : float
        Travel needed over travel there is, in the worse direction; inf where there is none.
    holds : bool
        Whether that is 1 or less.
    """

    kind: str
    words: str
    travel: SetTravel
    used_share: float
    holds: bool


def remedies(
    fastenings: Sequence[Fastening],
    width_mm: float,
    needs_swell_strain: float,
    needs_shrink_strain: float,
    margin: float = 0.2,
    units: str = "metric",
) -> tuple[Remedy, ...]:
    """Work out which changes would hold, the least work first.

    Parameters
    ----------
    fastenings : sequence of Fastening
    width_mm : float
        Width of the top. [mm]
    needs_swell_strain, needs_shrink_strain : float
        What the top will do, as a share of its width, each counted positive.
    margin : float
        Share of the travel to be left unused, 0 to below 1.
    units : {"metric", "inch"}
        Rule in whose steps sizes are proposed.

    Returns
    -------
    tuple of Remedy
        Empty where the set holds with the margin as it is, or nothing tried does.

    Raises
    ------
    ImpossibleValueError
        If the margin is not from 0 to below 1, or the sizes of a fastening do not go together.
    """
    if not 0 <= margin < 1:
        raise ImpossibleValueError(f"a margin of {margin:g} is not from 0 to below 1")
    part = 1.0 - margin
    bench = Bench(width_mm, needs_swell_strain / part, needs_shrink_strain / part, units)
    held = dict(enumerate(fastenings))
    now = travel_as_a_set(fastenings, width_mm)
    if bench.try_out((), 0, held):
        return ()
    still_y_mm = _still_y_mm(held, now)
    trials = [*_one_step(bench, held, still_y_mm), *_after_taking_out(bench, held, still_y_mm)]
    if not any(step.size for trial in trials for step in trial.steps):
        trials += _two_groups(bench, held, still_y_mm)
    found = {trial.steps: trial for trial in trials}.values()
    return tuple(_as_remedy(trial, width_mm) for trial in sorted(found, key=_work))


def kinds_that_hold(
    fastenings: Sequence[Fastening],
    width_mm: float,
    needs_swell_strain: float,
    needs_shrink_strain: float,
) -> tuple[KindOutcome, ...]:
    """Put every kind that fits there in the places of a piece's own fastenings.

    Tight fastenings stay as they are where others move; where all are tight, all are replaced.

    Parameters
    ----------
    fastenings : sequence of Fastening
    width_mm : float
        Width of the top. [mm]
    needs_swell_strain, needs_shrink_strain : float
        What the top will do, as a share of its width, each counted positive.

    Returns
    -------
    tuple of KindOutcome
        In the order of the table of kinds; no margin is asked for.
    """
    moving = [one for one in fastenings if not is_tight(one)] or fastenings
    outcomes = []
    for kind in all_kinds().values():
        places = {id(one) for one in moving if kind_named(one.kind).seat is kind.seat}
        if not places:
            continue
        changed = [of_kind(one, kind.name) if id(one) in places else one for one in fastenings]
        travel = travel_as_a_set(changed, width_mm)
        used = max(
            _share(needs_swell_strain, travel.swell_strain),
            _share(needs_shrink_strain, travel.shrink_strain),
        )
        outcomes.append(KindOutcome(kind.name, kind.words, travel, used, used <= 1.0))
    return tuple(outcomes)


def _share(need: float, has: float) -> float:
    if need <= ROUNDING or has >= LARGEST_STRAIN:
        return 0.0
    return need / has if has > ROUNDING else math.inf


def _still_y_mm(held: Held, travel: SetTravel) -> float:
    """Line to count movement from, or NaN where none is known to stay put.

    Where the set holds the top; if it lets it strain not at all, the middle, if that is tight.
    """
    if not math.isnan(travel.held_line_swelling_y_mm):
        return travel.held_line_swelling_y_mm
    tight = [abs(one.y_mm) for one in held.values() if is_tight(one)]
    return 0.0 if min(tight, default=math.inf) <= STAYS_MM else math.nan


def _one_step(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds by changing one group of fastenings, all of them, or the pinned line."""
    groups = groups_of(held, still_y_mm)
    for group in groups:
        yield from size_trials(bench, held, group)
        for part in (*lines_of(held, group), group):
            yield from kind_trials(bench, held, [part])
    if len(groups) > 1:
        yield from kind_trials(bench, held, groups)
    moved = moved_line(held)
    for step, rest in (*taken_out(held, still_y_mm), *([moved] if moved else [])):
        trial = bench.try_out((step,), EFFORT[step.what], rest)
        if trial:
            yield trial


def _after_taking_out(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds only after some fastenings are out and others changed."""
    for step, rest in taken_out(held, still_y_mm):
        if bench.try_out((step,), 0, rest):
            continue
        for group in groups_of(rest, still_y_mm):
            for trial in (*size_trials(bench, rest, group), *kind_trials(bench, rest, [group])):
                effort = trial.effort + EFFORT[TAKE_OUT]
                yield Trial((step, *trial.steps), effort, trial.held)


def _two_groups(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds with one group's sizes changed and another's as well."""
    for some, others in combinations(groups_of(held, still_y_mm), 2):
        left = {at: one for at, one in held.items() if at not in others}
        for first in size_trials(bench, left, some):
            eased = {at: first.held.get(at, one) for at, one in held.items()}
            for later in size_trials(bench, eased, others):
                steps = (*first.steps, *later.steps)
                yield Trial(steps, first.effort + later.effort, later.held)


def _work(trial: Trial) -> tuple[int, int, int]:
    touched = sum(len(step.fastenings) for step in trial.steps)
    return trial.effort, len(trial.steps), touched


def _as_remedy(trial: Trial, width_mm: float) -> Remedy:
    first = trial.steps[0]
    return Remedy(
        first.what,
        first.fastenings,
        first.size,
        first.from_mm,
        first.to_mm,
        trial.effort,
        travel_as_a_set(list(trial.held.values()), width_mm),
        first.kind,
        trial.steps[1:],
    )
