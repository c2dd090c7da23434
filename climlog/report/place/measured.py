"""What was measured on the real piece, beside the middle case, and how that was tuned to it."""

from climlog.analysis.board.readings import Residual
from climlog.analysis.place.result import PlaceResult
from climlog.report.phrases import Say
from climlog.units import inches_text

GRAMS_PER_KG = 1000.0
LEAST_OFF = {"mm": 0.2, "%": 0.05, "g": 0.5}
LEAST_FACTOR, LEAST_POINTS = 0.02, 0.05


def measured_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Compare each reading with the middle of the likely cases, and say what was tuned."""
    lines = [_line(one, say) for one in sorted(result.residuals, key=lambda one: one.measured.on)]
    lines += [
        f"{say.day(on)}: measured, but this log does not cover that day."
        for on in dict.fromkeys(one.on for one in result.readings.outside)
    ]
    if not result.weighing.agrees:
        lines.append("They do not fit this log and sheet, so they weigh nothing in the answer.")
    if result.readings.are_weighed:
        lines.append(tuning_text(result))
    return tuple(lines)


def _line(one: Residual, say: Say) -> str:
    read, off, least = _reading(one, say)
    off_by = abs(one.off_by)
    stands = "as worked out"
    if off_by >= least:
        way = "above" if one.off_by > 0 else "below"
        stands = f"{off} {way} the middle of the likely cases"
    return f"{say.day(one.measured.on)}: measured {read}, {stands}."


def _reading(one: Residual, say: Say) -> tuple[str, str, float]:
    """Say what was read, how far off it lies, and how little of that is nothing."""
    measured, off_by = one.measured, abs(one.off_by)
    if measured.width_mm is not None:
        return f"{_as_read(measured.width_mm, say)} wide", say.length(off_by), LEAST_OFF["mm"]
    if measured.weight_g is not None:
        weight = f"{measured.weight_g / GRAMS_PER_KG:g} kg"
        return weight, f"{off_by:.0f} g", LEAST_OFF["g"]
    read = f"{measured.moisture_pct:g} % moisture"
    if measured.wood_temp_c is not None:
        read += f", corrected for wood at {say.temp(measured.wood_temp_c)}"
    return read, f"{off_by:.1f} points", LEAST_OFF["%"]


def _as_read(width_mm: float, say: Say) -> str:
    """Write a width as finely as it was measured, so that what it is off by can be checked."""
    inch, metric = inches_text(width_mm), f"{width_mm:.1f} mm"
    return f"{inch} ({metric})" if say.is_inch else f"{metric} ({inch})"


def tuning_text(result: PlaceResult) -> str:
    """Say what the middle case takes over from the readings."""
    tuning, said = result.middle, []
    for factor, words in (
        (tuning.coefficient, "the wood moves {:.2f} times as far as the tables say"),
        (tuning.diffusivity, "moisture goes through it {:.2f} times as fast"),
        (tuning.film, "its faces let {:.2f} times as much through"),
        (tuning.curve, "air holds it {:.2f} times as moist"),
    ):
        if abs(factor - 1.0) >= LEAST_FACTOR:
            said.append(words.format(factor))
    if abs(tuning.sensor_rh) >= LEAST_POINTS:
        way = "low" if tuning.sensor_rh > 0 else "high"
        said.append(f"the sensor reads {abs(tuning.sensor_rh):.1f} % RH too {way}")
    if abs(tuning.start) >= LEAST_POINTS:
        fixed_pct = max(0.0, result.start.fixed_pct + tuning.start)
        said.append(f"it was fixed at {fixed_pct:.1f} % moisture")
    if not said:
        return "The middle case needed no tuning to these."
    return f"The middle case is tuned to these, as they make most likely: {'; '.join(said)}."
