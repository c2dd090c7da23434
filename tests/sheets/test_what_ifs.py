"""What-ifs as text and as sheet tables: every part checked, every error one clear line."""

from datetime import date
from pathlib import Path

import pytest

from climlog.errors import ClimlogError, ImpossibleValueError
from climlog.sheets.piece import read_what_ifs
from climlog.sheets.what_ifs import parse_what_if, what_if_of
from climlog.tables import load_table


def test_a_text_gives_kind_start_and_length():
    one = parse_what_if("Cooling fails, 2025-08-05, 16 days")
    assert (one.kind, one.start, one.days) == ("cooling-fails", date(2025, 8, 5), 16.0)


def test_parts_stand_in_any_order():
    one = parse_what_if("heating stuck, 2 weeks, 30 C, 2025-12-24")
    assert (one.days, one.temp_c) == (14.0, 30.0)
    fahrenheit = parse_what_if("heating stuck, 2025-12-24, 86 F")
    assert fahrenheit.temp_c == pytest.approx(30.0)


def test_what_is_left_out_comes_from_the_table():
    table = load_table("what_ifs")
    one = parse_what_if("shut up, 2025-11-01")
    assert one.days == table["days"]["shut-up"]
    assert one.temp_c == table["set_temp_c"]["shut-up"]
    assert parse_what_if("humidifier, 2025-11-01").days is None


def test_a_move_takes_the_rest_as_the_file_of_the_other_place():
    one = parse_what_if("move, 2025-06-01, coast house.csv")
    assert (one.log, one.days) == (Path("coast house.csv"), None)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("cooling stops, 2025-08-05", 'did you mean "cooling-fails"'),
        ("cooling fails, 2025-08-05, August", "both a day and a month"),
        ("cooling fails, July, August", "second month"),
        ("cooling fails, 2025-13-05", "is not a day"),
        ("cooling fails, 2025-08-05, 16", 'write "16 days"'),
        ("cooling fails, 2025-08-05, 3 days, 4 days", "second days"),
        ("cooling fails, 2025-08-05, 0 days", "longer than nothing"),
        ("humidifier, 2025-08-05, 140 %", "relative humidity 140 %"),
        ("heating stuck, 2025-08-05, 90 C", "air temperature 90"),
        ("move, 2025-08-05", "needs the log of the other place"),
        ("humidifier, 2025-08-05, other.csv", "takes no log"),
    ],
)
def test_a_wrong_text_is_refused_in_one_line_that_quotes_it(text, says):
    with pytest.raises(ClimlogError, match=says) as caught:
        parse_what_if(text)
    assert text in str(caught.value)
    assert "\n" not in str(caught.value)


def in_a_sheet(tmp_path, lines):
    path = tmp_path / "table.toml"
    path.write_text("[[what_if]]\n" + lines, encoding="utf-8")
    return read_what_ifs(path)


def test_a_sheet_table_gives_the_same(tmp_path):
    lines = 'kind = "cooling fails"\nstart = 2025-08-05\nlength = "16 days"\n'
    assert in_a_sheet(tmp_path, lines) == (parse_what_if("cooling fails, 2025-08-05, 16 days"),)


def test_a_month_or_nothing_may_stand_for_the_day(tmp_path):
    for text, month in (("in November", 11), ("nov", 11), ("May", 5)):
        one = parse_what_if(f"shut up, {text}")
        assert (one.start, one.month) == (None, month)
    assert parse_what_if("shut up, 2 months").month is None
    (event,) = in_a_sheet(tmp_path, 'kind = "shut up"\nmonth = "November"\n')
    assert event == parse_what_if("shut up, November")
    (event,) = in_a_sheet(tmp_path, 'kind = "shut up"\n')
    assert (event.start, event.month) == (None, None)


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ('month = "Novembre"\n', "is not a month"),
        ('month = "May"\nstart = 2025-05-01\n', "already"),
    ],
)
def test_a_month_that_is_none_or_one_too_many_is_refused(tmp_path, lines, says):
    with pytest.raises(ClimlogError, match=says):
        in_a_sheet(tmp_path, 'kind = "shut up"\n' + lines)


def test_a_log_that_a_sheet_names_is_sought_beside_it(tmp_path):
    (event,) = in_a_sheet(tmp_path, 'kind = "move"\nstart = 2025-08-05\nlog = "coast.csv"\n')
    assert event.log == tmp_path / "coast.csv"


def test_all_that_is_wrong_in_a_sheet_is_told_at_once(tmp_path):
    with pytest.raises(ClimlogError, match='did you mean "length"') as caught:
        in_a_sheet(
            tmp_path,
            'kind = "cooling fials"\nstart = 20245-08-05\nlenght = "1 day"\n'.replace(
                "20245-08-05", '"20245-08-05"'
            ),
        )
    assert 'did you mean "cooling-fails"' in str(caught.value)
    assert "is not a day" in str(caught.value)


@pytest.mark.parametrize(("rh_pct", "fits"), [(0.0, True), (100.0, True), (100.1, False)])
def test_humidities_from_0_to_100_are_taken(rh_pct, fits):
    if fits:
        assert what_if_of("humidifier", date(2025, 1, 1), rh_pct=rh_pct).rh_pct == rh_pct
    else:
        with pytest.raises(ImpossibleValueError, match="relative humidity"):
            what_if_of("humidifier", date(2025, 1, 1), rh_pct=rh_pct)
