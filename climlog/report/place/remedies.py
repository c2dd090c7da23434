"""Changes that were worked out to hold -> sentences that say what to do with which fastening."""

from collections.abc import Sequence

from climlog.analysis.place.verdict import travel_over_width
from climlog.model.board import Piece
from climlog.model.fastening.remedies import MOVE_LINE, OTHER_KIND, TAKE_OUT, Remedy, Step
from climlog.report.phrases import (
    Say,
    fastenings_in_short,
    numbers_text,
    plural_of,
    sentence,
    with_numbers,
)
from climlog.tables import load_table

HALF_WAY = 0.5


def remedy_text(remedy: Remedy, piece: Piece, say: Say) -> str:
    """Say one change that was worked out to hold, and what the set then allows."""
    steps = " and ".join(step_texts(remedy, piece, say))
    allows = say.travel(travel_over_width(remedy.travel, piece.width_mm))
    return f"{sentence(steps)}: together they then allow {allows}."


def remedy_in_short(remedy: Remedy, piece: Piece, say: Say) -> tuple[str, ...]:
    """Say the steps of a change one by one, as shortly as they can be acted on."""
    return tuple(f"{sentence(one)}." for one in step_texts(remedy, piece, say, short=True))


def step_texts(remedy: Remedy, piece: Piece, say: Say, short: bool = False) -> list[str]:
    """One phrase a step; fastenings are named once, a new kind and the size it needs as one."""
    first = Step(
        remedy.what, remedy.fastenings, remedy.size, remedy.from_mm, remedy.to_mm, remedy.kind
    )
    telling = _Telling(piece, say, short)
    said: list[str] = []
    before: Step | None = None
    for step in (first, *remedy.further):
        is_same = before is not None and step.size != "" and step.fastenings == before.fastenings
        if before is not None and is_same and before.what == OTHER_KIND:
            said[-1] += f", {telling.new_size(before.kind, step)}"
            continue
        where = "there" if is_same else f"at {telling.which(step.fastenings)}"
        said.append(telling.step(step, where))
        before = step
    return said


class _Telling:
    """How the steps of one piece's change are told: whole, or short."""

    def __init__(self, piece: Piece, say: Say, short: bool) -> None:
        self._fastenings = piece.fastenings
        self._length = say.size if short else say.length
        self._short = short

    def which(self, indices: Sequence[int]) -> str:
        if not self._short:
            return with_numbers(indices, self._fastenings)
        named = fastenings_in_short(self._fastenings[i] for i in indices)
        return f"{named} ({numbers_text([i + 1 for i in indices])})"

    def new_size(self, kind: str, step: Step) -> str:
        words = load_table("fastening_sizes")["words"][f"{kind}.{step.size}"]
        if step.to_mm is None or not step.size.endswith("_mm"):
            return f"{step.what} as well"
        return f"{words} {self._length(step.to_mm)}"

    def step(self, step: Step, where: str) -> str:
        names = self.which(step.fastenings)
        if step.what == TAKE_OUT:
            return f"take out {names}"
        if step.what == OTHER_KIND:
            return f"use {plural_of(step.kind)} instead of {names}"
        if step.from_mm is None or step.to_mm is None:
            return f"{step.what} {where}"
        if step.what == MOVE_LINE:
            return (
                f"move {names} from {self._length(abs(step.from_mm))} to "
                f"{self._length(abs(step.to_mm))} from the middle of the width"
            )
        return f"{step.what} {where}{self._from_to(step.size, step.from_mm, step.to_mm)}"

    def _from_to(self, size: str, before: float, after: float) -> str:
        """Say the size before and after; a switch that is only on or off needs no figures."""
        if size.endswith("_mm"):
            return f", from {self._length(before)} to {self._length(after)}"
        if size.endswith("_deg"):
            return f", from {before:.0f}° to {after:.0f}°"
        if size == "start_share":
            end = "outer" if after > HALF_WAY else "inner"
            away = min(after, 1.0 - after) * 100
            return f", to {away:.0f} % of its length from the {end} end"
        return ""
