"""Every row is used or left out with a reason; order, clock changes, joins and corrections."""

from datetime import datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from climlog.errors import UnusableInputError
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from tests.importer.truth import comma, lines, room

ISO = "%Y-%m-%d %H:%M:%S"
HEAD = "Time,Temp °C,RH %"
ROOM = room()


def iso(one):
    return f"{one.at:{ISO}},{one.temp_c},{one.rh_pct}"


def write(tmp_path, text, name="room.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8", newline="")
    return path


def balanced(log):
    return log.rows_read == log.rows_used + sum(log.rows_left_out.values()) == log.rows_read


MISSING = ["", "-", "--", "---", "NaN", "nan", "N/A", "#N/A", "null", "None", "ERR", "error", "?",
           "Unavailable", "fault", "-999", "9999", "-9999.0"]  # fmt: skip


@pytest.mark.parametrize("word", MISSING)
def test_missing_readings_are_counted_however_they_are_spelled(tmp_path, word):
    rows = [iso(one) for one in ROOM]
    for n in (5, 50, 100):
        rows[n] = f"{ROOM[n].at:{ISO}},{word},{ROOM[n].rh_pct}"
    rows[7] = f"{ROOM[7].at:{ISO}},{ROOM[7].temp_c},{word}"
    rows[9] = f"{ROOM[9].at:{ISO}},{word},{word}"
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_read == len(ROOM)
    assert log.rows_left_out == {
        "temperature missing": 3,
        "humidity missing": 1,
        "temperature and humidity missing": 1,
    }
    assert log.rows_used == len(ROOM) - 5


def test_text_that_is_no_number_and_no_spelling_of_missing_is_called_so(tmp_path):
    rows = [iso(one) for one in ROOM]
    rows[3] = f"{ROOM[3].at:{ISO}},warm,{ROOM[3].rh_pct}"
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_left_out == {"temperature not a number": 1}


@pytest.mark.parametrize(("temp", "rh", "reason"), [
    (60.1, 40, "temperature impossible"),
    (-80.1, 40, "temperature impossible"),
    (20, 100.1, "humidity impossible"),
    (20, -0.1, "humidity impossible"),
])  # fmt: skip
def test_readings_just_past_what_air_can_have_are_left_out(tmp_path, temp, rh, reason):
    # Limits -80 to 60 °C and 0 to 100 %: WMO guidelines on quality control (Zahumensky 2004).
    rows = [iso(one) for one in ROOM]
    rows[3] = f"{ROOM[3].at:{ISO}},{temp},{rh}"
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_left_out == {reason: 1}
    assert any(flag.kind == "impossible value" and flag.rows == 1 for flag in log.flags)


@pytest.mark.parametrize(("temp", "rh"), [(60, 40), (-80, 40), (20, 100), (20, 0)])
def test_readings_at_the_limit_are_kept(tmp_path, temp, rh):
    rows = [iso(one) for one in ROOM]
    rows[3] = f"{ROOM[3].at:{ISO}},{temp},{rh}"
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_used == len(ROOM)


def test_bare_separators_and_a_legend_are_not_rows(tmp_path):
    text = lines(
        ROOM, iso, [HEAD], [",,", ",,", "", "Temp: air temperature", "RH: humidity, relative"]
    )
    log = read_log([write(tmp_path, text)])
    assert log.rows_read == log.rows_used == len(ROOM)


def test_event_rows_are_rows(tmp_path):
    text = lines(ROOM, iso, [HEAD], ["2023-03-04 09:00:00,,", "2023-03-04 09:00:10,,"])
    log = read_log([write(tmp_path, text)])
    assert log.rows_read == len(ROOM) + 2
    assert log.rows_left_out == {"temperature and humidity missing": 2}


def test_a_row_cut_off_is_counted(tmp_path):
    text = lines(ROOM, iso, [HEAD]) + "2023-03-0"
    log = read_log([write(tmp_path, text)])
    assert log.rows_left_out == {"time not readable": 1}
    assert balanced(log)


def test_an_unpaired_quote_swallows_no_row(tmp_path):
    rows = [f'"{one.at:{ISO}}","{one.temp_c}","{one.rh_pct}"' for one in ROOM]
    rows[10] = rows[10].replace('","', '",', 1)
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_read == len(ROOM)
    assert log.rows_used >= len(ROOM) - 1


def test_twenty_four_hundred_is_the_end_of_the_day(tmp_path):
    day = [datetime(2024, 5, 13) + timedelta(hours=n) for n in range(1, 73)]

    def row(at):
        before = at - timedelta(hours=1)
        text = f"{before:%m/%d/%Y},24:00" if at.hour == 0 else f"{at:%m/%d/%Y},{at:%H:%M}"
        return f"{text},20.1,45"

    log = read_log([write(tmp_path, "\n".join(["Date,Time,Temp,RH", *map(row, day)]))])
    assert list(log.times.to_pydatetime()) == day


def autumn(minutes):
    """Local wall time through the night when clocks went back: Vienna, 29 October 2023."""
    step = timedelta(minutes=minutes)
    before = [datetime(2023, 10, 28, 12) + n * step for n in range(int(15 * 60 / minutes))]
    again = [datetime(2023, 10, 29, 2) + n * step for n in range(int(22 * 60 / minutes))]
    return before + again


@pytest.mark.parametrize("minutes", [10, 15, 30, 60])
def test_the_hour_lived_through_twice_is_counted_and_order_kept(tmp_path, minutes):
    # Clock change of the European Union: last Sunday of October, 03:00 back to 02:00
    # (Directive 2000/84/EC).
    stamps = autumn(minutes)
    rows = [f"{at:%d.%m.%Y %H:%M},{20 + n * 0.001:.3f},45" for n, at in enumerate(stamps)]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    repeated = 60 // minutes
    assert log.rows_left_out == {"hour repeated when the clock went back": repeated}
    assert np.all(np.diff(log.times.asi8) > 0)
    assert np.all(np.diff(log.temp_c) > 0)
    assert [flag.rows for flag in log.flags if flag.kind == "clock back"] == [repeated]


def test_an_hour_repeated_off_the_beat_does_not_shuffle_rows(tmp_path):
    stamps = autumn(15)
    stamps = stamps[:60] + [at + timedelta(minutes=7) for at in stamps[60:]]
    rows = [f"{at:%d.%m.%Y %H:%M},{20 + n * 0.001:.3f},45" for n, at in enumerate(stamps)]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    # 02:07, 02:22 and 02:37 were passed before; 02:52 comes after the 02:45 of the first pass.
    assert log.rows_left_out == {"hour repeated when the clock went back": 3}
    assert np.all(np.diff(log.temp_c) > 0)


def test_a_first_row_out_of_place_in_that_night_is_no_hour_lived_through_twice(tmp_path):
    # it lost the earliest reading: a log that begins with 03:00 has not been through 02:00 before
    stamps = [datetime(2023, 10, 29, 3), *(datetime(2023, 10, 29, 2 + n) for n in range(20))]
    rows = [f"{at:%d.%m.%Y %H:%M},{20 + at.hour * 0.1:.3f},45" for at in stamps]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_used == 20
    assert log.times[0] == datetime(2023, 10, 29, 2)


def test_stamps_with_offsets_lose_no_row_when_the_clock_goes_back(tmp_path):
    utc = [datetime(2023, 10, 28, 12) + timedelta(minutes=30 * n) for n in range(60)]
    change = datetime(2023, 10, 29, 1)
    rows = []
    for at in utc:
        hours = 2 if at < change else 1
        rows.append(f"{at + timedelta(hours=hours):%Y-%m-%dT%H:%M:%S}+0{hours}:00,20,45")
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_used == 60
    assert log.utc_offset == "+02:00"
    assert set(np.diff(log.times.asi8)) == {30 * 60 * 10**9}


def test_the_hour_that_does_not_exist_is_no_gap(tmp_path):
    # European Union: last Sunday of March, 02:00 forward to 03:00 (Directive 2000/84/EC).
    stamps = [datetime(2024, 3, 30, 12) + timedelta(minutes=30 * n) for n in range(80)]
    stamps = [at + timedelta(hours=1) if at >= datetime(2024, 3, 31, 2) else at for at in stamps]
    log = read_log(
        [
            write(
                tmp_path,
                "\n".join([HEAD, *(f"{at:{ISO}},20.{n % 7},45" for n, at in enumerate(stamps))]),
            )
        ]
    )
    assert [flag.kind for flag in log.flags if flag.kind.startswith("clock")] == ["clock forward"]
    assert not log.gaps


def test_a_clock_set_anew_is_told(tmp_path):
    reset = [one.at.replace(year=2000) for one in ROOM[120:]]
    rows = [iso(one) for one in ROOM[:120]]
    rows += [
        f"{at:{ISO}},{one.temp_c},{one.rh_pct}" for at, one in zip(reset, ROOM[120:], strict=True)
    ]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert [flag.kind for flag in log.flags if flag.kind == "clock jump"] == ["clock jump"]
    assert balanced(log)


def test_rows_given_twice_are_told_from_clashes(tmp_path):
    rows = [iso(one) for one in ROOM]
    rows.insert(10, rows[9])
    rows.insert(20, f"{ROOM[5].at:{ISO}},{ROOM[5].temp_c + 1:.1f},{ROOM[5].rh_pct}")
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_left_out == {"row repeated": 1, "time repeated with other readings": 1}
    assert log.rows_used == len(ROOM)
    assert log.temp_c[5] == ROOM[5].temp_c


def test_gaps_are_named_by_the_readings_either_side(tmp_path):
    kept = ROOM[:100] + ROOM[148:]
    log = read_log([write(tmp_path, lines(kept, iso, [HEAD]))])
    (gap,) = log.gaps
    assert (gap.first, gap.last, gap.hours) == (ROOM[99].at, ROOM[148].at, 24.5)


def test_a_change_of_pace_is_no_gap(tmp_path):
    kept = ROOM[:100] + ROOM[100::5]
    log = read_log([write(tmp_path, lines(kept, iso, [HEAD]))])
    assert not log.gaps


def test_a_correction_is_added_and_never_clipped(tmp_path):
    rows = [iso(one) for one in ROOM]
    rows[4] = f"{ROOM[4].at:{ISO}},20,98.5"
    path = write(tmp_path, "\n".join([HEAD, *rows]))
    log = read_log([path], ImportOptions(rh_offset=2.0, temp_offset=-0.5))
    assert log.rows_left_out == {"humidity outside 0 to 100 % after the correction": 1}
    np.testing.assert_allclose(log.rh_pct[:4], [one.rh_pct + 2.0 for one in ROOM[:4]])
    np.testing.assert_allclose(log.temp_c[:4], [one.temp_c - 0.5 for one in ROOM[:4]])


def test_files_of_a_folder_are_joined_and_their_overlap_counted(tmp_path):
    write(tmp_path, lines(ROOM[:150], iso, [HEAD]), "a.csv")
    write(tmp_path, lines(ROOM[130:], iso, [HEAD]), "b.csv")
    (tmp_path / "notes.txt").write_text("kitchen, on the shelf\n", encoding="utf-8")
    log = read_log([tmp_path])
    assert log.files == ("a.csv", "b.csv")
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]
    assert log.rows_left_out == {"overlap with another file": 20}
    assert balanced(log)


def test_files_of_different_dialects_are_joined(tmp_path):
    first = write(tmp_path, lines(ROOM[:120], iso, [HEAD]), "a.csv")
    second = write(
        tmp_path,
        lines(
            ROOM[120:],
            lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}",
            ["Zeit;Temperatur °C;Feuchte %"],
        ),
        "b.csv",
    )
    log = read_log([second, first], ImportOptions(date_order="day-first"))
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM])


def test_a_different_room_is_refused_even_off_the_beat(tmp_path):
    first = write(tmp_path, lines(ROOM, iso, [HEAD]), "a.csv")
    other = room(start=ROOM[0].at + timedelta(minutes=7), warmer=3.0)
    second = write(tmp_path, lines(other, iso, [HEAD]), "b.csv")
    with pytest.raises(UnusableInputError, match="different readings"):
        read_log([first, second])


@pytest.mark.parametrize("rows", [1, 2, 3])
def test_a_handful_of_rows_is_a_log(tmp_path, rows):
    log = read_log([write(tmp_path, lines(ROOM[:rows], iso, [HEAD]))])
    assert log.rows_used == rows
    assert log.median_step_minutes == (30 if rows > 1 else 0)


def test_midnight_without_a_clock_is_midnight(tmp_path):
    def row(one):
        midnight = one.at.hour == one.at.minute == 0
        return (
            f"{one.at:%d/%m/%Y}{'' if midnight else f' {one.at:%H:%M}'},{one.temp_c},{one.rh_pct}"
        )

    log = read_log([write(tmp_path, lines(ROOM, row, [HEAD]))])
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]


def long_log(rows=60_000):
    times = pd.date_range("2024-02-25 00:00", periods=rows, freq="min")
    values = np.round(20 + np.sin(np.arange(rows) / 700), 2)
    return times, values


@pytest.mark.parametrize("pattern", [ISO, "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"])
def test_a_large_file_is_read_from_its_bytes_as_it_is(tmp_path, pattern):
    times, values = long_log()
    rows = [f"{at},{value},45.5" for at, value in zip(times.strftime(pattern), values, strict=True)]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_used == log.rows_read == len(times)
    assert (log.times == times).all()
    np.testing.assert_array_equal(log.temp_c, values)


@pytest.mark.slow
@pytest.mark.parametrize("odd", [
    "2024-02-30 10:00:00,20,45", "2024-13-01 10:00:00,20,45", "2024-03-01 24:30:00,20,45",
    "2024-03-0110:00:00,20,45", "yesterday,20,45", ",20,45",
])  # fmt: skip
def test_one_odd_line_in_a_large_file_is_counted(tmp_path, odd):
    times, values = long_log()
    rows = [f"{at},{value},45.5" for at, value in zip(times.strftime(ISO), values, strict=True)]
    rows.insert(40_000, odd)
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_read == len(times) + 1
    assert sum(log.rows_left_out.values()) == 1
    assert next(iter(log.rows_left_out)).startswith("time")
    assert (log.times == times).all()


@pytest.mark.slow
@pytest.mark.parametrize("pattern", ["%d/%m/%Y %H:%M", "%d.%m.%y %H:%M:%S", "%m/%d/%Y %I:%M %p"])
@pytest.mark.parametrize("odd", ["31/02/2024 10:00", "10:00", "never", ""])
def test_one_odd_line_in_a_long_column_of_local_dates_is_counted(tmp_path, pattern, odd):
    times, values = long_log(25_000)
    rows = [f"{at},{v},45.5" for at, v in zip(times.strftime(pattern), values, strict=True)]
    path = write(tmp_path, "\n".join([HEAD, *rows]))
    assert (read_log([path]).times == times).all()
    rows.insert(12_000, f"{odd},20,45")
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_read == len(times) + 1
    assert sum(log.rows_left_out.values()) == 1
    assert (log.times == times).all()


def test_a_long_column_with_offsets_keeps_its_order_through_the_clock_change(tmp_path):
    utc = pd.date_range("2023-10-20", periods=30_000, freq="min", tz="UTC")
    local = utc.tz_convert("Europe/Vienna")
    rows = [f"{at.isoformat()},20,45" for at in local]
    log = read_log([write(tmp_path, "\n".join([HEAD, *rows]))])
    assert log.rows_used == len(utc)
    assert log.utc_offset == "+02:00"
    assert log.times[0] == local[0].tz_localize(None)
    assert set(np.diff(log.times.as_unit("ns").asi8)) == {60 * 10**9}
