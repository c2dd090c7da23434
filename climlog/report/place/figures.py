"""Pictures of a place result as matplotlib Figures: made here, saved elsewhere.

The same words as on the page. Lines differ in stroke as well as colour, limits are hatched, and
names are never read as formulas.
"""

import textwrap
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MultipleLocator

from climlog.analysis.place.result import PlaceResult
from climlog.report.drawing.axes import INCH_STEPS
from climlog.report.drawing.resample import calm_for
from climlog.report.place import captions as words
from climlog.report.place.answer import headline
from climlog.units import MM_PER_INCH, inches_text

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import ArrayLike, NDArray

MM_PER_UNIT = {"inch": MM_PER_INCH, "metric": 1.0}
SIZE_IN = (10.0, 4.2)
TALL_SIZE_IN = (10.0, 8.4)
LETTERS_A_LINE = 115
FARTHEST_LIMIT = 1.7
STRIP_SHARE = 0.07
MOST_TICKS = 9
INK, RED, BLUE, GREEN, ORANGE = "#222222", "#a0341f", "#1f5fa0", "#2f7a4f", "#b07000"
SAND, STONE = "#efeadb", "#b9b19c"
MOISTURE_LINES = (
    ("line show", "show_face_pct", ORANGE, "--"),
    ("line hidden", "hidden_face_pct", BLUE, "-."),
    ("line core", "core_pct", GREEN, ":"),
    ("line middle", "mean_pct", INK, "-"),
)


def place_figure(result: PlaceResult, units: str) -> Figure:
    """Draw width above moisture, on one time axis, under the answer in words.

    Parameters
    ----------
    result : PlaceResult
    units : {"inch", "metric"}
        Unit of width; the other stands on the right.

    Returns
    -------
    matplotlib.figure.Figure
        Two axes.
    """
    figure = Figure(figsize=TALL_SIZE_IN, layout="constrained")
    upper, lower = figure.subplots(2, 1, sharex=True, height_ratios=(1.25, 1.0))
    _title(figure, textwrap.fill(headline(result, units), LETTERS_A_LINE))
    _draw_width(upper, result, units)
    _draw_moisture(lower, result)
    return figure


def width_figure(result: PlaceResult, units: str) -> Figure:
    """Draw the change of width through time in the room its fastenings leave."""
    figure = Figure(figsize=SIZE_IN, layout="constrained")
    _title(figure, result.piece.name)
    _draw_width(figure.subplots(), result, units)
    return figure


def moisture_figure(result: PlaceResult) -> Figure:
    """Draw the moisture of the board: its mean, both faces and its core."""
    figure = Figure(figsize=SIZE_IN, layout="constrained")
    _title(figure, result.piece.name)
    _draw_moisture(figure.subplots(), result)
    return figure


def _title(figure: Figure, text: str) -> None:
    figure.suptitle(text, x=0.01, ha="left", fontsize="medium", parse_math=False)


def _draw_width(axes: Axes, result: PlaceResult, units: str) -> None:
    scale, start_mm = MM_PER_UNIT[units], result.piece.width_mm
    low, _, high = (result.band.width_mm - start_mm) / scale
    middle = (result.width_mm - start_mm) / scale
    limits = _limits_in_view(result)
    key = dict(words.width_key(result, bool(limits)))
    _shade_projected(axes, result, key.get("area projected", ""))
    axes.fill_between(
        result.band.times, low, high, color=INK, alpha=0.15, lw=0, label=key["area doubt"]
    )
    axes.plot(result.course.times, middle, color=INK, lw=1.4, label=key["line middle"])
    axes.axhline(0.0, color=INK, lw=0.8, ls=(0, (1, 3)))
    _shade_limits(axes, limits, units, key.get("area beyond", ""))
    _mark_width(axes, result, units)
    axes.set_ylabel(f"change of width [{words.UNIT_WORDS[units]}]")
    _unit_ticks(axes, units)
    _finish(axes)


def _shade_projected(axes: Axes, result: PlaceResult, label: str) -> None:
    """Dot the ground of the days that were not read but projected."""
    for number, (first, last) in enumerate(words.projected_spans(result)):
        ends = np.array([first, last], dtype="datetime64[s]")
        axes.axvspan(
            *ends, facecolor=SAND, edgecolor=STONE, hatch="..", lw=0, alpha=0.45, zorder=0,
            label=label if number == 0 else None,
        )  # fmt: skip


def _limits_in_view(result: PlaceResult) -> dict[str, float]:
    """Edges of the travel that are not far off what the piece does. [mm]."""
    if not result.piece.fastenings:
        return {}
    change_mm = np.append(result.band.width_mm - result.piece.width_mm, 0.0)
    reach_mm = FARTHEST_LIMIT * float(np.nanmax(change_mm) - np.nanmin(change_mm))
    has = result.as_a_set.has
    edges = {"swelling": has.swell_mm, "shrinking": -has.shrink_mm}
    return {way: at for way, at in edges.items() if abs(at) <= reach_mm}


def _shade_limits(axes: Axes, limits: dict[str, float], units: str, label: str) -> None:
    """Hatch what lies beyond the travel, out to the end of the axis."""
    scale, (low, high) = MM_PER_UNIT[units], axes.get_ylim()
    edges = [at_mm / scale for at_mm in limits.values()]
    low, high = min([low, *edges]), max([high, *edges])
    strip = STRIP_SHARE * (high - low) if edges else 0.0
    low, high = low - strip, high + strip
    axes.set_ylim(low, high)
    for number, (way, at_mm) in enumerate(limits.items()):
        end = high if way == "swelling" else low
        axes.axhspan(
            at_mm / scale, end, facecolor="none", edgecolor=RED, alpha=0.35, hatch="///", lw=0,
            label=label if number == 0 else None,
        )  # fmt: skip
        axes.axhline(at_mm / scale, color=RED, lw=1.0)
        axes.annotate(
            words.limit_text(way, abs(at_mm), units), (1.0, at_mm / scale), (-4, 4 if end == high
            else -4), xycoords=axes.get_yaxis_transform(), textcoords="offset points", ha="right",
            va="bottom" if end == high else "top", color=RED, fontsize="small",
        )  # fmt: skip


def _mark_width(axes: Axes, result: PlaceResult, units: str) -> None:
    scale, start_mm, times = MM_PER_UNIT[units], result.piece.width_mm, result.course.times
    change_mm = result.width_mm - start_mm
    steps = {"narrowest": int(np.nanargmin(change_mm)), "widest": int(np.nanargmax(change_mm))}
    for shape, step in steps.items():
        at = (times[step], change_mm[step] / scale)
        sign = "v" if shape == "narrowest" else "^"
        axes.plot(times[[step]], change_mm[[step]] / scale, marker=sign, color=INK, ls="")
        axes.annotate(
            words.width_mark(shape, result, units), at, (0, -14 if shape == "narrowest" else 8),
            textcoords="offset points", ha=_side(step, times.size), fontsize="small",
        )  # fmt: skip
    first, last = times[0].date(), times[-1].date()
    measured = [
        one for one in result.piece.measured if one.width_mm is not None and first <= one.on <= last
    ]
    if measured:
        axes.plot(
            np.array([one.on for one in measured], dtype="datetime64[D]"),
            [(one.width_mm or start_mm) / scale - start_mm / scale for one in measured],
            marker="D", mfc="white", color=BLUE, ls="", label="measured on the piece",
        )  # fmt: skip
    runs_out_on = result.as_a_set.runs_out_on
    if runs_out_on is not None:
        axes.vlines(
            np.array([runs_out_on], dtype="datetime64[s]"), *axes.get_ylim(), color=RED, lw=1.2,
            ls="--", label=words.width_mark("runs-out", result, units),
        )  # fmt: skip


def _side(step: int, count: int) -> str:
    """Keep words near an end of the axis inside it."""
    return "left" if step < 0.2 * count else "right" if step > 0.8 * count else "center"


def _unit_ticks(axes: Axes, units: str) -> None:
    """Name inches as fractions, and put the other unit on the right."""
    other = "metric" if units == "inch" else "inch"
    factor = MM_PER_UNIT[units] / MM_PER_UNIT[other]
    second = axes.secondary_yaxis("right", functions=(_scaled(factor), _scaled(1.0 / factor)))
    second.set_ylabel(f"[{words.UNIT_WORDS[other]}]")
    low, high = axes.get_ylim()
    span_in = (high - low) * MM_PER_UNIT[units] / MM_PER_INCH
    fits = [step for step in INCH_STEPS if span_in / step <= MOST_TICKS]
    inches = axes.yaxis if units == "inch" else second.yaxis
    inches.set_major_locator(MultipleLocator(fits[0] if fits else INCH_STEPS[-1]))
    inches.set_major_formatter(FuncFormatter(lambda at, _: inches_text(at * MM_PER_INCH)[:-3]))


def _scaled(factor: float) -> "Callable[[ArrayLike], NDArray[np.float64]]":
    return lambda values: np.asarray(values, dtype=float) * factor


def _draw_moisture(axes: Axes, result: PlaceResult) -> None:
    key = dict(words.moisture_key(result))
    calm = calm_for(result.course.times)
    _shade_projected(axes, result, key.get("area projected", ""))
    for name, layer, color, stroke in MOISTURE_LINES:
        if name not in key:
            continue
        times, values = result.course.times, getattr(result.course, layer)
        if name in words.FACE_LINES:
            times, values = calm.times(times), calm.values(values)
        axes.plot(times, values, color=color, ls=stroke, lw=1.3, label=key[name])
    axes.axhline(result.start.fixed_pct, color=INK, lw=0.8, ls=(0, (1, 3)), label=key["line zero"])
    axes.set_ylabel("moisture [%]")
    _finish(axes)


def _finish(axes: Axes) -> None:
    axes.margins(x=0.0)
    axes.grid(alpha=0.25)
    axes.legend(
        loc="upper left", bbox_to_anchor=(0.0, -0.08), ncols=2, frameon=False, fontsize="small"
    )
