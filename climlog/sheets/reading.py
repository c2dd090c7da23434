"""How one value of a sheet is read: a text or a plain TOML value in, a number in our units out.

Each function refuses what it cannot read in words that follow "KEY: ", and repeats at most a
few dozen characters of it.
"""

import math
import re
from calendar import month_name
from collections.abc import Callable
from datetime import date, datetime

from climlog.errors import ImpossibleValueError, UnusableInputError, shown
from climlog.tables import find, month_number
from climlog.units import DAYS_PER_WEEK, parse_length, parse_temperature, parse_weight

DAY_FIX = "write 2025-02-14"
_ISO_DAY = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_PLAIN_DAY = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})")
_DAY_MONTH = re.compile(r"(\d{1,2})\.?[ -]([^\W\d_]+)\.?,?[ -](\d{4})")
_MONTH_DAY = re.compile(r"([^\W\d_]+)\.? (\d{1,2}),? (\d{4})")
_PERCENT = re.compile(r"\s*(-?\d+(?:[.,]\d+)?)\s*(%?)\s*")
_DAYS = re.compile(r"(\d+(?:\.\d+)?)\s*(day|week|month)s?", re.IGNORECASE)
SHOWN_NAMES = 10
"""Names of a list that one message holds."""
DAYS_PER = {"day": 1.0, "week": float(DAYS_PER_WEEK), "month": 30.4}


def quoted(value: object) -> str:
    """Repeat a value in a message: texts in quotes, all else as it stands in a sheet."""
    if isinstance(value, bool):
        return str(value).lower()
    return f'"{shown(value)}"' if isinstance(value, str) else shown(value)


def as_text(value: object) -> str:
    """Take a text as it is; refuse anything else, and a text without a letter or a figure."""
    if not isinstance(value, str):
        raise UnusableInputError(f"{quoted(value)} should be a text in quotes")
    if not value.strip():
        raise UnusableInputError("is empty: write it, or take the line away")
    return value.strip()


def month_called(text: str) -> int | None:
    """Give the month that a text names, whole or by its first three letters; None for none.

    >>> month_called("in August"), month_called("aug"), month_called("marble.csv")
    (8, 8, None)
    """
    word = re.sub(r"^in\s+", "", text.strip().casefold()).rstrip(".")
    names = [one.casefold() for one in month_name]
    for number in range(1, len(names)):
        if word in (names[number], names[number][:3]):
            return number
    return None


def as_month(value: object) -> int:
    """Read a month by its English name, 1 to 12."""
    found = month_called(as_text(value))
    if found is None:
        raise UnusableInputError(f'{quoted(value)} is not a month; write "August"')
    return found


def as_length_mm(value: object) -> float:
    """Read a length with its unit, in mm."""
    if not isinstance(value, str):
        raise UnusableInputError(
            f'{quoted(value)} has no unit; write "{shown(value)} mm" or "{shown(value)} in"'
        )
    return parse_length(value)


def as_lengths_mm(value: object) -> tuple[float, ...]:
    """Read one length or a list of them, in mm."""
    rows = value if isinstance(value, list) else [value]
    if not rows:
        raise UnusableInputError('is an empty list; write at least one place, such as "31 in"')
    return tuple(as_length_mm(one) for one in rows)


def as_size_mm(value: object) -> float:
    """Read a length that must be more than nothing, in mm."""
    length_mm = as_length_mm(value)
    if length_mm <= 0:
        raise ImpossibleValueError(f"{quoted(value)} is not a possible size; it must be above 0")
    return length_mm


def as_room_mm(value: object) -> float:
    """Read a length that may be nothing but not less, in mm."""
    length_mm = as_length_mm(value)
    if length_mm < 0:
        raise ImpossibleValueError(f"{quoted(value)} cannot be below 0")
    return length_mm


def as_weight_g(value: object) -> float:
    """Read a weight that must be more than nothing, in g."""
    weight_g = parse_weight(str(value))
    if weight_g <= 0:
        raise ImpossibleValueError(f"{quoted(value)} is not a possible weight; it must be above 0")
    return weight_g


def as_temp_c(value: object) -> float:
    """Read a temperature with its unit, in °C."""
    return parse_temperature(str(value))


def as_number(value: object) -> float:
    """Read a plain number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise UnusableInputError(f"{quoted(value)} should be a plain number")
    return float(value)


def as_share(value: object) -> float:
    """Read a plain number, or true and false as 1 and 0."""
    return float(value) if isinstance(value, bool) else as_number(value)


def as_count(value: object) -> int:
    """Read a whole number."""
    whole = int(value) if isinstance(value, str) and re.fullmatch(r"\d{1,4}", value) else value
    if isinstance(whole, bool) or not isinstance(whole, int):
        raise UnusableInputError(f"{quoted(value)} should be a whole number")
    return whole


def as_yes(value: object) -> bool:
    """Read true or false."""
    if not isinstance(value, bool):
        raise UnusableInputError(f"{quoted(value)} should be true or false")
    return value


def as_angle_deg(value: object) -> float:
    """Read an angle, such as "15 deg" or 15, in degrees."""
    match = re.fullmatch(r"\s*(-?\d+(?:\.\d+)?)\s*(?:deg|degrees|°)?\s*", str(value))
    if match is None or isinstance(value, bool):
        raise UnusableInputError(f'{quoted(value)} is not an angle; write "15 deg"')
    return float(match[1])


def as_percent(value: object) -> float:
    """Read a percentage, such as "7.5 %" or 7.5."""
    match = _PERCENT.fullmatch(str(value))
    if match is None or isinstance(value, bool):
        raise UnusableInputError(f'{quoted(value)} is not a percentage; write "7.5 %"')
    return float(match[1].replace(",", "."))


def as_moisture_pct(value: object) -> float:
    """Read a wood moisture in % of the oven-dry mass; a share of 1 is refused."""
    moisture_pct = as_percent(value)
    if 0 < moisture_pct < 1 and "%" not in str(value):
        raise ImpossibleValueError(
            f'{quoted(value)} looks like a share of 1; write "{100 * moisture_pct:.3g} %"'
        )
    return moisture_pct


def as_days(value: object) -> float:
    """Read a length of time, such as "16 days", "3 weeks" or "5 months", in days."""
    match = _DAYS.fullmatch(str(value).strip())
    if match is None:
        raise UnusableInputError(f'{quoted(value)} is not a length of time; write "16 days"')
    days = float(match[1]) * DAYS_PER[match[2].lower()]
    if days <= 0:
        raise ImpossibleValueError(f"{quoted(value)} must be longer than nothing")
    return days


def as_day(value: object) -> date:
    """Read a day: TOML's own date, or a text that can be one day only.

    Examples
    --------
    >>> as_day("14 Feb 2025") == as_day("2/14/2025") == as_day("Feb 14, 2025")
    True
    """
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    text = " ".join(str(value).split())
    parts = _year_month_day(text)
    try:
        if parts is not None:
            return date(*parts)
    except ValueError:
        parts = None
    raise UnusableInputError(f"{quoted(value)} is not a day; {DAY_FIX}")


def _year_month_day(text: str) -> tuple[int, int, int] | None:
    """Split a text that has the shape of a day and can be read one way only."""
    if found := _ISO_DAY.fullmatch(text):
        return int(found[1]), int(found[2]), int(found[3])
    if found := _DAY_MONTH.fullmatch(text):
        return int(found[3]), month_number(found[2]) or 0, int(found[1])
    if found := _MONTH_DAY.fullmatch(text):
        return int(found[3]), month_number(found[1]) or 0, int(found[2])
    found = _PLAIN_DAY.fullmatch(text)
    if found is None:
        return None
    one, other, year = (int(part) for part in found.groups())
    if one <= 12 and other <= 12 and one != other:
        raise UnusableInputError(
            f'"{shown(text)}" can be {year}-{other:02}-{one:02} or {year}-{one:02}-{other:02}; '
            "write one of these"
        )
    return (year, one, other) if one <= 12 else (year, other, one)


def one_of(
    names: Callable[[], dict[str, tuple[str, ...]]], what: str, fix: str = ""
) -> Callable[[object], str]:
    """Make a reader of one name of a list, its other names and near misses understood."""

    def read(value: object) -> str:
        if not isinstance(value, str):
            known = ", ".join(f'"{one}"' for one in list(names())[:SHOWN_NAMES])
            raise UnusableInputError(
                f"{quoted(value)} is no {what}; write its name in quotes; {fix or known}"
            )
        return find(names(), as_text(value), what, fix)

    return read
