"""Moisture from weights and meters, and how fast green wood may safely lose it.

Moisture is water per oven-dry mass. A weight tells moisture once the oven-dry weight of the board
is known, measured or worked out from one weighing and the moisture at that time.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from climlog.errors import ImpossibleValueError
from climlog.model.board import Wood
from climlog.tables import figure, load_table
from climlog.units import MM_PER_INCH

FOUR_QUARTER_MM = MM_PER_INCH
EIGHT_QUARTER_MM = 2 * MM_PER_INCH
"""Thicknesses of green stock that the table of safe rates is made for: one inch and two."""
ROUNDING = 1e-9
"""Grams or points that are no difference but the last digit of a sum."""

room_limit = partial(figure, "room_limits")


def moisture_from_weights_pct(weight_g: float, oven_dry_g: float) -> float:
    """Tell the moisture of wood from its weight.

    Parameters
    ----------
    weight_g, oven_dry_g : float
        Now, and with no water left; both more than 0. [g]

    Returns
    -------
    float
        [% of the oven-dry mass]

    Raises
    ------
    ImpossibleValueError
        If a weight is not positive, or the wood weighs less than when oven-dry.

    Examples
    --------
    >>> round(moisture_from_weights_pct(4310.0, 3920.0), 1)
    9.9
    """
    if not (oven_dry_g > 0 and weight_g >= oven_dry_g * (1.0 - ROUNDING)):
        raise ImpossibleValueError(
            f"a board of {weight_g:g} g cannot weigh {oven_dry_g:g} g oven-dry: it must lose weight"
        )
    return max(100.0 * (weight_g / oven_dry_g - 1.0), 0.0)


def oven_dry_weight_g(weight_g: float, moisture_pct: float) -> float:
    """Calculate what a board would weigh oven-dry, from one weighing at a known moisture.

    Parameters
    ----------
    weight_g : float
        At the time the moisture was taken, more than 0. [g]
    moisture_pct : float
        0 or more. [%]

    Returns
    -------
    float
        [g]

    Raises
    ------
    ImpossibleValueError
        If the weight is not positive or the moisture negative.

    Examples
    --------
    >>> oven_dry_weight_g(1500.0, 50.0)
    1000.0
    """
    if not (weight_g > 0 and moisture_pct >= 0):
        raise ImpossibleValueError(
            f"{weight_g:g} g at {moisture_pct:g} % moisture is not a possible board"
        )
    return weight_g * 100.0 / (100.0 + moisture_pct)


def meter_at_temperature_pct(
    reading_pct: float, wood_temp_c: float, calibrated_at_c: float | None = None
) -> float:
    """Correct the reading of a pin meter for the temperature of the wood.

    Parameters
    ----------
    reading_pct : float
        As the meter shows it, species corrected. [%]
    wood_temp_c : float
        [°C]
    calibrated_at_c : float, optional
        Of the meter; left out, the usual one of tables/room_limits.csv. [°C]

    Returns
    -------
    float
        Half a point more for each 5.6 °C colder, less for each warmer; never below 0. [%]

    References
    ----------
    .. [1] Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, ch. 13.

    Examples
    --------
    >>> round(meter_at_temperature_pct(10.0, 8.8), 2)
    11.0
    """
    base_c = room_limit("meter_calibration") if calibrated_at_c is None else calibrated_at_c
    steps = (base_c - wood_temp_c) / room_limit("meter_step_temp")
    return max(reading_pct + steps * room_limit("meter_step"), 0.0)


@dataclass(frozen=True)
class SafeRate:
    """How fast a green hardwood may lose moisture: guidance recalled, never a limit.

    Attributes
    ----------
    pct_per_day : float
        [% moisture/day]
    wood : str
        The row of tables/safe_drying_rates.csv.
    beyond_table : bool
        True where the board is thinner than 4/4 or thicker than 8/4 and the nearest row or the
        power between the two thicknesses was taken.
    """

    pct_per_day: float
    wood: str
    note: str
    mark: str
    beyond_table: bool


def safe_rate(wood: Wood, thickness_mm: float) -> SafeRate | None:
    """Tell how fast a green board may lose moisture, as far as the table knows.

    Parameters
    ----------
    wood : Wood
    thickness_mm : float
        [mm]

    Returns
    -------
    SafeRate or None
        None where the table has no such wood. Between 4/4 and 8/4 the rate falls as a power of
        the thickness; thicker boards follow that power, thinner ones keep the rate of 4/4.
    """
    table = load_table("safe_drying_rates")
    if wood.name not in table.index:
        return None
    thin, thick = (
        float(table[column][wood.name])
        for column in ("four_quarter_pct_per_day", "eight_quarter_pct_per_day")
    )
    power = np.log(thick / thin) / np.log(EIGHT_QUARTER_MM / FOUR_QUARTER_MM)
    scaled = max(thickness_mm / FOUR_QUARTER_MM, 1.0)
    note = table["note"].fillna("")[wood.name]
    return SafeRate(
        pct_per_day=float(thin * scaled**power),
        wood=wood.name,
        note=str(note),
        mark=str(table["mark"][wood.name]),
        beyond_table=not FOUR_QUARTER_MM <= thickness_mm <= EIGHT_QUARTER_MM,
    )
