"""Times by a written pattern: "dd.mm.yyyy hh:mm", or the % letters that programmers know."""

import re

import numpy as np
import pandas as pd

from climlog.errors import UnusableInputError
from climlog.importer.time.timestamps import Moments

_PARTS = re.compile(
    r"y+|Y+|m+|M+|d+|D+|h+|H+|s+|S+|f+|[ap]m|AM|PM|AM/PM|j+|[^A-Za-z]+|T|Z|[A-Za-z]"
)


def strptime_pattern(written: str) -> str:
    """Turn a written pattern into one of % letters; one that has them already stays.

    Raises
    ------
    UnusableInputError
        If a letter stands for nothing known.

    Examples
    --------
    >>> strptime_pattern("dd.mm.yyyy hh:mm"), strptime_pattern("yyyy-mm-ddThh:mm:ss")
    ('%d.%m.%Y %H:%M', '%Y-%m-%dT%H:%M:%S')
    >>> strptime_pattern("m/d/yy h:mm AM"), strptime_pattern("dd mmm yyyy")
    ('%m/%d/%y %I:%M %p', '%d %b %Y')
    """
    if "%" in written:
        return written
    half = re.search(r"AM|PM|am|pm", written) is not None
    found, before = "", ""
    for hit in _PARTS.finditer(written):
        found += _letter(hit[0], before, half, written)
        before += hit[0]
    return found


def _letter(part: str, before: str, half: bool, written: str) -> str:
    low = part.lower()
    if low in ("am", "pm", "am/pm"):
        return "%p"
    if not part[0].isalpha() or part in "TZ":
        return part
    if low[0] == "m":
        clock = re.search(r"[hH]+\W*$", before) is not None
        return "%M" if clock else "%B" if len(part) > 3 else "%b" if len(part) == 3 else "%m"
    known = {
        "y": "%Y" if len(part) > 2 else "%y", "d": "%a" if len(part) == 3 else "%d",
        "h": "%I" if half else "%H", "s": "%S", "f": "%f", "j": "%j",
    }  # fmt: skip
    if low[0] not in known:
        raise UnusableInputError(
            f'--time-format "{written}": "{part}" stands for nothing; write dd, mm, yyyy, hh, mm, '
            "ss, AM, or % letters such as %d.%m.%Y %H:%M"
        )
    return known[low[0]]


def read_written(where: str, cells: "pd.Series[str]", written: str) -> Moments:
    """Read cells by the pattern given.

    Raises
    ------
    UnusableInputError
        If most cells do not fit the pattern.
    """
    pattern = strptime_pattern(written)
    text = cells.fillna("").astype(str).str.strip().str.strip("\"'=")
    try:
        index = pd.to_datetime(text, format=pattern, errors="coerce", utc="%z" in pattern)
    except ValueError as error:
        raise UnusableInputError(f'{where}: --time-format "{written}" is none ({error})') from error
    if "%z" in pattern:
        index = index.dt.tz_localize(None)
    filled = text != ""
    if index[filled].isna().mean() > MOST_UNFITTING:
        example = text[filled & index.isna()].iloc[0]
        raise UnusableInputError(
            f'{where}: "{example}" does not fit --time-format "{written}"; write the pattern as '
            "the cells are written"
        )
    wall = index.to_numpy().astype("datetime64[ns]")
    return Moments(wall, np.zeros(1) if "%z" in pattern else np.full(1, np.nan))


MOST_UNFITTING = 0.5
"""Share of cells that may not fit a written pattern: more and the pattern is another's."""
