"""The small sketch of a top with its grain and the way it moves."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Sketch:
    """A top, its grain lengthways and an arrow across; the same for every piece."""

    name: str
    title: str
