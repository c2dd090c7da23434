"""Changes to a set of fastenings, a function a family: pin, free, turn, take out, exchange, move.

Each yields trials that hold. Efforts are ranks of work
(tables/efforts.csv; those of sizes and kinds stand in their tables).
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, islice

from climlog.errors import ImpossibleValueError
from climlog.model.board import ACROSS, ALONG, Fastening
from climlog.model.fastening.bench import Bench, Change, Held, Step, Trial
from climlog.model.fastening.efforts import Work, effort_of
from climlog.model.fastening.fasteners import travel_alone
from climlog.model.fastening.hold_down import stays_down
from climlog.model.fastening.kinds import (
    Form,
    Seat,
    all_kinds,
    kind_named,
    typical_sizes,
)
from climlog.model.fastening.shapes import is_square_along, rule
from climlog.model.fastening.size_search import (
    changeable,
    goes_together,
    least_changes,
    size_trials,
    with_size,
)

PIN_KIND, MIDDLE_SCREW, SLOT, HINGE = "pin", "screw", "slot", "hinge"
MOST_KINDS = 2
"""Exchanges of a kind that are told: the table of kinds lists the others."""
MOST_TRIED = 2
"""Ways for each of two groups that are changed together: the others would be their variants."""
OFF_MIDDLE = "start_share"
LOSABLE = {Form.CLIP, Form.BUTTON}
"""Forms that nothing pushes back: with them goes a tight middle."""
UNDER_TOP = (Seat.RAIL, Seat.LINE, Seat.LEG, Seat.BAR, Seat.END)
"""Seats of what holds a top to a base, where its line can be another."""
STUCK = ("glue", "nails")
"""What does not come out again."""
CANTS_DEG = (10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0)
"""Turns that can be set by eye or with a square; more than 45 leaves nothing to lean on."""
FREEING = ((Work.FREE, "round-hole", "round-hole"), (Work.SLOT, SLOT, "slotted-bracket"))
"""What frees a tight screw: on rails across the grain, on rails along it; the simplest first."""


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
        if not abs(one.y_mm - still_y_mm) <= rule("on_line"):
            alike = (one.kind, one.rail, tuple(sorted(one.sizes_mm.items())))
            groups.setdefault(alike, []).append(at)
    return [tuple(group) for group in groups.values()]


def is_tight(one: Fastening) -> bool:
    """Whether a fastening is of a kind that gives nothing but its play."""
    return kind_named(one.kind).form is Form.FIXED


def is_locked(one: Fastening) -> bool:
    """Whether a fastening gives nothing to speak of as it is, and could be freed."""
    kind = kind_named(one.kind)
    if kind.form is Form.PLATE or one.kind == HINGE or kind.seat not in (Seat.RAIL, Seat.LINE):
        return False
    alone = travel_alone(one if one.y_mm else replace(one, y_mm=float(rule("on_line"))))
    return max(alone.swell_mm, alone.shrink_mm) <= rule("tight")


def pinned(bench: Bench, held: Held) -> tuple[Step, Held] | None:
    """Make the middle tight where nothing is; None where some line is, or nothing sits across.

    What sits at the middle of every rail across the grain becomes a tight screw there; else a
    pin is added to each.
    """
    if any(is_tight(one) for one in held.values()):
        return None
    base, half_mm = bench.piece.base, bench.piece.length_mm / 2
    framed = all(kind_named(one.kind).seat is Seat.FRAME for one in held.values())
    rails = (half_mm, -half_mm) if framed else base.rails_across_grain_x_mm
    middle = {x_mm: [at for at, one in held.items() if _sits_at(one, x_mm, 0.0)] for x_mm in rails}
    if not rails or not held:
        return None
    if all(middle.values()):
        some = tuple(sorted(at for places in middle.values() for at in places))
        step = Step(Change.OTHER_KIND, some, MIDDLE_SCREW)
        return step, put_in_place(held, some, MIDDLE_SCREW)
    places = tuple((x_mm, 0.0) for x_mm, there in middle.items() if not there)
    added = {
        max(held) + number: _pin(bench, x_mm, number)
        for number, (x_mm, _) in enumerate(places, start=1)
    }
    return Step(Change.PIN, (), PIN_KIND, places_mm=places), {**held, **added}


def _sits_at(one: Fastening, x_mm: float, y_mm: float) -> bool:
    return abs(one.x_mm - x_mm) <= rule("off_rail") and abs(one.y_mm - y_mm) <= rule("on_line")


def _pin(bench: Bench, x_mm: float, number: int) -> Fastening:
    sizes = typical_sizes(PIN_KIND)
    return Fastening(f"pin {number}", PIN_KIND, ACROSS, x_mm, 0.0, sizes)


def pin_trials(bench: Bench, held: Held) -> Iterator[Trial]:
    """Yield what a tight middle does, alone or with one group's sizes or kind changed as well."""
    found = pinned(bench, held)
    if found is None:
        return
    step, after = found
    trial = bench.try_out((step,), effort_of(Work.PIN), after)
    if trial:
        yield trial
        return
    for group in groups_of(after, 0.0):
        for more in (*size_trials(bench, after, group), *usual_kinds(bench, after, [group])):
            yield replace(more, steps=(step, *more.steps))


def free_trials(bench: Bench, held: Held) -> Iterator[Trial]:
    """Yield what holds with one line left tight, the middle first, and the other ones freed."""
    locked = {at: one for at, one in held.items() if is_locked(one)}
    lines = sorted({round(one.y_mm, 1) for one in locked.values()}, key=lambda y: (abs(y), -y))
    if len(lines) == 1 and abs(lines[0]) > rule("on_line"):
        return
    for kept_mm in lines:
        rest = tuple(at for at, one in locked.items() if abs(one.y_mm - kept_mm) > rule("on_line"))
        if rest and bench.could_without(held, rest):
            yield from _freed(bench, held, rest)


def _freed(bench: Bench, held: Held, rest: tuple[int, ...]) -> Iterator[Trial]:
    """Yield the simplest way to free some tight fastenings: a wider hole, else slots."""
    wider = _bored_wider(bench, held, rest)
    if wider:
        yield wider
    pegs = any(kind_named(held[at].kind).seat is Seat.LINE for at in rest)
    stuck = effort_of(Work.STUCK) * any(held[at].kind in STUCK for at in rest)
    for work, across, along in FREEING[pegs:]:
        groups = {
            kind: tuple(at for at in rest if (held[at].rail == ALONG) is on_along)
            for kind, on_along in ((across, False), (along, True))
        }
        if across == along:
            groups = {across: rest}
        by_kind = {kind: some for kind, some in groups.items() if some}
        trial = _with_kinds(bench, held, by_kind, effort_of(work) + stuck)
        if trial:
            yield trial
            return


def _bored_wider(bench: Bench, held: Held, rest: tuple[int, ...]) -> Trial | None:
    """Bore the holes of tight fastenings wider where all are of one kind that has them."""
    kinds = {held[at].kind for at in rest}
    if len(kinds) > 1 or "hole_mm" not in changeable(held[rest[0]].kind):
        return None
    return least_changes(bench, held, rest, ("hole_mm",))


def _with_kinds(
    bench: Bench, held: Held, groups: dict[str, tuple[int, ...]], effort: int
) -> Trial | None:
    """Put a kind in the places of each group, and lengthen what needs it, one group by one."""
    after = held
    for kind, group in groups.items():
        after = put_in_place(after, group, kind)
    steps = {group: (Step(Change.OTHER_KIND, group, kind),) for kind, group in groups.items()}
    return fitted(bench, after, steps, effort)


def fitted(
    bench: Bench, held: Held, steps: Mapping[tuple[int, ...], tuple[Step, ...]], effort: int
) -> Trial | None:
    """Try some groups as they are, else with the sizes of each changed as little as holds.

    Parameters
    ----------
    bench : Bench
    held : mapping of int to Fastening
        With the steps done.
    steps : mapping of group to steps
        What was done to each group; changes of its sizes are put behind.
    effort : int
        Of the steps; changing sizes as well is one more.
    """
    plain = tuple(step for some in steps.values() for step in some)
    trial = bench.try_out(plain, effort, held)
    if trial:
        return trial
    told, waiting = dict(steps), set(steps)
    for group in steps:
        waiting.discard(group)
        for part in _alike(held, group):
            later = {at for other in (*waiting, group) for at in other} - set(part)
            left = {at: one for at, one in held.items() if at not in later}
            if bench.holds(left):
                continue
            found = min(size_trials(bench, left, part), key=_sizing_work, default=None)
            if found is None:
                return None
            told[group] += found.steps
            held = {at: found.held.get(at, one) for at, one in held.items()}
    joined = tuple(step for some in told.values() for step in _joined(some))
    return bench.try_out(joined, effort + 1, held)


def _joined(steps: Sequence[Step]) -> Iterator[Step]:
    """Make one step of those that differ only in which fastenings they are done to."""
    alike: dict[Step, list[int]] = {}
    for step in steps:
        alike.setdefault(replace(step, fastenings=()), []).extend(step.fastenings)
    for step, some in alike.items():
        yield replace(step, fastenings=tuple(sorted(some)))


def _sizing_work(trial: Trial) -> tuple[bool, int]:
    """Rank the ways to size something new: longer rather than off its middle, then by work."""
    return any(step.size == OFF_MIDDLE for step in trial.steps), trial.effort


def _alike(held: Held, group: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Split a group by its rails, which want sizes of their own."""
    rails = {held[at].rail: None for at in group}
    return [tuple(at for at in group if held[at].rail == rail) for rail in rails]


def plate_trials(bench: Bench, held: Held) -> Iterator[Trial]:
    """Yield what holds with plates square to rails along the grain canted, all the same hand.

    Straight plates on the rails across the grain hold the length, which leaning needs to slip; so
    it is tried with those taken out as well, where that leaves the top held down.
    """
    square = tuple(at for at, one in held.items() if is_square_along(one))
    across = tuple(
        at
        for at, one in held.items()
        if kind_named(one.kind).form is Form.PLATE and one.rail != ALONG
    )
    starts: list[tuple[tuple[Step, ...], Held]] = [((), held)]
    rest = {at: one for at, one in held.items() if at not in across}
    if across and square and stays_down(bench.piece, held.values(), rest.values()):
        starts.append(((Step(Change.TAKE_OUT, across, held[across[0]].kind),), rest))
    for steps, start in starts if square else ():
        if not bench.could_without(start, square):
            continue
        trials = (_canted(bench, start, square, cant) for cant in CANTS_DEG)
        trial = next(filter(None, trials), None)
        if trial:
            effort = effort_of(Work.PLATES) + len(steps)
            yield replace(trial, steps=(*steps, *trial.steps), effort=effort)
            return


def _canted(bench: Bench, held: Held, plates: tuple[int, ...], cant_deg: float) -> Trial | None:
    kind, steps, after = held[plates[0]].kind, list[Step](), held
    if not all(goes_together(held[at], {"cant_deg": cant_deg}) for at in plates):
        steps.append(Step(Change.SIZE, plates, kind, "recess_corners_cleared", 0.0, 1.0))
        after = with_size(after, plates, "recess_corners_cleared", 1.0)
    steps.insert(0, Step(Change.SIZE, plates, kind, "cant_deg", 0.0, cant_deg))
    try:
        after = with_size(after, plates, "cant_deg", cant_deg)
        return bench.try_out(tuple(steps), effort_of(Work.PLATES), after)
    except ImpossibleValueError:
        return None


def taken_out(bench: Bench, held: Held, still_y_mm: float) -> Iterator[tuple[Step, Held]]:
    """Yield what is left without each group, where that still holds the top down all round."""
    for group in groups_of(held, still_y_mm):
        rest = {at: one for at, one in held.items() if at not in group}
        seated = kind_named(held[group[0]].kind).seat in (Seat.RAIL, Seat.LINE)
        if seated and rest and stays_down(bench.piece, held.values(), rest.values()):
            yield Step(Change.TAKE_OUT, group, held[group[0]].kind), rest


def out_trials(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds with some fastenings out, or only with others changed as well."""
    for step, rest in taken_out(bench, held, still_y_mm):
        trial = bench.try_out((step,), effort_of(Work.PLATES), rest)
        if trial:
            yield trial
            continue
        for group in groups_of(rest, still_y_mm):
            for more in (*size_trials(bench, rest, group), *usual_kinds(bench, rest, [group])):
                effort = max(more.effort, effort_of(Work.PLATES)) + 1
                yield replace(more, steps=(step, *more.steps), effort=effort)


def put_in_place(held: Held, some: Sequence[int], kind: str) -> Held:
    """Put a kind with the sizes of the table in the places of some fastenings."""
    return {at: of_kind(one, kind) if at in some else one for at, one in held.items()}


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


def usual_kinds(bench: Bench, held: Held, groups: Sequence[tuple[int, ...]]) -> Iterator[Trial]:
    """Yield each other kind that holds with its usual sizes in the places of some groups."""
    for steps, after, effort in _exchanges(bench, held, groups):
        trial = bench.try_out(steps, effort, after)
        if trial:
            yield trial


def kind_trials(bench: Bench, held: Held, groups: Sequence[tuple[int, ...]]) -> Iterator[Trial]:
    """Yield each other kind that holds in the places of some groups, one kind for all of them.

    First with the usual sizes. Only where none holds so, sizes of each are changed as well, as
    little as they can be.
    """
    usual = list(usual_kinds(bench, held, groups))
    yield from usual
    members = tuple(at for group in groups for at in group)
    for steps, after, effort in () if usual else _exchanges(bench, held, groups):
        trial = fitted(bench, after, {members: steps}, effort)
        if trial:
            yield trial


def _exchanges(
    bench: Bench, held: Held, groups: Sequence[tuple[int, ...]]
) -> Iterator[tuple[tuple[Step, ...], Held, int]]:
    """Yield the steps, the set after them and their effort for each other kind there could be.

    What nothing pushes back goes with a tight middle, where there is none.
    """
    members = tuple(at for group in groups for at in group)
    under = all(kind_named(held[at].kind).seat is Seat.RAIL for at in members)
    if not under or not bench.could_without(held, members):
        return
    for kind in sorted(all_kinds().values(), key=lambda kind: kind.effort):
        if not kind.effort or all(held[at].kind == kind.name for at in members):
            continue
        steps: tuple[Step, ...] = (Step(Change.OTHER_KIND, members, kind.name),)
        after, effort = put_in_place(held, members, kind.name), kind.effort + len(groups) - 1
        middle = pinned(bench, after) if kind.form in LOSABLE else None
        if middle:
            steps, after = (middle[0], *steps), middle[1]
        yield steps, after, effort


def exchange_trials(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds with another kind in the places of one line, one group, or all of them.

    Slots with brackets come first where rails of both ways are to be changed. The search ends
    with as many as are told.
    """
    groups = groups_of(held, still_y_mm)
    parts = [[part] for group in groups for part in (*lines_of(held, group), group)]
    several = [groups] if len(groups) > 1 else []
    yield from islice(_exchange_trials(bench, held, parts, several), MOST_KINDS)


def _exchange_trials(
    bench: Bench,
    held: Held,
    parts: Sequence[Sequence[tuple[int, ...]]],
    several: Sequence[Sequence[tuple[int, ...]]],
) -> Iterator[Trial]:
    for groups in parts:
        yield from kind_trials(bench, held, groups)
    for groups in several:
        yield from _exchanged_by_rail(bench, held, groups)
        yield from kind_trials(bench, held, groups)


def _exchanged_by_rail(
    bench: Bench, held: Held, groups: Sequence[tuple[int, ...]]
) -> Iterator[Trial]:
    """Yield slots along the rails across the grain with brackets on those along it."""
    members = [at for group in groups for at in group]
    if any(kind_named(held[at].kind).seat is not Seat.RAIL for at in members):
        return
    _, across, along = FREEING[-1]
    by_kind = {
        kind: tuple(at for at in members if (held[at].rail == ALONG) is on_along)
        for kind, on_along in ((across, False), (along, True))
    }
    effort = max(kind_named(kind).effort for kind in by_kind) + 1
    trial = _with_kinds(bench, held, by_kind, effort) if all(by_kind.values()) else None
    if trial:
        yield trial


def move_trials(bench: Bench, held: Held) -> Iterator[Trial]:
    """Yield what holds with the one tight line moved to the middle of everything else.

    Where that would leave a corner loose, the middle is pinned and slots take the old line's
    places. An edge hung on hinges stays the edge that it is, and what lies in an opening, a frame
    or between walls is left where it rests: its other edge has no room of its own.
    """
    if any(kind_named(one.kind).seat not in UNDER_TOP for one in held.values()):
        return
    tight = tuple(at for at, one in held.items() if is_tight(one))
    others_y_mm = [one.y_mm for at, one in held.items() if at not in tight]
    lines_y_mm = {held[at].y_mm for at in tight}
    if len(lines_y_mm) != 1 or not others_y_mm or any(held[at].kind == HINGE for at in tight):
        return
    from_mm, to_mm = lines_y_mm.pop(), (min(others_y_mm) + max(others_y_mm)) / 2
    if abs(from_mm - to_mm) <= rule("on_line"):
        return
    after: Held
    after = {at: replace(one, y_mm=to_mm) if at in tight else one for at, one in held.items()}
    steps: tuple[Step, ...]
    steps = (Step(Change.MOVE_LINE, tight, held[tight[0]].kind, "y_mm", from_mm, to_mm),)
    if not stays_down(bench.piece, held.values(), after.values()):
        freed = put_in_place(held, tight, SLOT)
        found = pinned(bench, freed)
        if found is None:
            return
        steps, after = (Step(Change.OTHER_KIND, tight, SLOT), found[0]), found[1]
    trial = bench.try_out(steps, effort_of(Work.MOVE), after)
    if trial:
        yield trial


def pair_trials(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds with one group's sizes changed and another's as well."""
    for some, others in combinations(groups_of(held, still_y_mm), 2):
        left = {at: one for at, one in held.items() if at not in others}
        for first in islice(size_trials(bench, left, some), MOST_TRIED):
            eased = {at: first.held.get(at, one) for at, one in held.items()}
            for later in islice(size_trials(bench, eased, others), MOST_TRIED):
                effort = max(first.effort, later.effort) + 1
                yield replace(later, steps=(*first.steps, *later.steps), effort=effort)


def sizing_trials(bench: Bench, held: Held, still_y_mm: float) -> Iterator[Trial]:
    """Yield what holds with one group's sizes changed."""
    for group in groups_of(held, still_y_mm):
        yield from size_trials(bench, held, group)


FAMILIES: tuple[Callable[[Bench, Held, float], Iterator[Trial]], ...] = (
    lambda bench, held, _: pin_trials(bench, held),
    lambda bench, held, _: free_trials(bench, held),
    sizing_trials,
    lambda bench, held, _: plate_trials(bench, held),
    out_trials,
    exchange_trials,
    lambda bench, held, _: move_trials(bench, held),
    pair_trials,
)
"""The simplest first, as design and trade have them."""
