"""Units: the only place for 273.15, 25.4 and every conversion between them.

Inside climlog a quantity has one unit, in its name: temp_c, rh_pct, width_mm. People write
lengths as they measure them ("37 15/16 in", "965 mm", "3 ft 2 in"); `parse_length` reads them
and `length_text` writes them back.
"""

import re
import unicodedata
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, TypeVar

from climlog.errors import UnknownNameError, UnusableInputError, shown

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Number = TypeVar("Number", float, NDArray[np.float64])

ZERO_CELSIUS_K = 273.15
MM_PER_INCH = 25.4
MM_PER_UNIT = {
    "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "inch": MM_PER_INCH,
    "inches": MM_PER_INCH, '"': MM_PER_INCH, "ft": 12 * MM_PER_INCH, "foot": 12 * MM_PER_INCH,
    "feet": 12 * MM_PER_INCH, "'": 12 * MM_PER_INCH,
}  # fmt: skip
GRAMS_PER_UNIT = {"g": 1.0, "kg": 1000.0, "lb": 453.59237, "lbs": 453.59237, "oz": 28.349523125}
MM_PER_M = 1000.0
SECONDS_PER_HOUR = 3600.0
SECONDS_PER_DAY = 86400.0
HOURS_PER_DAY = 24.0
DAYS_PER_WEEK = 7
DAYS_PER_YEAR = 365
"""Of the calendar, 29 February left out."""
MEAN_DAYS_PER_YEAR = 365.2425
"""With leap days as the Gregorian calendar has them: of years on end, and of the season's angle."""
LENGTH_FIX = 'write a number and a unit, such as "965 mm", "38 in", "37 15/16 in" or "3 ft 2 in"'

TYPOGRAPHIC = str.maketrans(
    {"\u2033": '"', "\u2032": "'", "\u2212": "-", "\u201d": '"', "\u2019": "'", "\u2044": "/"}
)
_VULGAR = re.compile("[\u00bc-\u00be\u2150-\u215e]")
_AMOUNT = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?|[.,]\d+)"
_PART = re.compile(
    rf"\s*({_AMOUNT})\s*(mm|cm|m|inches|inch|in|feet|foot|ft|\"|')\.?", re.IGNORECASE
)
METRIC = frozenset({"mm", "cm", "m"})
_THOUSANDS = re.compile(
    "(?<![\\d.,])[1-9]\\d{0,2}(?:[,' \u00a0\u202f]\\d{3})+(?![\\d/])(?:[.,]\\d+)?"
)
"""One to three figures, then groups of three: a mark that divides thousands, or seems to."""

_WEIGHT = re.compile(r"(\d+(?:[.,]\d+)?)\s*(kg|g|lbs|lb|oz)\b\.?\s*", re.IGNORECASE)
_TEMPERATURE = re.compile(r"\s*(-?\d+(?:[.,]\d+)?)\s*(?:°|deg)?\s*([CFK])\s*", re.IGNORECASE)


def celsius_from_fahrenheit(temp_f: "Number") -> "Number":
    """Convert °F to °C."""
    return (temp_f - 32.0) / 1.8


def fahrenheit_from_celsius(temp_c: "Number") -> "Number":
    """Convert °C to °F."""
    return temp_c * 1.8 + 32.0


def kelvin_from_celsius(temp_c: "Number") -> "Number":
    """Convert °C to K."""
    return temp_c + ZERO_CELSIUS_K


def celsius_from_kelvin(temp_k: "Number") -> "Number":
    """Convert K to °C."""
    return temp_k - ZERO_CELSIUS_K


def parse_length(text: str) -> float:
    """Read a length as people write it.

    Parameters
    ----------
    text : str
        One or more amounts with units: mm, cm, m, in or ", ft or '. Fractions and mixed
        numbers are welcome; a leading minus sign turns the whole length round.

    Returns
    -------
    float
        [mm]

    Raises
    ------
    UnusableInputError
        If a unit is missing or something else stands in the text.

    Examples
    --------
    >>> parse_length("37 15/16 in"), parse_length("96.5 cm")
    (963.6125, 965.0)
    """
    whole = _VULGAR.sub(_fraction, str(text)).strip().translate(TYPOGRAPHIC)
    _refuse_thousands(text, whole)
    sign, rest = (-1.0, whole[1:]) if whole.startswith("-") else (1.0, whole.removeprefix("+"))
    parts: list[tuple[float, str]] = []
    while rest.strip():
        part = _PART.match(rest)
        if part is None:
            raise UnusableInputError(f'"{shown(text)}" is not a length: {LENGTH_FIX}')
        parts.append((_amount(part[1]), part[2].lower()))
        rest = rest[part.end() :]
    if not parts:
        raise UnusableInputError(f"an empty text is not a length: {LENGTH_FIX}")
    steps = [MM_PER_UNIT[unit] for _, unit in parts]
    if steps != sorted(set(steps), reverse=True) or len({unit in METRIC for _, unit in parts}) > 1:
        raise UnusableInputError(
            f'"{shown(text)}" mixes its units: each once, the largest first, as in "3 ft 2 in"'
        )
    return sign * sum(amount * MM_PER_UNIT[unit] for amount, unit in parts)


def _fraction(sign: re.Match[str]) -> str:
    """Write a fraction that is one character with figures."""
    return " " + unicodedata.normalize("NFKC", sign[0])


def _refuse_thousands(text: object, whole: str) -> None:
    """Refuse a number whose mark may divide thousands or decimals: 1,219 is 1219 to one reader."""
    found = _THOUSANDS.search(whole)
    if found is None:
        return
    plain = re.sub("[,' \u00a0\u202f](?=\\d{3})", "", found[0])
    other = found[0].replace(",", ".") if re.fullmatch(r"\d+,\d{3}", found[0]) else ""
    raise UnusableInputError(
        f'"{shown(text)}" has a mark that divides thousands, or decimals: write {plain}'
        + (f" or {other}" if other else "")
    )


def _amount(text: str) -> float:
    try:
        return float(sum(Fraction(piece) for piece in re.split("[ -]", text.replace(",", "."))))
    except ZeroDivisionError as error:
        raise UnusableInputError(
            f'"{shown(text)}" divides by nothing: check the fraction'
        ) from error
    except (OverflowError, ValueError) as error:
        raise UnusableInputError(f'"{text[:20]}..." is no size of wood: too many digits') from error


def parse_weight(text: str) -> float:
    """Read a weight with its units, such as "4310 g", "4.31 kg" or "9 lb 8 oz".

    Returns
    -------
    float
        [g]

    Raises
    ------
    UnusableInputError
        If a unit is missing or something else stands in the text.

    Examples
    --------
    >>> parse_weight("9 lb 8 oz"), parse_weight("4.31 kg")
    (4309.127515, 4310.0)
    """
    rest, total_g = str(text).strip(), 0.0
    _refuse_thousands(text, rest)
    while rest:
        part = _WEIGHT.match(rest)
        if part is None:
            break
        total_g += float(part[1].replace(",", ".")) * GRAMS_PER_UNIT[part[2].lower()]
        rest = rest[part.end() :].strip()
    if rest or not str(text).strip():
        raise UnusableInputError(
            f'"{shown(text)}" is not a weight; write "4310 g", "4.31 kg" or "9 lb 8 oz"'
        )
    return total_g


def parse_temperature(text: str) -> float:
    """Read a temperature with its unit, such as "15 °C" or "59 F".

    Returns
    -------
    float
        [°C]

    Raises
    ------
    UnusableInputError
        If it is no number with C, F or K behind it.

    Examples
    --------
    >>> parse_temperature("59 F"), parse_temperature("-3 °C")
    (15.0, -3.0)
    """
    part = _TEMPERATURE.fullmatch(str(text))
    if part is None:
        raise UnusableInputError(f'"{shown(text)}" is not a temperature; write "15 °C" or "59 °F"')
    number, unit = float(part[1].replace(",", ".")), part[2].upper()
    if unit == "F":
        return celsius_from_fahrenheit(number)
    return celsius_from_kelvin(number) if unit == "K" else number


class Units(StrEnum):
    """Which units stand first, and in whose steps a maker works."""

    METRIC = "metric"
    INCH = "inch"


def known_units(units: str) -> Units:
    """Take units by name.

    Raises
    ------
    UnknownNameError
        If they are neither "metric" nor "inch".

    Examples
    --------
    >>> known_units("inch")
    <Units.INCH: 'inch'>
    """
    try:
        return Units(units)
    except ValueError:
        raise UnknownNameError(
            f'no units are called "{shown(str(units))}": say "metric" or "inch"'
        ) from None


def inches_text(length_mm: float, parts: int = 64) -> str:
    """Write a length in inches, to the nearest part of an inch, fraction reduced.

    Examples
    --------
    >>> inches_text(963.6125), inches_text(-3.2), inches_text(0.1)
    ('37 15/16 in', '-1/8 in', '0 in')
    """
    steps = round(abs(length_mm) / MM_PER_INCH * parts)
    whole, rest = divmod(steps, parts)
    sign = "-" if length_mm < 0 and steps else ""
    fraction = str(Fraction(rest, parts)) if rest else ""
    amount = " ".join(
        piece for piece in (str(whole) if whole or not rest else "", fraction) if piece
    )
    return f"{sign}{amount} in"


def mm_text(length_mm: float) -> str:
    """Write a length in millimetres: one decimal under 100 mm, none above.

    Examples
    --------
    >>> mm_text(3.24), mm_text(963.6), mm_text(-0.02)
    ('3.2 mm', '964 mm', '0.0 mm')
    """
    places = 1 if abs(length_mm) < 100 else 0
    return f"{round(length_mm, places) + 0.0:.{places}f} mm"


def length_text(length_mm: float, units: str) -> str:
    """Write a length in the reader's units, "inch" or "metric", with the other beside it.

    Examples
    --------
    >>> length_text(3.2, "inch"), length_text(3.2, "metric")
    ('1/8 in (3.2 mm)', '3.2 mm (1/8 in)')
    """
    first, second = inches_text(length_mm), mm_text(length_mm)
    if units == "metric":
        first, second = second, first
    return f"{first} ({second})"
