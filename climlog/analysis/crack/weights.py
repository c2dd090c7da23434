"""The figures that weigh a verdict, from tables/crack_weights.csv and crack_facts.csv."""

from collections.abc import Mapping
from datetime import datetime
from functools import partial

from climlog.analysis.crack.result import Evidence, Fact
from climlog.tables import figure, load_table

weight = partial(figure, "crack_weights")


def fact(
    what: Fact,
    figures: Mapping[str, float],
    on: datetime | None = None,
    words: Mapping[str, str] | None = None,
) -> Evidence:
    """Put a piece of evidence together with the weight that its table gives it."""
    row = load_table("crack_facts").loc[what.value].to_dict()
    return Evidence(what, int(row["weight"]), on, figures, words or {}, bool(row["is_reported"]))
