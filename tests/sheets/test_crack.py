"""What was seen of a crack, read from options and sheet; the tables of signs hold together."""

from datetime import date

import pytest

from climlog.analysis.crack.result import CauseKey
from climlog.errors import ImpossibleValueError, UnknownNameError, UnusableInputError
from climlog.sheets.crack import CrackAnswer, CrackSign, known_signs, read_seen
from climlog.sheets.piece import read_piece
from climlog.tables import load_table
from tests.places import SAMPLES

SHEET = SAMPLES / "crack_held_top.toml"


def written(tmp_path, text):
    sheet = tmp_path / "piece.toml"
    sheet.write_text(text, encoding="utf-8")
    return sheet


def test_the_sheet_tells_day_gap_and_signs_and_still_reads_as_a_piece():
    seen = read_seen(SHEET, None, None, ())
    assert seen.on == date(2026, 1, 28)
    assert seen.gap_mm == 5.0
    assert seen.signs["crack-faces"] == "clean-fibres"
    assert read_piece(SHEET).name == "Ferry House hall table"


def test_options_go_before_the_sheet():
    seen = read_seen(SHEET, "2026-02-03", "1/8 in", ["where=ends", "water"])
    assert seen.on == date(2026, 2, 3)
    assert seen.gap_mm == pytest.approx(3.175)
    assert seen.signs["where"] == "ends"
    assert seen.signs["water"] == "yes"


def test_true_and_false_in_a_sheet_mean_yes_and_no(tmp_path):
    sheet = written(tmp_path, "[crack]\nseen = 2026-01-28\nheat = false\nwater = true\n")
    assert dict(read_seen(sheet, None, None, ()).signs) == {"heat": "no", "water": "yes"}


@pytest.mark.parametrize(
    ("given", "kind", "words"),
    [
        (("2026-13-01", None, ()), UnusableInputError, "not a day"),
        ((None, "3", ()), UnusableInputError, "not a length"),
        ((None, "-3 mm", ()), ImpossibleValueError, "above 0"),
        ((None, None, ["wher=ends"]), UnknownNameError, 'did you mean "where"'),
        ((None, None, ["where=left"]), UnknownNameError, "write one of middle, screw-row"),
    ],
)
def test_what_cannot_be_read_is_refused_with_the_way_out(given, kind, words):
    with pytest.raises(kind, match=words):
        read_seen(SHEET, *given)


def test_a_missing_day_is_asked_for(tmp_path):
    sheet = written(tmp_path, '[crack]\ngap = "3 mm"\n')
    with pytest.raises(UnusableInputError, match="add --seen 2026-01-28"):
        read_seen(sheet, None, None, ())


def test_a_misspelt_key_of_the_sheet_is_refused(tmp_path):
    sheet = written(tmp_path, '[crack]\nseen = 2026-01-28\nknok = "yes"\n')
    with pytest.raises(UnknownNameError, match='did you mean "knock"'):
        read_seen(sheet, None, None, ())


def test_every_row_of_the_sign_table_is_a_known_sign_answer_and_cause():
    signs = known_signs()
    for key, row in load_table("crack_signs").iterrows():
        assert row["answer"] in signs[row["sign"]], key
        assert row["cause"] in set(CauseKey), key
        assert row["weight"] in (-2, -1, 1, 2), key
        assert key == f"{row['sign']}.{row['answer']}.{row['cause']}"


def test_every_question_weighs_on_some_cause():
    assert set(known_signs()) - {"damage"} == set(load_table("crack_signs")["sign"])
    assert list(load_table("crack_questions")["telling"]) == sorted(
        load_table("crack_questions")["telling"]
    )


def test_signs_and_answers_that_the_program_goes_by_are_those_of_the_table():
    assert [*CrackSign] == [*load_table("crack_questions").index]
    answers = {one for sign in known_signs().values() for one in sign}
    assert {*CrackAnswer} <= answers
