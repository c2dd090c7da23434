"""What the log shows of each cause: in how many cases it is enough by itself, and the evidence.

One function a cause. Nothing is judged here: causes.py does that by one rule for all of them.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.crack.history import beyond_since, peak, steps_between
from climlog.analysis.crack.result import (
    Bend,
    CauseKey,
    Circumstances,
    Evidence,
    Fact,
    Layers,
    LogStands,
    MiddleCourse,
    Proviso,
)
from climlog.analysis.crack.scene import Scene
from climlog.analysis.crack.weights import fact, weight
from climlog.analysis.place.result import PlaceResult
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.cracks import crack_limit
from climlog.model.warp import sagitta_mm
from climlog.sheets.crack import CrackAnswer, CrackSign, damage_of
from climlog.tables import load_table
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


CUPPED = ("cupped", "crowned")
FLOOR = "floor"
AT_AN_END = (CrackAnswer.AT_ENDS, CrackAnswer.AT_SURFACE)
"""Where a crack begins that ends or faces made."""


@dataclass(frozen=True)
class Finding:
    """What the log shows of one cause, before it is judged.

    Attributes
    ----------
    share : float or None
        Share of the drawn cases in which it is enough by itself, 0 to 1; None where nothing can
        be worked out.
    acted : float
        Share of the cases in which it acted at all, enough or not.
    evidence : tuple of Evidence
    proviso : Proviso or None
        What the share takes for granted.
    """

    key: CauseKey
    share: float | None
    acted: float = 1.0
    evidence: tuple[Evidence, ...] = ()
    proviso: Proviso | None = None


def find_all(scene: Scene) -> tuple[Finding, ...]:
    """Look for every cause of the damage that was brought."""
    keys = str(load_table("crack_damages")["causes"][damage_of(scene.seen)]).split("|")
    return tuple(_FINDERS[CauseKey(key)](scene) for key in keys)


def find_unseen(_: Scene) -> Finding:
    """Name what no log shows; its signs alone tell."""
    return Finding(CauseKey.UNSEEN, None)


def find_held(scene: Scene) -> Finding:
    """Look for a top held by its fastenings while it shrank, whatever its swelling did."""
    middle = scene.middle_without_set
    on = beyond_since(middle, middle.opening, weight("any_strain"), scene.window.last)
    ran_out = scene.ever(scene.history.free_to_swell.held.stretch, weight("any_strain"))
    figures = {
        "needs_mm": scene.mm(float(np.nanmax(-_known(scene, middle.free_strain), initial=0.0))),
        "has_mm": scene.mm(scene.draws.middle(scene.fastened.shrink_strain)),
        "share_of_draws": ran_out,
    }
    evidence = [fact(Fact.TRAVEL_RAN_OUT if on else Fact.TRAVEL_LEFT, figures, on)]
    if on:
        evidence += [*_limits_passed(scene, middle), *_trend(scene), *_size(scene)]
    passes = scene.passes(scene.history.free_to_swell.held.stretch)
    share = scene.draws.share(passes & ~_by_moisture(scene))
    return Finding(CauseKey.HELD, share, ran_out, tuple(evidence), _if_held(scene))


def find_crushed(scene: Scene) -> Finding:
    """Look for a top stopped from swelling, crushed for good, and then too narrow."""
    held_wood, middle = scene.history.held, scene.middle
    set_strain = peak(held_wood.set_strain, scene.history.until(scene.window))
    telling = set_strain >= weight("set_part") * scene.draws.crack_limit
    blocked = scene.draws.share(set_strain > weight("any_set"))
    figures = {
        "set_mm": scene.mm(scene.draws.middle(set_strain)),
        "share_of_draws": blocked,
        "needs_mm": scene.mm(float(np.nanmax(_known(scene, middle.free_strain), initial=0.0))),
        "has_mm": scene.mm(scene.draws.middle(scene.fastened.swell_strain)),
    }
    on = beyond_since(middle, middle.squeeze, weight("any_strain"), scene.window.last)
    first = scene.first_ran_out
    if on is not None and first is not None and first.swelling:
        on = first.on
    what = Fact.SWELLING_FREE
    if on:
        enough = blocked >= weight("sufficient_share")
        what = Fact.SWELLING_BLOCKED if enough else Fact.SWELLING_HARDLY_BLOCKED
    evidence = [fact(what, figures, on)]
    if on:
        evidence += [*_limits_passed(scene, middle), *_trend(scene), *_size(scene)]
    share = scene.draws.share(scene.passes(held_wood.stretch) & telling)
    return Finding(CauseKey.SET, share, blocked, tuple(evidence), _if_held(scene))


def _by_moisture(scene: Scene) -> "NDArray[np.bool_]":
    """Mark the cases that crack as they were fixed, far off, and would not have in balance."""
    in_balance = scene.elsewhere[Circumstances.IN_BALANCE]
    here = scene.passes(scene.history.held.stretch)
    there = scene.passes(in_balance.held.stretch)
    return np.asarray(here & ~there & _far_off(scene))


def _far_off(scene: Scene) -> "NDArray[np.bool_]":
    """Mark the cases fixed far off what the place settles at.

    Without a whole year each case takes a mean of its own between those of lived-in rooms: part of
    a year is never the place's.
    """
    fixed_pct = scene.place.start.fixed_pct + scene.draws.cases.start
    middle_pct = scene.draws.room_middle_pct
    if scene.place_middle_pct is not None:
        middle_pct = np.full_like(fixed_pct, scene.place_middle_pct)
    return np.asarray(np.abs(fixed_pct - middle_pct) > weight("far_off_pct"))


def _if_held(scene: Scene) -> Proviso | None:
    """Tell what a share by holding takes for granted where the sheet has no fastenings.

    Fastenings found free after the split may have been tight before it: that is what is left open.
    """
    if scene.fastenings_known:
        return None
    found_free = scene.seen.signs.get(CrackSign.FASTENINGS) == CrackAnswer.FREE
    return Proviso.TIGHT_BEFORE if found_free else Proviso.HELD_TIGHT


def _known(scene: Scene, values: "Floats") -> "Floats":
    """Values of the middle case up to the end of the window."""
    return values[steps_between(scene.middle.times, None, scene.window.last)]


def _limits_passed(scene: Scene, middle: MiddleCourse) -> list[Evidence]:
    """Say since when the middle case was past failure, or past yield; else how far it came."""
    for key, what in (
        ("tension_failure", Fact.PAST_FAILURE),
        ("tension_yield", Fact.PAST_YIELD),
    ):
        limit = crack_limit(key).value
        on = beyond_since(middle, middle.stretch, limit, scene.window.last)
        if on is not None:
            return [fact(what, {"strain": limit}, on)]
    inside = steps_between(middle.times, scene.window.first, scene.window.last)
    most = float(np.nanmax(middle.stretch[inside], initial=0.0))
    figures = {"strain": most, "yield_strain": crack_limit("tension_yield").value}
    return [fact(Fact.BELOW_YIELD, figures)] if most > 0 else []


def _trend(scene: Scene) -> list[Evidence]:
    course, window = scene.place.course, scene.window
    inside = steps_between(course.times, window.first, window.last)
    known = course.mean_pct[inside & np.isfinite(course.mean_pct)]
    if known.size == 0 or window.stands != LogStands.INSIDE:
        return []
    change_pct = float(known[-1] - known[0])
    if abs(change_pct) <= weight("trend_pct"):
        return []
    figures = {"change_pct": change_pct, "board_pct": float(known[-1])}
    return [fact(Fact.RISING if change_pct > 0 else Fact.FALLING, figures, window.last)]


def _size(scene: Scene) -> list[Evidence]:
    size = scene.size
    if size.fits is None or size.gap_mm is None:
        return []
    figures = {"gap_mm": size.gap_mm, "low_mm": size.low_mm, "high_mm": size.high_mm}
    return [fact(Fact(f"size_{size.fits}"), figures)]


def find_dry_ends(scene: Scene) -> Finding:
    """Look for ends or faces that dried faster than the wood behind them.

    Where it began settles which of the two counts: fine checks in a face are not made by the ends.
    """
    layers, where = scene.layers, scene.seen.signs.get(CrackSign.WHERE)
    cases = _dry_cases(layers, scene)
    in_a_face = _ends_sealed(scene) or where == CrackAnswer.AT_SURFACE
    worse = layers.face if in_a_face else layers.end
    below_pct = layers.face_below_mean_pct if in_a_face else layers.end_below_mean_pct
    dry = worse.value >= crack_limit("tension_yield").value
    drier, alike = Fact.ENDS_DRIER, Fact.ENDS_ALIKE
    if in_a_face:
        drier, alike = Fact.FACE_DRIER, Fact.FACE_ALIKE
    steep = layers.steep_fall.value >= crack_limit("steep_fall_rh").value
    fall = {
        "fall_rh_pct": layers.steep_fall.value,
        "within_days": crack_limit("steep_fall_days").value,
        "stays_days": crack_limit("steep_hold_days").value,
    }
    evidence = (
        fact(
            drier if dry else alike,
            {"below_mean_pct": below_pct, "strain": worse.value},
            worse.on,
        ),
        fact(Fact.STEEP_FALL if steep else Fact.NO_STEEP_FALL, fall, layers.steep_fall.on),
        *_too_wide(scene, cases),
    )
    share = scene.draws.share(cases >= scene.draws.crack_limit)
    acted = scene.draws.share(cases >= crack_limit("crack_limit").low)
    return Finding(CauseKey.ENDS, share, acted, evidence, _if_at_an_end(scene))


def _ends_sealed(scene: Scene) -> bool:
    return scene.seen.signs.get(CrackSign.ENDS) == CrackAnswer.SEALED


def _dry_cases(layers: Layers, scene: Scene) -> "Floats":
    """Give the stretch of the place where it began, in every case; an end has faces as well."""
    where = scene.seen.signs.get(CrackSign.WHERE)
    if _ends_sealed(scene) or where == CrackAnswer.AT_SURFACE:
        return layers.face_cases
    return np.maximum(layers.face_cases, layers.end_cases)


def _if_at_an_end(scene: Scene) -> Proviso:
    """Tell what a share of ends and faces takes for granted, given where it was said to begin.

    A glue line, a knot or a panel's edge says nothing of its length. One told to begin elsewhere
    that is widest at an end was told two ways, and a joint that tapers from an end may as well have
    been starved there.
    """
    signs = scene.seen.signs
    where = signs.get(CrackSign.WHERE)
    if where in AT_AN_END:
        return Proviso.AT_AN_END
    if where is None:
        return Proviso.IN_A_FACE if _ends_sealed(scene) else Proviso.AT_AN_END
    if signs.get(CrackSign.OPENS) != CrackAnswer.ONE_END:
        return Proviso.OPENED_THERE
    on_a_joint = where == CrackAnswer.AT_GLUE_LINE
    return Proviso.JOINT_SOUND if on_a_joint else Proviso.AT_WIDE_END


def _too_wide(scene: Scene, stretch: "Floats") -> list[Evidence]:
    """Say where the gap is wider than layers could open: all their stretch gathered in one crack.

    Ends, faces and a cup held flat let go no more than the difference to the wood behind them, over
    the whole width; several checks share it, so that a narrow gap says nothing.
    """
    gap_mm = scene.seen.gap_mm
    high_mm = scene.draws.band(stretch * scene.place.piece.width_mm)[1]
    if gap_mm is None or high_mm < SMALLEST_LENGTH_MM:
        return []
    if gap_mm <= crack_limit("gap_wider").value * high_mm:
        return []
    return [fact(Fact.SIZE_WIDER, {"gap_mm": gap_mm, "high_mm": high_mm})]


def find_wrong_moisture(scene: Scene) -> Finding:
    """Look whether it cracks as it was fixed, far off, and would not have if fixed in balance."""
    draws, fixed_pct, middle_pct = scene.draws, scene.place.start.fixed_pct, scene.place_middle_pct
    there = scene.passes(scene.elsewhere[Circumstances.IN_BALANCE].held.stretch)
    share = draws.share(_by_moisture(scene))
    room = crack_limit("room_middle_pct")
    figures = {
        "fixed_pct": fixed_pct,
        "place_middle_pct": room.value if middle_pct is None else middle_pct,
        "share_in_balance": draws.share(there),
        "share_as_fixed": draws.share(scene.passes(scene.history.held.stretch)),
    }
    off_pct = fixed_pct - figures["place_middle_pct"]
    if middle_pct is None:
        what = Fact.FIXED_NO_YEAR
        figures |= {"room_low_pct": room.low, "room_high_pct": room.high}
    elif share <= weight("ruled_out_share"):
        what = Fact.FIXED_NO_DIFFERENCE
    elif abs(off_pct) <= weight("far_off_pct"):
        what = Fact.FIXED_IN_BALANCE
    else:
        what = Fact.FIXED_WETTER if off_pct > 0 else Fact.FIXED_DRIER
    far_off = draws.share(_far_off(scene))
    acted = min(far_off, scene.ever(scene.history.held.opening, weight("any_strain")))
    size = _size(scene) if share > weight("ruled_out_share") else []
    evidence = (fact(what, figures), *size)
    return Finding(CauseKey.WRONG_MOISTURE, share, acted, evidence, _if_held(scene))


def find_uneven_faces(scene: Scene) -> Finding:
    """Look for one face drier than the other, in a top that is held flat.

    A cup that was reported tells which face was the drier one: only that way of bending counts.
    """
    layers, draws = scene.layers, scene.draws
    reported = scene.seen.signs.get(CrackSign.CUP)
    bend = _bend_seen(scene)
    is_told = bend.peak.value >= weight("any_set")
    shown = bend if is_told else Bend(layers.bend, layers.bend_cases, layers.cup_mm)
    parts = crack_limit("cup_share")
    hollow = {"hollow": "show" if shown.cup_mm > 0 else "hidden"}
    figures = {
        "strain": shown.peak.value,
        "cup_low_mm": abs(shown.cup_mm) * parts.low,
        "cup_high_mm": abs(shown.cup_mm) * parts.high,
    }
    what = Fact.FACES_ALIKE
    if shown.peak.value >= weight("any_set"):
        what = Fact.FACES_ROLL if np.isnan(shown.cup_mm) else Fact.FACES_APART
    evidence = [fact(what, figures, shown.peak.on, hollow)]
    cupped = reported in (CrackAnswer.UP, CrackAnswer.DOWN)
    if cupped and not is_told and abs(layers.cup_mm) > 0:
        evidence.append(fact(Fact.CUP_OPPOSITE, figures, words=hollow))
    if cupped and abs(scene.ring_cup_mm) >= weight("telling_cup_mm"):
        side = {"side": "bark" if scene.ring_cup_mm > 0 else "heart"}
        rings = {"ring_cup_mm": abs(scene.ring_cup_mm)}
        evidence.append(fact(Fact.RINGS_CUP_TOO, rings, words=side))
    share = draws.share(bend.cases >= draws.crack_limit)
    if damage_of(scene.seen) in CUPPED:
        share = _shown_cup(scene, bend) if cupped else 0.0
    else:
        evidence += _too_wide(scene, bend.cases)
    acted = draws.share(layers.bend_cases >= weight("any_set"))
    is_flat = reported == CrackAnswer.FLAT
    proviso = Proviso.HELD_FLAT if is_flat else Proviso.CUPPED
    return Finding(CauseKey.ONE_FACE, share, acted, tuple(evidence), proviso)


def _bend_seen(scene: Scene) -> Bend:
    """Give the bend that makes the face hollow that was seen so; of none told, the larger one."""
    layers = scene.layers
    match scene.seen.signs.get(CrackSign.CUP):
        case CrackAnswer.UP:
            return layers.show_hollow
        case CrackAnswer.DOWN:
            return layers.hidden_hollow
        case _:
            return Bend(layers.bend, layers.bend_cases, layers.cup_mm)


def _shown_cup(scene: Scene, bend: Bend) -> float:
    """Share of cases in which one board shows the cup that was reported, the right way round."""
    piece = scene.place.piece
    is_floor = any(one.kind == FLOOR for one in piece.fastenings)
    board_mm = crack_limit("ring_board_mm").value if is_floor else piece.width_mm
    curvature = np.maximum(bend.cases, 0.0) * 2.0 / piece.thickness_mm
    cup_mm = np.abs(sagitta_mm(curvature, board_mm)) * crack_limit("cup_share").value
    return scene.draws.share(np.nan_to_num(cup_mm, nan=np.inf) >= weight("visible_cup_mm"))


def find_swelled(scene: Scene) -> Finding:
    """Look for swelling past its clearance: a door that jams, a panel that pushes its frame."""
    inside, draws = scene.history.within(scene.window), scene.draws
    most = peak(scene.history.free_strain, inside)
    share = draws.share(most > np.maximum(scene.fastened.swell_strain, weight("any_strain")))
    width_mm = scene.place.piece.width_mm
    figures = {
        "needs_mm": draws.middle(most) * width_mm,
        "has_mm": draws.middle(scene.fastened.swell_strain) * width_mm,
        "share_of_draws": share,
    }
    what = Fact.SWELLED_WITHIN
    if share >= weight("sufficient_share"):
        what = Fact.SWELLED_PAST
    return Finding(CauseKey.SWELLED, share, share, (fact(what, figures),), _if_held(scene))


def find_shrank(scene: Scene) -> Finding:
    """Look for ordinary shrinking that shows as a line on each side."""
    inside, draws = scene.history.within(scene.window), scene.draws
    line_mm = peak(-scene.history.free_strain, inside) * scene.place.piece.width_mm / 2.0
    share = draws.share(line_mm >= weight("visible_line_mm"))
    figures = {"needs_mm": 2.0 * draws.middle(line_mm), "line_mm": draws.middle(line_mm)}
    what = Fact.SHRANK_LITTLE
    if share >= weight("sufficient_share"):
        what = Fact.SHRANK_LINE
    return Finding(CauseKey.SHRANK, share, share, (fact(what, figures),))


def find_wet_stock(scene: Scene) -> Finding:
    """Look for stock wetter than this place's dampest months hold, still giving that water up."""
    draws, place = scene.draws, scene.place
    age_days = (scene.window.first.date() - place.start.fixed_on).days
    fixed_pct = place.start.fixed_pct + draws.cases.start + draws.hidden_core_pct
    surplus = fixed_pct - scene.place_wettest_pct
    lag_days = place.days_to_63_pct / draws.cases.diffusivity
    left = surplus * np.exp(-np.maximum(age_days, 0) / lag_days)
    wet = (surplus > crack_limit("wood_over_air").value) & (left > weight("still_wet_pct"))
    figures = {
        "fixed_pct": place.start.fixed_pct,
        "place_wettest_pct": scene.place_wettest_pct,
        "damp_days": min(weight("wettest_days"), _record_days(place)),
        "days_since_fixed": float(age_days),
        "days_to_63_pct": place.days_to_63_pct,
        "left_pct": draws.middle(left),
    }
    is_wet = draws.share(wet) >= weight("sufficient_share")
    evidence = [fact(Fact.STILL_WET if is_wet else Fact.DRY, figures)]
    if draws.hidden_core_pct.any():
        evidence.append(fact(Fact.THICK_STOCK, {"thickness_mm": place.piece.thickness_mm}))
    evidence += _measured_narrower(scene)
    share = draws.share(wet & scene.passes(scene.history.held.stretch))
    return Finding(CauseKey.WET_STOCK, share, draws.share(wet), tuple(evidence), _if_held(scene))


def _record_days(place: PlaceResult) -> float:
    """Tell how long the place's own air is known, read or worked out, in days."""
    record = place.ahead.record
    return record.times.size * record.step_hours / HOURS_PER_DAY


def _measured_narrower(scene: Scene) -> list[Evidence]:
    """Widths that keep falling below the model's: the piece is drier than the log explains."""
    spread_mm = 2.0 * float(load_table("doubts")["spread"]["width_reading"])
    return [
        fact(
            Fact.MEASURED_NARROWER,
            {"off_by_mm": one.off_by},
            datetime.combine(one.measured.on, datetime.min.time()),
        )
        for one in scene.place.residuals
        if one.measured.width_mm is not None and one.off_by < -spread_mm
    ][:1]


def find_local(scene: Scene) -> Finding:
    """Look what a warmer spot at the piece would have done; the log cannot show that it was.

    Warmer, drier air pulls at a held top, and at ends and faces too, where it began there.
    """
    as_logged = scene.passes(scene.history.held.stretch)
    warmer = scene.passes(scene.elsewhere[Circumstances.WARMER].held.stretch)
    by_heat = warmer & ~as_logged
    evidence = []
    if scene.warm_layers is not None:
        limit, warm, cool = scene.draws.crack_limit, scene.warm_layers, scene.layers
        if scene.seen.signs.get(CrackSign.WHERE) in AT_AN_END:
            by_heat = by_heat | (_dry_cases(warm, scene) >= limit)
        evidence.append(
            fact(
                Fact.WARMER_ENDS,
                {
                    "strain_warmer": max(warm.end.value, warm.face.value),
                    "strain": max(cool.end.value, cool.face.value),
                },
            )
        )
    share = scene.draws.share(by_heat)
    figures = {
        "warmer_c": crack_limit("local_warmth_c").value,
        "share_warmer": scene.draws.share(warmer),
        "share_as_logged": scene.draws.share(as_logged),
    }
    tells = scene.draws.share(warmer & ~as_logged) > weight("ruled_out_share")
    evidence.append(fact(Fact.WARMER_SPOT if tells else Fact.WARMER_SPOT_NO_DIFFERENCE, figures))
    return Finding(CauseKey.LOCAL, share, share, tuple(evidence), Proviso.WARMER)


_FINDERS: Mapping[CauseKey, Callable[[Scene], Finding]] = {
    CauseKey.HELD: find_held,
    CauseKey.SET: find_crushed,
    CauseKey.ENDS: find_dry_ends,
    CauseKey.WRONG_MOISTURE: find_wrong_moisture,
    CauseKey.ONE_FACE: find_uneven_faces,
    CauseKey.WET_STOCK: find_wet_stock,
    CauseKey.LOCAL: find_local,
    CauseKey.UNSEEN: find_unseen,
    CauseKey.SWELLED: find_swelled,
    CauseKey.SHRANK: find_shrank,
}
