"""The smallest phrases: days, temperatures, travels, and fastenings by the names a maker uses."""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, TypeVar

from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening
from climlog.tables import load_table
from climlog.units import HOURS_PER_DAY, Units, fahrenheit_from_celsius, inches_text, mm_text

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from climlog.importer.log import Gap
    from climlog.model.fastening.fasteners import Travel

    Number = TypeVar("Number", float, NDArray[np.float64])

NO_LIMIT = "no limit"
NONE = "none"
NO_TRAVEL = "no travel"
LOCKED = "held fast"
WITHOUT_RAIL = ("frame", "opening", "end", "drawer", "wall")
MINUS = "\N{MINUS SIGN}"
HOURS_TOLD_TO_DAYS = 3
"""Spans up to so many days are told in hours."""
NO_INCH, UNDER_AN_INCH_PART = "0 in", "under 1/64 in"
INCH_PARTS = ((1.6, 64), (2540.0, 32), (math.inf, 16))
"""Parts of an inch that a length is told in, below so many mm: what a rule or a tape shows there;
64ths only where a 32nd would be half of what is told."""
PLURALS = {
    "figure-eight": "figure-eight plates",
    "slot": "slotted screws",
    "screw": "plain screws",
    "pin": "tight pins",
    "glue": "glue",
    "nails": "nails",
    "pocket-screw": "pocket screws",
    "dovetail-batten": "dovetail battens",
    "breadboard": "breadboard pegs",
    "channel": "channel bolts",
    "panel": "panel edges in their grooves",
    "drawer-front": "drawer-front edges",
    "drawer-bottom": "drawer-bottom screws",
    "door": "door edges",
    "floor": "floor edges",
}

SHORT_PLURALS = {
    "figure-eight": "plates",
    "pin": "pins",
    "breadboard": "pegs",
    "channel": "bolts",
    "panel": "edges",
    "drawer-front": "edges",
    "drawer-bottom": "screws",
    "door": "edges",
    "floor": "edges",
    "screw": "screws",
}


@dataclass(frozen=True)
class Say:
    """Writes what every sentence needs, bound to the reader's units.

    Attributes
    ----------
    units : Units
        Which units stand first.

    Examples
    --------
    >>> say = Say(Units.METRIC)
    >>> say.length(3.2), say.temp(20), say.change(-3.2)
    ('3.2 mm (1/8 in)', '20 °C', '3.2 mm (1/8 in) narrower')
    """

    units: Units

    @property
    def is_inch(self) -> bool:
        """Whether the reader measures in inches."""
        return self.units == Units.INCH

    @property
    def other(self) -> "Say":
        """The same for a reader of the other units."""
        return Say(Units.METRIC if self.is_inch else Units.INCH)

    @property
    def unit(self) -> str:
        """Unit of length."""
        return "in" if self.is_inch else "mm"

    @property
    def temp_unit(self) -> str:
        """Unit of temperature."""
        return "°F" if self.is_inch else "°C"

    def size(self, length_mm: float) -> str:
        """Write a length in the reader's units alone, an inch in parts that a rule shows.

        Examples
        --------
        >>> Say(Units.INCH).size(6.5), Say(Units.INCH).size(1003.0), Say(Units.METRIC).size(6.5)
        ('1/4 in', '39 1/2 in', '6.5 mm')
        >>> Say(Units.INCH).size(0.15), Say(Units.INCH).size(0.0)
        ('under 1/64 in', '0 in')
        """
        if not self.is_inch:
            return mm_text(length_mm)
        fits = (parts for most_mm, parts in INCH_PARTS if abs(length_mm) < most_mm)
        told = inches_text(length_mm, next(fits))
        is_lost = told == NO_INCH and abs(length_mm) >= SMALLEST_LENGTH_MM
        return UNDER_AN_INCH_PART if is_lost else told

    def fine(self, length_mm: float) -> str:
        """Write a size to work to: to 0.5 mm or 1/32 in.

        Examples
        --------
        >>> Say(Units.METRIC).fine(6.4), Say(Units.METRIC).fine(12.0), Say(Units.INCH).fine(6.35)
        ('6.5 mm', '12 mm', '1/4 in')
        """
        if self.is_inch:
            return inches_text(length_mm, 32)
        return f"{round(2 * length_mm) / 2:g} mm" if length_mm < 1e5 else mm_text(length_mm)

    def length(self, length_mm: float) -> str:
        """Write a length, the other unit beside it."""
        return f"{self.size(length_mm)} ({self.other.size(length_mm)})"

    def change(self, change_mm: float) -> str:
        """Write a change of width by its size and its way."""
        return f"{self.length(abs(change_mm))} {way_of(change_mm)}"

    def signed(self, change_mm: float) -> str:
        """Write a change of width as a picture does, in the reader's units alone.

        Examples
        --------
        >>> Say(Units.METRIC).signed(3.2), Say(Units.METRIC).signed(0.0)
        ('+3.2 mm', '0.0 mm')
        """
        amount = self.size(abs(change_mm))
        if amount.startswith("0 ") or amount.startswith("0.0 "):
            return amount
        return ("+" if change_mm > 0 else MINUS) + amount

    def temp(self, temp_c: float) -> str:
        """Write a temperature, on an inch reader's scale with the other beside it."""
        metric = f"{round(temp_c)} °C"
        return f"{round(fahrenheit_from_celsius(temp_c))} °F ({metric})" if self.is_inch else metric

    def bare_temp(self, temp_c: float) -> str:
        """Write a temperature on the reader's scale alone.

        Examples
        --------
        >>> Say("inch").bare_temp(20.0), Say("metric").bare_temp(-0.3)
        ('68 °F', '0 °C')
        """
        return f"{round(self.temp_number(temp_c))} {self.temp_unit}"

    def temp_difference(self, kelvin: float) -> str:
        """Write by how much one temperature lies from another.

        Examples
        --------
        >>> Say(Units.INCH).temp_difference(5.0), Say(Units.METRIC).temp_difference(5.0)
        ('9 °F (5 °C)', '5 °C')
        """
        apart = f"{kelvin:.0f} °C"
        if not self.is_inch:
            return apart
        wide = fahrenheit_from_celsius(kelvin) - fahrenheit_from_celsius(0.0)
        return f"{wide:.0f} °F ({apart})"

    def temp_number(self, temp_c: "Number") -> "Number":
        """Turn temperatures into the reader's own, without a unit."""
        return fahrenheit_from_celsius(temp_c) if self.is_inch else temp_c

    def room(self, length_mm: float) -> str:
        """Write a travel one way; none and no limit have their words."""
        if math.isinf(length_mm):
            return NO_LIMIT
        return NONE if length_mm < SMALLEST_LENGTH_MM else self.length(length_mm)

    def bare_room(self, length_mm: float) -> str:
        """Write a travel one way in the reader's units alone."""
        if math.isinf(length_mm):
            return NO_LIMIT
        return NONE if length_mm < SMALLEST_LENGTH_MM else self.size(length_mm)

    def bare_travel(self, travel: "Travel") -> str:
        """Write both travels in the reader's units alone, swelling first; alike ones once."""
        swell, shrink = self.bare_room(travel.swell_mm), self.bare_room(travel.shrink_mm)
        if swell == shrink:
            return NONE if swell == NONE else f"{swell} each way"
        return f"{swell} swelling and {shrink} shrinking"

    def travel(self, travel: "Travel") -> str:
        """Write both travels, swelling first; as one where nobody could tell them apart."""
        swell, shrink = self.room(travel.swell_mm), self.room(travel.shrink_mm)
        if swell == shrink == NONE:
            return NO_TRAVEL
        is_near = abs(travel.swell_mm - travel.shrink_mm) < SMALLEST_LENGTH_MM
        alike = swell == shrink or (is_near and NONE not in (swell, shrink))
        return f"{swell} each way" if alike else f"{swell} swelling, {shrink} shrinking"

    @staticmethod
    def day(moment: date | datetime) -> str:
        """Write a day in words."""
        return day_text(moment)

    @staticmethod
    def days(count: float) -> str:
        """Write a number of days."""
        return days_text(count)

    @staticmethod
    def listed(words: Sequence[str]) -> str:
        """Join words as a list in a sentence."""
        return joined(words)


def way_of(change_mm: float) -> str:
    """Name the way a width changes."""
    return "wider" if change_mm > 0 else "narrower"


def short_day(moment: date | datetime) -> str:
    """Write a day as a picture does, the same on every system.

    Examples
    --------
    >>> short_day(date(2026, 2, 10))
    '10 Feb 2026'
    """
    return f"{moment.day} {moment:%b %Y}"


def day_text(moment: date | datetime) -> str:
    """Write a day in words, the same on every system.

    Examples
    --------
    >>> day_text(date(2026, 2, 10))
    '10 February 2026'
    """
    return f"{moment.day} {moment:%B %Y}"


def days_text(days: float) -> str:
    """Write a number of days.

    Examples
    --------
    >>> days_text(0.9), days_text(21.3)
    ('1 day', '21 days')
    """
    count = max(1, round(days))
    return "1 day" if count == 1 else f"{count} days"


def plural_of(kind: str, count: float = math.inf) -> str:
    """Name fastenings of a kind; one of them in the singular.

    Examples
    --------
    >>> plural_of("figure-eight"), plural_of("corner-block"), plural_of("clip", 1)
    ('figure-eight plates', 'corner blocks', 'clip')
    """
    return _in_number(PLURALS.get(kind, f"{kind.replace('-', ' ')}s"), count)


def short_plural(kind: str, count: float = math.inf) -> str:
    """Name fastenings of a kind in as few words as a headline has."""
    return _in_number(SHORT_PLURALS.get(kind) or plural_of(kind), count)


def _in_number(many: str, count: float) -> str:
    """Put a name of several in the singular where there is one: its first word in -s loses it."""
    if count != 1:
        return many
    words = ["its" if word == "their" else word.removesuffix("s") for word in many.split()]
    return " ".join(words)


def kinds_in_short(fastenings: Iterable[Fastening]) -> str:
    """Name fastenings by kind alone, as the shortest headline does."""
    counts = Counter(one.kind for one in fastenings)
    return joined([f"the {short_plural(kind, count)}" for kind, count in counts.items()])


def fastenings_in_short(fastenings: Iterable[Fastening]) -> str:
    """Name fastenings by kind and rail in as few words as a headline has."""
    return _named(fastenings, short_plural, "")


def fastenings_named(fastenings: Iterable[Fastening]) -> str:
    """Name fastenings by kind and rail, each kind once; edges in a frame have no rail."""
    return _named(fastenings, plural_of, "on the rails ")


def with_numbers(indices: Sequence[int], fastenings: Sequence[Fastening]) -> str:
    """Name fastenings with the numbers that the plan and every list give them."""
    word = "number" if len(indices) == 1 else "numbers"
    named = fastenings_named(fastenings[i] for i in indices)
    return f"{named} ({word} {numbers_text([i + 1 for i in indices])})"


def _named(
    fastenings: Iterable[Fastening], named: Callable[[str, float], str], rails_are: str
) -> str:
    rails: dict[str, Counter[str]] = {}
    for one in fastenings:
        rails.setdefault(one.kind, Counter())[one.rail] += 1
    return joined(
        [
            f"the {named(kind, on.total())}"
            + (_where(tuple(on), rails_are) if has_rail(kind) else "")
            for kind, on in rails.items()
        ]
    )


def has_rail(kind: str) -> bool:
    """Whether a kind of fastening sits on a rail; edges in a frame or an opening do not."""
    place = str(load_table("fastening_kinds")["place"][kind])
    return place not in WITHOUT_RAIL and kind != "hinge"


def _where(rails: Sequence[str], rails_are: str) -> str:
    if len(rails) > 1:
        return " on all rails"
    return f" {rails_are}{rails[0]}"


def joined(words: Sequence[str]) -> str:
    """Join words as a list in a sentence.

    Examples
    --------
    >>> joined(("slots", "clips", "glue"))
    'slots, clips and glue'
    """
    if len(words) <= 1:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def numbers_text(numbers: Sequence[int]) -> str:
    """Write numbers, runs shortened.

    Examples
    --------
    >>> numbers_text((1, 2, 3, 5, 8, 9))
    '1-3, 5, 8-9'
    """
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{a}-{b}" if b > a else f"{a}" for a, b in runs)


def sentence(text: str) -> str:
    """Give a text a capital at its start."""
    return text[:1].upper() + text[1:]


def gap_text(gap: "Gap") -> str:
    """Say how long nothing was read."""
    return f"Gap of {hours_text(gap.hours)} from {day_text(gap.first)} {gap.first:%H:%M}"


def hours_text(hours: float) -> str:
    """Write a span of time in minutes, hours or days, whichever is read at a glance.

    Examples
    --------
    >>> hours_text(0.2), hours_text(1.0), hours_text(30), hours_text(24 * 21)
    ('12 minutes', '1 hour', '30 hours', '21 days')
    """
    if hours >= HOURS_TOLD_TO_DAYS * HOURS_PER_DAY:
        return days_text(hours / HOURS_PER_DAY)
    amount, unit = (round(hours), "hour") if hours >= 1.0 else (max(1, round(60 * hours)), "minute")
    return f"{amount} {unit}{'' if amount == 1 else 's'}"


def step_text(minutes: float) -> str:
    """Say how often a log was read.

    Examples
    --------
    >>> step_text(1), step_text(30), step_text(60), step_text(1440)
    ('minute', '30 minutes', 'hour', 'day')
    """
    named = {1.0: "minute", 60.0: "hour", 1440.0: "day"}
    return named.get(minutes, f"{minutes:g} minutes")
