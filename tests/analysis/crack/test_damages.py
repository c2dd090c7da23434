"""Damage that is no plain crack: a cup, a door that jams or shows a line; and what is no wood."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.result import CauseKey, CauseVerdict
from climlog.errors import UnusableInputError
from climlog.model.board import ALONG
from climlog.model.finishes import finish_named
from climlog.report.crack.answer import answer
from climlog.report.crack.repair import question
from climlog.report.phrases import Say
from climlog.sheets.crack import Seen, damage_of, known_signs, with_implied
from climlog.tables import load_table
from tests.analysis.made import fastening, made_log, oak_top

FIXED, SEEN = date(2025, 1, 1), date(2025, 9, 10)
DAMPER = made_log(np.full(300 * 24, 20.0), np.repeat([40.0, 70.0], 150 * 24))
DRIER = made_log(np.full(300 * 24, 20.0), np.repeat([50.0, 25.0], 150 * 24))


def verdicts(piece, log, damage, seen_on=SEEN):
    seen = Seen(seen_on, signs={"damage": damage})
    result = analyse_crack(piece, log, seen)
    return result, {one.key: one.verdict for one in result.causes}


def door(gap_mm):
    rows = [
        fastening("hinge", -300.0, rail=ALONG),
        fastening("door", 300.0, rail=ALONG, gap_mm=gap_mm),
    ]
    return oak_top(*rows, width_mm=600.0, fixed_on=FIXED, moisture_when_fixed_pct=7.7)


def test_a_door_with_little_clearance_jams_where_the_air_grows_damp_and_one_with_much_does_not():
    _, found = verdicts(door(1.0), DAMPER, "jams")
    assert found[CauseKey.SWELLED] == CauseVerdict.SUFFICIENT
    # 600 mm flat-sawn red oak from 40 to 70 % at 20 °C: 5.4 % x 0.00369 is 12 mm free
    # ("Wood Handbook", FPL-GTR-190, tables 4-2 and 13-5, read).
    _, found = verdicts(door(40.0), DAMPER, "jams")
    assert found[CauseKey.SWELLED] == CauseVerdict.RULED_OUT


def test_a_door_shows_a_line_where_it_has_dried_and_none_where_it_has_not():
    _, found = verdicts(door(3.0), DRIER, "shows-a-line")
    assert found[CauseKey.SHRANK] == CauseVerdict.SUFFICIENT
    _, found = verdicts(door(3.0), DAMPER, "shows-a-line")
    assert found[CauseKey.SHRANK] == CauseVerdict.RULED_OUT


def test_a_floor_cups_towards_its_drier_face_only():
    edge = fastening("floor", 2000.0, rail=ALONG, gap_mm=15.0, open_joints_mm=0.0)
    floor = oak_top(
        fixed_on=FIXED, moisture_when_fixed_pct=9.2, show_face=finish_named("polyurethane", 3)
    )
    floor = replace(floor, width_mm=4100.0, fastenings=(edge,))
    # Dry air takes water from the bare underside first: it goes hollow, the floor is crowned.
    _, down = verdicts(floor, DRIER, "crowned", date(2025, 6, 25))
    _, up = verdicts(floor, DRIER, "cupped", date(2025, 6, 25))
    assert down[CauseKey.ONE_FACE] in (CauseVerdict.SUFFICIENT, CauseVerdict.POSSIBLE)
    assert up[CauseKey.ONE_FACE] in (CauseVerdict.RULED_OUT, CauseVerdict.UNLIKELY)


def test_veneer_is_left_to_a_conservator():
    with pytest.raises(UnusableInputError, match="ask a furniture conservator"):
        verdicts(door(2.0), DRIER, "veneer")


def test_every_damage_has_its_question_its_causes_and_its_words():
    table = load_table("crack_damages")
    assert set(table.index) == set(known_signs()["damage"])
    for damage, row in table.drop("veneer").iterrows():
        assert set(row["causes"].split("|")) <= set(CauseKey)
        assert row["question"].startswith("why ")
        assert damage_of(with_implied(Seen(SEEN, signs={"damage": damage}))) == damage


def test_what_was_told_goes_before_what_the_damage_implies():
    seen = with_implied(Seen(SEEN, signs={"damage": "cupped", "cup": "none"}))
    assert seen.signs["cup"] == "none"
    assert with_implied(Seen(SEEN, signs={"damage": "cupped"})).signs["cup"] == "up"


def test_no_glue_is_spoken_of_where_nothing_is_split():
    result, _ = verdicts(door(1.0), DAMPER, "jams")
    said = answer(result, Say("metric"))
    assert question(result) == "why does it jam?"
    assert not any("glue" in one for one in (*said.set, *said.do))
    assert not any("--gap" in one or "where=" in one for one in said.not_known)
