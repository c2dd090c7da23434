"""crack: a top has split; when its travel ran out, which cause fits the log, what comes next.

log -> the job of `place` -> every case held by its fastenings up to the day the crack was seen ->
causes, size check, what-ifs, outlook -> CrackResult. Numbers only: words are in
report/crack/answer.py.
"""

from dataclasses import replace
from datetime import date

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import whole_year_days
from climlog.analysis.air.air import Air
from climlog.analysis.board.simulation import Stay, simulate
from climlog.analysis.crack.after import outlook_of, what_if
from climlog.analysis.crack.causes import conclude, judge_causes
from climlog.analysis.crack.findings import find_all
from climlog.analysis.crack.history import (
    Draws,
    Fastened,
    History,
    beyond_since,
    draw_crack,
    held_by,
    kept_within,
    live,
    middle_of,
    peak,
    steps_between,
    warmed,
    window_of,
)
from climlog.analysis.crack.layers import layers_of
from climlog.analysis.crack.mending import mending_of
from climlog.analysis.crack.places import ONE_PLACE, Lived, air_known, asked_of, refuse_days
from climlog.analysis.crack.result import (
    Alternative,
    CauseKey,
    Circumstances,
    CrackResult,
    Fits,
    Layers,
    LogStands,
    RanOut,
    SizeCheck,
    StayTold,
    Window,
)
from climlog.analysis.crack.scene import Scene
from climlog.analysis.crack.weights import weight
from climlog.analysis.place.place import analyse
from climlog.analysis.place.result import PlaceResult
from climlog.analysis.warned import collected
from climlog.arguments import require_kind
from climlog.errors import UnknownNameError
from climlog.importer.log import Log
from climlog.model.board import Piece
from climlog.model.cracks import crack_limit
from climlog.model.movement import strain_across
from climlog.model.warp import ring_cup_mm
from climlog.model.woods import wood_named
from climlog.sheets.crack import (
    CRACK_ITSELF,
    CrackAnswer,
    CrackSign,
    Seen,
    damage_of,
    known_signs,
    seen_on,
    with_implied,
)
from climlog.tables import load_table
from climlog.units import HOURS_PER_DAY, known_units


def analyse_crack(
    piece: Piece,
    log: Log | None,
    seen: Seen | date | str,
    made_in: Log | None = None,
    units: str = "metric",
    lived: Lived = ONE_PLACE,
) -> CrackResult:
    """Run the whole job for one piece, through every place where it has been.

    Parameters
    ----------
    piece : Piece
    log : Log or None
        Of the place where it cracked; None needs outdoor air and a kind of house.
    seen : Seen, date or str
        What was seen of the crack, and when; or only the day, such as "2026-01-28".
    made_in : Log, optional
        Of the shop where it was made: for its moisture when fixed, and for its air from then to
        the day it was delivered.
    units : {"metric", "inch"}
        Steps in which changes to a fastening are proposed.
    lived : Lived
        When it was delivered, and what stands in for air that nobody logged.

    Returns
    -------
    CrackResult
        Each cause with its verdict and what speaks for it, the best supported first; how wide it
        may stand, what would have helped, and when and how to mend it.

    Raises
    ------
    ClimlogError
        If the log, the sheet and the day do not fit together.
    """
    if not isinstance(seen, Seen):
        seen = seen_on(seen)
    require_kind(piece, Piece, "analyse_crack", "read_piece")
    for one in (log, made_in):
        if one is not None:
            require_kind(one, Log, "analyse_crack", "read_log")
    require_kind(lived, Lived, "analyse_crack", "Lived(...)")
    refuse_days(piece, seen.on, lived)
    _refuse_plain_name(piece)
    seen = with_implied(seen)
    with collected() as limits:
        asked, stays = asked_of(piece, log, made_in, known_units(units), lived, seen.on)
        result = _analyse(analyse(asked), seen, lived.delivered, stays)
    return replace(result, limits=(*result.place.limits, *limits))


def _analyse(
    place: PlaceResult, seen: Seen, delivered: date | None, stays: tuple[StayTold, ...]
) -> CrackResult:
    scene = _scene_of(place, seen)
    window, draws, fastened, middle = scene.window, scene.draws, scene.fastened, scene.middle
    causes = judge_causes(find_all(scene), seen, window.stands)
    last_read = seen.on if place.log is None else place.log.times[-1].date()
    mending = mending_of(place, max(seen.on, last_read))
    set_now = draws.middle(peak(scene.history.held.set_strain, scene.history.until(window)))
    return CrackResult(
        place=place,
        log=place.log,
        seen=seen,
        delivered=delivered,
        stays=stays,
        window=window,
        causes=causes,
        conclusion=conclude(causes, window.stands),
        size=scene.size,
        what_ifs=_what_ifs(scene),
        outlook=outlook_of(place, middle, fastened, set_now, seen.on, mending),
        mending=mending,
        middle=middle,
        held_since=beyond_since(middle, middle.opening, weight("any_strain"), window.last),
        first_ran_out=scene.first_ran_out,
        layers=scene.layers,
        held_width_mm=fastened.held_width_mm,
        travel_strain=(
            draws.middle(fastened.swell_strain),
            draws.middle(fastened.shrink_strain),
        ),
        fastenings_known=scene.fastenings_known,
        place_middle_pct=scene.place_middle_pct,
        ring_cup_mm=scene.ring_cup_mm,
        missing=_missing(place, seen),
    )


def _refuse_plain_name(piece: Piece) -> None:
    """Ask which wood it is: the one that moves most is on the safe side of a plan, not of a cause.

    Raises
    ------
    UnknownNameError
        If only a plain name was given.
    """
    if piece.wood_asked is None:
        return
    try:
        wood_named(piece.wood_asked)
    except UnknownNameError as error:
        raise UnknownNameError(f"what cracked it hangs on which wood it is: {error}") from error


def _scene_of(place: PlaceResult, seen: Seen) -> Scene:
    """Live through the piece's time in every case, and through what might have been instead."""
    piece = place.piece
    known = air_known(place.ahead, place.projection is not None, seen.on)
    window = window_of(piece, seen, known)
    draws = draw_crack(place.readings.cases, place.weighing.weights, piece)
    fastened = fastened_by(place, draws, seen)
    fixed_pct, ahead = place.start.fixed_pct, place.ahead
    history = live(piece, ahead.until_read, fixed_pct, draws, fastened, ahead.lead_hours)
    known_pct, wettest_pct = _place_moistures(ahead.record, place.coverage.is_whole)
    middle_pct = known_pct if place.coverage.is_whole else None
    balance_pct = crack_limit("room_middle_pct").value if middle_pct is None else middle_pct
    middle, without_set = middle_of(place.course, history, draws, fastened)
    return Scene(
        place=place,
        first_ran_out=_first_ran_out(place, window),
        seen=seen,
        window=window,
        draws=draws,
        fastened=fastened,
        history=history,
        elsewhere=_elsewhere(history, place, window, draws, fastened, balance_pct),
        middle=middle,
        middle_without_set=without_set,
        layers=layers_of(piece, place.air, place.course, window, draws),
        warm_layers=_warm_layers(place, window, draws, seen),
        size=_size_check(history, window, draws, fastened, seen),
        place_middle_pct=middle_pct,
        place_wettest_pct=wettest_pct,
        ring_cup_mm=_ring_cup(place, window),
        fastenings_known=bool(piece.fastenings),
    )


def _first_ran_out(place: PlaceResult, window: Window) -> RanOut | None:
    """Take the first day its travel ran out from the job of `place`; None if after the crack."""
    on, course = place.as_a_set.runs_out_on, place.course
    if on is None or on > window.last:
        return None
    step = int(np.argmin(np.abs((course.times - pd.Timestamp(on)).to_numpy())))
    return RanOut(on, bool(course.strain[step] > 0))


def _missing(place: PlaceResult, seen: Seen) -> tuple[str, ...]:
    """List the signs nobody told that weigh with the causes of this damage.

    Growth past the first year is asked only once a year has passed.
    """
    young = (seen.on - place.start.fixed_on).days < whole_year_days()
    told = {*seen.signs, CrackSign.DAMAGE, *([CrackSign.GROWS] if young else [])}
    signs = load_table("crack_signs")
    keys = str(load_table("crack_damages")["causes"][damage_of(seen)]).split("|")
    keys = [key for key in keys if key != CauseKey.UNSEEN]
    weigh = {CrackSign.WATER, CrackSign.KNOCK, *signs["sign"][signs["cause"].isin(keys)]}
    every = damage_of(seen) == CRACK_ITSELF
    return tuple(name for name in known_signs() if name not in told and (every or name in weigh))


def fastened_by(place: PlaceResult, draws: Draws, seen: Seen) -> Fastened:
    """Tell how each case is held: by its fastenings, or tight where they are blocked or unknown."""
    piece, count = place.piece, draws.cases.count
    if not piece.fastenings:
        return Fastened(np.zeros(count), np.zeros(count), piece.width_mm)
    swell, shrink = place.outcomes.travel_of_cases(piece.fastenings, place.set_travel)
    if seen.signs.get(CrackSign.FASTENINGS) == CrackAnswer.BLOCKED:
        swell, shrink = np.zeros(count), np.zeros(count)
    return Fastened(swell, shrink, _held_width_mm(place))


def _held_width_mm(place: PlaceResult) -> float:
    """Width between the outermost fastenings that bind when it shrinks; all, if one line binds."""
    everything = place.piece.fastenings
    binding = [everything[i].y_mm for i in place.set_travel.binds_shrinking]
    for lines in (binding, [one.y_mm for one in everything]):
        if lines and max(lines) - min(lines) > 1.0:
            return max(lines) - min(lines)
    return place.piece.width_mm


def _place_moistures(air: Air, is_whole: bool) -> tuple[float, float]:
    """Mean equilibrium moisture of what is known, and that of its dampest two months, in %.

    Part of a year is never taken for the place's: its damp months are at least those of a heated
    room.
    """
    steps = max(1, round(weight("wettest_days") * HOURS_PER_DAY / air.step_hours))
    known = air.emc_pct[np.isfinite(air.emc_pct)]
    wettest = float(known.mean())
    if known.size > steps:
        sums = np.cumsum(np.concatenate([[0.0], known]))
        wettest = float((sums[steps:] - sums[:-steps]).max() / steps)
    if not is_whole:
        wettest = max(wettest, weight("indoor_wettest_pct"))
    return float(known.mean()), wettest


def _warm_layers(place: PlaceResult, window: Window, draws: Draws, seen: Seen) -> Layers | None:
    """Follow the layers of the middle case where something warm stands by the piece."""
    if seen.signs.get(CrackSign.HEAT) != CrackAnswer.YES:
        return None
    air = warmed(place.air, crack_limit("local_warmth_c").value, window)
    mean_pct = float(np.nanmean(air.emc_pct))
    stay = Stay(place.piece, air, place.start.fixed_pct, mean_pct, place.ahead.lead_hours)
    return layers_of(place.piece, air, simulate(stay, place.middle), window, draws)


def _elsewhere(
    history: History,
    place: PlaceResult,
    window: Window,
    draws: Draws,
    fastened: Fastened,
    middle_pct: float,
) -> dict[Circumstances, History]:
    """Run the same piece fixed in balance, in a warmer spot, in held air, and not blocked."""
    piece, air = place.piece, place.ahead.until_read
    fixed_pct, lead_hours = place.start.fixed_pct, place.ahead.lead_hours
    held = (crack_limit("air_held_low").value, crack_limit("air_held_high").value)
    warm_c = crack_limit("local_warmth_c").value
    no_limit = np.full(draws.cases.count, np.inf)
    free = Fastened(no_limit, no_limit, fastened.held_width_mm)
    found = {
        Circumstances.ROOM_BOTH_WAYS: held_by(history.times, history.free_strain, draws, free),
        Circumstances.WARMER: live(
            piece, warmed(air, warm_c, window), fixed_pct, draws, fastened, lead_hours
        ),
        Circumstances.AIR_HELD: live(
            piece, kept_within(air, *held), fixed_pct, draws, fastened, lead_hours
        ),
    }
    found[Circumstances.IN_BALANCE] = live(piece, air, middle_pct, draws, fastened)
    if piece.fastenings and not fastened.shrink_strain.any():
        swell, shrink = place.outcomes.travel_of_cases(piece.fastenings, place.set_travel)
        if shrink.any():
            as_drawn = Fastened(swell, shrink, fastened.held_width_mm)
            followed = (history.times, history.free_strain)
            found[Circumstances.IF_FREE] = held_by(*followed, draws, as_drawn)
    return found


def _what_ifs(scene: Scene) -> tuple[Alternative, ...]:
    def measured(key: Circumstances, history: History) -> Alternative:
        return what_if(key, history, scene.window, scene.draws, scene.fastened)

    rows = [measured(Circumstances.AS_IT_WAS, scene.history)]
    rows += [
        measured(key, scene.elsewhere[key])
        for key in (
            Circumstances.ROOM_BOTH_WAYS,
            Circumstances.IF_FREE,
            *([] if scene.place_middle_pct is None else [Circumstances.IN_BALANCE]),
            Circumstances.AIR_HELD,
            Circumstances.WARMER,
        )
        if key in scene.elsewhere
    ]
    rows.insert(1, measured(Circumstances.ROOM_TO_SWELL, scene.history.free_to_swell))
    return tuple(rows)


def _size_check(
    history: History, window: Window, draws: Draws, fastened: Fastened, seen: Seen
) -> SizeCheck:
    """Hold the reported width against what a split would have gathered by that day."""
    inside = history.within(window)
    if window.stands == LogStands.INSIDE:
        late = history.times[inside][-1] - np.timedelta64(int(weight("last_days")), "D")
        inside &= np.asarray(history.times >= late)
    opening_mm = peak(history.held.opening, inside) * fastened.held_width_mm
    low_mm, high_mm = draws.band(opening_mm)
    fits = None
    if seen.gap_mm is not None:
        fits = Fits.FITS
        if seen.gap_mm > crack_limit("gap_wider").value * high_mm:
            fits = Fits.WIDER
        elif seen.gap_mm < crack_limit("gap_narrower").value * low_mm:
            fits = Fits.NARROWER
    return SizeCheck(seen.gap_mm, draws.middle(opening_mm), low_mm, high_mm, fits)


def _ring_cup(place: PlaceResult, window: Window) -> float:
    """Cup of one flat-sawn board between fixing and the day it was seen, by its rings alone."""
    wood, fixed_pct, course = place.piece.wood, place.start.fixed_pct, place.course
    known = steps_between(course.times, None, window.last) & np.isfinite(course.mean_pct)
    now_pct = float(course.mean_pct[known][-1]) if known.any() else fixed_pct
    apart = strain_across(wood, 1.0, fixed_pct, now_pct) - strain_across(
        wood, 0.0, fixed_pct, now_pct
    )
    board, pith = crack_limit("ring_board_mm").value, crack_limit("ring_pith_mm").value
    return float(ring_cup_mm(apart, board, pith))
