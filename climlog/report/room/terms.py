"""The smallest phrases of a `room` run: settings, moistures and days with their ranges, names."""

from collections.abc import Sequence
from datetime import date

from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import Setpoint
from climlog.analysis.room.stock_result import DayRange, MoistureRange
from climlog.model.drying import room_limit
from climlog.report.phrases import MINUS, Say, joined, short_day
from climlog.tables import load_table, load_text
from climlog.units import HOURS_PER_DAY

SHORT_DAYS = 2.0
"""Spans shorter than this are told in hours."""


def setpoint_text(held: Setpoint, say: Say) -> str:
    """Write a setpoint pair."""
    return f"{held.rh_pct:.0f} % RH at {say.temp(held.temp_c)}"


def signed(value: float) -> str:
    """Write a difference with its sign, to a tenth.

    Examples
    --------
    >>> signed(0.52), signed(-0.04)
    ('+0.5', '0.0')
    """
    text = f"{value:+.1f}".replace("-", MINUS)
    return text if text.strip(f"+{MINUS}") != "0.0" else "0.0"


def named(names: Sequence[str]) -> str:
    """Join names; those that hold a comma stand in quotes.

    Examples
    --------
    >>> named(["oak", "ash, thick", "elm"])
    'oak, "ash, thick" and elm'
    """
    return joined([quoted(name) for name in names])


def temps_text(span: Spread, say: Say) -> str:
    """Write a range of temperatures in the reader's units.

    Examples
    --------
    >>> temps_text(Spread(20.0, 25.0, 30.0), Say("inch"))
    '68 to 86 °F (20 to 30 °C)'
    """
    own = f"{say.temp_number(span.low):.0f} to {say.temp_number(span.high):.0f} {say.temp_unit}"
    return f"{own} ({span.low:.0f} to {span.high:.0f} °C)" if say.is_inch else own


def span_days_text(days: float) -> str:
    """Write how long something lasted: hours under two days.

    Examples
    --------
    >>> span_days_text(0.2), span_days_text(14.0)
    ('5 hours', '14 days')
    """
    if days < SHORT_DAYS:
        hours = max(1, round(days * HOURS_PER_DAY))
        return "hour" if hours == 1 else f"{hours} hours"
    return f"{days:.0f} days"


def range_text(span: MoistureRange) -> str:
    """Write a middle with the range of 90 of 100 cases.

    Examples
    --------
    >>> range_text(MoistureRange(6.9, 7.43, 8.04))
    '7.4 % (6.9 to 8.0)'
    """
    return f"{span.middle:.1f} % ({span.low:.1f} to {span.high:.1f})"


def day_range_text(days: DayRange, today: date, say: Say) -> str:
    """Write when something comes, with what 90 of 100 cases lie between.

    Examples
    --------
    >>> say, today = Say("metric"), date(2025, 5, 11)
    >>> day_range_text(DayRange(date(2025, 6, 1), date(2025, 7, 15), None, 0.9), today, say)
    'about 15 July 2025 (from 1 June 2025; in 10 of 100 likely cases not within a year)'
    >>> day_range_text(DayRange(today, date(2025, 6, 1), date(2025, 6, 20), 1.0), today, say)
    'about 1 June 2025 (perhaps now, at the latest 20 June 2025)'
    >>> day_range_text(DayRange(None, None, None, 0.04), today, say)
    'not within a year, in 96 of 100 likely cases'
    """
    if days.on is None:
        return f"not within a year, in {100 * (1 - days.share):.0f} of 100 likely cases"
    is_now = days.earliest is not None and days.earliest <= today
    parts = [] if days.earliest is None or is_now else [f"from {say.day(days.earliest)}"]
    if is_now:
        parts = ["perhaps now"]
    last = days.latest or days.latest_of_those
    if last is not None and last != days.on:
        parts.append(f"{'at the latest' if is_now else 'to'} {say.day(last)}")
    told = (", " if is_now else " ").join(parts)
    never = f"in {of_100(1 - days.share)} likely cases not within a year"
    return f"about {say.day(days.on)} ({told if days.latest else '; '.join([told, never])})"


def short_range_text(days: DayRange, today: date) -> str:
    """Write when something comes with its range, as a table has room for it.

    Examples
    --------
    >>> today = date(2025, 5, 11)
    >>> short_range_text(DayRange(date(2025, 6, 1), date(2025, 7, 15), None, 0.9), today)
    '15 Jul 2025 (1 Jun 2025 on; 10 of 100 over a year)'
    >>> short_range_text(DayRange(None, None, None, 0.04), today)
    'not within a year (96 of 100)'
    """
    if days.on is None:
        return f"not within a year ({of_100(1 - days.share)})"
    is_now = days.earliest is not None and days.earliest <= today
    first = "now" if is_now or days.earliest is None else short_day(days.earliest)
    last = days.latest or days.latest_of_those
    span = f"{first} on" if last in (None, days.on) else f"{first} to {short_day(last)}"
    if days.latest is None:
        span = f"{span}; {of_100(1 - days.share)} over a year"
    return f"{short_day(days.on)} ({span})"


def quoted(name: str) -> str:
    """Put a name that holds a comma in quotes."""
    return f'"{name}"' if "," in name else name


def of_100(share: float) -> str:
    """Write a share of the likely cases."""
    return f"{100 * share:.0f} of 100"


def filled(key: str) -> str:
    """Read a standing paragraph of the room, its figures taken from tables/room_limits.csv."""
    return with_limits(load_text(f"room.{key}"))


def with_limits(text: str) -> str:
    """Fill a paragraph's figures in from tables/room_limits.csv."""
    return text.format_map({str(name): room_limit(str(name)) for name in _limits()})


def _limits() -> Sequence[str]:
    return [str(name) for name in load_table("room_limits").index]
