"""Pieces of real open logs, read without any option, against pandas told everything about each.

Sources and licences: tests/data/README.md. The dialect of each file is written out here by hand;
the importer must find it, and give the same readings, all of them.
"""

import csv
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from climlog.importer.options import ImportOptions
from climlog.importer.read import read_file, read_log
from tests.places import DATA, ROOT

LOGS = DATA / "logs"


def told(name, stamp, temp, rh, **options):
    """Read with pandas alone: `stamp` makes the time column of the frame."""
    frame = pd.read_csv(LOGS / name, **options)
    table = pd.DataFrame(
        {"at": stamp(frame), "temp": pd.to_numeric(frame[temp]), "rh": pd.to_numeric(frame[rh])}
    )
    return table[table["at"].notna()]


def column(name, pattern):
    return lambda frame: pd.to_datetime(frame[name], format=pattern)


def italian(frame):
    joined = frame["Date"] + " " + frame["Time"]
    return pd.to_datetime(joined, format="%d/%m/%Y %H.%M.%S")


def hourly(frame):
    days = pd.to_datetime(frame["Date"], format="%d/%m/%Y")
    return days + pd.to_timedelta(frame["Hour"], unit="h")


def no_offset(frame):
    return pd.to_datetime(frame.iloc[:, 0].str[:19], format="%Y-%m-%d %H:%M:%S")


ISO = "%Y-%m-%d %H:%M:%S"
CASES = {
    "timber_house_indoor.csv": ((column("t_UTC+2", ISO), "T", "RH"), {}, "+02:00"),
    "renovation_house.csv": ((column("t_UTC+2", ISO), "T", "RH"), {}, "+02:00"),
    "home_fahrenheit_bom.csv": (
        (column("Timestamp for sample frequency every 1 min", ISO), "Temperature_Fahrenheit",
         "Relative_Humidity"),
        {"encoding": "utf-8-sig"},
        None,
    ),
    "office_quoted_row_numbers.txt": ((column("date", ISO), "Temperature", "Humidity"), {}, None),
    "street_decimal_comma.csv": (
        (italian, "T", "RH"),
        {"sep": ";", "decimal": ",", "na_values": ["-200", "-200,0"], "usecols": range(15)},
        None,
    ),
    "city_date_and_hour.csv": ((hourly, "Temperature_C", "Humidity"), {}, None),
    "airport_markup.csv": (
        (column("timestamp", ISO), "TemperatureC", "Humidity"), {"na_values": ["-9999.0"]}, None
    ),
    "room_quoted_dayfirst.csv": (
        (column("Time(dd/mm/yyyy)", "%d/%m/%Y %H:%M:%S"), "Temperature(°C)",
         "Relative humidity(%)"),
        {},
        None,
    ),
    "typical_year_preamble_footer.csv": (
        (column("time(UTC)", "%Y%m%d:%H%M"), "T2m", "RH"),
        {"skiprows": 17, "skipfooter": 11, "engine": "python"},
        "+00:00",
    ),
    "modelled_day_offsets.csv": (
        (no_offset, "Temperature", "Relative Humidity"), {}, "-07:00"
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_real_log_is_read_as_it_is(name):
    columns, options, offset = CASES[name]
    table = told(name, *columns, **options)
    log = read_log([LOGS / name])
    usable = table.dropna().sort_values("at", kind="stable")
    temp_c = usable["temp"].to_numpy()
    if "fahrenheit" in name:
        temp_c = (temp_c - 32) / 1.8
    assert log.rows_read == len(table)
    assert log.rows_used == len(usable)
    assert sum(log.rows_left_out.values()) == len(table) - len(usable)
    assert list(log.times) == list(usable["at"])
    np.testing.assert_allclose(log.temp_c, temp_c, atol=1e-9)
    np.testing.assert_allclose(log.rh_pct, usable["rh"].to_numpy(), atol=1e-9)
    assert log.utc_offset == offset
    assert log.files == (name,)


@pytest.mark.parametrize(("sensor", "temp", "rh"), [
    ("Tair", "Tair", "Rhair"), ("sigrow", "Tair_sigrow", "Rhair_sigrow"),
])  # fmt: skip
def test_two_sensors_side_by_side_in_a_real_log(sensor, temp, rh):
    name = "greenhouse_two_sensors.csv"
    table = told(name, column("Date", "%m/%d/%Y %H:%M"), temp, rh).dropna()
    log = read_log([LOGS / name], ImportOptions(sensor=sensor, date_order="month-first"))
    assert list(log.times) == list(table["at"])
    np.testing.assert_allclose(log.temp_c, table["temp"].to_numpy())
    np.testing.assert_allclose(log.rh_pct, table["rh"].to_numpy())


def test_a_packaged_typical_year_with_station_line_and_24_hours():
    # TMY3 (NREL, a work of the United States government) as packed in pvlib, BSD-3-Clause.
    pvlib = pytest.importorskip("pvlib")
    path = Path(pvlib.__file__).parent / "data" / "703165TY.csv"
    frame = pd.read_csv(path, skiprows=1)
    hours = frame["Time (HH:MM)"].str[:2].astype(int)
    times = pd.to_datetime(frame["Date (MM/DD/YYYY)"], format="%m/%d/%Y") + pd.to_timedelta(
        hours, "h"
    )
    order = np.argsort(times.to_numpy(), kind="stable")
    log = read_log([path])
    assert log.rows_read == log.rows_used == 8760
    assert list(log.times) == list(times.iloc[order])
    np.testing.assert_allclose(log.temp_c, frame["Dry-bulb (C)"].to_numpy()[order])
    np.testing.assert_allclose(log.rh_pct, frame["RHum (%)"].to_numpy()[order])
    assert {flag.kind for flag in log.flags} >= {"typical year"}


def test_every_file_here_names_its_licence():
    readme = (LOGS.parent / "README.md").read_text(encoding="utf-8")
    for path in LOGS.iterdir():
        assert f"| {path.name} |" in readme
        assert path.stat().st_size <= 60_000


def test_every_log_here_balances():
    for path in sorted(LOGS.iterdir()):
        for log in read_file(
            path, ImportOptions(date_order=None if "green" not in path.name else "month-first")
        ):
            assert log.rows_read == log.rows_used + sum(log.rows_left_out.values())
            assert log.rows_used == log.times.size == log.temp_c.size == log.rh_pct.size


def test_words_of_titles_stand_once_in_their_table():
    path = ROOT / "climlog" / "tables" / "header_words.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        words = [row["word"] for row in csv.DictReader(stream)]
    assert len(words) == len(set(words))
