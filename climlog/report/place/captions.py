"""Words on and under the page's drawings: descriptions, keys, marks, and values at a place."""

from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.board.simulation import AS_TABLED
from climlog.analysis.place.result import FasteningResult, PlaceResult
from climlog.analysis.place.verdict import Judgement, Verdict
from climlog.report.drawing.resample import calm_for
from climlog.report.phrases import MINUS, day_text, fastenings_named, temp_text
from climlog.report.place import answer as wording
from climlog.report.place.answer import fastening_line, held_line_text, used_text, verdict_word
from climlog.report.place.year import BAND_WORDS, KEY_WORDS
from climlog.report.place.year import PROJECTED as PROJECTED
from climlog.units import fahrenheit_from_celsius, inches_text, length_text, mm_text

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from climlog.importer.log import Gap

    Steps = NDArray[np.int64]

UNIT_WORDS = {"inch": "in", "metric": "mm"}
TEMP_UNITS = {"inch": "°F", "metric": "°C"}
MARK_SHAPES = {Verdict.HOLDS: "holds", Verdict.CLOSE: "close", Verdict.RUNS_OUT: "runs-out"}
HOURS_SHOWN_DAYS = 75
MOST_SPANS = 4
NOT_KNOWN = "no readings"
FACE_LINES = ("line show", "line hidden")


def width_chart_text(result: PlaceResult, units: str) -> str:
    """Describe the drawing of width to somebody who cannot see it."""
    moved_mm, times = result.width_mm - result.piece.width_mm, result.course.times
    low, high = int(np.nanargmin(moved_mm)), int(np.nanargmax(moved_mm))
    text = (
        f"Change of width from {day_text(times[0])} to {day_text(times[-1])}: narrowest "
        f"{_change(float(moved_mm[low]), units)} on {day_text(times[low])}, widest "
        f"{_change(float(moved_mm[high]), units)} on {day_text(times[high])}."
    )
    judged = result.as_a_set
    if judged.runs_out_on is not None:
        text += f" The travel runs out on {day_text(judged.runs_out_on)}."
    return f"{text}{projected_text(result)}"


def _change(change_mm: float, units: str) -> str:
    sign = "+" if change_mm > 0 else ""
    first, second = inches_text(change_mm), mm_text(change_mm)
    if units == "metric":
        first, second = second, first
    return f"{sign}{first} ({second})".replace("-", MINUS)


def limit_text(way: str, limit_mm: float, units: str) -> str:
    """Label the edge of the travel."""
    first = inches_text(limit_mm) if units == "inch" else mm_text(limit_mm)
    return f"no room left {way}: {first}"


def width_mark(shape: str, result: PlaceResult, units: str) -> str:
    """Label a mark on the drawing of width, shortly."""
    moved_mm, times = result.width_mm - result.piece.width_mm, result.course.times
    if shape == "runs-out":
        when = result.as_a_set.runs_out_on
        return f"runs out {_short_day(when)}" if when is not None else ""
    if shape == "measured":
        return ""
    step = int(np.nanargmin(moved_mm) if shape == "narrowest" else np.nanargmax(moved_mm))
    size_mm = float(moved_mm[step])
    amount = inches_text(abs(size_mm)) if units == "inch" else mm_text(abs(size_mm))
    sign = MINUS if size_mm < 0 else "+"
    return f"{shape} {sign}{amount}, {_short_day(times[step])}"


def _short_day(moment: "pd.Timestamp | object") -> str:
    return f"{pd.Timestamp(moment).day} {pd.Timestamp(moment):%b %Y}"  # type: ignore[arg-type]


def width_key(result: PlaceResult, has_limits: bool) -> tuple[tuple[str, str], ...]:
    """Explain what is drawn."""
    weighed = ", the measurements weighed in" if result.residuals else ""
    middle = "width that log and sheet give"
    if result.projection is not None:
        middle = "width that the year and the sheet give"
    if result.tuning != AS_TABLED:
        middle += ", tuned to what was measured on the piece"
    rows = [
        ("line middle", middle),
        ("area doubt", f"where 90 of 100 likely cases lie, day by day{weighed}"),
        *projected_key(result),
    ]
    if has_limits:
        rows.append(("area beyond", "no travel left: the fastenings, not the air, decide here"))
    elif result.piece.fastenings:
        rows.append(("", "the travel ends outside this drawing"))
    if result.as_a_set.verdict == Verdict.RUNS_OUT:
        rows.append(("mark runs-out", "the day the travel runs out"))
    if any(one.width_mm is not None for one in result.piece.measured):
        rows.append(("mark measured", "measured on the piece"))
    return tuple(rows)


def width_readings(result: PlaceResult, units: str, steps: "Steps") -> tuple[str, ...]:
    """Say width and change at each of the steps."""
    at = np.searchsorted(result.band.times, result.course.times[steps], side="right") - 1
    low_mm, _, high_mm = result.band.width_mm - result.piece.width_mm
    return tuple(
        f"{when}: {NOT_KNOWN}"
        if np.isnan(width_mm + low)
        else f"{when}: {length_text(width_mm, units)}, {_change(width_mm - start_mm, units)}; "
        f"90 of 100 cases {_plain(low, units)} to {_plain(high, units)}"
        for when, width_mm, low, high, start_mm in zip(
            _moments(result, steps),
            result.width_mm[steps].tolist(),
            low_mm[at].tolist(),
            high_mm[at].tolist(),
            [result.piece.width_mm] * steps.size,
            strict=True,
        )
    )


def _plain(change_mm: float, units: str) -> str:
    text = inches_text(change_mm) if units == "inch" else mm_text(change_mm)
    return text.replace("-", MINUS)


def _moments(result: PlaceResult, steps: "Steps") -> list[str]:
    times = result.course.times[steps]
    marks = [""] * times.size
    if result.projection is not None:
        marked = result.projection.projected[-result.air.times.size :][steps]
        marks = [f", {PROJECTED}" if one else "" for one in marked.tolist()]
    hours = times[-1] - times[0] < pd.Timedelta(days=HOURS_SHOWN_DAYS)
    return [
        f"{_short_day(one)}{f' {one:%H:%M}' if hours else ''}{mark}"
        for one, mark in zip(times, marks, strict=True)
    ]


def moisture_chart_text(result: PlaceResult) -> str:
    """Describe the drawing of moisture."""
    course = result.course
    return (
        f"Mean board moisture {_span(course.mean_pct)}, show face {_span(course.show_face_pct)}, "
        f"hidden face {_span(course.hidden_face_pct)}, core {_span(course.core_pct)}; "
        f"{result.start.fixed_pct:.1f} % when fixed.{projected_text(result)}"
    )


def _span(moisture_pct: "NDArray[np.float64]") -> str:
    return f"{np.nanmin(moisture_pct):.1f} to {np.nanmax(moisture_pct):.1f} %"


def moisture_key(result: PlaceResult) -> tuple[tuple[str, str], ...]:
    """Explain the lines of moisture."""
    means = calm_for(result.course.times).words
    show = finish_text(result.piece.show_face.kind)
    hidden = finish_text(result.piece.hidden_face.kind)
    faces = [
        ("line show", f"show face ({show}){means}"),
        ("line hidden", f"hidden face ({hidden}){means}"),
    ]
    if faces_are_alike(result):
        faces = [("line show", f"both faces, which are alike ({show}){means}")]
    return (
        ("line middle", "mean of the whole board, which sets its width"),
        ("line core", "core"),
        *faces,
        ("line zero", f"when fixed, {result.start.fixed_pct:.1f} %"),
        *projected_key(result),
    )


def faces_are_alike(result: PlaceResult) -> bool:
    """Whether both faces follow the air alike, so that one line shows them."""
    show, hidden = result.piece.show_face, result.piece.hidden_face
    return show.permeance_kg_m2_s_pa == hidden.permeance_kg_m2_s_pa


def finish_text(kind: str) -> str:
    """Name a finish; no finish is said as such."""
    return "no finish" if kind == "none" else kind


def moisture_readings(result: PlaceResult, steps: "Steps") -> tuple[str, ...]:
    """Say the moistures at each of the steps."""
    course = result.course
    rows = np.stack(
        [course.mean_pct, course.core_pct, course.show_face_pct, course.hidden_face_pct], axis=1
    )[steps]
    return tuple(
        f"{when}: {NOT_KNOWN}"
        if np.isnan(row[0])
        else f"{when}: mean {row[0]:.1f} %, core {row[1]:.1f} %, show face {row[2]:.1f} %, "
        f"hidden face {row[3]:.1f} %"
        for when, row in zip(_moments(result, steps), rows.tolist(), strict=True)
    )


def air_chart_text(result: PlaceResult, units: str) -> str:
    """Describe the drawing of the air."""
    air = result.air
    return (
        f"Relative humidity {np.nanmin(air.rh_pct):.0f} to {np.nanmax(air.rh_pct):.0f} %, "
        f"temperature {temp_text(float(np.nanmin(air.temp_c)), units)} to "
        f"{temp_text(float(np.nanmax(air.temp_c)), units)}, equilibrium moisture "
        f"{np.nanmin(air.emc_pct):.1f} to {np.nanmax(air.emc_pct):.1f} %; "
        f"{len(result.gaps)} gaps and {len(result.flags)} faults in the whole log."
        f"{projected_text(result)}"
    )


def air_key(result: PlaceResult) -> tuple[tuple[str, str], ...]:
    """Explain the lines and shades of the air."""
    means = calm_for(result.air.times).words
    rows = [
        ("line humidity", f"relative humidity{means}"),
        ("line temperature", f"temperature{means}"),
        ("line emc", f"equilibrium moisture{means}: where wood would settle in that air"),
    ]
    rows += projected_key(result)
    if result.projection is not None:
        rows.append(("area doubt", f"equilibrium moisture: {BAND_WORDS}"))
    if shown_gaps(result):
        rows.append(("area gap", "gap: no readings"))
    if result.flags:
        rows.append(("area fault", "fault: readings to doubt, listed under the log"))
    return tuple(rows)


def shown_gaps(result: PlaceResult) -> "tuple[Gap, ...]":
    """Gaps that are not marked as projected."""
    year = result.projection
    if year is None:
        return result.gaps
    middles = [gap.first + (gap.last - gap.first) / 2 for gap in result.gaps]
    steps = year.air.times.searchsorted(pd.DatetimeIndex(middles), side="right") - 1
    return tuple(
        gap for gap, step in zip(result.gaps, steps.tolist(), strict=True)
        if not year.projected[step]
    )  # fmt: skip


def projected_key(result: PlaceResult) -> list[tuple[str, str]]:
    """Explain the ground of projected days; nothing where all was read."""
    return [] if result.projection is None else [("area projected", KEY_WORDS)]


def projected_text(result: PlaceResult) -> str:
    """Say to somebody who cannot see it which part of a drawing is projected."""
    spans = projected_spans(result)
    if not spans:
        return ""
    parts = [f"{day_text(first)} to {day_text(last)}" for first, last in spans[:MOST_SPANS]]
    more = f" and {len(spans) - MOST_SPANS} more spans" if len(spans) > MOST_SPANS else ""
    return f" Projected, not read: {', '.join(parts)}{more}."


def projected_spans(result: PlaceResult) -> tuple[tuple[pd.Timestamp, pd.Timestamp], ...]:
    """Spans of the piece's time that were not read but projected, first and last step."""
    year = result.projection
    if year is None:
        return ()
    marked = np.concatenate([[False], year.projected[-result.air.times.size :], [False]])
    edges = np.flatnonzero(np.diff(marked.astype(int)))
    times = result.air.times
    return tuple(
        (times[int(a)], times[int(b) - 1]) for a, b in zip(edges[::2], edges[1::2], strict=True)
    )


def air_readings(result: PlaceResult, units: str, steps: "Steps") -> tuple[str, ...]:
    """Say the air at each of the steps."""
    air = result.air
    temp = air.temp_c if units == "metric" else fahrenheit_from_celsius(air.temp_c)
    rows = np.stack([air.rh_pct, temp, air.emc_pct], axis=1)[steps]
    return tuple(
        f"{when}: {NOT_KNOWN}"
        if np.isnan(row[0])
        else f"{when}: {row[0]:.0f} % RH, {row[1]:.0f} {TEMP_UNITS[units]}, EMC {row[2]:.1f} %"
        for when, row in zip(_moments(result, steps), rows.tolist(), strict=True)
    )


def plan_text(result: PlaceResult, units: str) -> str:
    """Describe the plan to somebody who cannot see it."""
    piece = result.piece
    text = (
        f"{length_text(piece.width_mm, units)} across the grain by "
        f"{length_text(piece.length_mm, units)} along it, seen from below."
    )
    if not piece.fastenings:
        return f"{text} No fastenings were given."
    names = fastenings_named(piece.fastenings)
    return f"{text} {len(piece.fastenings)} fastenings: {names}. {held_line_text(result, units)}"


def held_lines(result: PlaceResult) -> tuple[tuple[float, str], ...]:
    """Lines that stay put, in mm from the middle, and the label of each."""
    lines = wording.held_lines(result)
    if len(lines) == 1:
        return ((lines[0][0], "stays put"),)
    return tuple((y_mm, f"stays put {when.rstrip(',')}") for y_mm, when in lines)


def size_text(length_mm: float, units: str) -> str:
    """Write a size for a dimension line."""
    return length_text(length_mm, units)


def enlarged_text(times_life: float) -> str:
    """Say how much larger than life the movements are drawn."""
    return f"movements drawn about {float(f'{times_life:.1g}'):.0f} times life size"


def plan_key(result: PlaceResult) -> tuple[tuple[str, str], ...]:
    """Explain the plan's signs."""
    if not result.fastenings:
        return (("line grain", "the way the grain runs"),)
    rows = [
        ("bar room", "travel a fastening has, each way across the grain"),
        ("bar used", "travel it needs: solid swelling, open shrinking"),
        ("line held", "the line that stays put"),
    ]
    found = {one.judgement.verdict for one in result.fastenings}
    rows += [
        (f"mark {MARK_SHAPES[one]}", one)
        for one in (Verdict.HOLDS, Verdict.CLOSE, Verdict.RUNS_OUT)
        if one in found
    ]
    return tuple(rows)


def fastening_sentence(one: FasteningResult, number: int, units: str) -> str:
    """Say one fastening whole, for the plan."""
    return f"{number}, {one.fastening.name}: {fastening_line(one, units)}."


def mark_of(judgement: Judgement) -> str:
    """Name the shape that goes with a verdict."""
    return MARK_SHAPES[judgement.verdict]


def verdict_text(judgement: Judgement) -> str:
    """Give a verdict as the table says it."""
    return verdict_word(judgement)


def plan_used(judgement: Judgement) -> str:
    """Say the share of the travel used, as short as the plan needs."""
    return used_text(judgement)
