"""Every way of writing the same invented room gives back the same readings.

No published figure is needed: the truth is made in truth.py before the file is written.
"""

import gzip
from datetime import datetime, timedelta

import numpy as np
import pytest

from climlog.errors import OpenQuestionError
from climlog.importer.options import ImportOptions
from climlog.importer.question import with_choice
from climlog.importer.read import read_file, read_log
from tests.importer.truth import START, comma, fahrenheit, lines, room

ROOM = room()
ISO = "%Y-%m-%d %H:%M:%S"


def stamp(pattern):
    return lambda one: f"{one.at:{pattern}},{one.temp_c},{one.rh_pct}"


def nozero(one, us):
    day, month = one.at.day, one.at.month
    first, second = (month, day) if us else (day, month)
    return f"{first}/{second}/{one.at.year} {one.at.hour}:{one.at:%M}"


def ampm(one):
    return f"{one.at.month}/{one.at.day}/{one.at:%Y} {one.at.hour % 12 or 12}:{one.at:%M:%S %p}"


def epoch(one):
    return int((one.at - START.replace(year=1970, month=1, day=1, hour=0)).total_seconds())


def serial(one):
    return (one.at - START.replace(year=1899, month=12, day=30, hour=0)).total_seconds() / 86400


HEAD = ["Time,Temperature (°C),Humidity (%)"]
GERMAN = ["Datum;Uhrzeit;Temperatur [°C];rel. Feuchte [%]"]

WAYS = {
    "iso": (HEAD, stamp(ISO)),
    "iso with T": (HEAD, stamp("%Y-%m-%dT%H:%M")),
    "iso with slashes": (HEAD, stamp("%Y/%m/%d %H:%M")),
    "iso with Z": (HEAD, stamp("%Y-%m-%dT%H:%M:%SZ")),
    "milliseconds and offset": (HEAD, stamp("%Y-%m-%dT%H:%M:%S.000+01:00")),
    "day first": (HEAD, stamp("%d/%m/%Y %H:%M")),
    "month first": (HEAD, stamp("%m/%d/%Y %H:%M")),
    "day first, dots": (HEAD, stamp("%d.%m.%Y %H:%M:%S")),
    "day first, two-digit year": (HEAD, stamp("%d-%m-%y %H:%M")),
    "month first, no zeros": (HEAD, lambda o: f"{nozero(o, True)},{o.temp_c},{o.rh_pct}"),
    "day first, no zeros": (HEAD, lambda o: f"{nozero(o, False)},{o.temp_c},{o.rh_pct}"),
    "year first, two digits": (HEAD, stamp("%y-%m-%d %H:%M")),
    "am and pm": (HEAD, lambda o: f"{ampm(o)},{o.temp_c},{o.rh_pct}"),
    "a.m. and p.m.": (
        HEAD,
        lambda o: f"{ampm(o).replace('AM', 'a. m.').replace('PM', 'p. m.')},{o.temp_c},{o.rh_pct}",
    ),
    "month name": (HEAD, stamp("%d-%b-%Y %H:%M:%S")),
    "month name first": (HEAD, lambda o: f'"{o.at:%b %d, %Y %H:%M}",{o.temp_c},{o.rh_pct}'),
    "weekday": (HEAD, stamp("%a %d %b %Y %H:%M")),
    "packed": (HEAD, stamp("%Y%m%d%H%M%S")),
    "packed with colon": (HEAD, stamp("%Y%m%d:%H%M")),
    "epoch seconds": (["ts,temp,hum"], lambda o: f"{epoch(o)},{o.temp_c},{o.rh_pct}"),
    "epoch milliseconds": (["time,temp,hum"], lambda o: f"{epoch(o)}000,{o.temp_c},{o.rh_pct}"),
    "epoch with decimals": (["unixtime,temp,hum"], lambda o: f"{epoch(o)}.0,{o.temp_c},{o.rh_pct}"),
    "spreadsheet days": (["Date,Temp,RH"], lambda o: f"{serial(o):.8f},{o.temp_c},{o.rh_pct}"),
    "date and time apart": (
        ["Date,Time,Temp,RH"],
        lambda o: f"{o.at:%d/%m/%Y,%H:%M:%S},{o.temp_c},{o.rh_pct}",
    ),
    "date and hour parts": (
        ["Year,Month,Day,Hour,Minute,Temp (C),RH (%)"],
        lambda o: (
            f"{o.at.year},{o.at.month},{o.at.day},{o.at.hour},{o.at.minute},{o.temp_c},{o.rh_pct}"
        ),
    ),
    "day of year": (
        ["Year,DOY,Hour,Minute,AirTemp,RelHum"],
        lambda o: (
            f"{o.at.year},{o.at.timetuple().tm_yday},{o.at.hour},{o.at.minute},{o.temp_c},{o.rh_pct}"
        ),
    ),
    "day of year, hours and minutes in one": (
        ["Year,Julian Day,Time (HHMM) hour,AirTC,RH"],
        lambda o: (
            f"{o.at.year},{o.at.timetuple().tm_yday},{o.at.hour * 100 + o.at.minute},"
            f"{o.temp_c},{o.rh_pct}"
        ),
    ),
    "parts of the date and a clock": (
        ["Year,Month,Day,Time,Temp,RH"],
        lambda o: f"{o.at.year},{o.at.month},{o.at.day},{o.at:%H:%M},{o.temp_c},{o.rh_pct}",
    ),
    "packed day and hour": (
        ["date,hour,temp,rh"],
        lambda o: f"{o.at:%Y%m%d},{o.at:%H%M},{o.temp_c},{o.rh_pct}",
    ),
    "packed with T and offset": (HEAD, stamp("%Y%m%dT%H%M%S+0100")),
    "clock inside the date": (HEAD, stamp("%a %b %d %H:%M:%S %Y")),
    "month name, german": (
        ["Zeit;Temp;RF"],
        lambda o: (
            f"{o.at.day}. {'Februar' if o.at.month == 2 else 'März'} {o.at.year} {o.at:%H:%M};"
            f"{comma(o.temp_c)};{comma(o.rh_pct)}"
        ),
    ),
    "am and pm in a column": (
        ["Date,Time,AM/PM,Temp,RH"],
        lambda o: f"{o.at:%d/%m/%Y,%I:%M,%p},{o.temp_c},{o.rh_pct}",
    ),
    "four title rows": (
        [
            '"TABLE","12","34","station"',
            '"TIMESTAMP","RECORD","Batt_Min","AirT_Avg","RH"',
            '"TS","RN","Volts","Deg C","%"',
            '"","","Min","Avg","Smp"',
        ],
        lambda o: f'"{o.at:{ISO}}",{epoch(o) % 977},12.6,{o.temp_c},{o.rh_pct}',
    ),
    "a line break in a title": (
        ['Time,"Temp\n(°C)","RH\n(%)"'],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct}",
    ),
    "a preamble with times": (
        [
            "Device,room 7",
            "Start,2023-02-27 08:00:00",
            "Samples,240",
            "",
            "No.,Time,Temp(°C),RH(%)",
        ],
        lambda o: f"{epoch(o) % 977},{o.at:{ISO}},{o.temp_c},{o.rh_pct}",
    ),
    "both units side by side": (
        ["Time,Temp (°F),Temp (°C),RH (%)"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.temp_c},{o.rh_pct}",
    ),
    "cells as spreadsheet formulas": (
        ["Time,Temp,RH"],
        lambda o: f'="{o.at:{ISO}}",="{o.temp_c}",="{o.rh_pct}"',
    ),
    "chinese": (["时间,温度,湿度"], stamp(ISO)),
    "polish": (
        ["Data;Temperatura;Wilgotność"],
        lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}",
    ),
    "finnish": (
        ["Aika;Lämpötila;Suhteellinen kosteus"],
        lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}",
    ),
    "T and H": (["time;T;H"], lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}"),
    "semicolon and decimal comma": (
        ["Zeit;Temperatur °C;Feuchte %"],
        lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}",
    ),
    "german, two columns": (
        GERMAN,
        lambda o: f"{o.at:%d.%m.%Y;%H:%M:%S};{comma(o.temp_c)};{comma(o.rh_pct)}",
    ),
    "quoted decimal comma in commas": (
        ['"Heure","Température (°C)","Humidité (%)"'],
        lambda o: f'"{o.at:%d/%m/%Y %H:%M}","{comma(o.temp_c)}","{comma(o.rh_pct)}"',
    ),
    "tab": (["Time\tT [C]\tRH [%]"], lambda o: f"{o.at:{ISO}}\t{o.temp_c}\t{o.rh_pct}"),
    "tab and decimal comma": (
        ["Fecha\tTemperatura\tHumedad"],
        lambda o: f"{o.at:%d/%m/%Y %H:%M}\t{comma(o.temp_c)}\t{comma(o.rh_pct)}",
    ),
    "bar": (["time|temp_c|rh"], lambda o: f"{o.at:{ISO}}|{o.temp_c}|{o.rh_pct}"),
    "blanks": (["date time temp rh"], lambda o: f"{o.at:{ISO}}   {o.temp_c}  {o.rh_pct}"),
    "sep line": (["sep=;", "Time;Temp;RH"], lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}"),
    "humidity first": (["Time,RH,Temp"], lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}"),
    "units in cells": (["Time,Temp,RH"], lambda o: f"{o.at:{ISO}},{o.temp_c} °C,{o.rh_pct} %"),
    "Fahrenheit in cells": (
        ["Time,Temp,RH"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)}°F,{o.rh_pct}%",
    ),
    "Fahrenheit in the title": (
        ["Time,Temp(F),RH"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}",
    ),
    "Fahrenheit by its numbers": (
        ["Time,Temp,RH"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}",
    ),
    "kelvin by its numbers": (
        ["Time,Temp,RH"],
        lambda o: f"{o.at:{ISO}},{o.temp_c + 273.15:.2f},{o.rh_pct}",
    ),
    "tempf and humidity": (
        ["dateutc,tempinf,humidityin"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}",
    ),
    "units in a second row": (
        ["Time,Temp,RH", "yyyy-mm-dd hh:mm:ss,Deg F,%"],
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}",
    ),
    "titles over two rows": (
        [",Living room,Living room", "Time,Temp °C,RH %"],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct}",
    ),
    "preamble": (
        ["Logger export", "Serial,12345678", "Interval,30 min", "", "Time,Temp °C,RH %"],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct}",
    ),
    "long preamble of pairs": (
        [*(f"Setting {n};{n * 3}" for n in range(30)), "No.;Time;Temp °C;RH %"],
        lambda o: f"{epoch(o) % 977};{o.at:{ISO}};{o.temp_c};{o.rh_pct}",
    ),
    "fraction": (["Time,Temp,Humidity"], lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct / 100:.3f}"),
    "padded": (
        ["Time , Temp C , RH %   "],
        lambda o: f"  {o.at:{ISO}} ,  {o.temp_c} , {o.rh_pct}   ",
    ),
    "trailing blank columns": (
        ["Time,Temp,RH,,,"],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct},,,",
    ),
    "trailing separators, titles without": (
        ["Time,Temp,RH"],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct},",
    ),
    "row numbers without a title": (
        ["Time,Temp,RH"],
        lambda o: f'"{epoch(o) % 991}",{o.at:{ISO}},{o.temp_c},{o.rh_pct}',
    ),
    "other columns": (
        ["#,Time,Light (lx),Temp (°C),Dew point (°C),Abs. humidity (g/m3),RH (%),Battery (V)"],
        lambda o: f"1,{o.at:{ISO}},150,{o.temp_c},7.1,6.3,{o.rh_pct},2.9",
    ),
    "outdoor temperature beside": (
        ["Time,Indoor Temperature(°C),Indoor Humidity(%),Dew Point(°C),Heat index(°C)"],
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct},6.5,19.8",
    ),
}


def write(tmp_path, text, name="room.csv", encoding="utf-8"):
    path = tmp_path / name
    path.write_bytes(text.encode(encoding))
    return path


@pytest.mark.parametrize("name", WAYS)
def test_the_room_is_read_the_same_however_it_is_written(tmp_path, name):
    header, row = WAYS[name]
    log = read_log([write(tmp_path, lines(ROOM, row, header))])
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM], atol=0.006)
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM], atol=1e-9)
    assert log.rows_read == log.rows_used == len(ROOM)
    assert not log.rows_left_out
    assert not log.gaps
    assert log.median_step_minutes == 30


@pytest.mark.parametrize(
    "encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "latin-1"]
)
def test_any_usual_encoding_is_found(tmp_path, encoding):
    text = lines(ROOM, stamp(ISO), ["Time,Temp (°C),Humidité (%)"])
    log = read_log([write(tmp_path, text, encoding=encoding)])
    assert log.rows_used == len(ROOM)
    assert log.sensor.temperature_column == "Temp (°C)"
    assert log.sensor.humidity_column == "Humidité (%)"
    assert any(guess.what == "encoding" for guess in log.guesses)


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_any_line_end_is_read(tmp_path, end):
    text = lines(ROOM, stamp(ISO), HEAD).replace("\n", end)
    assert read_log([write(tmp_path, text)]).rows_used == len(ROOM)


def test_a_gzip_file_is_read(tmp_path):
    path = tmp_path / "room.csv.gz"
    path.write_bytes(gzip.compress(lines(ROOM, stamp(ISO), HEAD).encode()))
    assert read_log([path]).rows_used == len(ROOM)


def test_newest_first_is_turned_round(tmp_path):
    log = read_log([write(tmp_path, lines(ROOM[::-1], stamp(ISO), HEAD))])
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]
    assert log.temp_c[0] == ROOM[0].temp_c
    assert any(guess.value == "newest first" for guess in log.guesses)


def test_titles_repeated_where_downloads_were_joined_are_counted(tmp_path):
    text = lines(ROOM[:100], stamp(ISO), HEAD) + lines(ROOM[100:], stamp(ISO), HEAD)
    log = read_log([write(tmp_path, text)])
    assert log.rows_used == len(ROOM)
    assert log.rows_left_out == {"titles repeated": 1}
    assert log.rows_read == len(ROOM) + 1


def test_humidity_comes_from_the_dew_point_where_there_is_no_other(tmp_path):
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    dews = [psychrolib.GetTDewPointFromRelHum(one.temp_c, one.rh_pct / 100) for one in ROOM]
    rows = [f"{o.at:{ISO}},{o.temp_c},{dew:.2f}" for o, dew in zip(ROOM, dews, strict=True)]
    text = "Time,Temp °C,Dew point °C\n" + "\n".join(rows)
    log = read_log([write(tmp_path, text)])
    # PsychroLib (ASHRAE 2017) and the Magnus form differ by 0.3 % at most; dew points have two
    # decimals, 0.005 °C or 0.03 % of the pressure: 0.2 % of humidity covers both.
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM], atol=0.2)
    assert any(guess.what == "humidity" and "dew point" in guess.value for guess in log.guesses)


def test_several_sensors_side_by_side_are_told_apart(tmp_path):
    attic = room(warmer=3.0)
    text = "Time,Kitchen Temp (°C),Kitchen RH (%),Attic Temp (°C),Attic RH (%)\n" + "\n".join(
        f"{k.at:{ISO}},{k.temp_c},{k.rh_pct},{a.temp_c},{a.rh_pct}"
        for k, a in zip(ROOM, attic, strict=True)
    )
    path = write(tmp_path, text)
    logs = {log.sensor.name: log for log in read_file(path)}
    assert set(logs) == {"Kitchen", "Attic"}
    assert logs["Attic"].temp_c[5] == attic[5].temp_c
    assert read_log([path], ImportOptions(sensor="kitchen")).temp_c[5] == ROOM[5].temp_c


def test_a_group_row_over_the_titles_names_the_sensors(tmp_path):
    attic = room(warmer=3.0)
    text = ",Kitchen,,Attic,\nTime,T °C,RH %,T °C,RH %\n" + "\n".join(
        f"{k.at:{ISO}},{k.temp_c},{k.rh_pct},{a.temp_c},{a.rh_pct}"
        for k, a in zip(ROOM, attic, strict=True)
    )
    logs = {log.sensor.name: log for log in read_file(write(tmp_path, text))}
    assert set(logs) == {"Kitchen", "Attic"}
    assert logs["Attic"].temp_c[5] == attic[5].temp_c


@pytest.mark.parametrize("title", ["sensor", "Room", "device_id"])
def test_sensors_below_each_other_are_told_apart(tmp_path, title):
    attic = room(warmer=3.0)
    rows = [(one, "7a") for one in ROOM] + [(one, "7b") for one in attic]
    rows.sort(key=lambda row: row[0].at)
    text = f"Time,{title},Temp,RH\n" + "\n".join(
        f"{o.at:{ISO}},{name},{o.temp_c},{o.rh_pct}" for o, name in rows
    )
    logs = {log.sensor.name: log for log in read_file(write(tmp_path, text))}
    assert set(logs) == {"7a", "7b"}
    assert all(log.rows_read == log.rows_used == len(ROOM) for log in logs.values())
    assert logs["7b"].temp_c[5] == attic[5].temp_c


def test_one_quantity_a_row_is_put_together(tmp_path):
    rows = [
        f"{one.at:{ISO}},{what},{value}"
        for one in ROOM
        for what, value in (("temperature", one.temp_c), ("humidity", one.rh_pct))
    ]
    log = read_log([write(tmp_path, "time,quantity,value\n" + "\n".join(rows))])
    assert log.rows_read == 2 * len(ROOM)
    assert log.rows_left_out == {"humidity row joined to its temperature row": len(ROOM)}
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM])
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM])


def test_one_quantity_a_row_with_times_of_its_own_and_the_unit_beside(tmp_path):
    rows = []
    for one in ROOM:
        late = one.at + timedelta(seconds=4)
        rows.append(f"sensor.attic_temperature,{fahrenheit(one.temp_c)},{one.at:{ISO}},°F")
        rows.append(f"sensor.attic_humidity,{one.rh_pct},{late:{ISO}},%")
        rows.append(f"sensor.attic_battery,97,{late:{ISO}},%")
    log = read_log([write(tmp_path, "entity_id,state,last_changed,unit\n" + "\n".join(rows))])
    assert log.sensor.name == "attic"
    assert list(log.times.to_pydatetime()) == [one.at for one in ROOM]
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM], atol=0.006)
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM])
    assert log.rows_read == log.rows_used + sum(log.rows_left_out.values())


def test_an_epw_weather_file_is_read_by_its_fixed_columns(tmp_path):
    # Made by hand after the published layout of EPW weather files: eight header lines, 35 fields,
    # hours 1 to 24, minute 60, dry bulb in field 7, dew point in 8, relative humidity in 9.
    header = ["LOCATION,Invented,-,-,made,000000,52.0,5.0,1.0,2.0", "DESIGN CONDITIONS,0"]
    header += [
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
    ]
    header += ["COMMENTS 1,", "COMMENTS 2,", "DATA PERIODS,1,1,Data,Sunday,1/1,12/31"]
    rows, times = [], []
    for n in range(72):
        at = datetime(2005, 3, 4) + timedelta(hours=n)
        times.append(at + timedelta(hours=1))
        rest = ",".join(["0"] * 25)
        when = f"2005,{at.month},{at.day},{at.hour + 1},60"
        rows.append(f"{when},?9,{5 + n / 10},1.5,{70 - n / 10},101300,{rest}")
    path = write(tmp_path, "\n".join([*header, *rows]), "invented.epw")
    log = read_log([path])
    assert list(log.times.to_pydatetime()) == times
    np.testing.assert_allclose(log.temp_c, [5 + n / 10 for n in range(72)])
    np.testing.assert_allclose(log.rh_pct, [70 - n / 10 for n in range(72)])


def test_decimal_commas_between_commas_are_put_together(tmp_path):
    text = "Time,Temp,RH\n" + "\n".join(
        f"{one.at:{ISO}},{comma(one.temp_c)},{comma(one.rh_pct)}" for one in ROOM
    )
    log = read_log([write(tmp_path, text)])
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM])
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct for one in ROOM])


UNTITLED = {
    "temperature first": (stamp(ISO), 0.0, {"temp_column": "2", "rh_column": "3"}),
    "a constant beside": (
        lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct},3.01",
        0.0,
        {"temp_column": "2", "rh_column": "3"},
    ),
    "humidity first": (
        lambda o: f"{o.at:{ISO}},{o.rh_pct + 30},{o.temp_c}",
        30.0,
        {"temp_column": "3", "rh_column": "2"},
    ),
}


@pytest.mark.parametrize("name", UNTITLED)
def test_without_titles_the_right_columns_are_among_the_ways_asked_about(tmp_path, name):
    # A room at 20 °C and 40 % could be one at 40 °F and 20 %: the numbers alone cannot tell.
    row, damper, wanted = UNTITLED[name]
    path = write(tmp_path, lines(ROOM, row))
    with pytest.raises(OpenQuestionError) as asked:
        read_log([path])
    (choice,) = [
        one
        for one in asked.value.choices
        if wanted.items() <= one.options.items() and one.options["temp_unit"] == "C"
    ]
    log = read_log([path], with_choice(ImportOptions(), choice))
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM])
    np.testing.assert_allclose(log.rh_pct, [one.rh_pct + damper for one in ROOM])


@pytest.mark.parametrize(("mark", "word"), [(";", ";"), ("\t", "tab"), (";", "semicolon")])
def test_delimiter_and_decimal_mark_can_be_given(tmp_path, mark, word):
    rows = [mark.join([f"{o.at:{ISO}}", comma(o.temp_c), comma(o.rh_pct)]) for o in ROOM]
    path = write(tmp_path, "\n".join([mark.join(["Time", "Temp", "RH"]), *rows]))
    log = read_log([path], ImportOptions(delimiter=word, decimal_mark=","))
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM])
