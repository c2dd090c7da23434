"""Work that a change to a piece takes, as a rank: the lighter way is told first."""

from enum import StrEnum

from climlog.tables import figure


class Work(StrEnum):
    """A kind of work, a row of tables/efforts.csv; sizes and kinds have theirs in their tables."""

    PIN = "pin"
    LOOSEN = "loosen"
    FREE = "free"
    STUCK = "stuck"
    PLATES = "plates"
    WAIT = "wait"
    CONDITION = "condition"
    SLOT = "slot"
    MOVE = "move"


def effort_of(work: Work) -> int:
    """Tell the rank of a kind of work, 1 the lightest.

    Examples
    --------
    >>> effort_of(Work.LOOSEN) < effort_of(Work.CONDITION)
    True
    """
    return int(figure("efforts", work, "effort"))
