"""What a single cell can be: a number, a moment, a word, a spelling of "missing"."""

import re
from collections import Counter
from functools import cache

from climlog.importer.text.daywords import month_pattern, simple_date
from climlog.tables import load_table

NUMBER = "number"
MOMENT = "moment"
DAY = "day"
CLOCK = "clock"
WORD = "word"
BLANK = "blank"

MARKUP = re.compile(r"<[^<>]*>")
UNIT_TAIL = r"\s*(?:(?:°|º|˚|deg\.?|\*)?\s*[CFK]|℃|℉|%\s*(?:rh|r\.h\.|rf|rel)?)?"
_NUMBER = re.compile(
    rf"[-+\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?{UNIT_TAIL}$", re.IGNORECASE
)
_BARE_NUMBER = re.compile(r"[-+\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?")
_UNIT_END = re.compile(rf"(?<=\S){UNIT_TAIL}$", re.IGNORECASE)
CLOCK_TEXT = (
    r"(?P<hour>\d{1,2})[:.h](?P<minute>\d{2})(?:[:.m](?P<second>\d{2})(?:[.,:](?P<fraction>\d{1,9}))?)?"
    r"\s*s?\s*(?P<half>[ap]\.?\s?m\.?)?"
)
ZONE_TEXT = r"(?P<zone>z|(?:utc|gmt)?\s*[+\u2212-]\d{1,2}:?(?:\d{2})?|\(?[a-z]{2,5}\)?)?"
_CLOCK = re.compile(rf"{CLOCK_TEXT}\s*{ZONE_TEXT}$", re.IGNORECASE)
MONTH_NAME = month_pattern()
_DAY_FIRST_PART = re.compile(
    r"(?:[^\W\d_]{2,10}\.?,?\s+)?(?:"
    r"\d{4}[-/. ]\d{1,2}[-/. ]\d{1,2}(?!\d)|(?:19|20)\d{6}(?!\d)|"
    r"\d{1,2}[-/. ]\d{1,2}[-/. ](?:\d{4}|\d{2})(?!\d)|"
    rf"\d{{1,2}}(?:st|nd|rd|th)?[-/. ]*{MONTH_NAME}\.?[-/., ]+(?:\d{{4}}|\d{{2}})(?!\d)|"
    rf"{MONTH_NAME}\.?[- ]\d{{1,2}}(?:st|nd|rd|th)?,?[- ]\d{{4}}|"
    rf"\d{{4}}[-/. ]{MONTH_NAME}[-/. ]\d{{1,2}}(?!\d))",
    re.IGNORECASE,
)
_TIGHT_CLOCK = re.compile(rf"\d{{4}}(?:\d{{2}})?\s*{ZONE_TEXT}$", re.IGNORECASE)
_CLOCK_INSIDE = re.compile(
    rf"(?:[^\W\d_]{{2,4}}\s+)?{MONTH_NAME}\s+\d{{1,2}}\s+\d{{1,2}}:\d{{2}}(?::\d{{2}})?\s+\d{{4}}$",
    re.IGNORECASE,
)
_COMPACT = re.compile(r"(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:\d{2}){1,3}$")


# A CSV table cannot hold these: pandas would take them for empty cells.
NOT_IN_TABLE = ("", "nan", "na", "n/a", "null", "none", "<na>", "#n/a", "#na", "-nan", "1.#ind",
                "1.#qnan", "-1.#ind", "-1.#qnan")  # fmt: skip


@cache
def missing_words() -> frozenset[str]:
    """Give every known spelling of a missing reading, in lower case."""
    table = load_table("header_words")
    return frozenset(NOT_IN_TABLE) | {str(w) for w in table.index[table["role"] == "missing"]}


def unit_of(cell: str) -> str:
    """Give the unit behind a number, "" where there is none.

    Examples
    --------
    >>> unit_of("21.3 °C"), unit_of("43%"), unit_of("43")
    ('°C', '%', '')
    """
    text = plain(cell)
    number = _BARE_NUMBER.match(text)
    return text[number.end() :].strip() if number is not None and _NUMBER.match(text) else ""


def is_missing(text: str) -> bool:
    """Say whether a text is a spelling of "missing", with or without blanks or a unit behind it."""
    low = text.lower()
    known = missing_words()
    return low in known or low.replace(" ", "") in known or _UNIT_END.sub("", low) in known


def plain(cell: str) -> str:
    """Strip quotes, blanks and markup from a cell."""
    if "<" in cell:
        cell = MARKUP.sub("", cell)
    return cell.replace("\xa0", " ").strip().strip("\"'=").strip()


def kind_of(cell: str) -> str:
    """Say what a cell can be.

    Returns
    -------
    str
        "number", "moment" (day and clock), "day", "clock", "word" or "blank" (also any spelling
        of missing).

    Examples
    --------
    >>> [kind_of(c) for c in ("21,5", "3/4/24 7:00 PM", "20180101:0000", "18.00.00", "n/a")]
    ['number', 'moment', 'moment', 'clock', 'blank']
    """
    text = plain(cell)
    if not text or is_missing(text):
        return BLANK
    if _NUMBER.match(text):
        return MOMENT if _COMPACT.match(text) else NUMBER
    text = simple_date(text)
    day = _DAY_FIRST_PART.match(text)
    if day is not None and _CLOCK.match(text) and not _can_be_day(text):
        return CLOCK
    if day is not None:
        rest = text[day.end() :].lstrip(" tT:,_-")
        if not rest.strip():
            return DAY
        return MOMENT if _CLOCK.match(rest) or _TIGHT_CLOCK.match(rest) else WORD
    if _CLOCK_INSIDE.match(text):
        return MOMENT
    return CLOCK if _CLOCK.match(text) else WORD


def _can_be_day(text: str) -> bool:
    """Say whether a text like 18.00.00, which fits a clock, can be a day as well."""
    return all(int(part) > 0 for part in re.findall(r"\d+", text)[:2])


def usual_kind(counts: Counter[str], share: float = 0.0) -> str:
    """Give the kind of a column from the kinds of its cells; "blank" if none has the share.

    A column in which some cells can only be clock times holds clock times: 10.03.04 is one too.
    """
    counts = Counter({kind: count for kind, count in counts.items() if kind != BLANK})
    if counts[CLOCK] and counts[DAY]:
        counts[CLOCK] += counts.pop(DAY)
    if counts[MOMENT] and counts[DAY]:
        counts[MOMENT] += counts.pop(DAY)
    if not counts:
        return BLANK
    top = max(counts, key=lambda kind: (counts[kind], kind != WORD))
    return top if counts[top] >= share * counts.total() else BLANK
