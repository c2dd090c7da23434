"""The job of crack against histories whose answer is known, and what must hold for any."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.result import CauseKey, CauseVerdict, Circumstances, Fits, LogStands
from climlog.errors import UnknownNameError, UnusableInputError
from climlog.model.board import ALONG, Measured
from climlog.model.emc import humidity_holding
from climlog.model.finishes import finish_named
from climlog.model.woods import wood_named
from climlog.sheets.crack import Seen
from tests.analysis.made import fastening, made_log, oak_top

ROW_MM = 350.0


def air_at(moistures_pct, days_each, start="2025-01-01"):
    """A log of steady stretches that hold the given moistures at 20 °C."""
    rh = [float(humidity_holding(one, 20.0)) for one in moistures_pct]
    rh_pct = np.concatenate([np.full(d * 24, one) for one, d in zip(rh, days_each, strict=True)])
    return made_log(np.full(rh_pct.size, 20.0), rh_pct, start)


def tight_rows(**changes):
    """A top 900 mm wide held by two rows of tight screws 700 mm apart."""
    screws = [
        fastening("screw", side * ROW_MM, x, ALONG, play_mm=0.0)
        for side in (1, -1)
        for x in (-600.0, 600.0)
    ]
    return oak_top(*screws, fixed_on=date(2025, 1, 1), moisture_when_fixed_pct=10.0, **changes)


def free_rows(room_mm=20.0, **changes):
    slots = [
        fastening("slot", side * ROW_MM, x, slot_length_mm=4.8 + 2 * room_mm, slot_width_mm=4.8)
        for side in (1, -1)
        for x in (-600.0, 600.0)
    ]
    return oak_top(*slots, fixed_on=date(2025, 1, 1), moisture_when_fixed_pct=10.0, **changes)


def verdicts(result):
    return {one.key: one.verdict for one in result.causes}


# Size examples of the trade: held width 700 mm, a fall of 3 % moisture; the coefficients are the
# "Wood Handbook", FPL-GTR-190, table 13-5 (read): red oak 7.7 mm, cherry 5.2 mm, quartersawn white
# oak 3.8 mm of opening.
@pytest.mark.slow
@pytest.mark.parametrize(
    ("wood", "share", "opening_mm"),
    [("red oak", 1.0, 7.7), ("black cherry", 1.0, 5.2), ("white oak", 0.0, 3.8)],
)
def test_the_size_examples_lie_in_the_band_of_the_cases(wood, share, opening_mm):
    piece = tight_rows(wood=wood_named(wood), tangential_share=share)
    log = air_at([10.0, 7.0], [10, 290])
    result = analyse_crack(piece, log, Seen(date(2025, 10, 1), opening_mm))
    assert result.held_width_mm == pytest.approx(700.0)
    assert result.size.low_mm < opening_mm < result.size.high_mm
    # A season in steady air is followed in full; what cases let go differs, so a few per cent.
    assert result.size.opening_mm == pytest.approx(opening_mm, rel=0.06)
    assert result.size.fits == Fits.FITS


@pytest.mark.slow
@pytest.mark.parametrize(
    ("gap_mm", "fits"), [(0.5, Fits.NARROWER), (7.0, Fits.FITS), (40.0, Fits.WIDER)]
)
def test_the_width_of_the_crack_is_held_against_what_it_could_gather(gap_mm, fits):
    log = air_at([10.0, 7.0], [10, 290])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 10, 1), gap_mm))
    assert result.size.fits == fits
    if fits == Fits.WIDER:
        assert verdicts(result)[CauseKey.HELD] != CauseVerdict.SUFFICIENT


def test_a_tight_top_in_a_dry_season_is_held_and_the_day_is_found():
    # Fixed in balance at 10 %, dried towards 6 % from day 30: 4 % x 0.0037 is 1.5 %, far past the
    # 0.9 % at which sound wood fails (Mecklenburg and others, Getty 1998, read).
    log = air_at([10.0, 6.0], [30, 200])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 3, 25)))
    # It was also fixed damper than this air ever is on average, so that may stand before it.
    assert CauseKey.HELD in [one.key for one in result.causes[:2]]
    assert verdicts(result)[CauseKey.HELD] == CauseVerdict.SUFFICIENT
    assert verdicts(result)[CauseKey.SET] != CauseVerdict.SUFFICIENT
    # In a half year that is dry for the most, a board in balance at its damp end gives up a little
    # of it (hysteresis), so some strain stands before; half of the opening comes with the dry air.
    opening = result.middle.opening
    half = result.middle.times[int(np.argmax(opening > opening.max() / 2))]
    assert date(2025, 1, 30) <= half.date() <= date(2025, 2, 15)
    assert result.held_since.date() <= date(2025, 2, 6)


def test_a_top_free_to_move_rules_out_both_ways_of_being_held():
    log = air_at([10.0, 6.0], [90, 200])
    found = verdicts(analyse_crack(free_rows(), log, Seen(date(2025, 6, 1))))
    assert (
        found[CauseKey.HELD]
        == found[CauseKey.SET]
        == found[CauseKey.WET_STOCK]
        == CauseVerdict.RULED_OUT
    )
    assert found[CauseKey.UNSEEN] == found[CauseKey.LOCAL] == CauseVerdict.NOT_IN_THIS_LOG


def test_swelling_held_then_dried_leaves_set_and_is_told_from_plain_shrinkage():
    # Fixed at 8 %, taken to 14 %, back to 8 %: free swelling 2.2 %, elastic 0.5 to 1 % of it
    # (Hoadley, Getty 1998, read), so 1.2 % and more stays as set although it is as dry as before.
    piece = tight_rows()
    piece = oak_top(*piece.fastenings, fixed_on=date(2025, 1, 1), moisture_when_fixed_pct=8.0)
    log = air_at([8.0, 14.0, 8.0], [20, 150, 180])
    result = analyse_crack(piece, log, Seen(date(2025, 10, 1)))
    assert verdicts(result)[CauseKey.SET] == CauseVerdict.SUFFICIENT
    assert verdicts(result)[CauseKey.HELD] != CauseVerdict.SUFFICIENT
    assert 0.006 * 700 < result.outlook.set_mm < 0.022 * 700
    cases = {one.key: one for one in result.what_ifs}
    assert (
        cases[Circumstances.ROOM_TO_SWELL].opening_mm
        < 0.2 * cases[Circumstances.AS_IT_WAS].opening_mm
    )
    assert (
        cases[Circumstances.AIR_HELD].share_of_draws < cases[Circumstances.AS_IT_WAS].share_of_draws
    )


@pytest.mark.slow
def test_more_room_never_makes_a_held_top_likelier():
    log = air_at([10.0, 6.5], [30, 200])
    shares = []
    for room_mm in (0.0, 1.0, 2.0, 4.0):
        result = analyse_crack(free_rows(room_mm), log, Seen(date(2025, 4, 1)))
        shares.append(result.what_ifs[0].share_of_draws)
    assert shares == sorted(shares, reverse=True)
    # Nearly 3 in 4 by many draws; 256 of them scatter by 3 points.
    assert shares[0] > 0.65
    assert shares[-1] < 0.1


@pytest.mark.slow
def test_signs_can_take_away_sufficient_but_never_rule_out():
    log = air_at([10.0, 6.0], [30, 200])
    for signs, wanted in (
        ({"fastenings": "free"}, CauseVerdict.POSSIBLE),
        ({"where": "surface"}, CauseVerdict.UNLIKELY),
    ):
        result = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1), None, signs))
        assert verdicts(result)[CauseKey.HELD] == wanted
    plain = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1)))
    assert plain.missing[0] == "where"
    assert "where" not in result.missing


def test_blocked_fastenings_count_as_none_and_the_what_if_tells_it():
    log = air_at([10.0, 6.0], [30, 200])
    seen = Seen(date(2025, 4, 1), None, {"fastenings": "blocked"})
    result = analyse_crack(free_rows(), log, seen)
    assert verdicts(result)[CauseKey.HELD] == CauseVerdict.SUFFICIENT
    cases = {one.key: one.share_of_draws for one in result.what_ifs}
    assert cases["fastenings free"] == 0.0
    assert cases[Circumstances.AS_IT_WAS] > 0.85


def test_a_sheet_without_fastenings_leaves_every_cause_at_most_possible():
    log = air_at([10.0, 6.0], [30, 200])
    piece = oak_top(fixed_on=date(2025, 1, 1), moisture_when_fixed_pct=10.0)
    result = analyse_crack(piece, log, Seen(date(2025, 4, 1)))
    assert CauseVerdict.SUFFICIENT not in verdicts(result).values()
    assert not result.fastenings_known


def test_a_log_that_begins_after_the_crack_judges_nothing():
    log = air_at([8.0, 6.0], [30, 200], start="2025-06-01")
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 3, 1)))
    assert result.window.stands == LogStands.BEGINS_AFTER
    assert result.window.days_apart == 92
    assert set(verdicts(result).values()) == {CauseVerdict.NOT_IN_THIS_LOG}
    assert {one.key for one in result.causes} == set(CauseKey) - {
        CauseKey.SWELLED,
        CauseKey.SHRANK,
    }


def test_a_log_that_ends_long_before_the_crack_judges_nothing():
    log = air_at([10.0, 9.0], [30, 30])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 8, 1)))
    assert result.window.stands == LogStands.ENDS_BEFORE
    assert set(verdicts(result).values()) == {CauseVerdict.NOT_IN_THIS_LOG}


def test_days_of_the_window_that_the_log_lacks_are_counted():
    log = air_at([10.0, 7.0], [40, 40])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1)))
    assert result.window.stands == LogStands.INSIDE
    # The log's last hour is on 21 March; 22 March to 1 April are eleven days.
    assert result.window.days_missing in (10, 11)


@pytest.mark.slow
def test_a_crack_that_came_with_a_report_narrows_the_days_to_a_fortnight():
    log = air_at([10.0, 6.0], [30, 200])
    seen = Seen(date(2025, 4, 20), None, {"sudden": "yes"})
    wide = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 20))).window
    narrow = analyse_crack(tight_rows(), log, seen).window
    assert (wide.last - wide.first).days == 60
    assert (narrow.last - narrow.first).days == 14


def test_widths_measured_below_what_the_log_explains_speak_for_wet_stock():
    log = air_at([10.0, 9.0], [30, 200])
    told = replace(tight_rows(), measured=(Measured(date(2025, 4, 1), width_mm=878.0),))
    result = analyse_crack(told, log, Seen(date(2025, 4, 20)))
    wet = next(one for one in result.causes if one.key == CauseKey.WET_STOCK)
    (found,) = [one for one in wet.evidence if one.key == "measured_narrower"]
    assert found.weight > 0
    assert found.figures["off_by_mm"] < -1.0


def test_a_crack_before_the_day_of_fixing_is_refused():
    with pytest.raises(UnusableInputError, match="before it was fixed on 2025-01-01"):
        analyse_crack(tight_rows(), air_at([10.0], [60]), Seen(date(2024, 12, 1)))


def test_what_cracked_it_is_not_told_of_a_plain_name():
    plain = replace(tight_rows(), wood_asked="ash", other_woods=("white ash",))
    with pytest.raises(UnknownNameError, match='hangs on which wood it is: "ash" can be white ash'):
        analyse_crack(plain, air_at([10.0, 6.0], [30, 60]), Seen(date(2025, 2, 20)))


@pytest.mark.slow
def test_a_long_gap_in_the_log_is_lived_through():
    log = air_at([10.0, 6.0], [30, 200])
    rh_pct = log.rh_pct.copy()
    rh_pct[50 * 24 : 62 * 24] = np.nan
    holed = made_log(log.temp_c, rh_pct)
    result = analyse_crack(tight_rows(), holed, Seen(date(2025, 4, 20)))
    assert np.isnan(result.middle.stretch).any()
    assert verdicts(result)[CauseKey.HELD] == CauseVerdict.SUFFICIENT


@pytest.mark.slow
def test_a_reported_cup_is_held_against_what_the_rings_alone_would_do():
    # Fixed at 10 %, at rest near 6.4 %: tangential less radial shrinkage of red oak is 0.00211 per
    # 1 % ("Wood Handbook", FPL-GTR-190, table 13-5, read), so 0.0076 apart; a board of 125 mm whose
    # pith lies 100 mm below cups by 0.0076 x 62.5 x atan(0.625) = 0.27 mm, its bark side hollow.
    log = air_at([10.0, 6.0], [30, 200])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1), None, {"cup": "up"}))
    course = result.place.course
    by_then = np.asarray(course.times <= np.datetime64(result.window.last))
    fall_pct = 10.0 - course.mean_pct[by_then][-1]
    by_hand_mm = 0.00211 * fall_pct * 62.5 * np.arctan(0.625)
    assert result.ring_cup_mm == pytest.approx(by_hand_mm, rel=0.02)
    faces = next(one for one in result.causes if one.key == CauseKey.ONE_FACE)
    assert "rings_cup_too" in [one.key for one in faces.evidence]


@pytest.mark.parametrize(("cup", "opposite"), [("down", False), ("up", True)])
def test_a_cup_against_the_drier_face_speaks_against_the_faces(cup, opposite):
    # The hidden face is bare and dries first, and the drier face is the hollow one (Hoadley, Getty
    # 1998, read): edges down fits, edges up does not.
    piece = tight_rows(show_face=finish_named("polyurethane", 3))
    seen = Seen(date(2025, 3, 1), None, {"cup": cup})
    result = analyse_crack(piece, air_at([10.0, 6.0], [30, 200]), seen)
    faces = next(one for one in result.causes if one.key == CauseKey.ONE_FACE)
    assert result.layers.cup_mm < 0
    assert ("cup_opposite" in [one.key for one in faces.evidence]) == opposite
    assert (faces.score > 0) != opposite


def test_only_the_face_that_was_seen_hollow_counts_as_the_drier_one():
    # As above: only the hidden face dries first, so that edges up, however often the limit is
    # passed the other way, is none of it; one report never rules it out.
    piece = tight_rows(show_face=finish_named("polyurethane", 3), thickness_mm=40.0)
    log, told = air_at([10.0, 5.0], [30, 90]), {}
    for cup in ("up", "down", None):
        seen = Seen(date(2025, 2, 20), None, {"cup": cup} if cup else {})
        causes = analyse_crack(piece, log, seen).causes
        told[cup] = next(one for one in causes if one.key == CauseKey.ONE_FACE)
    assert told["up"].share_of_draws == 0.0
    assert told["up"].verdict is CauseVerdict.UNLIKELY
    assert told["down"].share_of_draws == told[None].share_of_draws > 0.05


@pytest.mark.parametrize(
    ("signs", "proviso"),
    [
        ({}, "if it began at an end or in a face"),
        ({"ends": "sealed"}, "if it began in a face"),
        ({"where": "ends"}, None),
        ({"where": "ends", "ends": "sealed"}, None),
        ({"where": "knot"}, "if it opened there from an end or a face"),
        # A joint starved at its end tapers from it as well (common practice).
        ({"where": "glue-line", "opens": "one-end"}, "if the joint itself was sound"),
        ({"where": "middle"}, None),
        ({"where": "middle", "opens": "one-end"}, "if it began at the end where it is widest"),
    ],
)
def test_what_ends_take_for_granted_never_contradicts_where_it_began(signs, proviso):
    seen = Seen(date(2025, 2, 20), None, signs)
    causes = analyse_crack(free_rows(), air_at([10.0, 6.0], [30, 90]), seen).causes
    assert next(one for one in causes if one.key == CauseKey.ENDS).proviso == proviso


def test_fine_checks_of_a_face_are_judged_by_the_face_and_not_by_the_ends():
    # A filmed face dries slower than bare end grain, whose lag is days (common practice).
    piece = free_rows(
        show_face=finish_named("polyurethane", 3), hidden_face=finish_named("polyurethane", 3)
    )
    log, shares = air_at([10.0, 6.0], [30, 90]), {}
    for where in ("ends", "surface"):
        causes = analyse_crack(piece, log, Seen(date(2025, 2, 20), None, {"where": where})).causes
        ends = next(one for one in causes if one.key == CauseKey.ENDS)
        shares[where] = ends.share_of_draws
        assert ("face_alike" in [one.key for one in ends.evidence]) == (where == "surface")
    assert shares["ends"] > 0.5
    assert shares["surface"] < 0.05


def test_a_gap_wider_than_all_the_stretch_of_dry_ends_speaks_against_them():
    # 4 % drier ends of 900 mm of red oak, 0.0037 per 1 % ("Wood Handbook", FPL-GTR-190, table
    # 13-5, read), are at most 13 mm short, times the doubt of the coefficient.
    log = air_at([10.0, 6.0], [30, 90])
    for gap_mm, wide in ((2.0, False), (40.0, True)):
        seen = Seen(date(2025, 2, 20), gap_mm, {"where": "ends"})
        causes = analyse_crack(free_rows(), log, seen).causes
        ends = next(one for one in causes if one.key == CauseKey.ENDS)
        found = [one for one in ends.evidence if one.key == "size_wider"]
        assert bool(found) == wide
        if wide:
            assert 5.0 < found[0].figures["high_mm"] < 1.4 * 4 * 0.0037 * 900


def test_fastenings_found_free_and_not_in_the_sheet_may_have_been_tight_before():
    log, piece = air_at([10.0, 6.0], [30, 90]), replace(free_rows(), fastenings=())
    for signs, says in (
        ({}, "if it is fastened tight over its whole width"),
        ({"fastenings": "free"}, "if its fastenings were tight before it split"),
    ):
        causes = analyse_crack(piece, log, Seen(date(2025, 2, 20), None, signs)).causes
        assert next(one for one in causes if one.key == CauseKey.HELD).proviso == says


def test_with_room_both_ways_nothing_is_ever_held():
    result = analyse_crack(tight_rows(), air_at([10.0, 6.0], [30, 200]), Seen(date(2025, 4, 1)))
    free = next(one for one in result.what_ifs if one.key == Circumstances.ROOM_BOTH_WAYS)
    assert (free.share_of_draws, free.stretch_strain, free.opening_mm) == (0.0, 0.0, 0.0)


def test_a_log_of_less_than_a_year_promises_no_season():
    log = air_at([10.0, 6.0], [30, 200])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1)))
    assert not result.outlook.covers_year
    assert result.outlook.closes is None
    assert result.outlook.middle_range is None


@pytest.mark.slow
def test_the_gap_closes_when_the_damp_season_comes_back():
    # A little damper than it was fixed: wood that has been dry settles below where it came from.
    log = air_at([10.0, 7.0, 11.0], [30, 120, 250])
    result = analyse_crack(tight_rows(), log, Seen(date(2025, 4, 1)))
    assert result.outlook.closes is not None
    assert result.outlook.closes.comes_after
    # The damp air comes back on 31 May; a board of 20 mm follows within weeks.
    assert date(2025, 6, 1) <= result.outlook.closes.first <= date(2025, 9, 15)


def test_in_air_that_never_changes_every_day_is_one_to_mend_in():
    seen_on = date(2025, 12, 1)
    mending = analyse_crack(tight_rows(), air_at([8.0], [400]), Seen(seen_on)).mending
    # From the day after the last reading: 400 days from New Year 2025.
    assert mending.first == date(2026, 2, 5)
    assert (mending.last - mending.first).days >= 364
    assert mending.middle_pct == pytest.approx(8.0, abs=0.2)


def test_no_day_to_mend_in_comes_before_the_wood_is_at_rest():
    wet = replace(tight_rows(), moisture_when_fixed_pct=14.0, fixed_on=date(2026, 1, 20))
    mending = analyse_crack(wet, air_at([8.0], [400]), Seen(date(2026, 1, 28))).mending
    assert mending.rests_on > date(2026, 2, 5)
    assert mending.first == mending.rests_on
