"""What cannot be read, or can be meant in two ways, ends in one line that says what fixes it."""

import gzip

import pytest

from climlog.errors import OpenQuestionError, UnusableInputError
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from tests.importer.truth import lines, room

ROOM = room(rows=24)
ISO = "%Y-%m-%d %H:%M:%S"
HEAD = "Time,Temp °C,RH %\n"


def iso(one):
    return f"{one.at:{ISO}},{one.temp_c},{one.rh_pct}"


def write(tmp_path, content, name="room.csv"):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def ambiguous(one):
    return f"03/04/2024 {one.at:%H:%M},{one.temp_c},{one.rh_pct}"


NOT_A_LOG = {
    "empty": (b"", "empty"),
    "blank lines": (b"\n\n  \n", "empty"),
    "zeros": (bytes(4000), "no text|not a text file"),
    "binary": (bytes(range(256)) * 40, "not a text file"),
    "workbook": (b"PK\x03\x04" + bytes(100), "workbook.*CSV"),
    "broken gzip": (gzip.compress(b"Time,Temp,RH\n" * 500)[:40], "gzip.*damaged"),
    "prose": (b"This is a letter.\nIt holds no readings at all.\n", "no line holds readings"),
    "titles only": (b"Time,Temp,RH\n", "no line holds readings"),
}


@pytest.mark.parametrize("name", NOT_A_LOG)
def test_a_file_that_is_no_log_is_refused_in_one_line(tmp_path, name):
    content, message = NOT_A_LOG[name]
    with pytest.raises(UnusableInputError, match=message) as caught:
        read_log([write(tmp_path, content, "thing.csv")])
    assert "\n" not in str(caught.value)
    assert "thing.csv" in str(caught.value)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(UnusableInputError, match=r"attic\.csv: no such file"):
        read_log([tmp_path / "attic.csv"])


def test_no_humidity_column_is_told_with_the_titles_there_are(tmp_path):
    text = "Time,Temp °C,CO2\n" + "\n".join(f"{o.at:{ISO}},{o.temp_c},600" for o in ROOM)
    with pytest.raises(UnusableInputError, match=r'the humidity is missing among .*"CO2"'):
        read_log([write(tmp_path, text)])


def test_absolute_humidity_alone_is_not_taken_for_relative(tmp_path):
    text = "Time,Temp °C,Absolute humidity\n" + "\n".join(
        f"{o.at:{ISO}},{o.temp_c},8.1" for o in ROOM
    )
    with pytest.raises(UnusableInputError, match="the humidity is missing"):
        read_log([write(tmp_path, text)])


def test_all_rows_unusable_says_why(tmp_path):
    text = HEAD + "\n".join(f"{o.at:{ISO}},-,-" for o in ROOM)
    with pytest.raises(UnusableInputError, match=r"none of 24 rows.*missing|--rh-column"):
        read_log([write(tmp_path, text)])


def test_day_and_month_that_nothing_settles_are_asked_about(tmp_path):
    path = write(tmp_path, lines(ROOM[:20], ambiguous, [HEAD.strip()]))
    with pytest.raises(
        UnusableInputError,
        match=r"3 April 2024 or 4 March 2024.*--date-order day-first or --date-order month-first",
    ):
        read_log([path])
    assert read_log([path], ImportOptions(date_order="day-first")).times[0].month == 4
    assert read_log([path], ImportOptions(date_order="month-first")).times[0].month == 3


def test_a_date_pattern_in_the_title_settles_day_and_month(tmp_path):
    path = write(tmp_path, lines(ROOM[:20], ambiguous, ["Time(dd/mm/yyyy),Temp °C,RH %"]))
    assert read_log([path]).times[0].month == 4


def test_readings_that_run_on_settle_day_and_month(tmp_path):
    rows = room(rows=300, start=ROOM[0].at.replace(month=3, day=2))
    text = lines(rows, lambda o: f"{o.at:%d/%m/%Y %H:%M},{o.temp_c},{o.rh_pct}", [HEAD.strip()])
    log = read_log([write(tmp_path, text)])
    assert list(log.times.to_pydatetime()) == [one.at for one in rows]
    assert any(guess.what == "date order" for guess in log.guesses)


def test_both_orders_in_one_file_are_refused(tmp_path):
    rows = [f"{d}/{m}/2024 10:{n:02d},20,40" for n, (d, m) in enumerate([(13, 2), (2, 14)] * 10)]
    with pytest.raises(UnusableInputError, match=r"both orders.*split the file"):
        read_log([write(tmp_path, HEAD + "\n".join(rows))])


def test_a_temperature_that_can_be_either_unit_is_asked_about(tmp_path):
    text = "Time,Temp,RH\n" + "\n".join(
        f"{o.at:{ISO}},{33 + n % 4},{30 + n % 5}" for n, o in enumerate(ROOM)
    )
    path = write(tmp_path, text)
    with pytest.raises(UnusableInputError, match="--temp-unit C or --temp-unit F"):
        read_log([path])
    assert read_log([path], ImportOptions(temp_unit="F")).temp_c.max() < 3
    assert read_log([path], ImportOptions(temp_unit="C")).temp_c.min() == 33


def test_untitled_columns_that_can_be_either_are_asked_about(tmp_path):
    text = "\n".join(f"{o.at:{ISO}},{20 + n % 3},{30 + n % 2}" for n, o in enumerate(ROOM))
    path = write(tmp_path, text)
    with pytest.raises(
        OpenQuestionError,
        match=r"--temp-column 2 --rh-column 3 --temp-unit C .* or --temp-column 3",
    ):
        read_log([path])
    log = read_log([path], ImportOptions(temp_column="2", rh_column="3"))
    assert log.temp_c.max() == 22
    assert log.rh_pct.max() == 31


def test_several_sensors_are_listed(tmp_path):
    text = "Time,A Temp,A RH,B Temp,B RH\n" + "\n".join(f"{o.at:{ISO}},20,40,21,41" for o in ROOM)
    path = write(tmp_path, text)
    with pytest.raises(UnusableInputError, match=r'2 sensors \("A", "B"\).*--sensor'):
        read_log([path])
    with pytest.raises(UnusableInputError, match=r'no sensor "C".*"A", "B"'):
        read_log([path], ImportOptions(sensor="C"))
    assert read_log([path], ImportOptions(sensor="b")).temp_c[0] == 21


def test_temperatures_that_nothing_pairs_with_humidity_are_asked_about(tmp_path):
    text = "Time,Probe 1 temp,Probe 2 temp,RH\n" + "\n".join(f"{o.at:{ISO}},20,25,40" for o in ROOM)
    path = write(tmp_path, text)
    with pytest.raises(UnusableInputError, match="--temp-column"):
        read_log([path])
    assert read_log([path], ImportOptions(temp_column="Probe 2 temp")).temp_c[0] == 25


def test_an_unknown_column_is_answered_with_those_there_are(tmp_path):
    path = write(tmp_path, lines(ROOM, iso, [HEAD.strip()]))
    with pytest.raises(
        UnusableInputError, match=r'no column "Temperatur".*"Temp °C".*--temp-column'
    ):
        read_log([path], ImportOptions(temp_column="Temperatur"))


def test_a_wrong_encoding_is_told(tmp_path):
    path = write(tmp_path, HEAD.encode("cp1252") + b"2024-01-01 00:00:00,20,40\n" * 3)
    with pytest.raises(UnusableInputError, match="--encoding"):
        read_log([path], ImportOptions(encoding="utf-8"))
    with pytest.raises(UnusableInputError, match="is no encoding"):
        read_log([path], ImportOptions(encoding="utf-99"))


def test_a_file_without_dates_is_told(tmp_path):
    text = "No,Temp °C,RH %\n" + "\n".join(f"{n},{o.temp_c},{o.rh_pct}" for n, o in enumerate(ROOM))
    with pytest.raises(UnusableInputError, match="the time is missing"):
        read_log([write(tmp_path, text)])


def test_times_of_day_without_a_date_are_told(tmp_path):
    text = "Time,Temp °C,RH %\n" + "\n".join(f"{o.at:%H:%M:%S},{o.temp_c},{o.rh_pct}" for o in ROOM)
    with pytest.raises(UnusableInputError, match="the day is missing"):
        read_log([write(tmp_path, text)])


def test_an_empty_folder_is_told(tmp_path):
    with pytest.raises(UnusableInputError, match="no log in this folder"):
        read_log([tmp_path])


def test_two_places_are_not_merged(tmp_path):
    first = write(tmp_path, lines(ROOM, iso, [HEAD.strip()]), "kitchen.csv")
    warmer = room(rows=24, warmer=4.0)
    second = write(tmp_path, lines(warmer, iso, [HEAD.strip()]), "attic.csv")
    with pytest.raises(
        UnusableInputError, match=r"kitchen\.csv and attic\.csv hold different readings"
    ):
        read_log([first, second])


def test_days_without_times_are_told(tmp_path):
    text = HEAD + "\n".join(
        f"2024-03-{1 + n // 12:02d},{o.temp_c},{o.rh_pct}" for n, o in enumerate(ROOM)
    )
    with pytest.raises(UnusableInputError, match=r"time of day is missing: only days"):
        read_log([write(tmp_path, text)])


def test_a_twelve_hour_clock_without_halves_is_told(tmp_path):
    rows = room(rows=96)
    text = lines(rows, lambda o: f"{o.at:%Y-%m-%d %I:%M},{o.temp_c},{o.rh_pct}", [HEAD.strip()])
    with pytest.raises(UnusableInputError, match="12-hour clock without AM or PM"):
        read_log([write(tmp_path, text)])


@pytest.mark.parametrize(
    "how", [ImportOptions(rh_offset=float("nan")), ImportOptions(temp_offset=float("nan"))]
)
def test_a_correction_that_is_no_number_leaves_no_reading(tmp_path, how):
    path = write(tmp_path, HEAD + lines(ROOM, iso))
    with pytest.raises(UnusableInputError, match=r"24 .* after the correction"):
        read_log([path], how)


def test_one_column_cannot_be_both_quantities(tmp_path):
    path = write(tmp_path, HEAD + lines(ROOM, iso))
    with pytest.raises(UnusableInputError, match="cannot be both"):
        read_log([path], ImportOptions(temp_column="Temp °C", rh_column="2"))
    with pytest.raises(UnusableInputError, match="--temp-column"):
        read_log([path], ImportOptions(rh_column="Temp °C"))


def test_a_clock_of_six_digits_beside_a_day_of_six_needs_no_titles(tmp_path):
    rows = lines(ROOM, lambda o: f"{o.at:%y%m%d %H%M%S} {o.temp_c} {o.rh_pct}")
    path = write(tmp_path, rows, "room.txt")
    with pytest.raises(OpenQuestionError, match="--temp-column 3 --rh-column 4 --temp-unit C"):
        read_log([path])
    options = ImportOptions(temp_column="3", rh_column="4", temp_unit="C", date_order="year-first")
    assert list(read_log([path], options).times) == [one.at for one in ROOM]


@pytest.mark.parametrize(("title", "name"), [("Dry bulb", "a.csv"), ("Temp", "kiln 2.csv")])
def test_a_steady_68_is_asked_where_a_kiln_is_named(tmp_path, title, name):
    rows = lines(ROOM, lambda o: f"{o.at:{ISO}},{o.temp_c + 47:.1f},{o.rh_pct}")
    with pytest.raises(OpenQuestionError, match="--temp-unit C or --temp-unit F"):
        read_log([write(tmp_path, f"Time,{title},RH\n{rows}", name)])
    path = write(tmp_path, f"Time,Temp,RH\n{rows}")
    assert "°F" in [one.value for one in read_log([path]).guesses]


def test_a_steady_110_without_a_unit_is_asked_a_kiln_can_hold_either(tmp_path):
    rows = lines(ROOM, lambda o: f"{o.at:{ISO}},{o.temp_c + 89:.1f},{o.rh_pct}")
    with pytest.raises(OpenQuestionError, match="--temp-unit C or --temp-unit F"):
        read_log([write(tmp_path, f"Time,Temp,RH\n{rows}")])
    rows = lines(ROOM, lambda o: f"{o.at:{ISO}},{o.temp_c + 115:.1f},{o.rh_pct}")
    log = read_log([write(tmp_path, f"Time,Temp,RH\n{rows}")])
    assert "°F" in [one.value for one in log.guesses]


def test_a_bare_per_cent_sign_over_a_charge_that_only_falls_is_asked_about(tmp_path):
    week = room(rows=240)
    charge = lines(enumerate(week), lambda o: f"{o[1].at:{ISO}},{o[1].temp_c},{100 - o[0] // 30}")
    with pytest.raises(OpenQuestionError, match=r'humidity is missing.*--rh-column "?%'):
        read_log([write(tmp_path, "Date,°C,%\n" + charge)])
    assert read_log([write(tmp_path, "Date,°C,%\n" + lines(week, iso))]).rows_used == 240
