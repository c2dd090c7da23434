"""Words for the cup of a piece whose faces do not follow the air alike; none where none matters."""

import math

from climlog.analysis.place.cup import Cup, cup_limit
from climlog.analysis.place.result import PlaceResult
from climlog.model.board import Finish, Piece
from climlog.report.phrases import Say
from climlog.report.place.year import when_text
from climlog.report.provenance import finish_text


def cup_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say how hollow it gets where that exceeds what eyes or fastenings forgive, and the cure."""
    cup = result.cup
    if cup is None or not (cup.exceeds_eyes or cup.exceeds_fastenings):
        return ()
    what = "each board" if result.piece.board_width_mm else "it"
    shown = cup_limit("shown_share")
    return (
        f"Its two faces do not follow the air alike: left free, {what} gets hollow on its "
        f"{cup.hollow} face, most {when_text(result, cup.on, say)}: {say.length(cup.elastic_mm)} "
        f"by calculation, of which real boards show perhaps {100 * shown.low:.0f} to "
        f"{100 * shown.high:.0f} % (from memory). {_against(cup, say)} {cure_text(result.piece)}",
    )


def _against(cup: Cup, say: Say) -> str:
    """Set it against what eyes and fastenings forgive."""
    seen = f"Eyes forgive {say.length(cup.eyes_mm)} on that width"
    if cup.fastenings_mm is None:
        return f"{seen}, and nothing here holds it flat."
    forgiven = say.length(cup.fastenings_mm)
    if cup.exceeds_fastenings:
        return f"{seen}, fastenings draw about {forgiven} flat: beyond, edges lift or screws pull."
    return f"{seen}; fastenings draw about {forgiven} flat, so these have to hold it down."


def cure_text(piece: Piece) -> str:
    """Say which face to finish as which other."""
    faces = {"show": piece.show_face, "hidden": piece.hidden_face}
    opener, tighter = sorted(faces, key=lambda name: _permeance(faces[name]), reverse=True)
    as_that = finish_text(faces[tighter].kind)
    coats = faces[tighter].coats
    with_coats = f" in {coats} coat{'' if coats == 1 else 's'}" if coats else ""
    return f"Finish the {opener} face as the {tighter} face: {as_that}{with_coats}."


def _permeance(finish: Finish) -> float:
    """Permeance of a face, bare wood the most."""
    return math.inf if finish.permeance_kg_m2_s_pa is None else finish.permeance_kg_m2_s_pa
