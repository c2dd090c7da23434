"""Which picture of a piece goes into a file: its year, or its fastenings set out."""

from typing import TYPE_CHECKING

from climlog.analysis.place.result import PlaceResult
from climlog.errors import UnusableInputError
from climlog.report.drawing.picture import picture_of
from climlog.report.drawing.sheet_picture import sheet_of
from climlog.report.phrases import Say
from climlog.report.place.answer import headline
from climlog.report.place.document import charts
from climlog.report.place.setting_out import setting_out

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SETTING_OUT = "setting-out"


def picture_of_place(
    result: PlaceResult, say: Say, which: str | None = None
) -> "tuple[Figure, str]":
    """Draw a picture of a piece, with what it says to somebody who cannot see it.

    Parameters
    ----------
    result : PlaceResult
    say : Say
    which : {"year", "setting-out"}, optional
        Left out, the plan is set out where there is one, else the year is drawn.

    Raises
    ------
    UnusableInputError
        If there is no fastening to set out.
    """
    if which == SETTING_OUT or (which is None and result.plan is not None):
        drawing = setting_out(result, say)
        if drawing is None:
            raise UnusableInputError(
                f"{result.piece.name}: no fastening to set out, and no plan holds or less than a "
                "year of air is known; add [[fastening]], or draw --picture-of year"
            )
        return sheet_of(drawing, say.units), drawing.says
    says = headline(result, say)
    return picture_of(charts(result, say), says), says
