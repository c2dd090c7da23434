"""Changes that were worked out to hold -> sentences that say what to do with which fastening."""

from collections.abc import Sequence

from climlog.analysis.place.verdict import of_100, travel_over_width
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Piece
from climlog.model.fastening.bench import Change, Step
from climlog.model.fastening.kinds import sizes_of
from climlog.model.fastening.remedies import Remedy
from climlog.report.phrases import (
    Say,
    fastenings_in_short,
    numbers_text,
    plural_of,
    sentence,
    with_numbers,
)
from climlog.report.place.planned import SHORT
from climlog.report.place.taken import LIKELY

OFF_MIDDLE, CANT = "start_share", "cant_deg"
THERE = "there"
HALF_WAY = 0.5
STRETCHED, MORE = ("lengthen", "deepen"), " for "
"""A change that says itself which size is meant, unless it is for the sake of another."""
HALF_MM = 0.5
"""Nearer to the middle than this is the middle."""


def remedy_text(remedy: Remedy, piece: Piece, say: Say, likely: str = LIKELY) -> str:
    """Say one change, what the set then allows, the odds that are left, and what it asks for.

    `likely` says of which cases the odds are.
    """
    steps = " and ".join(step_texts(remedy, piece, say))
    allows = say.travel(travel_over_width(remedy.travel, piece.width_mm))
    text = (
        f"{sentence(steps)}: together they then allow {allows}, and run out in "
        f"{of_100(remedy.odds)} {likely}."
    )
    if any(step.what is Change.TAKE_OUT for step in remedy.steps):
        text += f" {remedy.stays} stay."
    if remedy.slip_mm >= SMALLEST_LENGTH_MM:
        text += f" The top then slips {say.length(remedy.slip_mm)} along its length."
    return text


def remedy_in_short(remedy: Remedy, piece: Piece, say: Say) -> tuple[str, ...]:
    """Say the steps of a change one by one, as shortly as they can be acted on."""
    return tuple(f"{sentence(one)}." for one in step_texts(remedy, piece, say, short=True))


def step_texts(remedy: Remedy, piece: Piece, say: Say, short: bool = False) -> list[str]:
    """One phrase a step; fastenings are named once, a new kind and the size it needs as one."""
    telling = _Telling(piece, say, short)
    said: list[str] = []
    before: Step | None = None
    new: set[int] = set()
    for step in remedy.steps:
        is_same = before is not None and step.size != "" and step.fastenings == before.fastenings
        is_new = step.what is Change.SIZE and set(step.fastenings) <= new
        if is_same and is_new:
            said[-1] += f", {telling.new_size(step)}"
            continue
        if is_new:
            of_these = f"for numbers {numbers_text([at + 1 for at in step.fastenings])}"
            if before is not None and (before.what, before.size) == (step.what, step.size):
                said[-1] += f"; {telling.new_length(step)} {of_these}"
            else:
                said.append(f"{telling.new_size(step)} {of_these}")
        else:
            where = THERE if is_same else f"at {telling.which(step.fastenings)}"
            said.append(telling.step(step, where))
        new |= set(step.fastenings) if step.what is Change.OTHER_KIND else set()
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
        if self._is_all_of_it(indices):
            return named
        return f"{named} ({numbers_text([i + 1 for i in indices])})"

    def _is_all_of_it(self, indices: Sequence[int]) -> bool:
        """Whether they are all there is of their kinds on their rails: then words alone tell."""
        where = {(self._fastenings[i].kind, self._fastenings[i].rail) for i in indices}
        alike = {i for i, one in enumerate(self._fastenings) if (one.kind, one.rail) in where}
        return alike == set(indices)

    def new_size(self, step: Step) -> str:
        size = sizes_of(step.kind)[step.size]
        if step.to_mm is not None and step.size == OFF_MIDDLE:
            return f"screws {(_away if self._short else _from_its_end)(step.to_mm)}"
        if step.to_mm is None or not step.size.endswith("_mm"):
            return f"{size.change} as well"
        name = _short_name(step.size) if self._short else size.words
        return f"{name} {self._length(step.to_mm)}"

    def new_length(self, step: Step) -> str:
        """Say a size alone, where what it is was just said; all of it where it is no length."""
        if step.to_mm is None or not step.size.endswith("_mm"):
            return self.new_size(step)
        return self._length(step.to_mm)

    def step(self, step: Step, where: str) -> str:
        if not step.fastenings:
            return self._of_the_top(step)
        names = self.which(step.fastenings)
        if step.what is Change.TAKE_OUT:
            return f"take out {names}"
        if step.what is Change.OTHER_KIND:
            return self._other_kind(plural_of(step.kind), names)
        before, after = step.from_mm, step.to_mm
        if before is None or after is None:
            return f"{step.what} {where}"
        if step.what is Change.MOVE_LINE:
            return f"move {names} {self._moved(before, after)}"
        return self._sized(step, where, (before, after))

    def _sized(self, step: Step, where: str, sizes: tuple[float, float]) -> str:
        """Say a size that changes: from which to which, or shortly to which."""
        (before, after), names = sizes, self.which(step.fastenings)
        change = sizes_of(step.kind)[step.size].change
        if step.size == CANT:
            return f"cant {names}, all the same hand, to {after:.0f}°"
        if not self._short:
            return f"{change} {where}{self._from_to(step.size, before, after)}"
        if step.size == OFF_MIDDLE:
            named = "them" if where == THERE else names
            slots = "its slot" if len(step.fastenings) == 1 else "their slots"
            return f"move {named} in {slots} to {_away(after)}"
        if not step.size.endswith("_mm"):
            return f"{change} {where}"
        is_it = change.startswith(STRETCHED) and MORE not in change
        to = " to" if is_it else f": {_short_name(step.size)}"
        return f"{change} {where}{to} {self._length(after)}"

    def _of_the_top(self, step: Step) -> str:
        """Say a step that is done to no fastening that is there."""
        if step.what is Change.CONDITION:
            return f"bring the wood to {step.to_mm:.1f} % moisture before it is fixed"
        many = len(step.places_mm)
        rails = f"the {many} rails across the grain"
        if self._short:
            both = {1: "the rail", 2: "both rails"}.get(many, f"each of the {many} rails")
            return f"pin the middle of its width to {both} across the grain"
        return f"make a tight pin or screw at the middle of the width in each of {rails}"

    def _other_kind(self, new: str, names: str) -> str:
        if self._short:
            return f"{new} for {names.removeprefix('the ')}"
        return f"use {new} instead of {names}"

    def _moved(self, from_mm: float, to_mm: float) -> str:
        """Say where a line goes from and to, and whether that is beyond the middle."""
        start = f"from {self._length(abs(from_mm))} from the middle of the width"
        if abs(to_mm) < HALF_MM:
            return f"{start} to the middle"
        side = "the same" if from_mm * to_mm > 0 else "the other"
        return f"{start} to {self._length(abs(to_mm))} on {side} side of it"

    def _from_to(self, size: str, before: float, after: float) -> str:
        """Say the size before and after; a switch that is only on or off needs no figures."""
        if size.endswith("_mm"):
            return f", from {self._length(before)} to {self._length(after)}"
        if size.endswith("_deg"):
            return f", from {before:.0f}° to {after:.0f}°"
        return f", to {_from_its_end(after)}" if size == OFF_MIDDLE else ""


def _short_name(size: str) -> str:
    """Name a size in as few words as an answer has."""
    return SHORT.get(size, size.removesuffix("_mm").replace("_", " "))


def _from_its_end(share: float) -> str:
    """Say how far from the end of its slot that it is nearer to, a screw stands."""
    end = "outer" if share > HALF_WAY else "inner"
    return f"{min(share, 1.0 - share) * 100:.0f} % of its length from the {end} end"


def _away(share: float) -> str:
    """Say the same in as few words as an answer has."""
    return _from_its_end(share).replace(" of its length", "")
