"""Dates with words and marks of many languages and programs, each an invented room known exactly.

No published figure is needed: the truth is made in truth.py before the file is written. Names of
months: common practice, no source.
"""

from datetime import datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from climlog.importer.read import read_log
from climlog.tables import month_number
from tests.importer.truth import lines, room

ROOM = room(start=datetime(2024, 1, 30, 20, 0))
HEAD = ["Time\tTemperature (°C)\tHumidity (%)"]


def half(one, am, pm):
    return am if one.hour < 12 else pm


def hour12(one):
    return one.hour % 12 or 12


MONTHS = {
    "Polish": ("sty", "lut"), "Russian": ("января", "февраля"), "Finnish": ("tammi", "helmi"),
    "Greek": ("\u0399\u03b1\u03bd", "\u03a6\u03b5\u03b2"),
    "Turkish": ("Oca", "Şub"), "Czech": ("led", "únor"),
    "French": ("janv.", "févr."), "Portuguese": ("janeiro", "fevereiro"),
}  # fmt: skip

DATES = {
    "day by month and year, de between": lambda d: (
        f"{d.day} de {('enero', 'febrero')[d.month - 1]} de {d.year} {d:%H:%M}"
    ),
    "at before the clock": lambda d: f"{d:%B} {d.day}, {d.year} at {hour12(d)}:{d:%M %p}",
    "ordinal": lambda d: f"{d.day}{'st' if d.day in (1, 31) else 'th'} {d:%B %Y %H:%M}",
    "signs of the East": lambda d: f"{d.year}年{d.month}月{d.day}日 {d.hour}時{d.minute}分",
    "half of the day first, East": lambda d: (
        f"{d.year}. {d.month}. {d.day}. {half(d, '오전', '오후')} {hour12(d)}:{d:%M}"
    ),
    "half of the day glued": lambda d: (
        f"{d.year}/{d.month}/{d.day} {half(d, '上午', '下午')}{hour12(d)}:{d:%M}"
    ),
    "half of the day, Greek": lambda d: f"{d:%d/%m/%Y} {hour12(d)}:{d:%M} {half(d, 'πμ', 'μμ')}",
    "points and blanks": lambda d: f"{d.day}. {d.month}. {d.year} {d.hour}:{d:%M}",
    "point after the day": lambda d: f"{d:%Y.%m.%d.} {d.hour}:{d:%M}",
    "point after the year": lambda d: f"{d:%d.%m.%Y.} {d.hour}:{d:%M}",
    "hyphens in the clock": lambda d: f"{d:%Y-%m-%d_%H-%M-%S}",
    "Uhr": lambda d: f"{d:%d.%m.%Y %H:%M} Uhr",
    "klo": lambda d: f"{d.day}.{d.month}.{d.year} klo {d.hour}.{d:%M}",
    "zone in brackets": lambda d: f"{d:%Y-%m-%dT%H:%M:%S}+01:00[Europe/Berlin]",
    "offset and zone's name": lambda d: (
        f"{d:%a %b %d %Y %H:%M:%S} GMT+0100 (Central European Standard Time)"
    ),
    "day and hour in ten digits": lambda d: f"{d:%Y%m%d%H}",
} | {
    name: (lambda d, words=words: f"{d.day} {words[d.month - 1]} {d.year} {d:%H:%M}")
    for name, words in MONTHS.items()
}


@pytest.mark.parametrize("name", DATES)
def test_dates_with_words_are_read(tmp_path, name):
    step = timedelta(hours=1) if "ten digits" in name else timedelta(minutes=30)
    truth = room(rows=120, start=datetime(2024, 1, 30, 20, 0), step=step)
    path = tmp_path / "room.tsv"
    written = lines(truth, lambda o: f"{DATES[name](o.at)}\t{o.temp_c}\t{o.rh_pct}", HEAD)
    path.write_text(written, encoding="utf-8", newline="")
    log = read_log([path])
    assert list(log.times) == [pd.Timestamp(one.at) for one in truth]
    assert np.allclose(log.temp_c, [one.temp_c for one in truth])
    assert np.allclose(log.rh_pct, [one.rh_pct for one in truth])
    assert log.rows_left_out == {}


@pytest.mark.parametrize(
    ("word", "month"),
    [("juin", 6), ("juillet", 7), ("červen", 6), ("červenec", 7), ("marraskuu", 11), ("maalis", 3),
     ("март", 3), ("Dezember", 12), ("sofa", None), ("kitchen", None)],
)  # fmt: skip
def test_months_by_their_longest_known_beginning(word, month):
    assert month_number(word) == month


def test_one_stamp_with_an_offset_among_many_without_stops_nothing(tmp_path):
    rows = [f"{one.at:%Y-%m-%d %H:%M:%S},{one.temp_c},{one.rh_pct}" for one in ROOM]
    rows[97] = rows[97].replace(",", "+01:00,", 1)
    path = tmp_path / "room.csv"
    path.write_text("Time,Temp (°C),RH\n" + "\n".join(rows), encoding="utf-8")
    assert read_log([path]).rows_used == len(ROOM)
