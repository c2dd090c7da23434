"""The plan for a piece without fastenings, and the gaps to set today, in a maker's words."""

import math
from collections.abc import Callable, Collection, Mapping

from climlog.analysis.place.gaps import GapToSet
from climlog.analysis.place.plan import Plan
from climlog.analysis.place.result import UNSETTLED, PlaceResult
from climlog.analysis.place.verdict import counted, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import ACROSS
from climlog.model.fastening.kinds import sizes_of
from climlog.model.fastening.plans import Row
from climlog.report.phrases import Say, plural_of, sentence
from climlog.report.place.taken import LIKELY, likely
from climlog.tables import figure

MIDDLE = "screw"
HALF_WAY = 0.5
SHORT = {
    "tongue_length_mm": "tongue", "kerf_depth_mm": "kerf depth", "groove_depth_mm": "groove depth",
    "kerf_length_mm": "kerf length", "mortise_length_mm": "mortise length",
    "slot_length_mm": "slot", "hole_mm": "hole", "gap_mm": "gap", "hole_to_hole_mm": "plate",
    "mortise_extra_mm": "mortise room each side", "glued_length_mm": "glue",
    "edge_in_groove_mm": "edge in its groove", "mounting_hole_mm": "mounting hole",
    "slot_width_mm": "slot width", "recess_diameter_mm": "bore", "peg_mm": "peg",
    "pivot_set_back_mm": "rail screw in from the face", "bolt_pitch_mm": "bolt pitch",
    "pilot_length_mm": "hole along the rail", "end_gap_mm": "end gap",
    "end_clearance_mm": "groove longer at its end",
}  # fmt: skip
"""Names of sizes as short as a drawing has them."""


def plan_lines(plan: Plan, say: Say) -> tuple[str, ...]:
    """Say what to fit, in at most three lines: bearers, the rails across, the rails along."""
    first = plan.proposal.rows[0]
    if first.kind in EDGE_LINES:
        return (EDGE_LINES[first.kind](first, say),)
    bearers, lines = plan.proposal.bearers_x_mm, []
    if bearers:
        many = f"{len(bearers)} bearers" if len(bearers) > 1 else "a bearer"
        lines.append(f"Add {many} across the grain, as drawn.")
    rows = [row for row in plan.proposal.rows if row.kind != MIDDLE]
    for row in rows:
        middle = "a tight screw at its middle and " if row.rail is ACROSS else ""
        lines.append(f"Each rail {row.rail}: {middle}{_fit(row, say)}.")
    return tuple(lines)


def _of_panel(row: Row, say: Say) -> str:
    gap_mm, edge_mm = row.sizes["gap_mm"], row.sizes["edge_in_groove_mm"]
    return (
        f"Groove the stiles {say.fine(gap_mm + edge_mm)} deep, {say.fine(edge_mm)} of each edge "
        "in, and pin the middle of the width at both ends."
    )


def _of_pegs(row: Row, say: Say) -> str:
    sizes = row.sizes
    return (
        f"Glue only the middle {say.fine(sizes['glued_length_mm'])}; slot the outer pegs "
        f"{say.fine(sizes['slot_length_mm'])}, and leave their tenons "
        f"{say.fine(sizes['mortise_extra_mm'])} on each side."
    )


EDGE_LINES: dict[str, Callable[[Row, Say], str]] = {
    "panel": _of_panel,
    "breadboard": _of_pegs,
    "floor": lambda row, say: "Lay it with these gaps.",
    "door": lambda row, say: f"Hang it with {say.fine(row.sizes['gap_mm'])} at its free edge.",
    "drawer-front": lambda row, say: f"Fit it with {say.fine(row.sizes['gap_mm'])} above it.",
}
"""What a layout brings with it, and how it is fitted."""


def _fit(row: Row, say: Say) -> str:
    """Say what goes on one rail, with its sizes."""
    names = plural_of(row.kind, row.count or math.inf)
    many = names if row.count is None else f"{row.count} {names}"
    sizes = ", ".join(size_texts(row.kind, row.sizes, say))
    return f"{many}; {sizes}" if sizes else many


def size_texts(kind: str, sizes: Mapping[str, float], say: Say) -> tuple[str, ...]:
    """Name every size in as few words as a drawing has."""
    texts = [_size_text(kind, name, value, say) for name, value in sizes.items()]
    share = sizes.get("start_share", HALF_WAY)
    if abs(share - HALF_WAY) > SMALLEST_LENGTH_MM and "slot_length_mm" in sizes:
        wide_mm = sizes.get("slot_width_mm", sizes_of(kind)["slot_width_mm"].typical)
        at_mm = wide_mm / 2 + share * (sizes["slot_length_mm"] - wide_mm)
        texts.append(f"screw {say.fine(at_mm)} from its inner end")
    return tuple(one for one in texts if one)


def _size_text(kind: str, name: str, value: float, say: Say) -> str:
    """Name one size; nothing where there is nothing to do, or it is told with the gap to set."""
    match name:
        case "start_share":
            return ""  # told as a place in the slot
        case "recess_corners_cleared":
            return "recess corners cut open" if value else ""
        case "cant_deg":
            return f"canted {value:.0f}°, as drawn" if value else "square to the rail"
        case "open_joints_mm":
            return ""
        case "gap_mm" if not counted(value):
            return "pushed home"
    words = SHORT.get(name, sizes_of(kind)[name].words)
    return f"{words} {say.fine(value)}" if name.endswith("_mm") else f"{words} {value:g}"


def plan_text(plan: Plan, say: Say, likely: str = LIKELY) -> str:
    """Say one plan with its odds, for the list of things to do."""
    allows = say.travel(plan.has)
    what = " ".join(plan_lines(plan, say))
    slip = ""
    if plan.slip_mm >= SMALLEST_LENGTH_MM:
        slip = f" The top then slips {say.length(plan.slip_mm)} along its length."
    return (
        f"{sentence(plan.proposal.words)}. {what} Together they allow {allows}, and run out in "
        f"{of_100(plan.odds)} {likely}: {plan.verdict}.{slip}"
    )


def plan_section(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say the plan, what else would do, and how it was judged."""
    plan = result.plan
    if plan is None:
        return ()
    lines = [plan_text(plan, say, likely(result))]
    if plan.alternative is not None:
        lines.append(f"Or: {plan_text(plan.alternative, say, likely(result))}")
    if not result.fastenings:
        longest = say.length(plan.unheld_mm)
        most = say.length(float(figure("fastening_rules", "edge_unheld")))
        lines.append(
            f"No edge is left unheld for more than {longest}; {most} is the most that a plan "
            "leaves (own rule, no source)."
        )
    lines.append(
        "--save-sheet FILE writes it down as a sheet, --picture FILE.pdf draws it to set out by."
    )
    return tuple(lines)


def gap_lines(result: PlaceResult, say: Say, but: Collection[str] = ()) -> tuple[str, ...]:
    """Say the gaps to set today, a line a group, but for some kinds; none where no gap holds."""
    gaps = [one for one in result.gaps_to_set if one.kind not in but]
    return tuple(gap_line(one, say) for one in gaps if one.can_hold)


def gap_line(one: GapToSet, say: Say) -> str:
    """Say in a few words which gap to leave today, and within what."""
    size, names = say.fine(one.set_mm), plural_of(one.kind)
    where = {
        "panel": "Gap at the bottom of each groove",
        "door": "Gap at the door's free edge",
        "drawer-front": "Gap above the drawer front",
        "floor": "Gap at each wall",
        "breadboard": "Room beside the outer pegs",
    }.get(one.kind, f"Gap at the {names} along the grain")
    if one.kind == "floor" and one.joints and counted(one.joint_mm):
        return f"{where}: {size}; {say.fine(one.joint_mm)} at each of {one.joints} joints."
    if one.high_mm == float("inf"):
        return f"{where}: {size} at least."
    low, high = say.fine(one.low_mm), say.fine(one.high_mm)
    return f"{where}: {size} ({low} to {high})." if low != high else f"{where}: {size}."


def gap_section(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say the gaps to set today, and what they become for damper or drier wood.

    None where less than a year is known, an open question decides, or no gap holds.
    """
    if UNSETTLED & set(result.lacks):
        return ()
    lines = gap_lines(result, say)
    steps = [
        (plural_of(one.kind), one.less_per_pct_mm)
        for one in result.gaps_to_set
        if one.can_hold and one.kind != "breadboard" and counted(one.less_per_pct_mm)
    ]
    if not steps:
        return lines
    less = say.listed([f"{say.length(mm)} less at the {names}" for names, mm in steps])
    return (
        *lines,
        f"This is for wood at {result.start.fixed_pct:.1f} % moisture when it is fixed. For each "
        f"1 % that it is damper leave {less}; for each 1 % drier, as much more.",
    )
