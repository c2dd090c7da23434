"""What furniture can be: bounds of every size, each a row of tables/bounds.csv with its reason."""

from dataclasses import dataclass
from functools import cache

from climlog.errors import ImpossibleValueError
from climlog.tables import figure, load_table
from climlog.units import inches_text, mm_text

ANY_KIND = "any"
FINEST_SHOWN_MM = 0.1
"""What lies below reads as nothing where lengths are written as usual."""


@dataclass(frozen=True)
class Bound:
    """A closed range of one quantity, and why nothing lies outside.

    Attributes
    ----------
    low, high : float
        [`unit`]
    """

    low: float
    high: float
    unit: str
    why: str

    def require(self, value: float, given: str) -> None:
        """Raise ImpossibleValueError where a value lies outside; `given` is how it was written."""
        if value < self.low:
            raise ImpossibleValueError(f"{given} is less than {self._text(self.low)}: {self.why}")
        if not value <= self.high:
            raise ImpossibleValueError(f"{given} is more than {self._text(self.high)}: {self.why}")

    def _text(self, value: float) -> str:
        if self.unit == "mm" and 0 < value < FINEST_SHOWN_MM:
            return f"{value:g} mm"
        if self.unit == "mm":
            return f"{mm_text(value)} ({inches_text(value)})"
        return f"{value:g} {self.unit}".strip()


@cache
def bound(key: str) -> Bound:
    """Look a bound up; that of a size of a kind may stand under "any"."""
    table = load_table("bounds")
    name = key if key in table.index else f"{ANY_KIND}.{key.partition('.')[2]}"
    words = table[["unit", "why"]].fillna("").loc[name]
    low, high = (float(figure("bounds", name, column)) for column in ("low", "high"))
    return Bound(low, high, str(words["unit"]), str(words["why"]))
