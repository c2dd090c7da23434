"""Changes that were worked out to hold -> sentences that say what to do with which fastening."""

from collections.abc import Sequence
from dataclasses import dataclass

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import (
    MOST_USED_PCT,
    Verdict,
    moves,
    travel_over_width,
    verdict_of,
)
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.remedies import (
    MOVE_LINE,
    OTHER_KIND,
    TAKE_OUT,
    KindOutcome,
    Remedy,
    Step,
)
from climlog.report.phrases import (
    LOCKED,
    fastenings_named,
    numbers_text,
    plural_of,
    sentence,
    travel_text,
)
from climlog.tables import load_table
from climlog.units import length_text

HALF_WAY = 0.5


@dataclass(frozen=True)
class KindRow:
    """One kind at the same places: what it would allow, how much is used, the verdict."""

    name: str
    allows: str
    used: str
    verdict: str


def remedy_text(remedy: Remedy, piece: Piece, units: str) -> str:
    """Say one change that was worked out to hold, and what the set then allows."""
    first = Step(
        remedy.what, remedy.fastenings, remedy.size, remedy.from_mm, remedy.to_mm, remedy.kind
    )
    steps = " and ".join(_steps_text((first, *remedy.further), piece, units))
    allows = travel_text(travel_over_width(remedy.travel, piece.width_mm), units)
    return f"{sentence(steps)}: together they then allow {allows}."


def _steps_text(steps: Sequence[Step], piece: Piece, units: str) -> list[str]:
    """One phrase a step; fastenings are named once, a new kind and the size it needs as one."""
    said: list[str] = []
    before: Step | None = None
    for step in steps:
        is_same = before is not None and step.size != "" and step.fastenings == before.fastenings
        if before is not None and is_same and before.what == OTHER_KIND:
            said[-1] += f", {_new_size(before.kind, step, units)}"
            continue
        where = "there" if is_same else f"at {_which(step.fastenings, piece.fastenings)}"
        said.append(_step_text(step, where, piece, units))
        before = step
    return said


def _new_size(kind: str, step: Step, units: str) -> str:
    words = load_table("fastening_sizes")["words"][f"{kind}.{step.size}"]
    if step.to_mm is None or not step.size.endswith("_mm"):
        return f"{step.what} as well"
    return f"{words} {length_text(step.to_mm, units)}"


def _step_text(step: Step, where: str, piece: Piece, units: str) -> str:
    names = _which(step.fastenings, piece.fastenings)
    if step.what == TAKE_OUT:
        return f"take out {names}"
    if step.what == OTHER_KIND:
        return f"use {plural_of(step.kind)} instead of {names}"
    if step.from_mm is None or step.to_mm is None:
        return f"{step.what} {where}"
    if step.what == MOVE_LINE:
        return (
            f"move {names} from {length_text(abs(step.from_mm), units)} to "
            f"{length_text(abs(step.to_mm), units)} from the middle of the width"
        )
    return f"{step.what} {where}{_from_to(step.size, step.from_mm, step.to_mm, units)}"


def _from_to(size: str, before: float, after: float, units: str) -> str:
    """Say the size before and after; a switch that is only on or off needs no figures."""
    if size.endswith("_mm"):
        return f", from {length_text(before, units)} to {length_text(after, units)}"
    if size.endswith("_deg"):
        return f", from {before:.0f}° to {after:.0f}°"
    if size == "start_share":
        end = "outer" if after > HALF_WAY else "inner"
        away = min(after, 1.0 - after) * 100
        return f", to {away:.0f} % of its length from the {end} end"
    return ""


def _which(indices: Sequence[int], fastenings: Sequence[Fastening]) -> str:
    word = "number" if len(indices) == 1 else "numbers"
    named = fastenings_named(fastenings[i] for i in indices)
    return f"{named} ({word} {numbers_text([i + 1 for i in indices])})"


def kind_rows(result: PlaceResult, units: str) -> tuple[KindRow, ...]:
    """Lay the kinds side by side, the roomiest first.

    None where there is only the piece's own, or nothing moves and so nothing tells them apart.
    """
    own = {one.kind for one in result.piece.fastenings}
    if not moves(result.as_a_set) or {one.kind for one in result.kinds} <= own:
        return ()
    ordered = sorted(result.kinds, key=lambda one: one.used_share)
    locked = [one for one in ordered if one.used_share * 100 >= MOST_USED_PCT]
    rows = [_kind_row(one, result.piece.width_mm, units) for one in ordered if one not in locked]
    if locked:
        names = sentence("; ".join(one.words for one in locked))
        rows.append(KindRow(names, "hardly anything", LOCKED, Verdict.RUNS_OUT))
    return tuple(rows)


def _kind_row(one: KindOutcome, width_mm: float, units: str) -> KindRow:
    return KindRow(
        name=sentence(one.words),
        allows=travel_text(travel_over_width(one.travel, width_mm), units),
        used=f"{one.used_share * 100:.0f} %",
        verdict=verdict_of(one.used_share * 100),
    )
