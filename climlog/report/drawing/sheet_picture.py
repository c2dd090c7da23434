"""A setting-out drawing as a matplotlib Figure the size of a printed sheet on its side.

Every place, size and word is the record's own; nothing is worked out again.
"""

from typing import Any

from matplotlib.figure import Figure
from matplotlib.patches import Circle, PathPatch

from climlog.report.drawing.picture import path_of
from climlog.report.drawing.setting_out import Line, SettingOut
from climlog.units import MM_PER_INCH, Units

POINTS_PER_MM = 72.0 / MM_PER_INCH
A4_MM, LETTER_MM = (297.0, 210.0), (11 * MM_PER_INCH, 8.5 * MM_PER_INCH)
INK, SOFT, RAIL = "#10161b", "#59636b", "#7b6a4d"
STYLES: dict[Line, dict[str, Any]] = {
    Line.EDGE: {"ec": INK, "lw": 1.3},
    Line.HIDDEN: {"ec": RAIL, "lw": 0.7, "ls": (0, (4, 2))},
    Line.CENTRE: {"ec": SOFT, "lw": 0.6, "ls": (0, (10, 2, 2, 2))},
    Line.THIN: {"ec": SOFT, "lw": 0.4},
    Line.PART: {"ec": INK, "lw": 0.8},
    Line.HEAVY: {"ec": INK, "lw": 2.2},
    Line.SHEET: {"ec": SOFT, "lw": 0.5},
}


def sheet_of(drawing: SettingOut, units: Units) -> Figure:
    """Lay a drawing out on one sheet, in its true size.

    Parameters
    ----------
    drawing : SettingOut
    units : Units
        A4 or US Letter.
    """
    wide, tall = LETTER_MM if units == Units.INCH else A4_MM
    figure = Figure(figsize=(wide / MM_PER_INCH, tall / MM_PER_INCH))
    left, top = (wide - drawing.width) / 2, (tall - drawing.height) / 2
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(-left, wide - left)
    axes.set_ylim(tall - top, -top)
    axes.set_axis_off()
    for stroke in drawing.strokes:
        style = STYLES[stroke.line]
        patch = PathPatch(path_of(stroke.path), fill=False, **style, gid=str(stroke.line))
        axes.add_patch(patch)
    for ring in drawing.rings:
        face = INK if ring.solid else "white"
        axes.add_patch(Circle((ring.x, ring.y), ring.radius, fc=face, ec=INK, lw=0.7))
    for one in drawing.words:
        axes.text(
            one.x, one.y, one.says,
            ha={"start": "left", "end": "right"}.get(one.hang, "center"), va="baseline",
            fontsize=one.size * POINTS_PER_MM, rotation=90 if one.turned else 0,
            rotation_mode="anchor", color=INK, parse_math=False,
            fontweight="bold" if one.bold else "normal",
        )  # fmt: skip
    return figure
