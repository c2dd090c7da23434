"""Temperatures of one file in one unit: what one room settles holds for the others.

How: each room is judged by itself first. Where some are settled and agree, the others follow, if
that unit is possible for them; where they differ though nothing is written, or none is settled, it
is asked. So a freezer beside a kitchen, or outdoor air beside a room, needs no question. Checked on
made files of indoor and outdoor air, and of several rooms.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from climlog.errors import UndecidedError
from climlog.importer.log import Guess
from climlog.importer.sensors.columns import Pair
from climlog.importer.sensors.convert import UNIT_NAMES, Unit
from climlog.importer.sensors.sensor import Rows, temp_column
from climlog.importer.sensors.units import temperature_unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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
    settled: dict[Pair, set[Unit]] = {pair: set() for pair in pairs}
    open_for: dict[Pair, UndecidedError] = {}
    guessed: set[Unit] = set()
    for pair in pairs:
        for part in parts:
            try:
                unit, guess = temperature_unit(temp_column(rows, pair, part), pair.unit)
            except UndecidedError as undecided:
                open_for[pair] = undecided
                continue
            settled[pair].add(unit)
            guessed |= {unit} if guess else set()
    units = set().union(*settled.values())
    if len(units) != 1 or (not open_for and all(len(one) == 1 for one in settled.values())):
        if open_for and not units:
            raise next(iter(open_for.values()))
        return tuple(pairs)
    (unit,) = units
    because = "the other temperatures of this file are"
    guess = Guess("temperature unit", UNIT_NAMES[unit], because)
    return tuple(
        replace(pair, unit=unit, guesses=(*pair.guesses, guess)) if pair in open_for else pair
        for pair in pairs
    )
