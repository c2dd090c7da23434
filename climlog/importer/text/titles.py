"""Words of titles: which quantity, which unit, which place a column title speaks of."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache

from climlog.importer.text.cells import MARKUP
from climlog.tables import load_table

MOST_KNOWN = 20_000
"""Different words of titles that are remembered."""
_SAYS = re.compile(r"[^\W\d_]|[%φϕ°]")
_TOKEN = re.compile(
    r"[A-ZÀ-Þ]?[a-zß-ÿāăąčćďęěėğģīķłļńňőřśşšťūůűųžźżа-яё]+|[A-ZÀ-Þ]+(?![a-zß-ÿ])|\d+|[%φϕ]|[^\W\d_]+"
)
_GLUED = (
    (re.compile(r"(?i)\bday[ _]?of[ _]?(?:the[ _]?)?year\b|\btag des jahres\b"), "doy"),
    (re.compile(r"(?i)\br\.? ?h\.(?![a-z])"), "RH "),
    (re.compile(r"(?<![A-Za-z])[rR](?:\.\s?)?[FH](?![A-Za-z])\.?"), "RH "),
    (
        re.compile(
            r"(?i)(?<![a-z])(rh|hum|temp)(?=(?:in|out|air|avg|mean|int|ext|indoor|outdoor|room)(?![a-z]))"
        ),
        r"\1_",
    ),
    (
        re.compile(
            r"(?<![A-Za-z])([Tt])(?=(?:in|out|air|avg|mean|int|ext|indoor|outdoor|room|min|max)(?![a-z]))"
        ),
        r"\1_",
    ),
    (re.compile(r"(?i)(?<![a-z])(temp|temperature|dewpoint)([cfk])(?![a-z])"), r"\1 (\2)"),
    (re.compile(r"(?i)\b(temp)(in|out)?(f)\b"), r"\1_\2 (\3)"),
)
_TEMP_UNIT = re.compile(
    r"(?:°|º|˚|\*|�|deg(?:rees?)?\.?[ _]?)\s*(?P<a>[CFK])\b|(?P<b>[℃℉])|"
    r"(?<![A-Za-z])(?P<c>celsius|centigrade|fahrenheit|kelvin)|"
    r"(?:^|[\[(,/])\s*(?P<d>[CFK])\s*(?:[\])]|$|[,;(])|"
    r"(?:temp\.?|temperature|temperatur|dew ?point|point|bulb|\bT)[ _.\-]?"
    r"(?P<e>[CFK])(?=$|[^A-Za-z])",
    re.IGNORECASE,
)
_WORD_UNITS = {
    "celsius": "C",
    "centigrade": "C",
    "fahrenheit": "F",
    "kelvin": "K",
    "℃": "C",
    "℉": "F",
}
_OTHER_UNIT = re.compile(
    r"(?<![A-Za-z])(?:k?g|gr|lb)\s*(?:[/·]\s*|\s+)(?:m\s*(?:\^?3|³)|k?g|lb|cu\.? ?m)(?![A-Za-z])|"
    r"(?<![A-Za-z])(?:k?g)\s?(?:m|k?g)\^?(?:-[13]|⁻[¹³])|"
    r"[\[(,/_ ](?:[hkm]?Pa|m?bar|mmHg|inHg|ppm|psi|lux|dB|k?Wh?r?(?:/m|\b)|m/s|km/h|mph|"
    r"V(?:DC|AC)?\b|mm\b)(?![A-Za-z])"
)
_UNIT_WORD = re.compile(
    r"(?:°|º|˚|deg\.?|\*)?\s*[CFK]|℃|℉|%\s*(?:rh|r\.h\.|rf|rel)?|rh|celsius|fahrenheit|kelvin",
    re.IGNORECASE,
)
PLACES = frozenset({"indoor", "outdoor"})
LABELS = PLACES | {"sensor", "device"}
"""Roles of words that also tell one column from another, so that they stay in its label."""
GLUED_PLACES = {"in": frozenset({"indoor"}), "out": frozenset({"outdoor"})}
"""What is left of humidityin and tempout when the quantity is taken out."""
_WEATHER = re.compile(
    r"(?i)wind|gust|rain|precip|snow|solar|irradian|radiation|cloud|\b(?:ghi|dni|dhi|uv)\b|regen|niederschlag"
)
_UTC = re.compile(r"\b(?i:utc|gmt|z)(?![A-Za-z])|(?<=[a-z_])(?:UTC|GMT)(?![A-Za-z])")
"""By itself, or in capitals behind another word: DateUTC."""
_OFFSET = re.compile(r"(?i)(?:utc|gmt)[ _]*([+\u2212-])\s*(\d{1,2}):?(\d{2})?")


@dataclass(frozen=True)
class Title:
    """A column title taken apart.

    Attributes
    ----------
    roles : frozenset of str
        Quantities and kinds that its words name, as in header_words.csv.
    label : str
        What is left when known words and units are taken out: the place or the sensor.
    """

    text: str
    roles: frozenset[str]
    label: str


@cache
def _rules() -> tuple[dict[str, str], tuple[tuple[str, str, str], ...]]:
    table = load_table("header_words")
    whole = table[table["match"] == "whole"]["role"]
    parts = table[table["match"] != "whole"]
    ranked = sorted(parts.itertuples(), key=lambda row: -len(str(row.Index)))
    return (
        {str(word): str(role) for word, role in whole.items()},
        tuple((str(row.Index), str(row.role), str(row.match)) for row in ranked),
    )


@lru_cache(maxsize=MOST_KNOWN)
def _roles_of_token(token: str) -> tuple[frozenset[str], str]:
    """Give the roles of one token and what is left of it."""
    whole, parts = _rules()
    if token in whole:
        return frozenset({whole[token]}), token if whole[token] in LABELS else ""
    roles: set[str] = set()
    rest = token
    for word, role, match in parts:
        at = rest.find(word) if match == "part" else rest.rfind(word)
        if at < 0 or (match == "end" and at + len(word) != len(rest)):
            continue
        roles.add(role)
        if role not in LABELS:
            rest = rest[:at] + rest[at + len(word) :]
    return frozenset(roles), rest


def _prepared(title: str) -> str:
    text = MARKUP.sub(" ", title)
    for pattern, replacement in _GLUED:
        text = pattern.sub(replacement, text)
    return text


@cache
def read_title(title: str) -> Title:
    """Take a column title apart.

    Examples
    --------
    >>> sorted(read_title("FlatA_Hum").roles), read_title("FlatA_Hum").label
    (['humidity'], 'FlatA')
    >>> sorted(read_title("Dew Point Temp (C)").roles)
    ['dew point', 'temperature']
    """
    text = _prepared(title)
    bare = _TEMP_UNIT.sub(
        lambda hit: hit[0][: hit.start("e") - hit.start()] if hit["e"] else " ", text
    )
    roles: set[str] = set()
    kept: list[tuple[int, int]] = []
    previous = ""
    for hit in _TOKEN.finditer(bare):
        token = hit[0].lower()
        found, rest = _roles_of_token(token)
        if token == "min" and previous.isdigit():
            found, rest = frozenset({"neutral"}), ""
        if token == "in" and _stands_for_indoors(bare, hit):
            found, rest = frozenset({"indoor"}), token
        roles |= found | GLUED_PLACES.get(rest, frozenset())
        if rest:
            at = token.find(rest) if rest in token else 0
            kept.append((hit.start() + at, hit.start() + at + len(rest)))
        previous = token
    if other_unit_in(title) and "%" not in title:
        roles.add("other")
    return Title(title, frozenset(roles - {"neutral", "missing"}), _joined(bare, kept))


def _stands_for_indoors(text: str, hit: re.Match[str]) -> bool:
    """Say whether "in" is a place (T_in, in_temp), not a word before a unit (Temperatur in °C)."""
    before, after = text[: hit.start()], text[hit.end() :]
    glued = before[-1:].strip() != "" or after[:1] == "_"
    return glued or not before.strip() or (not after.strip(" )]") and before.rstrip()[-1:] == "(")


def _joined(text: str, spans: list[tuple[int, int]]) -> str:
    """Join what is left of a title, keeping parts that touch as one word."""
    label, last, said = "", -1, set()
    for start, stop in spans:
        word = text[start:stop]
        if start != last and word in said:
            continue
        said.add(word)
        label += ("" if start == last or not label else " ") + text[start:stop]
        last = stop
    return label


def roles_in(title: str) -> frozenset[str]:
    """Give the roles that a title's words name."""
    return read_title(title).roles if _SAYS.search(title) else frozenset()


def name_air(titles: Iterable[str]) -> bool:
    """Say whether titles name both temperature and humidity."""
    return {"temperature", "humidity"} <= frozenset[str]().union(*map(roles_in, titles))


def speaks_of_weather(titles: Iterable[str]) -> bool:
    """Say whether some title names what only weather has: wind, rain, snow, sun, clouds."""
    return any(_WEATHER.search(title) for title in titles)


def other_unit_in(title: str) -> str | None:
    """Find a unit that is neither of temperature nor of relative humidity, such as g/m³ or hPa.

    Examples
    --------
    >>> other_unit_in("Humidity (g/m³)"), other_unit_in("Pressure, hPa"), other_unit_in("RH (%)")
    ('g/m³', 'hPa', None)
    """
    hit = _OTHER_UNIT.search(title)
    return hit[0].strip(" [(,/_") if hit else None


def is_unit(word: str) -> bool:
    """Say whether a cell holds nothing but a unit of temperature or of relative humidity.

    Examples
    --------
    >>> [is_unit(word) for word in ("°C", "%RH", "F", "ok", "")]
    [True, True, True, False, False]
    """
    return _UNIT_WORD.fullmatch(word.strip()) is not None


def unit_text(word: str) -> str:
    """Write a unit that stands alone so that it is one in a title too.

    Examples
    --------
    >>> unit_text("C"), unit_text("%RH"), unit_text("x")
    ('(°C)', '(%RH)', 'x')
    """
    if not is_unit(word):
        return word
    return f"(°{word.upper()})" if word.upper() in ("C", "F") else f"({word})"


def temperature_unit_in(title: str) -> str | None:
    """Find the temperature unit a title states: "C", "F", "K" or None.

    Examples
    --------
    >>> [temperature_unit_in(t) for t in ("Temp, (*F)", "TEMP C", "TemperatureC", "T", "FlatC_Hum")]
    ['F', 'C', 'C', None, None]
    """
    hit = _TEMP_UNIT.search(_prepared(title))
    if hit is None:
        return None
    found = next(part for part in hit.groups() if part)
    return _WORD_UNITS.get(found.lower(), found.upper())


def utc_offset_in(title: str) -> str | None:
    """Find the offset from UTC a title states, as "+02:00".

    Examples
    --------
    >>> utc_offset_in("t_UTC+2"), utc_offset_in("Date Time, GMT -0500"), utc_offset_in("time(UTC)")
    ('+02:00', '-05:00', '+00:00')
    """
    text = title.replace("_", " ")
    hit = _OFFSET.search(text)
    if hit is not None:
        sign = "+" if hit[1] == "+" else "-"
        return f"{sign}{int(hit[2]):02d}:{int(hit[3] or 0):02d}"
    return "+00:00" if _UTC.search(MARKUP.sub(" ", text)) else None


def date_order_in(title: str) -> str | None:
    """Find a date pattern such as dd/mm/yyyy in a title."""
    hit = re.search(r"(?i)\b([dmy])\1*[^a-z0-9]?([dmy])\2*[^a-z0-9]?([dmy])\3*\b", title)
    if hit is None or {hit[1].lower(), hit[2].lower(), hit[3].lower()} != set("dmy"):
        return None
    return {"d": "day-first", "m": "month-first", "y": "year-first"}[hit[1].lower()]
