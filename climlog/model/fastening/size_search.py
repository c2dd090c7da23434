"""The least change of a size, or of a few together, with which a set of fastenings holds.

Which sizes can be changed, how far, in which steps and with how much work stands in
tables/fastening_sizes.csv. Steps are those a maker works to.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from climlog.model.board import Fastening
from climlog.model.fastening.bench import Bench, Change, Held, Step, Trial
from climlog.model.fastening.fasteners import can_be_made, travel_alone
from climlog.model.fastening.kinds import Form, Size, kind_named, sizes_of
from climlog.model.fastening.shapes import outward
from climlog.units import MM_PER_INCH, Units

INCH_STEP_MM = {1.0: MM_PER_INCH / 16, 0.5: MM_PER_INCH / 32}
"""What a step in whole or half millimetres becomes on an inch rule."""
FINEST_MM = {Units.METRIC: 0.5, Units.INCH: MM_PER_INCH / 32}
"""The finest that anybody sets a fastening to: a change of less is none."""
ROUNDING = 1e-9
"""Of a step on the rule that is none but the last digit."""
FIT_MM = 1e-6
"""A nanometre short is enough."""
DECIMALS = 6
"""Of a size in mm, so that sixty-fourths come out as they are written."""
MOST_SIZES = 3
"""Sizes changed together: a clip's set-back, tongue and kerf; nobody changes more at a time."""


def changeable(kind: str) -> dict[str, Size]:
    """Look up which sizes of a kind a maker can change once it is there."""
    return {name: size for name, size in sizes_of(kind).items() if size.change}


def size_trials(bench: Bench, held: Held, group: tuple[int, ...]) -> Iterator[Trial]:
    """Yield the least changes of as few sizes of a group as hold together."""
    if not bench.could_without(held, group):
        return
    one = held[group[0]]
    sizes = {name: size for name, size in changeable(one.kind).items() if _matters(one, name)}
    names = sorted(sizes, key=lambda name: not sizes[name].both_ways)
    for count in range(1, MOST_SIZES + 1):
        trials = [least_changes(bench, held, group, some) for some in combinations(names, count)]
        yield from (trial for trial in trials if trial)
        if any(trials):
            return


def _matters(one: Fastening, name: str) -> bool:
    """Whether a size bears on the travel where a fastening sits, as it is or with the rest large.

    A groove matters once the tongue is longer, a mortise once the peg's slot is.
    """
    if kind_named(one.kind).form is Form.PLATE:
        return True
    rest = (size for size in changeable(one.kind).values() if size.name != name)
    large = {size.name: size.most for size in rest if not size.both_ways}
    for now in (one, _sized(one, large)):
        values = values_to_try(now, name, Units.METRIC)
        possible = (value for value in values if goes_together(now, {name: value}))
        travels = (travel_alone(_sized(now, {name: value})) for value in possible)
        first = next(travels, None)
        if any(travel != first for travel in travels):
            return True
    return False


def least_changes(
    bench: Bench, held: Held, group: tuple[int, ...], sizes: tuple[str, ...]
) -> Trial | None:
    """Find the least change of some sizes of a group with which the set holds.

    Parameters
    ----------
    bench : Bench
    held : mapping of int to Fastening
    group : tuple of int
        Alike fastenings; all are changed alike.
    sizes : tuple of str
        The last is changed as little as it can be with the others free, and so on down.

    Returns
    -------
    Trial or None
        None where nothing within the limits of the table holds. Work on several sizes counts as
        that on the hardest and one more.

    Notes
    -----
    Values are gone through, the least change first: of two sizes that bear on one another the
    farthest change need not give the most. The set, which takes a hundred times as long to ask as
    one fastening, is asked only where each alone, one line held, has enough. What one fastening
    has each way rises or falls with one size alone, all the way, so that the two ends of a size
    tell whether any value between them can be enough (`_may_be_enough`).
    """
    now, still_mm = held[group[0]], _tight_line_mm(held, group)
    farthest = max((held[at] for at in group), key=lambda one: abs(one.y_mm - still_mm))
    values = {name: values_to_try(now, name, bench.units) for name in sizes}
    alone = _Alone(bench, farthest, still_mm)

    def least(names: tuple[str, ...], chosen: dict[str, float]) -> Trial | None:
        *others, name = names
        effort = sizes_of(now.kind)[name].effort
        if not others and not _may_be_enough(alone, chosen, name, values[name]):
            return None
        for value in values[name]:
            wanted = {**chosen, name: value}
            step = Step(Change.SIZE, group, now.kind, name, now.sizes_mm[name], value)
            if others:
                trial = least(tuple(others), wanted)
                if trial:
                    most = max(trial.effort, effort) + (len(others) == 1)
                    return replace(trial, steps=(*trial.steps, step), effort=most)
            elif alone.has_enough(wanted):
                trial = bench.try_out((step,), effort, with_sizes(held, group, wanted))
                if trial:
                    return trial
        return None

    return least(sizes, {})


def _tight_line_mm(held: Held, group: tuple[int, ...]) -> float:
    """Line that everything else keeps still: the one that is tight, else the middle. [mm]."""
    others = (one for at, one in held.items() if at not in group)
    lines = {round(one.y_mm, 1) for one in others if kind_named(one.kind).form is Form.FIXED}
    return lines.pop() if len(lines) == 1 else 0.0


@dataclass(frozen=True)
class _Alone:
    """What the farthest out of a group has by itself with other sizes, one line held."""

    bench: Bench
    farthest: Fastening
    still_mm: float

    def short_mm(self, sizes: Mapping[str, float]) -> tuple[float, float] | None:
        """Tell what it lacks each way, 0 or less for enough; None where its sizes do not fit. [mm].

        A plate lacks nothing: what it has hangs on whether the others let the top slip.
        """
        has = self.bench.alone(self.farthest, sizes)
        if has is None:
            return None
        if kind_named(self.farthest.kind).form is Form.PLATE:
            return 0.0, 0.0
        away_mm = (self.farthest.y_mm - self.still_mm) * outward(self.farthest.y_mm)
        swell_mm, shrink_mm = (need * away_mm for need in self.bench.needs)
        if away_mm < 0:
            swell_mm, shrink_mm = -shrink_mm, -swell_mm
        return swell_mm - has.swell_mm, shrink_mm - has.shrink_mm

    def has_enough(self, sizes: Mapping[str, float]) -> bool:
        """Whether it has what is needed both ways."""
        short_mm = self.short_mm(sizes)
        return short_mm is not None and max(short_mm) <= FIT_MM


def _may_be_enough(
    alone: _Alone, chosen: Mapping[str, float], name: str, values: Sequence[float]
) -> bool:
    """Whether any value of one more size can be enough, told from its ends.

    The least and the greatest that can be made are asked: each way one of the two has the most.
    """
    ascending = sorted(values)
    ends = []
    for order in (ascending, ascending[::-1]):
        found = (alone.short_mm({**chosen, name: value}) for value in order)
        end = next((short_mm for short_mm in found if short_mm is not None), None)
        if end is None:
            return False
        ends.append(end)
    return all(min(way) <= FIT_MM for way in zip(*ends, strict=True))


def values_to_try(one: Fastening, name: str, units: Units) -> list[float]:
    """List the values a size may take, nearest first, within the limits of the table.

    Parameters
    ----------
    one : Fastening
    name : str
        Of the size.
    units : Units
        Values stand on this rule: whole or half millimetres, or 1/16 or 1/32 in.

    Returns
    -------
    list of float
        Only those that differ by what can be told on the rule; whether the other sizes go together
        with one is not asked. [unit of the size]
    """
    size, now = sizes_of(one.kind)[name], one.sizes_mm[name]
    is_length = name.endswith("_mm")
    in_inches = is_length and units == Units.INCH
    step = INCH_STEP_MM.get(size.step, size.step) if in_inches else size.step
    finest = FINEST_MM[units] if is_length else step
    first = math.ceil(size.low / step - ROUNDING)
    last = math.floor(size.most / step + ROUNDING)
    values = [round(number * step, DECIMALS) for number in range(first, last + 1)]
    wanted = [v for v in values if v - now >= finest - ROUNDING]
    if size.both_ways:
        wanted += [v for v in values if now - v >= finest - ROUNDING]
    return sorted(wanted, key=lambda value: abs(value - now))


def goes_together(one: Fastening, sizes: dict[str, float]) -> bool:
    """Whether a fastening can be made with some other sizes."""
    return can_be_made(_sized(one, sizes))


def _sized(one: Fastening, sizes: Mapping[str, float]) -> Fastening:
    return replace(one, sizes_mm={**one.sizes_mm, **sizes})


def with_size(held: Held, group: tuple[int, ...], name: str, value: float) -> Held:
    """Give one size of a group another value."""
    return with_sizes(held, group, {name: value})


def with_sizes(held: Held, group: tuple[int, ...], sizes: Mapping[str, float]) -> Held:
    """Give some sizes of a group other values."""
    return {at: _sized(one, sizes) if at in group else one for at, one in held.items()}
