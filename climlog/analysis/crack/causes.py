"""Causes of a crack, each judged by what the log can show: sufficient, possible or ruled out.

A cause is sufficient where it passes the limit of the wood in half of the drawn cases or more, and
ruled out only where it could hardly act in any of them. What people saw of the crack can take a
sufficient cause down to possible; only the log rules out, and it never rules out what it is blind
to. Numbers only: the words are in report/crack/answer.py.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from climlog.analysis.crack.history import beyond_since, peak, steps_between
from climlog.analysis.crack.result import (
    Cause,
    CauseKey,
    CauseVerdict,
    Circumstances,
    Evidence,
    Fact,
    Fits,
    LogStands,
    MiddleCourse,
)
from climlog.analysis.crack.scene import Scene
from climlog.model.cracks import crack_limit
from climlog.tables import load_table

if TYPE_CHECKING:
    from numpy.typing import NDArray

CAUSES = tuple(CauseKey)
BLIND_TO = (CauseKey.LOCAL, CauseKey.UNSEEN)
NEED_A_SIGN = (CauseKey.ENDS, CauseKey.ONE_FACE, CauseKey.LOCAL)

SUFFICIENT_SHARE = 0.5
RULED_OUT_SHARE = 0.05
STRONG = 2
WEIGHT_AS_SHARE = 0.25
UNSIGNED_PART = 0.05
STANDS_BEHIND = {CauseKey.WRONG_MOISTURE: 1.25, CauseKey.WET_STOCK: 1.5}
ANY_STRAIN = 0.0003
ANY_SET = 0.0005
SET_PART = 0.25
FAR_OFF_PCT = 1.0
STILL_WET_PCT = 0.3
TREND_PCT = 0.3
TELLING_CUP_MM = 0.1
WETTEST_DAYS = 60


def judge_causes(scene: Scene) -> tuple[Cause, ...]:
    """Judge every cause; the best supported first."""
    judged = (
        _held(scene),
        _set(scene),
        _ends(scene),
        _wrong_moisture(scene),
        _one_face(scene),
        _wet_stock(scene),
        _local(scene),
        _cause(scene, CauseKey.UNSEEN, None, False, []),
    )
    return tuple(sorted(judged, key=_standing))


def _standing(cause: Cause) -> tuple[int, float]:
    """Order by verdict, then by share and signs.

    A cause that nobody reported a sign of counts for little of its share; one that stands behind
    another (wet stock behind a held top) goes before it when both are about as strong.
    """
    order = (CauseVerdict.SUFFICIENT, CauseVerdict.POSSIBLE, CauseVerdict.RULED_OUT).index(
        cause.verdict
    )
    share = 0.0 if cause.share_of_draws is None else cause.share_of_draws
    if cause.key in NEED_A_SIGN and cause.score <= 0:
        share *= UNSIGNED_PART
    share *= STANDS_BEHIND.get(cause.key, 1.0)
    return order, -(share + WEIGHT_AS_SHARE * cause.score)


def _cause(
    scene: Scene,
    key: CauseKey,
    share: float | None,
    impossible: bool,
    evidence: list[Evidence],
    at_most_possible: bool = False,
) -> Cause:
    """Put a cause together: the log's judgement, what the signs say, and what caps it."""
    signs = _signs(key, scene.seen.signs)
    score = sum(one.weight for one in signs)
    at_most_possible |= key in NEED_A_SIGN and score <= 0
    enough = share is not None and share >= SUFFICIENT_SHARE
    if impossible and key not in BLIND_TO and scene.window.stands == LogStands.INSIDE:
        verdict = CauseVerdict.RULED_OUT
    elif (
        enough
        and not at_most_possible
        and score > -STRONG
        and scene.window.stands == LogStands.INSIDE
    ):
        verdict = CauseVerdict.SUFFICIENT
    else:
        verdict = CauseVerdict.POSSIBLE
    everything = sorted([*evidence, *signs], key=lambda one: -abs(one.weight))
    return Cause(key, verdict, share, tuple(everything))


def _signs(key: CauseKey, seen: Mapping[str, str]) -> list[Evidence]:
    table = load_table("crack_signs")
    about = table[table["cause"] == key]
    told = [
        Evidence(Fact.SIGN, int(row["weight"]), says=str(row["says"]))
        for row in about.to_dict("records")
        if seen.get(row["sign"]) == row["answer"]
    ]
    return sorted(told, key=lambda one: -abs(one.weight))


def _held(scene: Scene) -> Cause:
    alone = scene.history.held_without_set.stretch
    middle = scene.middle_without_set
    share = scene.draws.share(scene.passes(alone))
    ran_out = scene.ever(alone, ANY_STRAIN)
    needs = float(np.nanmax(-_known(scene, middle.free_strain), initial=0.0))
    figures = {
        "needs_mm": scene.mm(needs),
        "has_mm": scene.mm(scene.draws.middle(scene.fastened.shrink_strain)),
        "share_of_draws": ran_out,
    }
    on = beyond_since(middle, middle.opening, ANY_STRAIN, scene.window.last)
    key, weight = (Fact.TRAVEL_RAN_OUT, STRONG) if on else (Fact.TRAVEL_LEFT, -STRONG)
    evidence = [Evidence(key, weight, on, figures)]
    if on:
        evidence += [*_limits_passed(scene, middle), *_trend(scene), *_size(scene)]
    capped = not scene.fastenings_known or scene.size.fits == Fits.WIDER
    return _cause(scene, CauseKey.HELD, share, ran_out < RULED_OUT_SHARE, evidence, capped)


def _known(scene: Scene, values: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Values of the middle case up to the end of the window."""
    return values[steps_between(scene.middle.times, None, scene.window.last)]


def _limits_passed(scene: Scene, middle: MiddleCourse) -> list[Evidence]:
    """Say since when the middle case was past failure, or past yield; else how far it came."""
    for key, fact, weight in (
        ("tension_failure", Fact.PAST_FAILURE, STRONG),
        ("tension_yield", Fact.PAST_YIELD, 1),
    ):
        limit = crack_limit(key).value
        on = beyond_since(middle, middle.stretch, limit, scene.window.last)
        if on is not None:
            return [Evidence(fact, weight, on, {"strain": limit})]
    inside = steps_between(middle.times, scene.window.first, scene.window.last)
    most = float(np.nanmax(middle.stretch[inside], initial=0.0))
    return [Evidence(Fact.BELOW_YIELD, -1, None, {"strain": most})] if most > 0 else []


def _trend(scene: Scene) -> list[Evidence]:
    course, window = scene.place.course, scene.window
    inside = steps_between(course.times, window.first, window.last)
    known = course.mean_pct[inside & np.isfinite(course.mean_pct)]
    if known.size == 0 or window.stands != LogStands.INSIDE:
        return []
    change_pct = float(known[-1] - known[0])
    figures = {"change_pct": change_pct, "board_pct": float(known[-1])}
    if change_pct > TREND_PCT:
        return [Evidence(Fact.RISING, -1, window.last, figures)]
    if change_pct < -TREND_PCT:
        return [Evidence(Fact.FALLING, 1, window.last, figures)]
    return []


def _size(scene: Scene) -> list[Evidence]:
    size = scene.size
    if size.fits is None or size.gap_mm is None:
        return []
    figures = {"gap_mm": size.gap_mm, "low_mm": size.low_mm, "high_mm": size.high_mm}
    weight = {Fits.FITS: 1, Fits.WIDER: -STRONG, Fits.NARROWER: 0}[size.fits]
    return [Evidence(Fact(f"size_{size.fits}"), weight, None, figures)]


def _set(scene: Scene) -> Cause:
    held, middle = scene.history.held, scene.middle
    set_strain = peak(held.set_strain, scene.history.until(scene.window))
    telling = set_strain >= SET_PART * scene.draws.crack_limit
    share = scene.draws.share(scene.passes(held.stretch) & telling)
    blocked = scene.draws.share(set_strain > ANY_SET)
    figures = {
        "set_mm": scene.mm(scene.draws.middle(set_strain)),
        "share_of_draws": blocked,
        "needs_mm": scene.mm(float(np.nanmax(_known(scene, middle.free_strain), initial=0.0))),
        "has_mm": scene.mm(scene.draws.middle(scene.fastened.swell_strain)),
    }
    on = beyond_since(middle, middle.squeeze, ANY_STRAIN, scene.window.last)
    key, weight = (Fact.SWELLING_BLOCKED, STRONG) if on else (Fact.SWELLING_FREE, -STRONG)
    if on and blocked < SUFFICIENT_SHARE:
        key, weight = Fact.SWELLING_HARDLY_BLOCKED, -1
    evidence = [Evidence(key, weight, on, figures)]
    if on:
        evidence += [*_limits_passed(scene, middle), *_trend(scene), *_size(scene)]
    capped = not scene.fastenings_known or scene.size.fits == Fits.WIDER
    return _cause(scene, CauseKey.SET, share, blocked < RULED_OUT_SHARE, evidence, capped)


def _ends(scene: Scene) -> Cause:
    layers, sealed = scene.layers, scene.seen.signs.get("ends") == "sealed"
    cases = layers.face_cases if sealed else np.maximum(layers.face_cases, layers.end_cases)
    share = scene.draws.share(cases >= scene.draws.crack_limit)
    impossible = scene.draws.share(cases >= crack_limit("crack_limit").low) < RULED_OUT_SHARE
    worse = layers.face if sealed else layers.end
    below = layers.face_below_mean_pct if sealed else layers.end_below_mean_pct
    steep = layers.steep_fall.value >= crack_limit("steep_fall_rh").value
    dry = worse.value >= crack_limit("tension_yield").value
    evidence = [
        Evidence(
            Fact.FACE_DRIER if sealed else Fact.ENDS_DRIER,
            1 if dry else -1,
            worse.on,
            {"below_mean_pct": below, "strain": worse.value},
        ),
        Evidence(
            Fact.STEEP_FALL if steep else Fact.NO_STEEP_FALL,
            1 if steep else -1,
            layers.steep_fall.on,
            {"fall_rh_pct": layers.steep_fall.value},
        ),
    ]
    return _cause(scene, CauseKey.ENDS, share, impossible, evidence)


def _wrong_moisture(scene: Scene) -> Cause:
    draws, history = scene.draws, scene.history
    balanced = scene.elsewhere[Circumstances.IN_BALANCE]
    here = scene.passes(history.held.stretch)
    there = scene.passes(balanced.held.stretch)
    share = draws.share(here & ~there)
    fixed_pct = scene.place.start.fixed_pct
    above = fixed_pct + draws.cases.start - scene.place_middle_pct
    far_off = draws.share(np.abs(above) > FAR_OFF_PCT)
    runs_out = scene.ever(history.held.opening, ANY_STRAIN)
    impossible = runs_out < RULED_OUT_SHARE or (
        share < RULED_OUT_SHARE and far_off < RULED_OUT_SHARE
    )
    off_pct = fixed_pct - scene.place_middle_pct
    figures = {
        "fixed_pct": fixed_pct,
        "place_middle_pct": scene.place_middle_pct,
        "share_in_balance": draws.share(there),
        "share_as_fixed": draws.share(here),
    }
    key = Fact.FIXED_WETTER if off_pct > FAR_OFF_PCT else Fact.FIXED_DRIER
    if abs(off_pct) <= FAR_OFF_PCT:
        key = Fact.FIXED_IN_BALANCE
    weight = STRONG if share >= SUFFICIENT_SHARE else 1 if abs(off_pct) > FAR_OFF_PCT else -1
    evidence = [Evidence(key, weight, None, figures)]
    return _cause(
        scene, CauseKey.WRONG_MOISTURE, share, impossible, evidence, not scene.fastenings_known
    )


def _one_face(scene: Scene) -> Cause:
    layers, draws = scene.layers, scene.draws
    share = draws.share(layers.bend_cases >= draws.crack_limit)
    impossible = draws.share(layers.bend_cases >= ANY_SET) < RULED_OUT_SHARE
    shown = crack_limit("cup_share")
    figures = {
        "strain": layers.bend.value,
        "cup_low_mm": abs(layers.cup_mm) * shown.low,
        "cup_high_mm": abs(layers.cup_mm) * shown.high,
        "show_face_hollow": float(layers.cup_mm > 0),
    }
    key, weight = (
        (Fact.FACES_APART, 1) if layers.bend.value >= ANY_SET else (Fact.FACES_ALIKE, -STRONG)
    )
    evidence = [Evidence(key, weight, layers.bend.on, figures)]
    reported = scene.seen.signs.get("cup")
    opposite = reported == ("up" if layers.cup_mm < 0 else "down") and abs(layers.cup_mm) > 0
    if opposite:
        evidence.append(Evidence(Fact.CUP_OPPOSITE, -STRONG, None, figures))
    if reported in ("up", "down") and abs(scene.ring_cup_mm) >= TELLING_CUP_MM:
        rings = {"ring_cup_mm": abs(scene.ring_cup_mm), "drying": float(scene.ring_cup_mm > 0)}
        evidence.append(Evidence(Fact.RINGS_CUP_TOO, -1, None, rings))
    return _cause(scene, CauseKey.ONE_FACE, share, impossible, evidence, opposite)


def _wet_stock(scene: Scene) -> Cause:
    draws, place = scene.draws, scene.place
    age_days = (scene.window.first.date() - place.start.fixed_on).days
    fixed_pct = place.start.fixed_pct + draws.cases.start + draws.hidden_core_pct
    surplus = fixed_pct - scene.place_wettest_pct
    lag_days = place.days_to_63_pct / draws.cases.diffusivity
    left = surplus * np.exp(-np.maximum(age_days, 0) / lag_days)
    wet = (surplus > crack_limit("wood_over_air").value) & (left > STILL_WET_PCT)
    share = draws.share(wet & scene.passes(scene.history.held.stretch))
    figures = {
        "fixed_pct": place.start.fixed_pct,
        "place_wettest_pct": scene.place_wettest_pct,
        "damp_days": min(WETTEST_DAYS, place.log_days),
        "days_since_fixed": float(age_days),
        "days_to_63_pct": place.days_to_63_pct,
        "left_pct": draws.middle(left),
    }
    key, weight = (
        (Fact.STILL_WET, STRONG) if draws.share(wet) >= SUFFICIENT_SHARE else (Fact.DRY, -1)
    )
    evidence = [Evidence(key, weight, None, figures)]
    if draws.hidden_core_pct.any():
        thick = {"thickness_mm": place.piece.thickness_mm}
        evidence.append(Evidence(Fact.THICK_STOCK, 0, None, thick))
    evidence += _measured_narrower(scene)
    impossible = draws.share(wet) < RULED_OUT_SHARE
    return _cause(
        scene, CauseKey.WET_STOCK, share, impossible, evidence, not scene.fastenings_known
    )


def _measured_narrower(scene: Scene) -> list[Evidence]:
    """Widths that keep falling below the model's: the piece is drier than the log explains."""
    spread_mm = 2.0 * float(load_table("doubts")["spread"]["width_reading"])
    return [
        Evidence(
            Fact.MEASURED_NARROWER,
            1,
            datetime.combine(one.measured.on, datetime.min.time()),
            {"off_by_mm": one.off_by},
        )
        for one in scene.place.residuals
        if one.measured.width_mm is not None and one.off_by < -spread_mm
    ][:1]


def _local(scene: Scene) -> Cause:
    as_logged = scene.passes(scene.history.held.stretch)
    warmer = scene.passes(scene.elsewhere[Circumstances.WARMER].held.stretch)
    share = scene.draws.share(warmer & ~as_logged)
    figures = {
        "warmer_c": crack_limit("local_warmth_c").value,
        "share_warmer": scene.draws.share(warmer),
        "share_as_logged": scene.draws.share(as_logged),
    }
    weight = 1 if share >= RULED_OUT_SHARE else -1
    evidence = [Evidence(Fact.WARMER_SPOT, weight, None, figures)]
    return _cause(scene, CauseKey.LOCAL, share, False, evidence)
