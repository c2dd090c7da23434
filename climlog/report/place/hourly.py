"""The hourly table of `place` as CSV that opens in any spreadsheet.

UTF-8 with a byte order mark, because a spreadsheet on Windows otherwise reads the names of pieces
as a local code page; comma, decimal point, one line feed a row, times as "2025-02-14 13:00", empty
cells where nothing is known. A text that a spreadsheet would take for a formula gets a quote mark
in front; numbers, negative ones too, stay numbers.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from climlog.analysis.place.hourly import hourly_of
from climlog.analysis.place.result import PlaceResult

if TYPE_CHECKING:
    import pandas as pd

BYTE_ORDER_MARK = "\N{ZERO WIDTH NO-BREAK SPACE}"
FORMULA_STARTS = ("=", "+", "-", "@")
PLACES = {
    "air_temp_c": 2,
    "rh_pct": 2,
    "emc_pct": 3,
    "board_mean_pct": 3,
    "board_show_face_pct": 3,
    "board_hidden_face_pct": 3,
    "board_core_pct": 3,
    "width_mm": 3,
    "swell_used_pct": 1,
    "shrink_used_pct": 1,
}


def hourly_csv(results: Sequence[PlaceResult]) -> str:
    """Write every step of every piece as a row, pieces one after another.

    Parameters
    ----------
    results : sequence of PlaceResult

    Returns
    -------
    str
        CSV text, byte order mark first: time, piece, the columns of `PLACES`, and air_from
        (measured, bridged over a short gap, projected, or gap).
    """
    import pandas as pd

    table = pd.concat([_table(one) for one in results], ignore_index=True)
    text: str = table.to_csv(index=False, lineterminator="\n", date_format="%Y-%m-%d %H:%M")
    return BYTE_ORDER_MARK + text


def _table(result: PlaceResult) -> "pd.DataFrame":
    import pandas as pd

    hourly, air, course = hourly_of(result), result.air, result.course
    columns = (
        air.temp_c,
        air.rh_pct,
        air.emc_pct,
        course.mean_pct,
        course.show_face_pct,
        course.hidden_face_pct,
        course.core_pct,
        hourly.width_mm,
        hourly.swell_used_pct,
        hourly.shrink_used_pct,
    )
    numbers = {
        name: values.round(places) + 0.0
        for (name, places), values in zip(PLACES.items(), columns, strict=True)
    }
    piece = safe_cell(result.piece.name)
    return pd.DataFrame(
        {"time": hourly.times, "piece": piece, **numbers, "air_from": hourly.air_from}
    )


def safe_cell(text: str) -> str:
    """Put a text on one line, and keep a spreadsheet from running it as a formula.

    Examples
    --------
    >>> safe_cell("=1+1"), safe_cell("oak top")
    ("'=1+1", 'oak top')
    """
    line = " ".join(text.split())
    return f"'{line}" if line.startswith(FORMULA_STARTS) else line
