"""The bench on which changes to a set of fastenings are tried, each on the whole set.

A change holds where the share of likely cases in which the travel runs out is small enough: a
function handed in counts them. That takes long, so a set is first asked whether it reaches what the
top needs, which does not, and what it said is kept.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from climlog.errors import ImpossibleValueError
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.fasteners import Travel, can_be_made, travel_alone
from climlog.model.fastening.kinds import kind_named
from climlog.model.fastening.set_travel import SetTravel, reaches, travel_as_a_set
from climlog.model.fastening.shapes import REACHING, outward
from climlog.told import told
from climlog.units import Units

Held = Mapping[int, Fastening]
"""Fastenings by their place in the piece's own; what is added gets a place behind them."""
Judge = Callable[[Sequence[Fastening], SetTravel], float]
"""Share of the likely cases, 0 to 1, in which fastenings with such a travel run out."""


class Change(StrEnum):
    """What a step does."""

    BEARER = "add a bearer"
    FIT = "fit"
    PIN = "pin the middle"
    SIZE = "change a size"
    TAKE_OUT = "take out"
    OTHER_KIND = "use another kind"
    MOVE_LINE = "move the tight line"
    CONDITION = "bring the wood to another moisture"


@told({"fastenings": "numbers"})
@dataclass(frozen=True)
class Step:
    """One thing to do to some fastenings.

    Attributes
    ----------
    what : Change
    fastenings : tuple of int
        Which, as places in the piece's own; empty where some are added, or none is touched.
    kind : str
        The kind that they are afterwards; of what is taken out, the kind that it was.
    size : str
        For SIZE the one that changes, as in `Fastening.sizes_mm`; "y_mm" for MOVE_LINE,
        "moisture_pct" for CONDITION, else "".
    from_mm, to_mm : float or None
        Before and after, in the unit that the size's name states; places have their sign.
    places_mm : tuple of (x, y)
        Where something is added, from the middle of the top. [mm]
    """

    what: Change
    fastenings: tuple[int, ...]
    kind: str
    size: str = ""
    from_mm: float | None = None
    to_mm: float | None = None
    places_mm: tuple[tuple[float, float], ...] = ()

    @property
    def numbers(self) -> tuple[int, ...]:
        """Which, counted from 1 as on the plan."""
        return tuple(at + 1 for at in self.fastenings)


@dataclass(frozen=True)
class Trial:
    """Steps taken, their work, and what the set after them lets the top do, which holds."""

    steps: tuple[Step, ...]
    effort: int
    held: Held
    travel: SetTravel
    odds: float


@dataclass(frozen=True)
class Bench:
    """The top that changes are tried on.

    Attributes
    ----------
    piece : Piece
        Its own fastenings are what changes start from.
    needs : (float, float)
        Strain to swell and to shrink by, without which no set is judged at all; with them it need
        not hold yet.
    judge : Judge
    at_most : float
        Share of cases that may run out.
    units : Units
        Rule in whose steps sizes are tried.
    """

    piece: Piece
    needs: tuple[float, float]
    judge: Judge
    at_most: float
    units: Units
    _asked: dict[tuple[object, ...], bool] = field(default_factory=dict)
    _alone: dict[tuple[object, ...], Travel | None] = field(default_factory=dict)
    _judged: dict[tuple[object, ...], tuple[SetTravel, float]] = field(default_factory=dict)

    def alone(self, one: Fastening, sizes: Mapping[str, float]) -> Travel | None:
        """Travel of a fastening by itself with some other sizes; None where they do not fit.

        Kept by what it hangs on: of its place the sides, and where it reaches from the line.
        """
        every = {**one.sizes_mm, **sizes}
        reaches_off = kind_named(one.kind).form in REACHING
        across = one.y_mm if reaches_off else outward(one.y_mm)
        key = (one.kind, one.rail, outward(one.x_mm), across, one.rail_thickness_mm, *every.items())
        if key not in self._alone:
            try:
                self._alone[key] = travel_alone(replace(one, sizes_mm=every))
            except ImpossibleValueError:
                self._alone[key] = None
        return self._alone[key]

    def could(self, held: Held) -> bool:
        """Whether a set can be made, and reaches what the top needs."""
        key = _key(held)
        if key not in self._asked:
            some = list(held.values())
            can_be = all(map(can_be_made, some))
            self._asked[key] = can_be and reaches(some, self.piece.width_mm, *self.needs)
        return self._asked[key]

    def could_without(self, held: Held, some: tuple[int, ...]) -> bool:
        """Whether a change to some can help at all: not if the others alone do not reach."""
        return self.could({at: one for at, one in held.items() if at not in some})

    def holds(self, held: Held) -> bool:
        """Whether a set holds as it is."""
        return self.try_out((), 0, held) is not None

    def try_out(self, steps: tuple[Step, ...], effort: int, held: Held) -> Trial | None:
        """Judge the set after some steps; None where it does not hold."""
        if not self.could(held):
            return None
        key = _key(held)
        if key not in self._judged:
            some = list(held.values())
            travel = travel_as_a_set(some, self.piece.width_mm)
            self._judged[key] = travel, self.judge(some, travel)
        travel, odds = self._judged[key]
        return Trial(steps, effort, held, travel, odds) if odds <= self.at_most else None


def _key(held: Held) -> tuple[object, ...]:
    return tuple(map(_key_of, held.values()))


def _key_of(one: Fastening) -> tuple[object, ...]:
    return (one.kind, one.rail, one.x_mm, one.y_mm, tuple(sorted(one.sizes_mm.items())))
