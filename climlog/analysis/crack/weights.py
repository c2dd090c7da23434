"""The figures that weigh a verdict, from tables/crack_weights.csv and crack_facts.csv."""

from collections.abc import Mapping
from datetime import datetime
from functools import cache

from climlog.analysis.crack.result import Evidence, Fact
from climlog.errors import ClimlogError
from climlog.tables import load_table


@cache
def weight(name: str) -> float:
    """Read one row of tables/crack_weights.csv; its unit and its reason stand there.

    Raises
    ------
    ClimlogError
        If the table has no such row.
    """
    table = load_table("crack_weights")
    if name not in table.index:
        raise ClimlogError(f'tables/crack_weights.csv has no row "{name}"')
    return float(table["value"][name])


def fact(
    what: Fact,
    figures: Mapping[str, float],
    on: datetime | None = None,
    words: Mapping[str, str] | None = None,
) -> Evidence:
    """Put a piece of evidence together with the weight that its table gives it."""
    row = load_table("crack_facts").loc[what.value].to_dict()
    return Evidence(what, int(row["weight"]), on, figures, words or {}, bool(row["is_reported"]))
