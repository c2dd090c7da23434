"""Strange but honest files: each an invented room known exactly, read right or asked about.

No published figure is needed: the truth is made in truth.py before the file is written.
"""

from datetime import datetime, timedelta
from math import exp, log

import numpy as np
import pandas as pd
import pytest

from climlog.errors import UnusableInputError
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_file, read_log
from tests.importer.truth import comma, fahrenheit, room

ROOM = room()
OTHER = room(warmer=-3.0)
ISO = "%Y-%m-%d %H:%M:%S"
HEAD = "Time,Temp °C,RH %\n"


def text(row, readings=ROOM):
    return "".join(f"{row(one)}\n" for one in readings)


def iso(one):
    return f"{one.at:{ISO}},{one.temp_c},{one.rh_pct}"


def serial(one):
    return (one.at - datetime(1899, 12, 30)).total_seconds() / 86400


def dew_c(one):
    # Magnus form over water, WMO-No. 8 (2018), annex 4.B: 17.62 and 243.12 °C; from memory.
    x = log(one.rh_pct / 100) + 17.62 * one.temp_c / (243.12 + one.temp_c)
    return 243.12 * x / (17.62 - x)


def write(tmp_path, content, name="room.csv"):
    path = tmp_path / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def same(read, truth, temp_c=0.06):
    assert list(read.times) == [pd.Timestamp(one.at) for one in truth]
    assert np.allclose(read.temp_c, [one.temp_c for one in truth], atol=temp_c)
    assert np.allclose(read.rh_pct, [one.rh_pct for one in truth], atol=0.06)
    assert read.rows_read == read.rows_used + sum(read.rows_left_out.values())


def day_of_year(one):
    return (one.at - datetime(one.at.year, 1, 1)).total_seconds() / 86400 + 1


FILES = {
    "serial day and share of a day": "Date,Time,Temp (C),RH (%)\n"
    + text(lambda o: f"{int(serial(o))},{serial(o) % 1:.6f},{o.temp_c},{o.rh_pct}"),
    "day of year with its share": "Year,DOY,Temp_C,RH\n"
    + text(lambda o: f"{o.at.year},{day_of_year(o):.5f},{o.temp_c},{o.rh_pct}"),
    "day of year and hhmm": "year,jday,hhmm,AirTC_Avg,RH\n"
    + text(lambda o: f"{o.at:%Y,%j},{o.at.hour * 100 + o.at.minute},{o.temp_c},{o.rh_pct}"),
    "months and minutes both mm": "YY MM DD hh mm ATMP RH\n#yr mo dy hr mn degC %\n"
    + text(lambda o: f"{o.at:%Y %m %d %H %M} {o.temp_c} {o.rh_pct}"),
    "epoch with exponent": "time,hum,temp\n"
    + text(lambda o: f"{(o.at - datetime(1970, 1, 1)).total_seconds():.9e},{o.rh_pct},{o.temp_c}"),
    "unit in a column after each value": "Place;Date;Time;Value;Unit;Value;Unit\n"
    + text(lambda o: f"1;{o.at:%d-%m-%Y;%H:%M:%S};{comma(o.rh_pct)};%RH;{comma(o.temp_c)};C"),
    "unit in cells of nameless channels": "Time,Ch1,Ch2\n"
    + text(lambda o: f"{o.at:{ISO}},{o.temp_c} C,{o.rh_pct} %RH"),
    "unit row of bare letters": "Time,Value,Value\n,C,%RH\n" + text(iso),
    "notes about columns over the titles": "#group,false,false,true,true\n"
    "#datatype,string,dateTime,double,string\n,result,_time,_value,_field\n"
    + text(lambda o: f",,{o.at:{ISO}},{o.rh_pct},humidity\n,,{o.at:{ISO}},{o.temp_c},temperature"),
    "whole lines quoted": '"Date,""Temp"",""RH"""\n'
    + text(lambda o: f'"{o.at:{ISO}},""{comma(o.temp_c)}"",""{comma(o.rh_pct)}"""'),
    "lines like readings above the titles": "Start,2023-02-27 08:00:00,20,50\n"
    "Stop,2023-03-04 07:30:00,21,48\n\nNo,Date,Temp,RH\n" + text(lambda o: f"7,{iso(o)}"),
    "zeros behind the last line": (HEAD + text(iso)).encode() + bytes(4096),
    "Japanese, two-byte": (
        "日時,温度(℃),湿度(%)\n" + text(iso)
    ).encode("cp932"),
    "Russian, single-byte": (
        "Дата;Температура;Влажность\n"
        + text(lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}")
    ).encode("cp1251"),
    "rF": "Zeit;T;rF\n" + text(lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}"),
    "character places, a name before the day": (
        "Logger 2024-01-01 08:00\nStation  Date       Time      Air temp  Rel hum\n"
        + text(lambda o: f"SHOP     {o.at:{ISO}}  {o.temp_c:8.1f} {o.rh_pct:8.1f}")
    ),
    "no titles, dew point proves the pair": text(
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct},{dew_c(o):.1f}"
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", FILES)
def test_strange_files_are_read_right(tmp_path, name):
    read = read_log([write(tmp_path, FILES[name])])
    same(read, ROOM)
    assert set(read.rows_left_out) <= {"humidity row joined to its temperature row"}


def test_the_vapour_equation_of_these_tests_gives_saturation_at_the_dew_point():
    one = ROOM[0]
    at_dew = 6.112 * exp(17.62 * dew_c(one) / (243.12 + dew_c(one)))
    at_air = 6.112 * exp(17.62 * one.temp_c / (243.12 + one.temp_c))
    assert at_dew / at_air * 100 == pytest.approx(one.rh_pct)


@pytest.mark.parametrize("gap", [",,", ",--,--", ",-- °C,-- %", ",k. A.,n. a."])
def test_missing_readings_in_the_first_rows_are_counted(tmp_path, gap):
    rows = [f"{one.at:{ISO}}{gap}" for one in ROOM[:9]] + [iso(one) for one in ROOM[9:]]
    read = read_log([write(tmp_path, HEAD + "\n".join(rows))])
    same(read, ROOM[9:])
    assert read.rows_left_out == {"temperature and humidity missing": 9}


def test_a_day_written_once_is_carried_down(tmp_path):
    rows, day = [], None
    for one in ROOM:
        rows.append(f"{one.at:%d/%m/%Y}" if one.at.date() != day else "")
        rows[-1] += f",{one.at:%H:%M},{one.temp_c},{one.rh_pct}"
        day = one.at.date()
    read = read_log([write(tmp_path, "Date,Clock,Temp °C,RH %\n" + "\n".join(rows))])
    same(read, ROOM)
    assert [guess.value for guess in read.guesses if guess.what == "date"] == ["carried down"]


def test_a_day_missing_at_midnight_is_not_carried_over_it(tmp_path):
    rows = [f"{'30/01/2024' if n == 0 else ''},{n % 24}:00,20,45" for n in range(30)]
    read = read_log([write(tmp_path, "Date,Clock,Temp °C,RH %\n" + "\n".join(rows))])
    assert read.rows_used == 24
    assert read.rows_left_out == {"time missing": 6}


def test_each_sensor_may_have_a_time_of_its_own(tmp_path):
    shift = timedelta(hours=7)
    rows = [
        f"{iso(a)}," + (f"{b.at + shift:{ISO}},{b.temp_c},{b.rh_pct}" if n < 200 else ",,")
        for n, (a, b) in enumerate(zip(ROOM, OTHER, strict=True))
    ]
    path = write(tmp_path, "Time,Temp,RH,Time,Temp,RH\n" + "\n".join(rows))
    first, second = read_file(path)
    same(first, ROOM)
    assert list(second.times) == [pd.Timestamp(one.at + shift) for one in OTHER[:200]]
    assert np.allclose(second.temp_c, [one.temp_c for one in OTHER[:200]])
    assert second.rows_left_out == {"time missing": 40}
    same(read_log([path], ImportOptions(sensor=first.sensor.name)), ROOM)


def test_cells_of_both_temperature_units_are_brought_to_one(tmp_path):
    rows = [
        f"{o.at:{ISO}},{o.temp_c}°C,{o.rh_pct}%"
        if n % 3
        else f"{o.at:{ISO}},{fahrenheit(o.temp_c)}°F,{o.rh_pct}%"
        for n, o in enumerate(ROOM)
    ]
    read = read_log([write(tmp_path, "Date,Temp,RH\n" + "\n".join(rows))])
    same(read, ROOM)
    assert "°C and °F" in [guess.value for guess in read.guesses]


def test_a_number_far_from_all_others_stands_for_missing(tmp_path):
    rows = [
        iso(o) if n % 10 else f"{o.at:{ISO}},-40,{o.rh_pct}" for n, o in enumerate(ROOM)
    ]  # fmt: skip
    read = read_log([write(tmp_path, HEAD + "\n".join(rows))])
    same(read, [one for n, one in enumerate(ROOM) if n % 10])
    assert read.rows_left_out == {"temperature missing": 24}
    assert "-40" in [guess.value for guess in read.guesses if guess.what == "missing readings"]


def test_cold_that_was_reached_through_the_cold_is_kept(tmp_path):
    temps = [round(-20 - 20 * abs(n % 40 - 20) / 20) for n in range(120)]
    rows = [f"{o.at:{ISO}},{temps[n]},60" for n, o in enumerate(ROOM[:120])]
    read = read_log([write(tmp_path, HEAD + "\n".join(rows))])
    assert read.temp_c.min() == -40
    assert read.rows_left_out == {}


REFUSED = {
    "columns change places": (
        "Date,Temp,RH\n" + text(iso, ROOM[:99]) + "Date,RH,Temp\n"
        + text(lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}", ROOM[99:]),
        "unlike files were joined",
    ),
    "unit changes": (
        "Date,Temp (°C),RH\n" + text(iso, ROOM[:99]) + "Date,Temp (°F),RH\n"
        + text(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}", ROOM[99:]),
        "unlike files were joined",
    ),
    "grams a cubic metre": (
        "Time,Temp °C,Humidity (g/m³)\n" + text(lambda o: f"{o.at:{ISO}},{o.temp_c},7.4"),
        "g/m³, which is not relative humidity",
    ),
    "grams a kilogram": (
        "Time,Temp °C,Humidity g/kg\n" + text(lambda o: f"{o.at:{ISO}},{o.temp_c},6.4"),
        "g/kg, which is not relative humidity",
    ),
    "two sensors, not told apart": (
        HEAD + "".join(f"{iso(a)}\n{iso(b)}\n" for a, b in zip(ROOM, OTHER, strict=True)),
        "several sensors.*a file of its own",
    ),
    "channels without units": (
        "Time,Ch1,Ch2\n" + text(iso), "no titles tell.*--temp-column Ch1 --rh-column Ch2",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_could_mislead_is_refused_in_one_line(tmp_path, name):
    content, message = REFUSED[name]
    with pytest.raises(UnusableInputError, match=message) as caught:
        read_log([write(tmp_path, content)])
    assert "\n" not in str(caught.value)


def test_seconds_dropped_by_a_spreadsheet_leave_the_first_of_each_minute(tmp_path):
    start = datetime(2024, 1, 27, 23, 50)
    rows = [
        f"{start + timedelta(seconds=10 * n):%d/%m/%Y %H:%M},{20 + n % 7 / 10},45"
        for n in range(900)
    ]
    read = read_log([write(tmp_path, HEAD + "\n".join(rows))])
    assert read.rows_used == 150
    assert read.rows_read == 900
