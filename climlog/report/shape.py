"""The signs drawn beside a word that judges, and at a point of a chart."""

from enum import StrEnum


class Shape(StrEnum):
    """A sign that `drawing/marks.j2` draws; signs differ by shape, so colour never speaks alone."""

    NONE = ""
    HOLDS = "holds"
    CLOSE = "close"
    RUNS_OUT = "runs-out"
    NOT_KNOWN = "not-known"
    SUFFICIENT = "sufficient"
    POSSIBLE = "possible"
    UNLIKELY = "unlikely"
    NOT_IN_LOG = "not-in-log"
    RULED_OUT = "ruled-out"
    WIDEST = "widest"
    NARROWEST = "narrowest"
    SEEN = "seen"
    MEASURED = "measured"
