"""Temperatures of one file in one unit: what one room settles holds for the others.

How: each room is judged by itself first. Where some are settled and agree, the others follow, if
that unit is possible for them; where they differ though nothing is written, or none is settled, it
is asked. So a freezer beside a kitchen, or outdoor air beside a room, needs no question. Checked on
made files of indoor and outdoor air, and of several rooms.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from climlog.errors import Choice, UndecidedError
from climlog.importer.log import Guess
from climlog.importer.sensors.columns import Pair
from climlog.importer.sensors.convert import UNIT_NAMES, Unit
from climlog.importer.sensors.sensor import Rows, temp_column
from climlog.importer.sensors.units import temperature_unit
from climlog.importer.text.titles import temperature_unit_in

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_NAMED = 6


def with_common_unit(
    rows: Rows, pairs: Sequence[Pair], parts: "Sequence[NDArray[np.intp] | None]", told: str | None
) -> tuple[Pair, ...]:
    """Give pairs the unit of the others where their own numbers leave it open.

    Parameters
    ----------
    rows : Rows
        The file.
    pairs : sequence of Pair
        Columns of temperature and humidity.
    parts : sequence of array or None
        Rows of each sensor, None for all.
    told : str or None
        The unit that the user named.

    Raises
    ------
    UndecidedError
        If it stays open for all, or rooms whose unit is not written come out in different ones.
    """
    if told is not None or len(pairs) * len(parts) < 2:
        return tuple(pairs)
    found = [_judged(rows, pair, part) for pair in pairs for part in parts]
    undecided = [one for one in found if isinstance(one, UndecidedError)]
    settled = {one for one in found if not isinstance(one, UndecidedError)}
    units = {unit for unit, _ in settled}
    if not units and undecided:
        raise undecided[0]
    if len(units) > 1 and all(guessed for _, guessed in settled):
        raise _differ(rows, pairs, units)
    if len(units) != 1 or not undecided:
        return tuple(pairs)
    (unit,) = units
    because = "the other temperatures of this file are"
    guess = Guess("temperature unit", UNIT_NAMES[unit], because)
    return tuple(
        replace(pair, unit=unit, guesses=(*pair.guesses, guess)) if _is_open(rows, pair) else pair
        for pair in pairs
    )


def _judged(
    rows: Rows, pair: Pair, part: "NDArray[np.intp] | None"
) -> tuple[Unit, bool] | UndecidedError:
    """Give the unit of one sensor and whether it was guessed, or what leaves it open."""
    try:
        unit, guess = temperature_unit(temp_column(rows, pair, part), pair.unit)
    except UndecidedError as undecided:
        return undecided
    return unit, guess is not None


def _is_open(rows: Rows, pair: Pair) -> bool:
    """Say whether nothing is written about the unit of a pair."""
    column = temp_column(rows, pair, None)
    written = temperature_unit_in(column.title) or column.numbers.unit or pair.unit
    return written is None and not column.numbers.mixed


def _differ(rows: Rows, pairs: Sequence[Pair], units: set[Unit]) -> UndecidedError:
    names = " and ".join(sorted(UNIT_NAMES[unit] for unit in units))
    titles = ", ".join(f'"{rows.layout.titles[pair.temperature]}"' for pair in pairs[:MOST_NAMED])
    choices = [Choice({"temp_unit": unit.value}, UNIT_NAMES[unit]) for unit in sorted(units)]
    return UndecidedError(
        f"{rows.file}: no unit is written, and by their numbers {titles} are in {names}", choices
    )
