"""The smallest phrases: days, temperatures, travels, and fastenings by the names a maker uses."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Fastening
from climlog.tables import load_table
from climlog.units import fahrenheit_from_celsius, length_text

if TYPE_CHECKING:
    from climlog.importer.log import Gap
    from climlog.model.fastening.fasteners import Travel

NO_LIMIT = "no limit"
NONE = "none"
NO_TRAVEL = "no travel"
LOCKED = "locked"
WITHOUT_RAIL = ("frame", "opening", "end", "drawer", "wall")
MINUS = "\N{MINUS SIGN}"
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


@dataclass(frozen=True)
class Say:
    """Writes what every sentence needs, bound to the reader's units.

    Attributes
    ----------
    units : {"inch", "metric"}
        Which units stand first.

    Examples
    --------
    >>> say = Say("metric")
    >>> say.length(3.2), say.temp(20), say.change(-3.2)
    ('3.2 mm (1/8 in)', '20 °C', '3.2 mm (1/8 in) narrower')
    """

    units: str

    def length(self, length_mm: float) -> str:
        """Write a length, the other unit beside it."""
        return length_text(length_mm, self.units)

    def change(self, change_mm: float) -> str:
        """Write a change of width by its size and its way."""
        way = "wider" if change_mm > 0 else "narrower"
        return f"{self.length(abs(change_mm))} {way}"

    def temp(self, temp_c: float) -> str:
        """Write a temperature."""
        return temp_text(temp_c, self.units)

    def room(self, length_mm: float) -> str:
        """Write a travel one way; none and no limit have their words."""
        return room_text(length_mm, self.units)

    def travel(self, travel: "Travel") -> str:
        """Write both travels, as one where nobody could tell them apart."""
        return travel_text(travel, self.units)

    @staticmethod
    def day(moment: date | datetime) -> str:
        """Write a day in words."""
        return day_text(moment)

    @staticmethod
    def listed(words: Sequence[str]) -> str:
        """Join words as a list in a sentence."""
        return joined(words)


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


def temp_text(temp_c: float, units: str) -> str:
    """Write a temperature in the reader's units, the other beside it."""
    if units == "metric":
        return f"{round(temp_c)} °C"
    return f"{round(fahrenheit_from_celsius(temp_c))} °F ({round(temp_c)} °C)"


def room_text(length_mm: float, units: str) -> str:
    """Write a travel; one under a twentieth of a millimetre is none."""
    if math.isinf(length_mm):
        return NO_LIMIT
    return NONE if length_mm < SMALLEST_LENGTH_MM else length_text(length_mm, units)


def travel_text(travel: "Travel", units: str) -> str:
    """Write both travels, swelling first; as one where nobody could tell them apart."""
    swell, shrink = room_text(travel.swell_mm, units), room_text(travel.shrink_mm, units)
    if swell == shrink == NONE:
        return NO_TRAVEL
    is_near = abs(travel.swell_mm - travel.shrink_mm) < SMALLEST_LENGTH_MM
    alike = swell == shrink or (is_near and NONE not in (swell, shrink))
    return f"{swell} each way" if alike else f"{swell} swelling, {shrink} shrinking"


def plural_of(kind: str) -> str:
    """Name fastenings of a kind.

    Examples
    --------
    >>> plural_of("figure-eight"), plural_of("corner-block")
    ('figure-eight plates', 'corner blocks')
    """
    return PLURALS.get(kind, f"{kind.replace('-', ' ')}s")


def fastenings_named(fastenings: Iterable[Fastening]) -> str:
    """Name fastenings by kind and rail, each kind once; edges in a frame have no rail."""
    places = load_table("fastening_kinds")["place"]
    rails: dict[str, dict[str, None]] = {}
    for one in fastenings:
        rails.setdefault(one.kind, {})[one.rail] = None
    return joined(
        [
            f"the {plural_of(kind)}"
            + (f" on {_where(tuple(on))}" if _has_rail(kind, str(places[kind])) else "")
            for kind, on in rails.items()
        ]
    )


def _has_rail(kind: str, place: str) -> bool:
    return place not in WITHOUT_RAIL and kind != "hinge"


def _where(rails: Sequence[str]) -> str:
    return f"the rails {rails[0]}" if len(rails) == 1 else "all rails"


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
    hours = "1 hour" if round(gap.hours) == 1 else f"{gap.hours:.0f} hours"
    return f"Gap of {hours} from {day_text(gap.first)} {gap.first:%H:%M}"


def step_text(minutes: float) -> str:
    """Say how often a log was read.

    Examples
    --------
    >>> step_text(1), step_text(30), step_text(60), step_text(1440)
    ('minute', '30 minutes', 'hour', 'day')
    """
    named = {1.0: "minute", 60.0: "hour", 1440.0: "day"}
    return named.get(minutes, f"{minutes:g} minutes")
