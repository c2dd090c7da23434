"""Temperature and humidity among columns whose titles say nothing: by what the numbers can be.

How: every two columns are tried as temperature, in each unit, and humidity. What another column
proves (it is the dew point of just these two, or one is the other in °F) is taken; so is the only
way there is. Of several, none is: the question names them all. Only the first dozen columns that
can be either are tried, so that the work does not grow with the square of the columns.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from climlog.errors import Choice, UndecidedError, UnusableInputError
from climlog.importer.faults.plausible import celsius, possible_humidity
from climlog.importer.log import Guess
from climlog.importer.sensors.alike import is_dew_point, per_cent, same_in_other_unit
from climlog.importer.sensors.convert import UNIT_NAMES, Unit, without_codes
from climlog.importer.sensors.units import units_of_air
from climlog.importer.text.cells import unit_of
from climlog.importer.text.layout import Layout
from climlog.importer.text.named import listed, option_for
from climlog.importer.text.titles import temperature_unit_in

if TYPE_CHECKING:
    from numpy.typing import NDArray

MOST_TRIED = 12
"""Columns that are tried with each other; a file of more readings without titles is refused."""
MOST_CHOICES = 6
FEWEST_ROWS = 12
"""Rows from which on the only way that numbers can be air is taken; fewer may fit by chance."""
COUNTED_RUN = 1.0


@dataclass(frozen=True)
class Way:
    """Columns of temperature and humidity, and the unit of temperature."""

    temp: int
    humid: int
    unit: Unit


def pair_by_numbers(
    file: str, layout: Layout, numeric: Sequence[int], told: tuple[int | None, int | None]
) -> tuple[Way, Guess]:
    """Find the one way in which columns without telling titles can be air.

    Parameters
    ----------
    numeric : sequence of int
        Columns of numbers that are no times.
    told : tuple
        The columns of temperature and humidity as far as the user named them.

    Raises
    ------
    UndecidedError
        If there are several ways.
    UnusableInputError
        If there is none.
    """
    moving = [n for n in numeric if _moves(layout.columns[n].numbers)]
    temps = [told[0]] if told[0] is not None else moving
    humids = [told[1]] if told[1] is not None else [n for n in moving if _is_humid(layout, n)]
    if max(len(temps), len(humids)) > MOST_TRIED:
        raise UnusableInputError(
            f"{file}: {len(moving)} columns of numbers and no titles that tell which is "
            "temperature and which humidity; export with titles"
        )
    ways = [
        Way(t, h, unit) for t in temps for h in humids if t != h for unit in _units(layout, t, h)
    ]
    proved = [way for way in ways if _is_proved(layout, way, numeric)]
    enough = len(layout.sample) >= FEWEST_ROWS
    if len(proved) == 1 or (len(ways) == 1 and not proved and enough):
        way = (proved or ways)[0]
        return way, _guess(layout, way, bool(proved))
    if not ways:
        raise UnusableInputError(f"{file}: {_none(layout, moving)}")
    if len(proved or ways) > MOST_CHOICES:
        raise UnusableInputError(
            f"{file}: the titles are missing, and the numbers can be air in {len(ways)} ways; "
            "export with titles"
        )
    raise _question(file, layout, proved or ways)


def _moves(values: "NDArray[np.float64]") -> bool:
    """Say whether numbers change as readings do: not constant, not row numbers, not 0 and 1."""
    known = without_codes(values)
    if known.size < 2 or np.ptp(known) == 0 or set(np.unique(known)) <= {0.0, 1.0}:
        return False
    steps = np.diff(known)
    return not bool((steps == COUNTED_RUN).all() and known.size > 3)


def _is_humid(layout: Layout, column: int) -> bool:
    written = _written(layout, column)
    if written and "%" not in written and "rh" not in written.lower():
        return False
    return possible_humidity(without_codes(layout.columns[column].numbers))


def _written(layout: Layout, column: int) -> str:
    """Give the unit that stands behind the numbers of a column, "" where none or several do."""
    units = {unit_of(cell) for cell in layout.columns[column].filled}
    return units.pop() if len(units) == 1 else ""


def _units(layout: Layout, temp: int, humid: int) -> tuple[Unit, ...]:
    values = without_codes(layout.columns[temp].numbers)
    written = _written(layout, temp)
    if not values.size or "%" in written or "rh" in written.lower():
        return ()
    stated = temperature_unit_in(f"({written.lstrip('°º˚* ')})") if written else None
    if stated is not None:
        return (Unit(stated),)
    return units_of_air(values, per_cent(without_codes(layout.columns[humid].numbers)))


def _is_proved(layout: Layout, way: Way, numeric: Sequence[int]) -> bool:
    """Say whether a third column is the dew point of these two, or the temperature in °F or °C."""
    temp, rh = (layout.columns[n].values for n in (way.temp, way.humid))
    rest = [layout.columns[n].values for n in numeric if n not in (way.temp, way.humid)]
    for other in rest:
        if is_dew_point(other, temp, rh, way.unit):
            return True
        if way.unit == Unit.C and same_in_other_unit(temp, other):
            return True
    return False


def _guess(layout: Layout, way: Way, proved: bool) -> Guess:
    t, h = (layout.columns[n].numbers for n in (way.temp, way.humid))
    because = "another column proves it" if proved else "only this pair, in this unit, can be air"
    return Guess(
        "columns",
        f"column {way.temp + 1} temperature in {UNIT_NAMES[way.unit]}, column {way.humid + 1} "
        "humidity",
        f"no titles tell; column {way.temp + 1} runs {t.min():g} to {t.max():g}, column "
        f"{way.humid + 1} {h.min():g} to {h.max():g}; {because}",
    )


def _none(layout: Layout, moving: Sequence[int]) -> str:
    runs = [
        f"column {n + 1} runs {v.min():g} to {v.max():g}"
        for n in moving[:MOST_TRIED]
        if (v := layout.columns[n].numbers).size
    ]
    which = f"of {listed(layout, moving)} " if layout.named else ""
    return (
        f"temperature or humidity is missing: no two columns {which}can be both "
        f"({', '.join(runs) or 'none holds changing numbers'}); export with titles"
    )


def _question(file: str, layout: Layout, ways: Sequence[Way]) -> UndecidedError:
    choices = []
    for way in ways:
        temp = float(np.median(without_codes(layout.columns[way.temp].numbers)))
        rh = float(np.median(per_cent(without_codes(layout.columns[way.humid].numbers))))
        says = f"{celsius(np.array([temp]), way.unit)[0]:.0f} °C and {rh:.0f} % in the middle"
        options = {
            "temp_column": option_for(layout, way.temp),
            "rh_column": option_for(layout, way.humid),
            "temp_unit": way.unit.value,
        }
        choices.append(Choice(options, says))
    why = "the titles stand over too few columns" if layout.unsure else "no titles tell the columns"
    problem = f"{file}: {why}, and their numbers can be air in {len(ways)} ways"
    return UndecidedError(problem, choices, "export with titles")
