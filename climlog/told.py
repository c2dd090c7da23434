"""How a record is handed to other programs where its own field names do not say it.

Every field of a record is told under its own name. What departs from that stands on the record
itself: other keys, fields left out, properties told as well. `report.json.numbers` reads it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

R = TypeVar("R")
ATTRIBUTE = "__told__"


@dataclass(frozen=True)
class Told:
    """What departs from telling every field under its own name.

    Attributes
    ----------
    keys : mapping of str to str
        Key -> where its value is found on the record: a field, a property, or a way through them
        with dots ("forecast.ready.on"; a number picks from a tuple). A dot in the key makes a group
        ("emc_swing_pct.usual_day"). Several records, between blanks, are laid over one another;
        the empty key lays them at this level. A field named whole is told nowhere else.
    without : frozenset of str
        Fields not told: arrays behind a picture, and what is told in another place.
    as_its : str or None
        The one property told in place of the whole record, such as a wood's name.
    """

    keys: Mapping[str, str] = field(default_factory=dict)
    without: frozenset[str] = frozenset()
    as_its: str | None = None


EACH_BY_ITS_NAME = Told()


def told(
    keys: Mapping[str, str] | None = None,
    *,
    also: str = "",
    without: str = "",
    as_its: str | None = None,
) -> Callable[[type[R]], type[R]]:
    """Say on a record how it is told; see `Told`.

    `also` names properties told under their own names, `without` fields left out, between blanks.

    Examples
    --------
    >>> @told({"min": "low", "max": "high"}, without="mean")
    ... @dataclass(frozen=True)
    ... class Span:
    ...     low: float
    ...     mean: float
    ...     high: float
    >>> from climlog.report.json import numbers
    >>> numbers(Span(1.0, 1.5, 2.0))
    {'min': 1.0, 'max': 2.0}
    """

    def marked(record: type[R]) -> type[R]:
        every = dict(keys or {}) | {name: name for name in also.split()}
        setattr(record, ATTRIBUTE, Told(every, frozenset(without.split()), as_its))
        return record

    return marked


def told_of(record: type) -> Told:
    """Look up how a kind of record is told."""
    found = getattr(record, ATTRIBUTE, EACH_BY_ITS_NAME)
    return found if isinstance(found, Told) else EACH_BY_ITS_NAME
