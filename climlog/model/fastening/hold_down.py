"""Whether a top stays held down all round: what no change to its fastenings may undo."""

import math
from collections.abc import Iterable
from itertools import pairwise

from climlog.model.board import Fastening, Piece
from climlog.model.fastening.kinds import Seat, kind_named
from climlog.model.fastening.shapes import rule

HOLDING = {Seat.RAIL, Seat.LINE, Seat.LEG, Seat.BAR, Seat.END}
"""Seats that hold a top down; the edges of panels, doors and floors lie in something."""


def holding(fastenings: Iterable[Fastening]) -> list[Fastening]:
    """Pick what holds the top down."""
    return [one for one in fastenings if kind_named(one.kind).seat in HOLDING]


def longest_unheld_mm(piece: Piece, fastenings: Iterable[Fastening]) -> float:
    """Find the longest stretch of edge without a fastening near it.

    Parameters
    ----------
    piece : Piece
        Gives the size of the top.
    fastenings : iterable of Fastening
        That hold it.

    Returns
    -------
    float
        From corner to corner at most. [mm]
    """
    some = holding(fastenings)
    along = [(one.x_mm, one.y_mm) for one in some]
    across = [(one.y_mm, one.x_mm) for one in some]
    longest_mm = 0.0
    for points, length_mm, depth_mm in (
        (along, piece.length_mm, piece.width_mm),
        (across, piece.width_mm, piece.length_mm),
    ):
        for side in (1.0, -1.0):
            edge_mm = side * depth_mm / 2
            near_mm = rule("edge_share") * depth_mm
            held = sorted(at for at, off in points if abs(off - edge_mm) < near_mm)
            stops = [-length_mm / 2, *held, length_mm / 2]
            longest_mm = max(longest_mm, *(after - before for before, after in pairwise(stops)))
    return longest_mm


def loosest_corner_mm(piece: Piece, fastenings: Iterable[Fastening]) -> float:
    """Tell how far the corner that is held worst is from its nearest fastening, in mm."""
    some = holding(fastenings)
    corners = [(x * piece.length_mm / 2, y * piece.width_mm / 2) for x in (1, -1) for y in (1, -1)]
    return max(
        min((math.dist(corner, (one.x_mm, one.y_mm)) for one in some), default=math.inf)
        for corner in corners
    )


def stays_down(piece: Piece, before: Iterable[Fastening], after: Iterable[Fastening]) -> bool:
    """Whether what is left holds the top down as well as it has to be.

    No corner may come loose and no edge lose its hold for longer than
    tables/fastening_rules.csv allows, unless it was no better before.
    """
    was, left = list(before), list(after)
    corner_mm = max(rule("corner_near"), loosest_corner_mm(piece, was))
    edge_mm = max(rule("edge_unheld"), longest_unheld_mm(piece, was))
    return loosest_corner_mm(piece, left) <= corner_mm + rule("on_line") and longest_unheld_mm(
        piece, left
    ) <= edge_mm + rule("on_line")
