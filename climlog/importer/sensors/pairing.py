"""Which temperature and which humidity belong together.

How: outdoor words are kept apart first. Then, each step only among what is still single: the same
words in both titles; the same number; words of one within the words of the other; neighbours, where
temperatures and humidities are as many and stand by turns; at last a lone temperature with a lone
humidity, unless their words name different things. Nothing is paired against its words, and what
stays single never undoes a pair. Checked on the open logs and about 25 made files
(tests/importer/made_rooms.py).
"""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from climlog.importer.text.titles import GLUED_PLACES, PLACES, Title, roles_in

_WORDS = re.compile(r"[^\W\d_]+|\d+")
_CHANNEL = re.compile(r"(?i)\W*(?:ch|chan|channel|kanal|col|column|input|value|wert)\W*\d+")
SAYS_NOTHING = frozenset({"sensor", "probe", "ch", "channel", "logger", "no", "nr"})
"""Words of labels that every sensor may bear; its number tells it apart."""

Two = tuple[int, int]
"""Columns of a temperature and a humidity."""


@dataclass(frozen=True)
class Paired:
    """Pairs of columns, and those left single."""

    pairs: tuple[Two, ...]
    temps: tuple[int, ...]
    humids: tuple[int, ...]


@dataclass(frozen=True)
class _Mark:
    """What a title says of its sensor: words, numbers, indoors or outdoors.

    A number of a channel may count columns, so that of two channels each has its own.
    """

    words: frozenset[str]
    numbers: tuple[str, ...]
    place: str
    channel: bool = False

    @property
    def says(self) -> bool:
        return bool(self.words or self.numbers or self.place)


def mark_of(title: Title) -> _Mark:
    """Take a title's label apart."""
    tokens = [token.lower() for token in _WORDS.findall(title.label)]
    place = next(iter(sorted(title.roles & PLACES)), "")
    words = {token for token in tokens if not token.isdigit() and not _is_place(token)}
    numbers = tuple(str(int(token)) for token in tokens if token.isdigit())
    channel = _CHANNEL.match(title.text) is not None
    return _Mark(frozenset(words) - SAYS_NOTHING, numbers, place, channel)


def _is_place(word: str) -> bool:
    return word in GLUED_PLACES or bool(roles_in(word) & PLACES)


def is_outdoors(title: Title) -> bool:
    """Say whether a title speaks of outdoors and not of indoors."""
    return "outdoor" in title.roles and "indoor" not in title.roles


def pair_columns(titles: Sequence[Title], temps: Sequence[int], humids: Sequence[int]) -> Paired:
    """Pair columns of temperature with columns of humidity."""
    pairs: list[Two] = []
    single: list[tuple[list[int], list[int]]] = []
    for outdoors in (False, True):
        left_t = [n for n in temps if is_outdoors(titles[n]) == outdoors]
        left_h = [n for n in humids if is_outdoors(titles[n]) == outdoors]
        marks = {n: mark_of(titles[n]) for n in (*left_t, *left_h)}
        for step in (_same_words, _same_numbers, _words_within, _neighbours, _left_over):
            for t, h in step(marks, left_t, left_h):
                pairs.append((t, h))
                left_t.remove(t)
                left_h.remove(h)
        single.append((left_t, left_h))
    (in_t, in_h), (out_t, out_h) = single
    return Paired(tuple(sorted(pairs)), (*in_t, *out_t), (*in_h, *out_h))


def _unique(
    key: Callable[[_Mark], object],
    marks: dict[int, _Mark],
    temps: Sequence[int],
    humids: Sequence[int],
) -> list[Two]:
    """Pair columns that have a key in common which stands once on either side."""
    keys = [{n: key(marks[n]) for n in columns} for columns in (temps, humids)]
    counts = [Counter(one.values()) for one in keys]
    by_key = {k: n for n, k in keys[1].items() if counts[1][k] == 1}
    return [
        (t, by_key[k])
        for t, k in keys[0].items()
        if k is not None and counts[0][k] == 1 and k in by_key
    ]


def _same_words(marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]) -> list[Two]:
    return _unique(
        lambda m: (m.words, m.numbers, m.place) if m.says else None, marks, temps, humids
    )


def _same_numbers(
    marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]
) -> list[Two]:
    found = _unique(lambda m: m.numbers or None, marks, temps, humids)
    return [two for two in found if _agree(marks[two[0]].words, marks[two[1]].words)]


def _agree(one: frozenset[str], other: frozenset[str]) -> bool:
    """Say whether words name no different things: one has none, or is within the other."""
    return one <= other or other <= one


def _words_within(
    marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]
) -> list[Two]:
    """Pair columns of which one has all the words and numbers of the other, if only one does."""
    found = []
    for t in temps:
        fitting = [h for h in humids if _within(marks[t], marks[h])]
        if len(fitting) == 1 and [
            one for one in temps if _within(marks[one], marks[fitting[0]])
        ] == [t]:
            found.append((t, fitting[0]))
    return found


def _within(one: _Mark, other: _Mark) -> bool:
    numbers = one.numbers == other.numbers or not (one.numbers and other.numbers)
    return bool(one.words and other.words) and _agree(one.words, other.words) and numbers


def _neighbours(marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]) -> list[Two]:
    """Pair neighbours, where there are as many of both and they come by turns, in one order."""
    order = sorted([(n, True) for n in temps] + [(n, False) for n in humids])
    if len(temps) != len(humids) or len(temps) < 2:
        return []
    kinds = [is_temp for _, is_temp in order]
    if any(kinds[at] == kinds[at + 1] for at in range(0, len(kinds), 2)):
        return _in_rows(marks, temps, humids)
    found = []
    for (a, a_is_temp), (b, _) in zip(order[::2], order[1::2], strict=True):
        t, h = (a, b) if a_is_temp else (b, a)
        if not _speak_alike(marks[t], marks[h]):
            return []
        found.append((t, h))
    return found


def _in_rows(marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]) -> list[Two]:
    """Pair the first temperature with the first humidity, where no title says anything at all."""
    silent = not any(marks[n].says for n in (*temps, *humids))
    whole = max(temps) < min(humids) or max(humids) < min(temps)
    return list(zip(sorted(temps), sorted(humids), strict=True)) if silent and whole else []


def _left_over(marks: dict[int, _Mark], temps: Sequence[int], humids: Sequence[int]) -> list[Two]:
    if len(temps) != 1 or len(humids) != 1:
        return []
    one, other = marks[temps[0]], marks[humids[0]]
    counted = one.channel and other.channel and one.words == other.words
    return [(temps[0], humids[0])] if counted or _speak_alike(one, other) else []


def _speak_alike(one: _Mark, other: _Mark) -> bool:
    """Say whether two titles can be of one sensor: neither names what the other does not."""
    numbers = one.numbers == other.numbers or not (one.numbers and other.numbers)
    return _agree(one.words, other.words) and numbers
