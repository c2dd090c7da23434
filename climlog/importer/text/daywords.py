"""Words inside dates: months, halves of the day and marks between parts, in many languages."""

import re
from functools import cache

from climlog.tables import load_table

AM_WORDS = ("上午", "午前", "오전", "πμ", "π.μ.", "π. μ.")
PM_WORDS = ("下午", "午後", "오후", "μμ", "μ.μ.", "μ. μ.")
ZONE_WORDS = (
    "UTC|GMT|CET|CEST|MEZ|MESZ|EET|EEST|WET|WEST|BST|IST|EST|EDT|CST|CDT|MST|MDT|PST|PDT|AKST|AKDT|"
    "HST|AEST|AEDT|ACST|ACDT|AWST|NZST|NZDT|JST|KST|MSK|SAST|HKT|SGT"
)
"""Names of time zones that stand inside dates (common practice, no source); most name no offset."""
_HALF = re.compile("|".join(re.escape(word) for word in AM_WORDS + PM_WORDS))
_CLOCK = re.compile(r"\d{1,2}[:.]\d{2}(?:[:.]\d{2})?(?:[.,]\d+)?")
_EAST_CLOCK = re.compile(
    r"(\d{1,2})\s*[時时点點시]\s*(?:(\d{1,2})\s*[分분]?)?\s*(?:(\d{1,2})\s*[秒초])?"
)
_STRANGE = re.compile(
    r"[\u0370-\u03ff\u3040-\u9fff\uac00-\ud7af\[(]|\.[ \n]|\.$|\d[_ T-]\d\d-\d\d|"
    r"\d\s*(?:uhr|hrs?|h)\b|\b(?:at|um|klo|kl|à|às|alle|om|de|del|las|\u0433|st|nd|rd|th)\b",
    re.IGNORECASE | re.MULTILINE,
)
_ZONE_INSIDE = re.compile(rf"(?<=\d)\s+\(?(?:{ZONE_WORDS})\)?\s+(?=\d)", re.IGNORECASE)
PLAIN_MARKS = frozenset("0123456789/:-TZ+, \n")
_HYPHENS = re.compile(r"[ T]\d\d-\d\d")
_CHANGES = tuple(
    (re.compile(pattern, re.IGNORECASE), replacement)
    for pattern, replacement in (
        (r"\s*\[[^\]]*\]$", ""),
        (r"\s*\([^)]{6,}\)$", ""),
        (r"\s*[(\uff08][月火水木金土日월화수목금토][)\uff09]", " "),
        (r"\s*(?:(?:星期|周)[一二三四五六日天]|[月火水木金土日]曜日|[월화수목금토일]요일)", " "),
        (r"(\d)\s*[年년]\s*", r"\1-"),
        (r"(\d)\s*[月월]\s*", r"\1-"),
        (r"(\d)\s*[日일号]\s*", r"\1 "),
        (r"^(\d{4})\.\s?(\d{1,2})\.\s?(\d{1,2})\.(?=\s|$)", r"\1-\2-\3"),
        (r"^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})\.?(?=\s|$)", r"\1.\2.\3"),
        (r"^(\d{4})\.\s+(?=[^\W\d_])", r"\1 "),
        (r"(?<=\d{4})\s*\u0433\.?(?=,|\s|$)", ""),
        (r"^(\d{4}-\d{1,2}-\d{1,2})[_ T-](\d{2})-(\d{2})(?:-(\d{2}))?(?=$|[.Z+ ])", r"\1 \2:\3:\4"),
        (r":(?=$|[.Z+ ])", ""),
        (r"(?<=\d)\.?\s+(?:de\s+)(?=[^\W\d_])", " "),
        (r"(?<=[^\W\d_])\.?\s+(?:del?)\s+(?=\d{4})", " "),
        (r"(?<=\d),?\s+(?:at|um|klo|kl|à|às|a las|alle|om)\.?\s+(?=\d)", " "),
        (r"(?<=\d)\s*(?:uhr|hrs?|h)\.?$", ""),
    )
)


@cache
def month_pattern() -> str:
    """Give a regular expression for any known name of a month, whole or cut short."""
    stems = sorted(load_table("months").index, key=lambda stem: (-len(stem), stem))
    return rf"(?:{'|'.join(stems)})[^\W\d_]{{0,9}}"


def has_words(text: str) -> bool:
    """Say whether a text (many cells joined by line ends) may need `simple_date`."""
    if PLAIN_MARKS.issuperset(text):
        return _HYPHENS.search(text) is not None
    return _STRANGE.search(text) is not None or _ZONE_INSIDE.search(text) is not None


def simple_date(text: str) -> str:
    """Take out words and marks between the parts of a date, and write halves of the day as AM, PM.

    Examples
    --------
    >>> simple_date("2024年1月27日 下午8時5分"), simple_date("27 de enero de 2024 a las 8:00")
    ('2024-1-27 8:05:00 PM', '27 enero 2024 8:00')
    >>> simple_date("2024. 1. 27."), simple_date("2024-01-27_08-30-00"), simple_date("21.3 °C")
    ('2024-1-27', '2024-01-27 08:30:00', '21.3 °C')
    """
    if not any(letter.isdigit() for letter in text) or not has_words(text):
        return text
    text = _ZONE_INSIDE.sub(" ", text)
    whole = _EAST_CLOCK.sub(
        lambda hit: f"{hit[1]}:{int(hit[2] or 0):02d}:{int(hit[3] or 0):02d}", text
    )
    half = _HALF.search(whole)
    if half is not None:
        word = " AM" if half[0] in AM_WORDS else " PM"
        whole = f"{whole[: half.start()]} {whole[half.end() :]}"
        whole = _CLOCK.sub(lambda hit: hit[0] + word, whole, count=1)
    for pattern, replacement in _CHANGES:
        whole = pattern.sub(replacement, whole)
    return " ".join(whole.split())
