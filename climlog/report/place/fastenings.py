"""Words for the fastenings: each alone, all together, and the kinds that would hold there."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from climlog.analysis.place.result import FasteningResult, KindTried, PlaceResult
from climlog.analysis.place.verdict import (
    MOST_USED_PCT,
    Judgement,
    Verdict,
    moves,
    of_100,
)
from climlog.model.board import Piece
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.plans import joints_of
from climlog.report.document import Sign, Signed, Table
from climlog.report.phrases import (
    LOCKED,
    Say,
    fastenings_named,
    has_rail,
    numbers_text,
    plural_of,
    sentence,
)
from climlog.report.place.caveats import caveat_lines
from climlog.report.place.taken import taken
from climlog.report.place.year import day_told
from climlog.report.shape import Shape
from climlog.tables import load_text

SIGNS = {
    Verdict.HOLDS: Sign(Verdict.HOLDS, Shape.HOLDS),
    Verdict.CLOSE: Sign(Verdict.CLOSE, Shape.CLOSE),
    Verdict.RUNS_OUT: Sign(Verdict.RUNS_OUT, Shape.RUNS_OUT),
    Verdict.NOT_KNOWN: Sign(Verdict.NOT_KNOWN, Shape.NOT_KNOWN),
}
TOP = "top"
"""What a piece is that no kind of fastening names otherwise."""
NOUNS = {
    "panel": "panel",
    "door": "door",
    "drawer-front": "drawer front",
    "drawer-bottom": "drawer bottom",
    "floor": "floor",
}


class Holder(NamedTuple):
    """What holds a piece, for the middle of a sentence, and the ending of its verbs."""

    name: str
    ending: str = ""


class View(NamedTuple):
    """From where a piece is drawn, and how it lies in the drawing."""

    says: str
    lies: str


FROM_BELOW = View("from below", "Turned over about its length.")
FROM_THE_FRONT = View("from the front", "Its grain runs across the drawing.")
VIEWS = {
    "floor": View("from above", "Battens or joists run across under its boards."),
    "panel": FROM_THE_FRONT,
    "door": FROM_THE_FRONT,
    "drawer front": FROM_THE_FRONT,
}
"""How each is looked at by whoever works at it; a top and a drawer bottom from below."""
FASTENINGS = Holder("its fastenings")
HOLDERS = {
    "panel": Holder("its groove", "s"),
    "door": Holder("its opening", "s"),
    "drawer front": Holder("its opening", "s"),
    "drawer bottom": Holder("its groove", "s"),
    "floor": Holder("its gaps"),
}
SAME_LINE_SHARE = 0.02
"""Lines nearer than this share of the width are one: nobody could tell them apart."""
ALONE_HEADS = (
    "Number", "Fastening", "Needs", "Has", "Used", "Runs out in, of 100", "Verdict", "From",
)  # fmt: skip
KIND_HEADS = ("Kind", "Would allow", "Used", "Runs out in, of 100", "Verdict")


def noun_of(piece: Piece) -> str:
    """Name what the piece is by what holds it: a top, unless it is a panel, door, floor..."""
    return next((NOUNS[one.kind] for one in piece.fastenings if one.kind in NOUNS), TOP)


def is_floor(piece: Piece) -> bool:
    """Whether it is laid between walls, board by board."""
    return noun_of(piece) == NOUNS["floor"]


def joints_at_mm(piece: Piece, closest_mm: float) -> tuple[float, ...]:
    """Give the joints of a floor from the middle of its width, in mm.

    None where the width of its boards is not known, or where they would be drawn too close.
    """
    if piece.board_width_mm is None or piece.board_width_mm < closest_mm:
        return ()
    first_mm = piece.board_width_mm - piece.width_mm / 2
    return tuple(first_mm + n * piece.board_width_mm for n in range(joints_of(piece)))


def view_of(piece: Piece) -> View:
    """Tell from where a piece is drawn."""
    return VIEWS.get(noun_of(piece), FROM_BELOW)


def holder_of(piece: Piece) -> Holder:
    """Name what holds the piece, as its kind has it: fastenings, a groove, an opening, gaps."""
    return HOLDERS.get(noun_of(piece), FASTENINGS)


def free_text(piece: Piece) -> str:
    """Say what can lock what holds it, whatever was worked out."""
    return load_text("place.free_to_move" if noun_of(piece) == TOP else "place.edges_free")


def sign_of(judgement: Judgement) -> Sign:
    """Give a verdict with its shape."""
    return SIGNS[judgement.verdict]


def used_text(judgement: Judgement) -> str:
    """Say how much of its travel is used."""
    return _used(judgement.used_pct)


def _used(used_pct: float) -> str:
    return LOCKED if used_pct >= MOST_USED_PCT else f"{used_pct:.0f} %"


def fastening_line(one: FasteningResult, result: PlaceResult, say: Say) -> str:
    """Say one fastening's needs, room and verdict."""
    judged = one.judgement
    if not moves(judged):
        return f"needs no travel: {judged.verdict}"
    when = ""
    if judged.runs_out_on is not None:
        when = f", from {day_told(result, judged.runs_out_on, say)}"
    return (
        f"needs {say.travel(judged.needs)}; has {say.travel(judged.has)}; runs out in "
        f"{of_100(judged.share_of_draws)} of 100 cases{taken(result)}: {judged.verdict}{when}"
    )


def alike_groups(result: PlaceResult, say: Say) -> list[list[int]]:
    """Put fastenings of one kind and rail that need and have the same together, worst first."""
    groups: dict[tuple[str, ...], list[int]] = {}
    for at, one in enumerate(result.fastenings):
        key = (one.fastening.kind, one.fastening.rail, fastening_line(one, result, say))
        groups.setdefault(key, []).append(at)
    return sorted(
        groups.values(), key=lambda group: -result.fastenings[group[0]].judgement.used_pct
    )


def group_name(group: Sequence[int], result: PlaceResult) -> str:
    """Name fastenings alike by what they are and the rail they sit on."""
    one = result.fastenings[group[0]].fastening
    name = one.name if len(group) == 1 else sentence(plural_of(one.kind))
    where = "rail" if has_rail(one.kind) else "edge"
    return f"{name}, {where} {one.rail}"


def alone_table(result: PlaceResult, say: Say) -> Table:
    """Lay out fastenings of one kind and rail that need and have the same, worst first."""
    return Table(
        "Each alone, the worst first; numbers as on the plan. Travel is told swelling / shrinking, "
        "counted from the day it was fixed.",
        ALONE_HEADS,
        tuple(_alone_row(group, result, say) for group in alike_groups(result, say)),
    )


def _alone_row(group: list[int], result: PlaceResult, say: Say) -> tuple[str | Signed, ...]:
    one = result.fastenings[group[0]]
    judged = one.judgement
    return (
        numbers_text([at + 1 for at in group]),
        group_name(group, result),
        _both_ways(judged.needs, say),
        _both_ways(judged.has, say),
        used_text(judged),
        f"{of_100(judged.share_of_draws)}",
        Signed(sign_of(judged)),
        "" if judged.runs_out_on is None else day_told(result, judged.runs_out_on, say),
    )


def _both_ways(travel: Travel, say: Say) -> str:
    return f"{say.bare_room(travel.swell_mm)} / {say.bare_room(travel.shrink_mm)}"


def set_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what the fastenings allow together, what binds, and which line stays put."""
    judged, holder = result.as_a_set, holder_of(result.piece)
    lines = [
        f"Over the whole width the piece needs {say.travel(judged.needs)}; {holder.name} together "
        f"allow{holder.ending} {say.travel(judged.has)}: {judged.verdict}.",
        *joint_lines(result, say),
        *_stop_lines(result),
        held_line_text(result, say),
        *caveat_lines(result, say),
    ]
    alone = [one for one in result.fastenings if one.judgement.verdict == Verdict.RUNS_OUT]
    if judged.verdict != Verdict.RUNS_OUT and alone:
        lines.append(
            "Judged alone, with the middle held, some fastenings run out; as a set they still let "
            f"the {noun_of(result.piece)} shift enough."
        )
    return tuple(lines)


def joint_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say how far each joint of a floor opens when its boards are driest."""
    opens = result.joint_gap_mm
    if opens is None or result.piece.board_width_mm is None:
        return ()
    width = say.length(result.piece.board_width_mm)
    return (
        f"Between boards of {width} each joint opens by about {say.room(opens.p50)} at the driest, "
        f"in 5 of 100 likely cases by more than {say.room(opens.p95)}; boards that are glued "
        "edge to edge open at their weakest joints instead.",
    )


def _stop_lines(result: PlaceResult) -> list[str]:
    travel, stops = result.set_travel, dict[str, list[str]]()
    for way, binds in (("swelling", travel.binds_swelling), ("shrinking", travel.binds_shrinking)):
        names = fastenings_named(result.piece.fastenings[i] for i in binds)
        if names:
            stops.setdefault(names, []).append(way)
    return [
        f"{sentence(' and '.join(ways))}, {names} would stop it first."
        for names, ways in stops.items()
    ]


def held_line_text(result: PlaceResult, say: Say) -> str:
    """Say which line along the grain stays where it is."""
    parts = [
        f"{when} {_line_place(y_mm, result.piece.width_mm, say)} stays put"
        for y_mm, when in held_lines(result)
    ]
    if parts:
        return f"{sentence(' and '.join(parts))}; movement grows with the distance from it."
    has = result.as_a_set.has
    if say.room(has.swell_mm) == say.room(has.shrink_mm) == "none":
        return "Every row is held fast, so no line is free to move."
    return "No line along the grain is held: nothing says where it stays."


def held_lines(result: PlaceResult) -> tuple[tuple[float, str], ...]:
    """Lines that stay put: where, from the middle of the width, and when. [mm]."""
    swelling = result.set_travel.held_line_swelling_y_mm
    shrinking = result.set_travel.held_line_shrinking_y_mm
    if not result.piece.fastenings:
        return ()
    if abs(swelling - shrinking) < SAME_LINE_SHARE * result.piece.width_mm:
        return ((swelling, "swelling and shrinking,"),)
    both = ((swelling, "swelling,"), (shrinking, "shrinking,"))
    return tuple((y_mm, when) for y_mm, when in both if not math.isnan(y_mm))


def _line_place(y_mm: float, width_mm: float, say: Say) -> str:
    if abs(y_mm) < SAME_LINE_SHARE * width_mm:
        return "the middle of the width"
    if abs(y_mm) > width_mm / 2:
        return "a line outside the piece"
    return f"the line {say.length(abs(y_mm))} from the middle of the width"


def kinds_table(result: PlaceResult, say: Say) -> Table | None:
    """Lay the kinds side by side, the roomiest first.

    None where there is only the piece's own, or nothing moves and so nothing tells them apart.
    """
    own = {one.kind for one in result.piece.fastenings}
    if not moves(result.as_a_set) or {one.kind for one in result.kinds} <= own:
        return None
    ordered = sorted(result.kinds, key=lambda one: (one.share_of_draws, one.used_pct))
    locked = [one for one in ordered if one.used_pct >= MOST_USED_PCT]
    rows = [_kind_row(one, say) for one in ordered if one not in locked]
    if locked:
        names = sentence("; ".join(one.words for one in locked))
        odds = f"{of_100(locked[0].share_of_draws)}"
        rows.append((names, "hardly anything", LOCKED, odds, Signed(SIGNS[Verdict.RUNS_OUT])))
    return Table(
        "Each kind in the same places, all of them that kind, with its usual sizes; the most room "
        "first.",
        KIND_HEADS,
        tuple(rows),
    )


def _kind_row(one: KindTried, say: Say) -> tuple[str | Signed, ...]:
    return (
        sentence(one.words),
        say.bare_travel(one.has),
        _used(one.used_pct),
        f"{of_100(one.share_of_draws)}",
        Signed(SIGNS[one.verdict]),
    )
