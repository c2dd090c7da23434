"""What became of every row: used, or left out for one reason."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from climlog.importer.log import Account

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

USED, UNSEEN = 0, -1


class Fates:
    """The fate of each of some rows: a number for each, 0 for used, else a reason.

    Parameters
    ----------
    rows : int
        How many; all are used until they are marked.
    """

    def __init__(self, rows: int) -> None:
        self.codes = np.zeros(rows, dtype=np.int16)
        self.words = ["used"]

    def mark(self, rows: "NDArray[np.intp]", reason: "str | ArrayLike") -> None:
        """Leave rows out, for one reason or one each; the first reason given to a row stays."""
        if not rows.size:
            return
        given = np.asarray(reason, dtype=object)
        for word in {str(one) for one in given.ravel()}:
            hit = rows if given.ndim == 0 else rows[given == word]
            hit = hit[self.codes[hit] == USED]
            self.codes[hit] = self._code(word)

    def _code(self, word: str) -> int:
        if word not in self.words:
            self.words.append(word)
        return self.words.index(word)

    def counts(self) -> dict[str, int]:
        """Count the rows left out by reason, the reason met first first."""
        if len(self.words) == 1:
            return {}
        found = np.bincount(self.codes[self.codes >= USED], minlength=len(self.words))
        return {word: int(found[n]) for n, word in enumerate(self.words) if n and found[n]}

    def put(self, part: "Fates", rows: "NDArray[np.intp]") -> None:
        """Take over the fates of some rows."""
        self.codes[rows] = USED
        for code, word in enumerate(part.words):
            if code != USED:
                self.mark(rows[part.codes == code], word)

    @classmethod
    def among(cls, part: "Fates", rows: "NDArray[np.intp] | None", total: int) -> "Fates":
        """Give the fates of some rows among all rows of a file; those of the others are unseen."""
        if rows is None:
            return part
        whole = cls(total)
        whole.codes[:] = UNSEEN
        whole.put(part, rows)
        return whole


def account_of(fates: Sequence[Fates], rows: int, unseen: str) -> Account:
    """Account for every row of a file once, over all its sensors.

    Parameters
    ----------
    fates : sequence of Fates
        One a sensor, over all rows of the file; rows of other sensors unseen.
    rows : int
        Rows of the file.
    unseen : str
        The reason for rows that no sensor has.

    Returns
    -------
    Account
        A row is used if any sensor used it, else left out for the first reason given to it.
    """
    used = np.zeros(rows, dtype=bool)
    for one in fates:
        used |= one.codes == USED
    whole = Fates(rows)
    for one in fates:
        for code, word in enumerate(one.words):
            if code:
                whole.mark(np.flatnonzero((one.codes == code) & ~used), word)
    seen = used | (whole.codes != USED)
    whole.mark(np.flatnonzero(~seen), unseen)
    return Account(rows, int(used.sum()), whole.counts())


def joined_account(accounts: Iterable[Account], overlap: Mapping[str, int]) -> Account:
    """Account for the rows of several files together."""
    read = used = 0
    left_out: dict[str, int] = {}
    for one in accounts:
        read, used = read + one.rows_read, used + one.rows_used
        for word, count in one.rows_left_out.items():
            left_out[word] = left_out.get(word, 0) + count
    for word, count in overlap.items():
        left_out[word] = left_out.get(word, 0) + count
        used -= count
    return Account(read, used, left_out)
