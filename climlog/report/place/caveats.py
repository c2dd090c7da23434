"""What the travel of a set rests on and a maker has to know: drift, plates that tip over, slip."""

import math

from climlog.analysis.place.result import PlaceResult
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Piece
from climlog.model.fastening.set_travel import Drift, SetTravel, Tipping
from climlog.report.phrases import Say, fastenings_named
from climlog.tables import figure


def caveat_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what the travel of all fastenings together rests on; empty where on nothing special."""
    return caveats_of(result.set_travel, result.piece, say)


def caveats_of(travel: SetTravel, piece: Piece, say: Say) -> tuple[str, ...]:
    """Say what the travel of a piece's fastenings as a set rests on."""
    lines = []
    if travel.drift is not None and (travel.drift.counts_swelling or travel.drift.counts_shrinking):
        lines.append(_drift_line(travel.drift, say))
    if travel.tips is not None:
        lines.append(_tips_line(travel.tips, piece, say))
    if travel.slip_mm >= SMALLEST_LENGTH_MM:
        lines.append(_slip_line(travel, say))
    return tuple(lines)


def _drift_line(drift: Drift, say: Say) -> str:
    ways = [
        f"{say.length(mm)} {where}"
        for mm, where in ((drift.across_mm, "to either side"), (drift.along_mm, "along its length"))
        if SMALLEST_LENGTH_MM <= mm < math.inf
    ]
    far = f" It can have drifted {' and '.join(ways)}." if ways else ""
    return (
        f"Nothing brings it back to its middle, so that the worst place it can drift to counts."
        f"{far} A tight pin or screw at the middle of each rail across the grain ends that."
    )


def _tips_line(tips: Tipping, piece: Piece, say: Say) -> str:
    names = fastenings_named(piece.fastenings[at] for at in tips.fastenings)
    most = say.length(tips.swell_strain * piece.width_mm)
    share = figure("fastening_rules", "tips_over")
    return (
        f"Square to their rails, {names} give no room to shrink. To swelling they give only by "
        f"tipping over to one side, all the same way: {most} over the width, the piece slipping "
        f"{say.length(tips.slip_mm)} along its length. That works in some tables and not in others "
        f"and is counted in {100 * share:.0f} of 100 cases; a cant does it safely."
    )


def _slip_line(travel: SetTravel, say: Say) -> str:
    return (
        f"For this it has to slip {say.length(travel.slip_mm)} along its length: nothing else may "
        "hold it there."
    )
