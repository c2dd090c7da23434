"""Weather files by their documented columns, against pvlib's reading of the same files."""

from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from pvlib.iotools import read_epw, read_tmy3

from climlog.errors import UnusableInputError
from climlog.importer.weather import read_weather

PVLIB_DATA = Path(pvlib.__file__).parent / "data"
EPW_HEADER = (
    "LOCATION,Madeville,-,NOWHERE,Made,000000,47.0,8.0,1.0,400.0\n"
    "DESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\n"
    "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,made for a test\nCOMMENTS 2,\n"
    "DATA PERIODS,{records},1,Data,Sunday, 1/ 1,12/31\n"
)


def epw_row(when, hour, temp_c, rh_pct, minute=0):
    rest = ",".join(["0"] * 25)
    return (
        f"{when.year},{when.month},{when.day},{hour},{minute},?9?9,"
        f"{temp_c},-2.0,{rh_pct},97000,{rest}"
    )


def made_epw(tmp_path, rows, records="1,1", name="made.epw"):
    header = EPW_HEADER.replace("{records},1", records)
    path = tmp_path / name
    path.write_text(header + "\n".join(rows) + "\n", encoding="utf-8", newline="\n")
    return path


def week(start, temp_c=3.0, rh_pct=81.0):
    hours = pd.date_range(start, periods=7 * 24, freq="h")
    wave = np.round(temp_c + 4 * np.sin(np.arange(hours.size) / 24 * 2 * np.pi), 1)
    return [
        epw_row(when, when.hour + 1, temp, rh_pct) for when, temp in zip(hours, wave, strict=True)
    ]


@pytest.mark.parametrize("name", ["723170TYA.CSV", "703165TY.csv"])
def test_reads_a_tmy3_file_as_pvlib_does(name):
    path = PVLIB_DATA / name
    theirs, meta = read_tmy3(path, coerce_year=2001)
    weather = read_weather(path)
    assert (weather.kind, weather.typical) == ("TMY3", True)
    assert weather.place.startswith(meta["Name"].strip('"'))
    log = weather.log
    assert (log.rows_read, log.rows_used) == (8760, 8760)
    # pvlib dates a record by the end of its hour, we by its start; the last one is 31 December.
    assert log.temp_c == pytest.approx(theirs["temp_air"].to_numpy(), abs=1e-9)
    assert log.rh_pct == pytest.approx(theirs["relative_humidity"].to_numpy(), abs=1e-9)
    ends = log.times[:-1] + pd.Timedelta(hours=1)
    assert (ends == theirs.index[:-1].tz_localize(None)).all()


def test_reads_an_epw_file_as_pvlib_does(tmp_path):
    rows = [*week("1999-01-04"), *week("1987-04-05", 9.0), *week("2003-07-06", 19.0, 60.5)]
    path = made_epw(tmp_path, rows)
    theirs, _ = read_epw(path, coerce_year=2001)
    weather = read_weather(path)
    assert (weather.kind, weather.typical, weather.place) == ("EPW", True, "Madeville, NOWHERE")
    assert weather.log.temp_c == pytest.approx(theirs["temp_air"].to_numpy(), abs=1e-9)
    assert weather.log.rh_pct == pytest.approx(theirs["relative_humidity"].to_numpy(), abs=1e-9)
    assert (weather.log.times == theirs.index.tz_localize(None)).all()
    assert len(weather.log.gaps) == 2


def test_an_epw_of_one_real_year_keeps_its_dates(tmp_path):
    weather = read_weather(made_epw(tmp_path, week("2024-02-26")))
    assert not weather.typical
    assert weather.log.times[0] == pd.Timestamp("2024-02-26 00:00")
    assert weather.log.times[-1] == pd.Timestamp("2024-03-03 23:00")


def test_a_record_that_runs_over_new_year_is_no_typical_year(tmp_path):
    assert not read_weather(made_epw(tmp_path, week("2023-12-29"))).typical


def test_a_leap_day_of_a_typical_year_is_left_out_and_counted(tmp_path):
    log = read_weather(made_epw(tmp_path, week("2004-02-26") + week("1999-07-04"))).log
    assert log.rows_left_out == {"29 February left out of the typical year": 24}
    assert log.rows_used == 2 * 7 * 24 - 24


def test_missing_marks_and_impossible_values_are_counted(tmp_path):
    rows = week("2024-01-01")
    day = pd.Timestamp("2024-01-01")
    rows[3] = epw_row(day, 4, 99.9, 80)
    rows[4] = epw_row(day, 5, 1.0, 999)
    rows[5] = epw_row(day, 6, 1.0, 104)
    rows[6] = epw_row(day, 7, "x", 80)
    rows[7] = epw_row(day, 25, 1.0, 80)
    rows[8] = epw_row(day, 9, 99.8, 100)
    log = read_weather(made_epw(tmp_path, rows)).log
    assert log.rows_left_out == {
        "marked as missing": 2,
        "humidity outside 0 to 100 %": 1,
        "not a number": 1,
        "time not readable": 1,
    }
    assert log.rows_read == log.rows_used + sum(log.rows_left_out.values())
    assert log.temp_c.max() == 99.8


def test_several_records_an_hour_share_it_evenly(tmp_path):
    day = pd.Timestamp("2024-01-01")
    rows = [epw_row(day, h + 1, 2.0, 80, m) for h in range(24) for m in (15, 30, 45, 60)]
    log = read_weather(made_epw(tmp_path, rows, records="1,4")).log
    assert log.median_step_minutes == 15
    assert log.times[-1] == pd.Timestamp("2024-01-01 23:45")


def test_an_hour_that_stands_twice_is_refused(tmp_path):
    rows = week("2024-01-01")
    with pytest.raises(UnusableInputError, match="01 January 05:00 stands twice"):
        read_weather(made_epw(tmp_path, [*rows, rows[5]]))


def test_an_epw_without_its_periods_line_is_refused(tmp_path):
    path = tmp_path / "cut.epw"
    path.write_text("LOCATION,Madeville\n1999,1,1,1,0,?,2.0,1.0,80\n", encoding="utf-8")
    with pytest.raises(UnusableInputError, match="DATA PERIODS"):
        read_weather(path)


@pytest.mark.parametrize("rows", [[], ["2024,1,1,1"]])
def test_an_epw_whose_rows_are_cut_is_refused(tmp_path, rows):
    with pytest.raises(UnusableInputError, match=r"made\.epw: the rows of this EPW file"):
        read_weather(made_epw(tmp_path, rows))


def test_a_tmy3_without_humidity_is_refused(tmp_path):
    lines = (PVLIB_DATA / "703165TY.csv").read_text(encoding="utf-8").splitlines()[:50]
    lines[1] = lines[1].replace("RHum (%)", "Moist")
    path = tmp_path / "cut.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(UnusableInputError, match=r"no column titled RHum \(%\)"):
        read_weather(path)


def test_anything_else_is_read_as_a_logger_file(tmp_path):
    path = tmp_path / "garden.csv"
    rows = [f"2025-01-01 {hour:02d}:00,{4 + hour / 10:.1f},{80 - hour}" for hour in range(24)]
    path.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(rows), encoding="utf-8")
    weather = read_weather(path)
    assert (weather.kind, weather.typical, weather.log.rows_used) == ("logger", False, 24)
