"""A figure as the bytes of a file: the same bytes for the same numbers."""

import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PICTURE_DPI = 150


@dataclass(frozen=True)
class Drawn:
    """A picture, and whether its font lacks letters that it should show."""

    content: bytes
    lacks_letters: bool


def drawn(figure: "Figure", kind: str, says: str) -> Drawn:
    """Draw a figure; `says` tells it to the blind.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    kind : {".svg", ".png", ".pdf"}
    says : str
    """
    from matplotlib import rc_context

    stream = io.BytesIO()
    with (
        warnings.catch_warnings(record=True) as told,
        rc_context({"svg.fonttype": "none", "svg.hashsalt": "climlog"}),
    ):
        warnings.simplefilter("always")
        figure.savefig(stream, format=kind[1:], dpi=PICTURE_DPI, metadata=_metadata(kind, says))
    lacking = [one for one in told if str(one.message).startswith("Glyph")]
    for other in (one for one in told if one not in lacking):
        warnings.warn(other.message, other.category, stacklevel=2)
    return Drawn(stream.getvalue(), bool(lacking) and kind != ".svg")


def _metadata(kind: str, says: str) -> dict[str, str | None]:
    if kind == ".pdf":
        return {"Title": says, "CreationDate": None}
    if kind == ".svg":
        return {"Title": says, "Date": None}
    return {"Title": says}
