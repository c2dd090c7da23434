"""A hundred likely cases as a hundred small signs."""

from dataclasses import dataclass


@dataclass(frozen=True)
class CaseCount:
    """How many of 100 likely cases end badly, and the sentence for somebody who cannot see it."""

    name: str
    title: str
    says: str
    out: int
