"""The page's charts as a matplotlib Figure: made here from the same records, saved elsewhere.

Every path, tick, shade, mark and word is the record's own, in the drawing's units; nothing is
worked out again. Lines differ in stroke as well as colour, limits are hatched, and names are never
read as formulas.
"""

import re
import textwrap
from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch, PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from climlog.report.document import Document
from climlog.report.drawing.axes import Tick
from climlog.report.drawing.chart import Block, Chart, Mark, Panel
from climlog.report.shape import Shape

WIDE_IN, UNITS_PER_IN = 10.0, 76.0
TITLE_IN, LEGEND_ROW_IN = 0.35, 0.22
UNDER_TICKS_IN = 0.34
"""From an axes to its legend: the words of its ticks stand between."""
HALO_PT = 2.5
"""Ground around words that stand on a line."""
LETTERS_A_LINE = 115
PAPER, INK, RED, BLUE, GREEN = "#fcfbf6", "#1d2830", "#a83a16", "#0b5a94", "#0a6650"
OCHRE, SOFT, SAND, STONE = "#7d5600", "#566069", "#efeadb", "#8a8270"
LINES: dict[str, dict[str, Any]] = {
    "middle": {"color": INK, "lw": 1.5, "ls": "-"},
    "zero": {"color": SOFT, "lw": 0.8, "ls": (0, (1, 3))},
    "show": {"color": RED, "lw": 1.2, "ls": "--"},
    "hidden": {"color": BLUE, "lw": 0.8, "ls": "-"},
    "core": {"color": GREEN, "lw": 1.4, "ls": ":"},
    "humidity": {"color": BLUE, "lw": 1.0, "ls": "-"},
    "temperature": {"color": RED, "lw": 1.0, "ls": "--"},
    "emc": {"color": INK, "lw": 1.1, "ls": "-."},
    "held": {"color": INK, "lw": 1.0, "ls": (0, (10, 2, 2, 2))},
}
AREAS: dict[str, dict[str, Any]] = {
    "doubt": {"facecolor": INK, "alpha": 0.15, "lw": 0},
    "beyond": {"facecolor": "none", "edgecolor": RED, "alpha": 0.35, "hatch": "///", "lw": 0},
    "gap": {"facecolor": "none", "edgecolor": SOFT, "alpha": 0.6, "hatch": "...", "lw": 0},
    "fault": {"facecolor": "none", "edgecolor": OCHRE, "alpha": 0.5, "hatch": "\\\\\\", "lw": 0},
    "projected": {"facecolor": SAND, "edgecolor": STONE, "hatch": "..", "lw": 0, "alpha": 0.45},
    "again": {"facecolor": BLUE, "alpha": 0.07, "lw": 0},
    "made": {"facecolor": OCHRE, "alpha": 0.1, "lw": 0},
    "unknown": {"facecolor": "none", "edgecolor": SOFT, "alpha": 0.5, "hatch": "..", "lw": 0},
    "window": {"facecolor": INK, "alpha": 0.08, "lw": 0},
}
SIGNS: dict[Shape, dict[str, Any]] = {
    Shape.WIDEST: {"marker": "^", "color": INK},
    Shape.NARROWEST: {"marker": "v", "color": INK},
    Shape.MEASURED: {"marker": "D", "color": INK, "mfc": PAPER},
    Shape.RUNS_OUT: {"marker": "s", "color": RED},
    Shape.SEEN: {"marker": "*", "color": INK, "mfc": PAPER},
    Shape.HOLDS: {"marker": "o", "color": GREEN, "mfc": PAPER},
}
CODES = {"M": Path.MOVETO, "L": Path.LINETO}
_STEP = re.compile(r"([ML])(-?[\d.]+) (-?[\d.]+)|(Z)")


def picture_of_answer(document: Document) -> Figure:
    """Draw the charts of a page's first screen under its answer.

    Parameters
    ----------
    document : Document
        One with a chart among its first pictures.
    """
    drawings = (one.drawing for one in document.pictures)
    charts = [one for one in drawings if isinstance(one, Chart)]
    return picture_of(charts, document.answer.says)


def picture_of(charts: Sequence[Chart], says: str) -> Figure:
    """Draw charts one above the other, under the answer in words.

    Parameters
    ----------
    charts : sequence of Chart
        With time axes of the same width.
    says : str
        The answer, as the title.

    Returns
    -------
    matplotlib.figure.Figure
        One axes for every panel of every chart, from the top.
    """
    panels = [(chart, panel) for chart in charts for panel in chart.panels]
    tall = [(panel.bottom - panel.top) / UNITS_PER_IN for _, panel in panels]
    legends = [LEGEND_ROW_IN * len(chart.key) / 2 + TITLE_IN for chart in charts]
    figure = Figure(figsize=(WIDE_IN, sum(tall) + sum(legends) + TITLE_IN), layout="constrained")
    title = textwrap.fill(says, LETTERS_A_LINE)
    figure.suptitle(title, x=0.01, ha="left", fontsize="medium", parse_math=False)
    every = figure.subplots(len(panels), 1, squeeze=False, height_ratios=tall)[:, 0]
    for axes, (chart, panel) in zip(every, panels, strict=True):
        _draw(axes, chart, panel)
        is_last = panel is chart.panels[-1]
        _ticks(axes.xaxis, chart.time_ticks if is_last else ())
        if is_last:
            _legend(axes, chart)
    return figure


def _draw(axes: Axes, chart: Chart, panel: Panel) -> None:
    axes.set_xlim(chart.left, chart.right)
    axes.set_ylim(panel.bottom, panel.top)
    if panel is chart.panels[0]:
        axes.set_title(chart.title, loc="left", fontsize="small", parse_math=False)
    _draw_panel(axes, chart, panel)
    _ticks(axes.yaxis, panel.ticks)
    axes.set_ylabel(panel.unit)
    if panel.other_ticks:
        other = axes.secondary_yaxis("right")
        _ticks(other.yaxis, panel.other_ticks)
        other.set_ylabel(panel.other_unit)
    axes.grid(alpha=0.25)


def _draw_panel(axes: Axes, chart: Chart, panel: Panel) -> None:
    for block in (*chart.grounds, *chart.shades, *panel.blocks):
        if block.y < panel.bottom and block.y + block.height > panel.top:
            _shade(axes, block, panel)
    for area in panel.areas:
        axes.add_patch(PathPatch(path_of(area.path), **AREAS[area.style], gid=area.style))
    for curve in panel.curves:
        style = {"edgecolor" if k == "color" else k: v for k, v in LINES[curve.style].items()}
        axes.add_patch(PathPatch(path_of(curve.path), fill=False, **style, gid=curve.style))
    for block in panel.blocks:
        is_upper = "upper" in block.style
        edge = block.y + block.height if is_upper else block.y
        axes.axhline(edge, color=RED, lw=1.0)
        _words(axes, block.says, block.says_at, edge + (-5 if is_upper else 15), block.anchor, RED)
    for mark in panel.marks:
        _mark(axes, mark)


def path_of(words: str) -> Path:
    """Turn a path of a record ("M1 2L3 4Z") into matplotlib's; both run down the page.

    Examples
    --------
    >>> path_of("M1.0 2.0L3.0 4.0Z").codes.tolist()
    [1, 2, 79]
    """
    vertices, codes = [(0.0, 0.0)][:0], []
    for step, x, y, close in _STEP.findall(words):
        vertices.append(vertices[-1] if close else (float(x), float(y)))
        codes.append(Path.CLOSEPOLY if close else CODES[step])
    return Path(vertices or [(0.0, 0.0)], codes or [Path.MOVETO])


def _shade(axes: Axes, block: Block, panel: Panel) -> None:
    top, bottom = max(block.y, panel.top), min(block.y + block.height, panel.bottom)
    style = AREAS[block.style.split()[0]]
    corner = (block.x, top)
    axes.add_patch(Rectangle(corner, block.width, bottom - top, **style, zorder=0, gid=block.style))


def _mark(axes: Axes, mark: Mark) -> None:
    axes.plot([mark.x], [mark.y], ls="", **SIGNS[mark.shape], gid=mark.shape)
    _words(axes, mark.says, mark.x, mark.y + mark.dy, mark.anchor, INK)


def _words(axes: Axes, says: str, x: float, y: float, anchor: str, color: str) -> None:
    if says:
        hung = {"start": "left", "end": "right"}.get(anchor, "center")
        halo = [withStroke(linewidth=HALO_PT, foreground="white")]
        axes.text(
            x,
            y,
            says,
            ha=hung,
            color=color,
            fontsize="small",
            parse_math=False,
            path_effects=halo,
        )


def _ticks(axis: Any, ticks: Sequence[Tick]) -> None:  # noqa: ANN401  a matplotlib axis, x or y
    axis.set_ticks([one.at for one in ticks], [one.label for one in ticks])


def _legend(axes: Axes, chart: Chart) -> None:
    tall_in = (chart.panels[-1].bottom - chart.panels[-1].top) / UNITS_PER_IN
    handles: list[Line2D | Patch] = []
    for style, says in chart.key:
        sort, _, name = style.partition(" ")
        if sort == "line":
            handles.append(Line2D([], [], label=says, **LINES[name]))
        elif sort == "area":
            handles.append(Patch(label=says, **AREAS[name]))
        elif sort == "mark":
            handles.append(Line2D([], [], ls="", label=says, **SIGNS[Shape(name)]))
        else:
            handles.append(Line2D([], [], ls="", label=says))
    legend = axes.legend(
        handles=handles, loc="upper left", ncols=2, frameon=False, fontsize="small",
        bbox_to_anchor=(0.0, -UNDER_TICKS_IN / tall_in),
    )  # fmt: skip
    for text in legend.get_texts():
        text.set_parse_math(False)
