"""A range of air as people write it: "30 to 60 % RH at 20 C", "35-55 %", "35 % to 55 % at 70 F"."""

import re
from dataclasses import dataclass

from climlog.errors import UnusableInputError, shown
from climlog.sheets.bounds import bound
from climlog.tables import figure
from climlog.units import parse_temperature

EXAMPLE = '"30 to 60 % RH at 20 C"'
_NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
_PERCENT = r"(?:%|per\s?cent|percent|pct)"
_HUMIDITY = r"(?:r\.?\s?h\.?|relative\s+humidity|humidity)"
_UNIT = rf"(?:\s*(?:{_PERCENT}\s*{_HUMIDITY}?|{_HUMIDITY}))"
_RANGE = re.compile(
    rf"(?:between|from|air|{_HUMIDITY}|:|\s)*"
    rf"(?P<one>{_NUMBER})(?P<unit_one>{_UNIT}?)"
    rf"\s*(?:to|till|until|up\s+to|and|\.\.\.?|[-\u2013\u2014])\s*"
    rf"(?P<other>{_NUMBER})(?P<unit_other>{_UNIT}?)"
    r"(?P<rest>.*)",
    re.IGNORECASE | re.DOTALL,
)
_AT = re.compile(r"[\s,;]*(?:at|@)?\s*", re.IGNORECASE)
_BARE_TEMPERATURE = re.compile(rf"{_NUMBER}\s*(?:°|deg(?:rees?)?)?", re.IGNORECASE)
_SHARE = 1.0
"""Two humidities of at most 1 are a share of 1, not per cent."""


@dataclass(frozen=True)
class AirRange:
    """Steady air between two humidities, at one temperature.

    Attributes
    ----------
    low_rh_pct, high_rh_pct : float
        From 0 to 100, the first below the second. [% RH]
    temp_c : float
        [°C]
    temp_is_given : bool
        Whether somebody said the temperature; else it is that of a room.
    """

    low_rh_pct: float
    high_rh_pct: float
    temp_c: float
    temp_is_given: bool = True

    def __post_init__(self) -> None:
        """Refuse air that there is not, and a range that is none."""
        for rh_pct in (self.low_rh_pct, self.high_rh_pct):
            bound("humidity").require(rh_pct, f"relative humidity {rh_pct:g} %")
        bound("what_if.temperature").require(self.temp_c, f"air temperature {self.temp_c:g} °C")
        if not self.low_rh_pct < self.high_rh_pct:
            raise UnusableInputError(
                f"{self.low_rh_pct:g} to {self.high_rh_pct:g} % is no range: give the least "
                f"humidity and a higher one, as {EXAMPLE}"
            )


def parse_air_range(text: str) -> AirRange:
    """Read a range of air.

    Parameters
    ----------
    text : str
        Two humidities in % RH, in either order; behind them, if it is not that of a room, one
        temperature in C, F or K.

    Returns
    -------
    AirRange
        The drier end first; a share such as 0.3 is refused, never taken for 30 %.

    Raises
    ------
    UnusableInputError
        If it is none, saying which word or number is wrong and how to write it.
    ImpossibleValueError
        If there is no such air.

    Examples
    --------
    >>> parse_air_range("35 % to 55 % RH at 68 F")
    AirRange(low_rh_pct=35.0, high_rh_pct=55.0, temp_c=20.0, temp_is_given=True)
    >>> parse_air_range("60-30 %").low_rh_pct
    30.0
    """
    found = _RANGE.fullmatch(text.strip())
    if found is None:
        raise UnusableInputError(
            f'"{shown(text)}" is no range of air: give the least and the most humidity, as '
            f"{EXAMPLE}"
        )
    if not (found["unit_one"] or found["unit_other"]):
        raise UnusableInputError(
            f'"{shown(text)}": say that {found["one"]} and {found["other"]} are % RH, as {EXAMPLE}'
        )
    ends = sorted(_number(found[name]) for name in ("one", "other"))
    if 0.0 < ends[1] <= _SHARE:
        raise UnusableInputError(
            f'"{shown(text)}": humidity is told in %, from 0 to 100; {ends[1]:g} may mean '
            f"{100 * ends[1]:g} %"
        )
    temp_c = _temperature(found["rest"], text)
    at_room_c = figure("air_spells", "temp") if temp_c is None else temp_c
    return AirRange(ends[0], ends[1], at_room_c, temp_c is not None)


def _temperature(rest: str, text: str) -> float | None:
    """Read what stands behind the humidities; None where nothing does."""
    words = rest.strip(" \t.,;")
    if not words:
        return None
    temperature = re.sub(r"degrees?", "deg", words[_at_end(words) :], flags=re.IGNORECASE)
    if _BARE_TEMPERATURE.fullmatch(temperature):
        raise UnusableInputError(
            f'"{shown(text)}": is {temperature} in °C or °F? Write "{temperature} C" or '
            f'"{temperature} F"'
        )
    try:
        return parse_temperature(temperature)
    except UnusableInputError:
        raise UnusableInputError(
            f'"{shown(text)}": "{shown(words)}" is no temperature; behind the humidities goes '
            f"one, or nothing, as {EXAMPLE}"
        ) from None


def _at_end(words: str) -> int:
    found = _AT.match(words)
    return found.end() if found else 0


def _number(text: str) -> float:
    return float(text.replace(",", "."))
