"""A record as plain values for JSON, the contract for other programs: one function for every job.

Keys are the names of fields and what the record declares (`climlog.told`); sentences stand beside
the numbers they tell. Keys never change their meaning; new ones may be added. No number, no limit
and a gap are null; times are ISO 8601 local wall time, with the offset only where a log states one.
"""

import dataclasses
import importlib
import json
import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date, datetime
from pathlib import PurePath
from typing import Any, TypeAlias

import numpy as np

from climlog.errors import WrongKindError
from climlog.report.phrases import Say
from climlog.told import told_of
from climlog.units import known_units

Numbers = dict[str, object]
Sentences: TypeAlias = Mapping[type, Callable[[Any], Mapping[str, object]]]
"""What is said beside the numbers of a kind of record: key -> text."""

SCHEMA = 2
PLACES, PLACES_BELOW_ONE = 4, 6
"""Shares and strains lie below one: a strain of 0.0005 matters."""
_OBEYED = re.compile("[\x7f-\x9f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")
"""What a terminal or an editor obeys and JSON leaves as it is."""
TINY, DIGITS = "_kg_m2_s_pa", 4
"""Ending of a key whose figures all lie below what six places show, and their digits instead."""
FIRST = ("schema", "answer")
JOBS = {
    "AirRangeResult": "climlog.report.place.range_said",
    "CrackResult": "climlog.report.crack.said",
    "LookResult": "climlog.report.look",
    "PlaceResult": "climlog.report.place.said",
    "RoomResult": "climlog.report.room.said",
    "RoundReport": "climlog.report.round.said",
    "SaltCheck": "climlog.report.salt",
}
"""Records of a whole run, and the module whose `sentences` put them into words."""
NO_SENTENCES: Sentences = {}


def numbers(record: object, units: str = "metric") -> Numbers:
    """Give any record as plain values, ready for `json.dumps`.

    Parameters
    ----------
    record : frozen dataclass, or a sequence of results
        What an `analyse_...` function returned, or any record in it. Several pieces go under
        "pieces"; one of them alone is told as it is.
    units : {"metric", "inch"}
        Which units stand first in the sentences; the numbers do not depend on it.

    Returns
    -------
    dict
        A whole run has "schema" and the "answer" that stands first on its page.

    Raises
    ------
    WrongKindError
        If it is no record.
    UnknownNameError
        If there are no such units.

    Examples
    --------
    >>> from climlog.analysis.air.spread import Spread
    >>> numbers(Spread(41.0, 52.5, float("inf")))
    {'min': 41.0, 'mean': 52.5, 'max': None}
    """
    if isinstance(record, Sequence) and not isinstance(record, str):
        if len(record) == 1:
            return numbers(record[0], units)
        say = Say(known_units(units))
        return {"schema": SCHEMA, "pieces": [_run(one, say) for one in record]}
    if not dataclasses.is_dataclass(record) or isinstance(record, type):
        raise WrongKindError(
            f"numbers: wants a record such as analyse_place gives, not {type(record).__name__}"
        )
    say = Say(known_units(units))
    schema = {"schema": SCHEMA} if type(record).__name__ in JOBS else {}
    found = schema | _run(record, say)
    return {key: found[key] for key in FIRST if key in found} | found


def _run(record: object, say: Say) -> Numbers:
    """Tell a record with the sentences of its job."""
    module = JOBS.get(type(record).__name__)
    if module is None:
        return _Teller(NO_SENTENCES).record(record)
    return _Teller(importlib.import_module(module).sentences(record, say)).record(record)


@dataclasses.dataclass(frozen=True)
class _Teller:
    """Walks through a record.

    Parameters
    ----------
    sentences : mapping
        What is said beside the numbers of each kind of record.
    """

    sentences: Sentences

    def record(self, one: object, offset: str | None = None) -> Numbers:
        """Tell a record key by key; times within a log with the offset that it states."""
        how = told_of(type(one))
        stated = getattr(one, "utc_offset", offset)
        ways = [way for path in how.keys.values() for way in path.split()]
        whole = {way for way in ways if "." not in way}
        names = [field.name for field in dataclasses.fields(one)]  # type: ignore[arg-type]
        own = {name: name for name in names if name not in whole | how.without}
        laid: dict[str, str] = {key: path for key, path in how.keys.items() if not key}
        found: Numbers = {}
        for key, path in (laid | own | dict(how.keys)).items():
            for way in path.split():
                own_value = _reach(one, way)
                if isinstance(own_value, float) and key.endswith(TINY):
                    _put(found, key, _significant(own_value))
                else:
                    _put(found, key, self.value(own_value, stated))
        said = self.sentences.get(type(one))
        for key, text in (said(one) if said else {}).items():
            _put(found, key, self.value(text, stated))
        return found

    def value(self, value: object, offset: str | None = None) -> object:
        """Tell anything."""
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            name = told_of(type(value)).as_its
            return self.record(value, offset) if name is None else self.value(_reach(value, name))
        if isinstance(value, Mapping):
            return {str(key): self.value(one, offset) for key, one in value.items()}
        if isinstance(value, np.ndarray | np.generic):
            return self.value(value.tolist(), offset)
        if isinstance(value, Iterable) and not isinstance(value, str):
            return [self.value(one, offset) for one in value]
        return _plain(value, offset)


def _plain(value: object, offset: str | None) -> object:
    """Tell what has no parts."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, float):
        return rounded(value)
    if isinstance(value, datetime):
        return moment(value, offset)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, PurePath):
        return value.name
    return str(value)


def _reach(one: object, path: str) -> object:
    """Follow a way with dots from a record; None from where there is nothing."""
    for part in path.split("."):
        if one is None:
            return None
        one = one[int(part)] if isinstance(one, tuple) else getattr(one, part)
    return one


def _put(found: Numbers, key: str, value: object) -> None:
    """Put a value under a key, in its group; records laid over one another share one place."""
    *groups, last = key.split(".")
    node = found
    for group in groups:
        inner = node.setdefault(group, {})
        if not isinstance(inner, dict):
            return  # the group itself is null: nothing stands in it
        node = inner
    there = node if not last else node.get(last)
    if isinstance(there, dict) and (isinstance(value, dict) or not last):
        there |= value if isinstance(value, dict) else {}
    else:
        node[last] = value


def rounded(value: float | None) -> float | None:
    """Round to four places, six below one; None for no value, no limit or a gap."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), PLACES if abs(value) >= 1 else PLACES_BELOW_ONE)


def _significant(value: float) -> float | None:
    """Round to significant digits; None for no limit or a gap."""
    return float(f"{value:.{DIGITS}g}") if math.isfinite(value) else None


def moment(when: datetime, utc_offset: str | None = None) -> str:
    """Write a time as ISO 8601, with the offset that its log states."""
    return when.isoformat() + (utc_offset or "")


def json_text(numbers: object, ensure_ascii: bool = False) -> str:
    """Write numbers as JSON, without a letter that a terminal or an editor would obey."""
    text = json.dumps(numbers, indent=2, ensure_ascii=ensure_ascii, allow_nan=False) + "\n"
    return _OBEYED.sub(lambda found: f"\\u{ord(found[0]):04x}", text)
