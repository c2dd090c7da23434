"""The air of the place: its words, its drawing, and the steady air that the travel can stand."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.tolerance import (
    Begins,
    SpellKind,
    SpellNeeded,
    room_temp_c,
)
from climlog.report.drawing.axes import Axis, Tick, padded, value_ticks
from climlog.report.drawing.bar import AirBar
from climlog.report.drawing.chart import LEFT, RIGHT, Chart, Curve, Panel, Style
from climlog.report.drawing.timeline import Timeline
from climlog.report.phrases import Say, days_text, gap_text, sentence
from climlog.report.place.wood import NOT_KNOWN, grounds_key, grounds_of, moments_of
from climlog.report.place.year import means_words, read_words, spans_text
from climlog.units import MEAN_DAYS_PER_YEAR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PANEL_TALL, PANEL_STEP = 104.0, 122.0
LONG_SPELL_DAYS = 730.0
BAND_WORDS = "where 90 of 100 likely years lie, day by day"
WAYS = {SpellKind.DAMP: "swelling", SpellKind.DRY: "shrinking"}
BEGINS = {
    Begins.WHEN_FIXED: "as when fixed",
    Begins.DRIEST: "its driest in this air",
    Begins.WETTEST: "its wettest in this air",
}
BAR_KEY = (
    ("line months", "the air's 30-day means"),
    ("line hours", "its hours"),
    ("area beyond", "steady air that runs the travel out"),
)


def air_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what the air was, and what wood settles at in it."""
    lived = result.lived
    return (
        f"Air{read_words(result)}: {say.temp(lived.temp_c.low)} to {say.temp(lived.temp_c.high)}, "
        f"{lived.rh_pct.low:.0f} to {lived.rh_pct.high:.0f} % relative humidity "
        f"({means_words(result)}).",
        f"Moisture that air holds wood at (EMC): {lived.emc_pct.low:.1f} to "
        f"{lived.emc_pct.high:.1f} %, {lived.emc_pct.mean:.1f} % on average.",
    )


def safe_air_line(result: PlaceResult, say: Say) -> str:
    """Say which steady air the fastenings can stand."""
    low, high = result.safe_rh_pct
    at = f"at {say.temp(room_temp_c())}"
    if not result.piece.fastenings or (low <= 0 and high >= 100):
        return f"Steady air of any humidity {at} stays within the travel."
    if high - low < 1.0:
        return f"Only steady air of {low:.0f} % relative humidity {at} keeps it as it was fixed."
    if low <= 0:
        return f"Steady air {at} stays within the travel up to {high:.0f} % relative humidity."
    if high >= 100:
        return f"Steady air {at} stays within the travel down to {low:.0f} % relative humidity."
    return (
        f"Steady air {at} stays within the travel from {low:.0f} to {high:.0f} % relative humidity."
    )


def spell_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say how long a damp and a dry spell take to use the travel up."""
    if not result.piece.fastenings:
        return ()
    return tuple(
        _spell_needed([one for one in result.spells_needed if one.spell == spell], say)
        for spell in (SpellKind.DAMP, SpellKind.DRY)
    )


def _spell_needed(rows: Sequence[SpellNeeded], say: Say) -> str:
    one = rows[0]
    air = f"a spell of {one.rh_pct:.0f} % relative humidity at {say.temp(room_temp_c())}"
    if all(row.days is None for row in rows):
        return f"{sentence(air)}, however long, never uses the {WAYS[one.spell]} travel up."
    if one.days is not None and one.days <= 0.0:
        return f"{sentence(air)} finds no {WAYS[one.spell]} travel to use up."
    fixed = f"{one.begins_pct:.1f}"
    said = "; ".join(
        f"from {row.begins_pct:.1f} %, {BEGINS[row.begins]}, {_spell_days(row.days)}"
        for row in rows
        if row is one or f"{row.begins_pct:.1f}" != fixed
    )
    return f"{sentence(air)} uses the {WAYS[one.spell]} travel up: {said}."


def _spell_days(days: float | None) -> str:
    if days is None:
        return "never"
    if days <= 0.0:
        return "it is used up already"
    if days < 1.0:
        return "within a day"
    if days > LONG_SPELL_DAYS:
        return f"in {days / MEAN_DAYS_PER_YEAR:.0f} years"
    return f"in {days_text(days)}"


def air_bar(result: PlaceResult, say: Say) -> AirBar:
    """Lay the safe air over the air of the log."""
    axis, lived = Axis(0.0, 100.0, LEFT, RIGHT), result.lived
    low, high = result.safe_rh_pct
    ends = {f"{value:.0f} %": value for value in (low, high) if 0.0 < value < 100.0}
    return AirBar(
        name="steady",
        title="Steady air the travel stands, and the air of the place",
        says=safe_air_line(result, say),
        safe=(axis.one(low), axis.one(high)),
        safe_labels=tuple(Tick(axis.one(value), label) for label, value in ends.items()),
        hourly=(axis.one(lived.rh_pct.low), axis.one(lived.rh_pct.high)),
        monthly=(axis.one(lived.monthly_rh_pct[0]), axis.one(lived.monthly_rh_pct[1])),
        ticks=tuple(Tick(axis.one(v), f"{v} %") for v in range(0, 101, 20)),
        key=BAR_KEY,
    )


def air_chart(result: PlaceResult, say: Say) -> Chart:
    """Draw humidity, temperature and moisture held, gaps and faults shaded."""
    air, line = result.air, Timeline(result.air.times)
    rows = (
        (Style.HUMIDITY, "% RH", air.rh_pct, 20.0),
        (Style.TEMPERATURE, say.temp_unit, say.temp_number(air.temp_c), 8.0),
        (Style.EMC, "% in wood", air.emc_pct, 3.0),
    )
    panels, top = [], 18.0
    for style, unit, values, least in rows:
        band = _emc_band(result) if style == Style.EMC else ()
        panels.append(_panel(line, style, unit, least, (values, *band), top))
        top += PANEL_STEP
    spans = [(Style.GAP, (gap.first, gap.last), gap_text(gap)) for gap in result.lived.gaps]
    spans += [(Style.FAULT, (one.first, one.last), one.says) for one in result.flags]
    return Chart(
        name="air",
        title=f"Air where {result.piece.name} lives",
        says=_says(result, say),
        height=410.0,
        panels=tuple(panels),
        time_ticks=line.ticks,
        key=_key(result, line),
        readings=line.readings(_readings(result, line, say)),
        shades=line.shades(spans, panels),
        grounds=grounds_of(result, line, panels),
    )


def _panel(
    line: Timeline, style: Style, unit: str, least: float, values: "Sequence[Floats]", top: float
) -> Panel:
    """One line with its band, if it has one: the values are its own, then the band's ends."""
    drawn = [line.calm.values(np.asarray(one)) for one in values]
    every = np.concatenate(drawn)
    ends = padded(float(np.nanmin(every)), float(np.nanmax(every)), least)
    axis = Axis(*ends, top + PANEL_TALL, top)
    areas: tuple[Curve, ...] = ()
    if len(drawn) > 1:
        areas = (line.area(Style.DOUBT, axis, line.calm.times(line.times), (drawn[1], drawn[2])),)
    curve = line.line(style, axis, values[0], calmed=True)
    ticks = value_ticks(axis, most=5)
    return Panel(axis.end, axis.start, unit, ticks, areas=areas, curves=(curve,))


def _emc_band(result: PlaceResult) -> "tuple[Floats, ...]":
    """5th and 95th percentile of projected moisture held; empty where all was read."""
    year = result.projection
    if year is None:
        return ()
    band = np.where(year.projected, year.emc_band_pct, np.nan)
    return tuple(result.ahead.of_record(end).astype(np.float64) for end in band)


def _says(result: PlaceResult, say: Say) -> str:
    lived = result.lived
    return (
        f"Relative humidity {lived.rh_pct.low:.0f} to {lived.rh_pct.high:.0f} %, temperature "
        f"{say.temp(lived.temp_c.low)} to {say.temp(lived.temp_c.high)}, moisture that air holds "
        f"wood at {lived.emc_pct.low:.1f} to {lived.emc_pct.high:.1f} %; {len(result.gaps)} gaps "
        f"and {len(result.flags)} faults in the whole log.{spans_text(result, say)}"
    )


def _key(result: PlaceResult, line: Timeline) -> tuple[tuple[str, str], ...]:
    means = line.calm.words
    rows = [
        ("line humidity", f"relative humidity{means}"),
        ("line temperature", f"temperature{means}"),
        ("line emc", f"moisture that this air holds wood at{means}"),
        *grounds_key(result),
    ]
    if result.projection is not None:
        rows.append(("area doubt", f"moisture held: {BAND_WORDS}"))
    if result.lived.gaps:
        rows.append(("area gap", "gap: no readings"))
    if result.flags:
        rows.append(("area fault", "fault: readings to doubt, listed under the log"))
    return tuple(rows)


def _readings(result: PlaceResult, line: Timeline, say: Say) -> list[str]:
    air = result.air
    rows = np.stack([air.rh_pct, say.temp_number(air.temp_c), air.emc_pct], axis=1)[line.samples]
    return [
        f"{when}: {NOT_KNOWN}"
        if np.isnan(rh_pct)
        else f"{when}: {rh_pct:.0f} % RH, {temp:.0f} {say.temp_unit}, holds wood at {emc_pct:.1f} %"
        for when, (rh_pct, temp, emc_pct) in zip(
            moments_of(result, line), rows.tolist(), strict=True
        )
    ]
