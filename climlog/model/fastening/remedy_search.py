"""Tries single changes to a set of fastenings, on the whole set, for the least that holds.

Which sizes can be changed, how far, in which steps and with how much work stands in
tables/fastening_sizes.csv; which kinds can stand in for each other, in tables/fastening_kinds.csv.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import combinations

from climlog.errors import ImpossibleValueError
from climlog.model.board import ALONG, Fastening
from climlog.model.fastening.fasteners import shape_of
from climlog.model.fastening.kinds import (
    Form,
    Seat,
    Size,
    all_kinds,
    kind_named,
    sizes_of,
    typical_sizes,
)
from climlog.model.fastening.set_travel import reaches
from climlog.model.fastening.shapes import rule
from climlog.units import MM_PER_INCH

TAKE_OUT, OTHER_KIND, MOVE_LINE = "take out", "use another kind", "move the pinned line"
EFFORT = {TAKE_OUT: 1, MOVE_LINE: 3}
HINGE = "hinge"
INCH_STEP_MM = {1.0: MM_PER_INCH / 16, 0.5: MM_PER_INCH / 32}
"""What a step in whole or half millimetres becomes on an inch rule."""
STAYS_MM = 1.0
ROUNDING = 1e-9
DECIMALS = 6
MOST_SIZES = 3

Held = Mapping[int, Fastening]


@dataclass(frozen=True)
class Step:
    """One thing to do to some fastenings.

    Attributes
    ----------
    what : str
        A `change` of the table of sizes, or TAKE_OUT, OTHER_KIND or MOVE_LINE.
    fastenings : tuple of int
        Which, as places in the sequence given.
    size : str
        The size that changes, as in `Fastening.sizes_mm`; "y_mm" for a moved line, else "".
    from_mm, to_mm : float or None
        Before and after, in the unit that the size's name states.
    kind : str
        The kind to use instead, for OTHER_KIND, else "".
    """

    what: str
    fastenings: tuple[int, ...]
    size: str = ""
    from_mm: float | None = None
    to_mm: float | None = None
    kind: str = ""


@dataclass(frozen=True)
class Trial:
    """Steps taken, their work, and the fastenings after them, which hold."""

    steps: tuple[Step, ...]
    effort: int
    held: Held


@dataclass(frozen=True)
class Bench:
    """The top that changes are tried on.

    Attributes
    ----------
    width_mm : float
    swell_strain, shrink_strain : float
        Travel it needs, any margin included.
    units : {"metric", "inch"}
        Rule in whose steps sizes are tried.
    """

    width_mm: float
    swell_strain: float
    shrink_strain: float
    units: str = "metric"

    def holds_without(self, held: Held, some: tuple[int, ...]) -> bool:
        """Whether a change to some can help at all: not if the others alone do not hold."""
        return (
            self.try_out((), 0, {at: one for at, one in held.items() if at not in some}) is not None
        )

    def try_out(self, steps: tuple[Step, ...], effort: int, held: Held) -> Trial | None:
        """Work the set out after some steps; None where it does not hold."""
        some = list(held.values())
        enough = reaches(some, self.width_mm, self.swell_strain, self.shrink_strain)
        return Trial(steps, effort, held) if enough else None


def groups_of(held: Held, still_y_mm: float) -> list[tuple[int, ...]]:
    """Gather alike fastenings that the top moves over: same kind, rail and sizes.

    Parameters
    ----------
    held : mapping of int to Fastening
    still_y_mm : float
        Line on which the top stays put; what sits there is left alone. NaN where no line is
        known to. [mm]
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for at, one in held.items():
        if not abs(one.y_mm - still_y_mm) <= STAYS_MM:
            alike = (one.kind, one.rail, tuple(sorted(one.sizes_mm.items())))
            groups.setdefault(alike, []).append(at)
    return [tuple(group) for group in groups.values()]


def size_trials(bench: Bench, held: Held, group: tuple[int, ...]) -> Iterator[Trial]:
    """Yield the least changes of as few sizes of a group as hold together."""
    if not bench.holds_without(held, group):
        return
    rules = rules_of(held[group[0]].kind)
    names = sorted(rules, key=lambda name: not rules[name].both_ways)
    for count in range(1, MOST_SIZES + 1):
        trials = [least_changes(bench, held, group, sizes) for sizes in combinations(names, count)]
        yield from (trial for trial in trials if trial)
        if any(trials):
            return


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
        The last is changed as little as it can be with the others free, and so on down. A size
        that may go both ways comes first, if any does.

    Returns
    -------
    Trial or None
        None where nothing within the limits of the table holds.
    """
    *others, size = sizes
    rule = rules_of(held[group[0]].kind)[size]
    values = values_to_try(held[group[0]], size, bench.units)

    @cache
    def tried(value: float) -> Trial | None:
        changed = with_size(held, group, size, value)
        step = Step(rule.change, group, size, held[group[0]].sizes_mm[size], value)
        if not others:
            return bench.try_out((step,), rule.effort, changed)
        trial = least_changes(bench, changed, group, tuple(others))
        if trial is None:
            return None
        return replace(trial, steps=(*trial.steps, step), effort=trial.effort + rule.effort)

    if rule.both_ways:
        return next((trial for trial in map(tried, values) if trial), None)
    if not values or tried(values[-1]) is None:
        return None
    return tried(values[bisect_left(values, True, key=lambda value: tried(value) is not None)])


def kind_trials(bench: Bench, held: Held, groups: Sequence[tuple[int, ...]]) -> Iterator[Trial]:
    """Yield each other kind that holds in the places of some groups, one kind for all of them.

    Where no kind holds with the usual sizes, one size of each is changed as well.
    """
    members = tuple(at for group in groups for at in group)
    under = all(kind_named(held[at].kind).seat is Seat.RAIL for at in members)
    if not under or not bench.holds_without(held, members):
        return
    others = [
        (
            {at: of_kind(one, kind.name) if at in members else one for at, one in held.items()},
            Step(OTHER_KIND, members, kind=kind.name),
            kind.effort + len(groups) - 1,
        )
        for kind in all_kinds().values()
        if kind.effort and not all(held[at].kind == kind.name for at in members)
    ]
    usual = [bench.try_out((step,), effort, changed) for changed, step, effort in others]
    yield from (trial for trial in usual if trial)
    if any(usual):
        return
    for changed, step, effort in others:
        sizes = [size for size, rule in rules_of(step.kind).items() if not rule.both_ways]
        adjusted = (least_changes(bench, changed, members, (size,)) for size in sizes)
        trial = next((trial for trial in adjusted if trial), None)
        if trial:
            yield replace(trial, steps=(step, *trial.steps), effort=effort + 1)


def of_kind(one: Fastening, kind: str) -> Fastening:
    """Put a kind with the sizes of the table in a fastening's place.

    A rail of unknown thickness is taken as thick as rails usually are.
    """
    sizes = typical_sizes(kind)
    thick_mm = one.rail_thickness_mm or float(rule("usual_rail"))
    return replace(one, kind=kind, sizes_mm=sizes, assumed=tuple(sizes), rail_thickness_mm=thick_mm)


def lines_of(held: Held, group: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Split a group of tight fastenings on rails along the grain into its two lines."""
    if not is_tight(held[group[0]]) or held[group[0]].rail != ALONG:
        return []
    lines = [tuple(at for at in group if held[at].y_mm * side > 0) for side in (1, -1)]
    return [line for line in lines if line and line != group]


def taken_out(held: Held, still_y_mm: float) -> Iterator[tuple[Step, Held]]:
    """Yield what is left without each group, where that still holds the top down all round."""
    for group in groups_of(held, still_y_mm):
        rest = {at: one for at, one in held.items() if at not in group}
        if kind_named(held[group[0]].kind).seat is Seat.RAIL and _sides(rest) == _sides(held):
            yield Step(TAKE_OUT, group), rest


def _sides(held: Held) -> set[tuple[int, int]]:
    """Quarters of the top that something holds down; its middle lines count for neither side."""
    return {
        (round(math.copysign(1, one.x_mm)), round(math.copysign(1, one.y_mm)))
        for one in held.values()
        if abs(one.y_mm) > STAYS_MM and abs(one.x_mm) > STAYS_MM
    }


def moved_line(held: Held) -> tuple[Step, Held] | None:
    """Move the one tight line to the middle of everything else; None where there is no such.

    An edge hung on hinges stays the edge that it is.
    """
    tight = tuple(at for at, one in held.items() if is_tight(one))
    others_y_mm = [one.y_mm for at, one in held.items() if at not in tight]
    lines_y_mm = {held[at].y_mm for at in tight}
    is_hung = any(held[at].kind == HINGE for at in tight)
    if len(lines_y_mm) != 1 or not others_y_mm or is_hung:
        return None
    from_mm, to_mm = lines_y_mm.pop(), (min(others_y_mm) + max(others_y_mm)) / 2
    if abs(from_mm - to_mm) <= STAYS_MM:
        return None
    rest = {at: replace(one, y_mm=to_mm) if at in tight else one for at, one in held.items()}
    return Step(MOVE_LINE, tight, "y_mm", from_mm, to_mm), rest


def rules_of(kind: str) -> dict[str, Size]:
    """Look up which sizes of a kind a maker can change once it is there."""
    return {name: size for name, size in sizes_of(kind).items() if size.change}


def is_tight(one: Fastening) -> bool:
    """Whether a fastening is of a kind that gives nothing but its play."""
    return kind_named(one.kind).form is Form.FIXED


def values_to_try(one: Fastening, size: str, units: str) -> list[float]:
    """List the values a size may take, nearest first, within the limits of the table.

    Parameters
    ----------
    one : Fastening
    size : str
    units : {"metric", "inch"}
        Values stand on this rule: whole or half millimetres, or 1/16 or 1/32 in.

    Returns
    -------
    list of float
        Only those with which the other sizes go together. [unit of the size]
    """
    rule, now = rules_of(one.kind)[size], one.sizes_mm[size]
    step = rule.step
    if units == "inch" and size.endswith("_mm"):
        step = INCH_STEP_MM.get(step, step)
    first, last = (
        math.ceil(rule.low / step - ROUNDING),
        math.floor(rule.most / step + ROUNDING),
    )
    values = [round(number * step, DECIMALS) for number in range(first, last + 1)]
    wanted = [v for v in values if v > now + ROUNDING or (rule.both_ways and v < now - ROUNDING)]
    possible = [value for value in wanted if _goes_together(one, size, value)]
    return sorted(possible, key=lambda value: abs(value - now))


def _goes_together(one: Fastening, size: str, value: float) -> bool:
    try:
        shape_of(replace(one, sizes_mm={**one.sizes_mm, size: value}))
    except ImpossibleValueError:
        return False
    return True


def with_size(held: Held, group: tuple[int, ...], size: str, value: float) -> Held:
    """Give one size of a group another value."""
    return {
        at: replace(one, sizes_mm={**one.sizes_mm, size: value}) if at in group else one
        for at, one in held.items()
    }
