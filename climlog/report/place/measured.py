"""What was measured on the real piece, beside the middle case, and how that was tuned to it."""

from climlog.analysis.board.readings import Residual
from climlog.analysis.board.simulation import AS_TABLED
from climlog.analysis.place.result import PlaceResult
from climlog.report.phrases import day_text, temp_text
from climlog.units import length_text

GRAMS_PER_KG = 1000.0
LEAST_OFF = {"mm": 0.2, "%": 0.05, "g": 0.5}
LEAST_FACTOR, LEAST_POINTS = 0.02, 0.05


def measured_lines(result: PlaceResult, units: str) -> tuple[str, ...]:
    """Compare each reading with the middle of the weighed cases, and say what was tuned."""
    lines = [_line(one, units) for one in result.residuals]
    left_out = len(_days(result)) - len({one.measured.on for one in result.residuals})
    if left_out > 0 and not lines:
        lines.append("Nothing measured on the piece lies on a day that this log covers.")
    if result.tuning != AS_TABLED:
        lines.append(tuning_text(result))
    return tuple(lines)


def _days(result: PlaceResult) -> set[object]:
    return {one.on for one in result.piece.measured}


def _line(one: Residual, units: str) -> str:
    read, off, least = _reading(one, units)
    off_by = abs(one.off_by)
    stands = "as the middle of the weighed cases has it"
    if off_by >= least:
        way = "above" if one.off_by > 0 else "below"
        stands = f"{off} {way} the middle of the weighed cases"
    return f"{day_text(one.measured.on)}: measured {read}, {stands}."


def _reading(one: Residual, units: str) -> tuple[str, str, float]:
    """Say what was read, how far off it lies, and how little of that is nothing."""
    measured, off_by = one.measured, abs(one.off_by)
    if measured.width_mm is not None:
        wide = length_text(measured.width_mm, units)
        return f"{wide} wide", length_text(off_by, units), LEAST_OFF["mm"]
    if measured.weight_g is not None:
        weight = f"{measured.weight_g / GRAMS_PER_KG:g} kg"
        return weight, f"{off_by:.0f} g", LEAST_OFF["g"]
    read = f"{measured.moisture_pct:g} % moisture"
    if measured.wood_temp_c is not None:
        read += f", corrected for wood at {temp_text(measured.wood_temp_c, units)}"
    return read, f"{off_by:.1f} points", LEAST_OFF["%"]


def tuning_text(result: PlaceResult) -> str:
    """Say what the middle case takes over from the readings."""
    tuning, said = result.tuning, []
    for factor, words in (
        (tuning.coefficient, "the wood moves {:.2f} times as far as the tables say"),
        (tuning.diffusivity, "moisture goes through it {:.2f} times as fast"),
        (tuning.film, "its faces let {:.2f} times as much through"),
        (tuning.sorption_share, "it follows {:.2f} of each change of the air"),
    ):
        if abs(factor - 1.0) >= LEAST_FACTOR:
            said.append(words.format(factor))
    if abs(tuning.sensor_rh) >= LEAST_POINTS:
        way = "low" if tuning.sensor_rh > 0 else "high"
        said.append(f"the sensor reads {abs(tuning.sensor_rh):.1f} % RH too {way}")
    if abs(tuning.start_pct) >= LEAST_POINTS:
        fixed_pct = max(0.0, result.start.fixed_pct + tuning.start_pct)
        said.append(f"it was fixed at {fixed_pct:.1f} % moisture")
    if not said:
        return "The middle case needed no tuning to these."
    return f"The middle case is tuned to these, as they make most likely: {'; '.join(said)}."
