"""What a single cell can be: a number, a moment, a word, a spelling of "missing"."""

import re
from collections import Counter
from enum import StrEnum
from functools import cache, lru_cache

from climlog.importer.text.daywords import ZONE_WORDS, month_pattern, simple_date
from climlog.tables import load_table


class Kind(StrEnum):
    """What a cell can be; MOMENT is a day and a clock, BLANK also any spelling of missing."""

    NUMBER = "number"
    MOMENT = "moment"
    DAY = "day"
    CLOCK = "clock"
    WORD = "word"
    BLANK = "blank"


TIME_KINDS = frozenset({Kind.MOMENT, Kind.DAY, Kind.CLOCK})
SAYS_NOTHING = frozenset({Kind.WORD, Kind.BLANK})
MOST_KNOWN = 200_000
"""Different cells whose kind is remembered: a sample of a wide file, a few MB of memory."""

LONGEST_CELL = 200
"""Letters of the longest date written out, some times over; a longer cell is prose."""
MARKUP = re.compile(r"<[^<>]*>")
UNIT_TAIL = r"\s*(?:(?:°|º|˚|deg\.?|\*)?\s*[CFK]|℃|℉|%\s*(?:rh|r\.h\.|rf|rel)?)?"
_NUMBER = re.compile(
    rf"[-+\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?{UNIT_TAIL}$", re.IGNORECASE
)
_BARE_NUMBER = re.compile(r"[-+\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?")
_UNIT_END = re.compile(rf"(?<=\S){UNIT_TAIL}$", re.IGNORECASE)
CLOCK_TEXT = (
    r"(?P<hour>\d{1,3})[:.h](?P<minute>\d{2})(?:[:.m](?P<second>\d{2})(?:[.,:](?P<fraction>\d{1,9}))?)?"
    r"\s*s?\s*(?P<half>[ap](?:\.?\s?m)?\.?(?![a-z]))?"
)
ZONE_TEXT = (
    r"(?P<zone>z|(?:utc|gmt)?\s*[+\u2212-]\d{1,2}:?(?:\d{2})?|"
    rf"\(?(?:{ZONE_WORDS}|[a-z]{{3,5}})\)?)?"
)
_CLOCK = re.compile(rf"{CLOCK_TEXT}\s*{ZONE_TEXT}$", re.IGNORECASE)
_SPOKEN_HOUR = re.compile(r"\d{1,2}\s?(?:h|hrs?|uhr|o'clock|[ap]\.?m\.?)\.?$", re.IGNORECASE)
MONTH_NAME = month_pattern()
_DAY = (
    r"(?:"
    r"\d{4}[-/. ]\d{1,2}[-/. ]\d{1,2}(?!\d)|(?:19|20)\d{6}(?!\d)|"
    r"(?:19|20)\d{2}-?W\d{2}-?[1-7](?!\d)|(?:19|20)\d{2}-[0-3]\d{2}(?![\d/-])|"
    r"\d{1,2}[-/. ]\d{1,2}[-/. ](?:\d{4}|\d{2})(?!\d)|"
    rf"\d{{1,2}}(?:st|nd|rd|th)?[-/. ]*{MONTH_NAME}\.?[-/., ]+(?:\d{{4}}|\d{{2}})(?!\d)|"
    rf"{MONTH_NAME}\.?[- ]\d{{1,2}}(?:st|nd|rd|th)?,?[- ]\d{{4}}|"
    rf"\d{{4}}[-/. ]{MONTH_NAME}[-/. ]\d{{1,2}}(?!\d))"
)
_DAY_FIRST_PART = re.compile(rf"(?:[^\W\d_]{{2,10}}\.?,?\s+)?{_DAY}", re.IGNORECASE)
_DAY_ANYWHERE = re.compile(rf"(?<![\w.]){_DAY}", re.IGNORECASE)
_CLOCK_BEHIND = re.compile(
    r"[ tT,]+\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:\s*[ap]\.?m\.?)?", re.IGNORECASE
)
_TIGHT_CLOCK = re.compile(rf"\d{{4}}(?:\d{{2}})?\s*{ZONE_TEXT}$", re.IGNORECASE)
_CLOCK_INSIDE = re.compile(
    rf"(?:[^\W\d_]{{2,4}}\s+)?{MONTH_NAME}\s+\d{{1,2}}\s+\d{{1,2}}:\d{{2}}(?::\d{{2}})?\s+\d{{4}}$",
    re.IGNORECASE,
)
_COMPACT = re.compile(r"(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:\d{2}){1,3}$")
_NO_YEAR = re.compile(
    r"(?:[^\W\d_]{2,10}\.?,?\s+)?(?:"
    rf"\d{{1,2}}[-/. ]*{MONTH_NAME}\.?|{MONTH_NAME}\.?[- ]\d{{1,2}}|"
    rf"\d{{1,2}}[-/.]\d{{1,2}}\.?)(?:[,\s]+{CLOCK_TEXT})?$",
    re.IGNORECASE,
)

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


def number_in(cell: str) -> float | None:
    """Give the number of a cell, its unit aside; None for any other cell.

    Examples
    --------
    >>> number_in("21,5 °C"), number_in("-3"), number_in("ok")
    (21.5, -3.0, None)
    """
    text = plain(cell)
    if _NUMBER.match(text) is None:
        return None
    found = _BARE_NUMBER.match(text)
    return float(found[0].replace(",", ".").replace("\u2212", "-")) if found else None


def is_missing(text: str) -> bool:
    """Say whether a text is a spelling of "missing", with or without blanks or a unit behind it."""
    low = text.lower()
    known = missing_words()
    return low in known or low.replace(" ", "") in known or _UNIT_END.sub("", low) in known


def lacks_year(cell: str) -> bool:
    """Say whether a cell is a day and a month, with or without a clock, and no year.

    Examples
    --------
    >>> [lacks_year(cell) for cell in ("17 Jan 09:00", "17/01 09:00", "17/01/2024", "21.5")]
    [True, True, False, False]
    """
    text = plain(cell)
    return _NUMBER.match(text) is None and _NO_YEAR.match(text) is not None


def plain(cell: str) -> str:
    """Strip quotes, blanks and markup from a cell."""
    if "<" in cell:
        cell = MARKUP.sub("", cell)
    return cell.replace("\xa0", " ").strip().strip("\"'=").strip()


@lru_cache(maxsize=MOST_KNOWN)
def kind_of(cell: str) -> Kind:
    """Say what a cell can be.

    Examples
    --------
    >>> [str(kind_of(c)) for c in ("21,5", "3/4/24 7:00 PM", "20180101:0000", "18.00.00", "n/a")]
    ['number', 'moment', 'moment', 'clock', 'blank']
    """
    if len(cell) > LONGEST_CELL:
        return Kind.WORD
    text = plain(cell)
    if _NUMBER.match(text):
        return Kind.MOMENT if _COMPACT.match(text) else Kind.NUMBER
    if not text or is_missing(text):
        return Kind.BLANK
    return Kind.CLOCK if _SPOKEN_HOUR.match(text) else _kind_of_time(simple_date(text))


def _kind_of_time(text: str) -> Kind:
    """Say whether a text that is no number is a day, a clock, both, or a word."""
    day = _DAY_FIRST_PART.match(text)
    if day is None or (_CLOCK.match(text) and not _can_be_day(text)):
        if _CLOCK_INSIDE.match(text):
            return Kind.MOMENT
        return Kind.CLOCK if _CLOCK.match(text) else Kind.WORD
    rest = text[day.end() :].lstrip(" tT:,_-")
    if not rest.strip():
        return Kind.DAY
    return Kind.MOMENT if _CLOCK.match(rest) or _TIGHT_CLOCK.match(rest) else Kind.WORD


def day_inside(text: str) -> str:
    """Give the first day, with its clock if it has one, that stands anywhere in a line; else "".

    Examples
    --------
    >>> day_inside("=== Monday, 3 June 2024 ==="), day_inside("Start: 2024-06-03 08:00:00")
    ('3 June 2024', '2024-06-03 08:00:00')
    """
    text = simple_date(text)
    hit = _DAY_ANYWHERE.search(text)
    if hit is None:
        return ""
    clock = _CLOCK_BEHIND.match(text, hit.end())
    return (hit[0] + (clock[0] if clock else "")).strip()


def _can_be_day(text: str) -> bool:
    """Say whether a text like 18.00.00, which fits a clock, can be a day as well."""
    return all(int(part) > 0 for part in re.findall(r"\d+", text)[:2])


def usual_kind(counts: Counter[Kind], share: float = 0.0) -> Kind:
    """Give the kind of a column from the kinds of its cells; BLANK if none has the share.

    A column in which some cells can only be clock times holds clock times: 10.03.04 is one too.
    """
    counts = Counter({kind: count for kind, count in counts.items() if kind != Kind.BLANK})
    if counts[Kind.CLOCK] and counts[Kind.DAY]:
        counts[Kind.CLOCK] += counts.pop(Kind.DAY)
    if counts[Kind.MOMENT] and counts[Kind.DAY]:
        counts[Kind.MOMENT] += counts.pop(Kind.DAY)
    if not counts:
        return Kind.BLANK
    top = max(counts, key=lambda kind: (counts[kind], kind != Kind.WORD))
    return top if counts[top] >= share * counts.total() else Kind.BLANK
