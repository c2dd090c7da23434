"""The smallest phrases of a `room` run: setpoints, differences, ranges, names of boards."""

from collections.abc import Sequence

from climlog.analysis.air.spread import Spread
from climlog.analysis.room.air_result import Setpoint
from climlog.report.phrases import MINUS, joined, temp_text
from climlog.units import HOURS_PER_DAY, fahrenheit_from_celsius

SHORT_DAYS = 2.0


def setpoint_text(held: Setpoint, units: str) -> str:
    """Write a setpoint pair."""
    return f"{held.rh_pct:.0f} % RH at {temp_text(held.temp_c, units)}"


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
    return joined([f'"{name}"' if "," in name else name for name in names])


def span_text(span: Spread, units: str) -> str:
    """Write a range of temperatures in the reader's units.

    Examples
    --------
    >>> span_text(Spread(20.0, 25.0, 30.0), "inch")
    '68 to 86 °F (20 to 30 °C)'
    """
    metric = f"{span.low:.0f} to {span.high:.0f} °C"
    if units == "metric":
        return metric
    low, high = fahrenheit_from_celsius(span.low), fahrenheit_from_celsius(span.high)
    return f"{low:.0f} to {high:.0f} °F ({metric})"


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


def apart_text(kelvin: float, units: str) -> str:
    """Write a difference of temperature in the reader's units.

    Examples
    --------
    >>> apart_text(2.0, "inch")
    '4 °F (2 °C)'
    """
    if units == "metric":
        return f"{kelvin:.0f} °C"
    wide = fahrenheit_from_celsius(kelvin) - fahrenheit_from_celsius(0.0)
    return f"{wide:.0f} °F ({kelvin:.0f} °C)"
