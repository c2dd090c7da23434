"""Twelve monthly means as climate tables print them: read, kept, refused by name."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from climlog.errors import UnusableInputError
from climlog.importer.months import is_months, read_months, read_outdoors, through_means
from climlog.importer.options import ImportOptions, for_file
from climlog.importer.weather import MONTHS
from tests.places import SAMPLES

NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
TEMP_C = (-3.1, -1.5, 3.0, 9.0, 14.0, 19.0, 22.0, 21.0, 16.5, 10.0, 4.0, -1.0)
RH_PCT = (80, 76, 71, 66, 67, 70, 71, 74, 76, 77, 80, 82)
GERMAN = [
    "Jan.", "Feb.", "März", "April", "Mai", "Juni", "Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez.",
]  # fmt: skip
ROMAN = "I II III IV V VI VII VIII IX X XI XII"
FRENCH = "janvier février mars avril mai juin juillet août septembre octobre novembre décembre"
HEAD = "month,temperature (°C),relative humidity (%)"


def below(head=HEAD, names=NAMES, mark=",", decimal=".", temps=TEMP_C, rh_pct=RH_PCT):
    """A line a month."""
    cells = zip(names, (f"{t:.1f}".replace(".", decimal) for t in temps), rh_pct, strict=True)
    return "\n".join([head, *(mark.join(map(str, one)) for one in cells), ""])


def across(rows, head=("", *NAMES, "Year"), mark=","):
    """Months side by side, a quantity a line."""
    return "\n".join(mark.join(map(str, one)) for one in (head, *rows)) + "\n"


def fahrenheit(more=0.0):
    return [f"{t * 1.8 + 32 + more:.1f}".replace("-", "\u2212") for t in TEMP_C]


WAYS = {
    "as below": below(),
    "numbers, tabs, no unit": below("Month\tMean temp\tRH", range(1, 13), "\t"),
    "semicolons and commas": below("Monat;Temperatur (°C);rel. Feuchte (%)", GERMAN, ";", ","),
    "another language": below(names=FRENCH.split()),
    "in another order": below(
        names=NAMES[::-1], temps=TEMP_C[::-1], rh_pct=RH_PCT[::-1]
    ),
    "southern order": below(
        names=NAMES[6:] + NAMES[:6], temps=TEMP_C[6:] + TEMP_C[:6], rh_pct=RH_PCT[6:] + RH_PCT[:6]
    ),
    "year before the month": below(names=[f"2024-{n:02d}" for n in range(1, 13)]),
    "remark, units below titles": "# normals\nClimate of a town\n"
    + below("Month,Temperature,Humidity\n,°C,%"),
    "the year last": below() + "Year,9.4,74\n",
    "a share of 1": below(rh_pct=[one / 100 for one in RH_PCT]),
    "across": across([
        ("Mean temperature (°C)", *TEMP_C, 9.4),
        ("Precipitation (mm)", *range(40, 52), 550),
        ("Mean relative humidity (%)", *RH_PCT, 74),
    ]),
    "across, both units in a cell": across([
        ("Daily mean °C (°F)", *(f"{t} ({t * 1.8 + 32:.0f})" for t in TEMP_C), "9"),
        ("Average relative humidity (%)", *RH_PCT, 74),
    ]),
    "across, highs and lows only": across([
        ("Record high °F", *[99] * 12, 99),
        ("Average high °F", *fahrenheit(9.0), 58),
        ("Average low °F", *fahrenheit(-9.0), 40),
        ("Mean dew point °F", *[30] * 12, 30),
        ("Average relative humidity (%)", *RH_PCT, 74),
    ], mark="\t"),
    "across, mean beside highs": across([
        ("Average high", "°F", *fahrenheit(9.0)),
        ("Daily mean", "°F", *fahrenheit()),
        ("Average low", "°F", *fahrenheit(-9.0)),
        ("Humidity", "%", *RH_PCT),
    ], ("", "", *NAMES)),
    "Roman numerals": below("month;T (°C);RH (%)", ROMAN.split(), ";"),
    "first letters across": across([("T (°C)", *TEMP_C, 9), ("RH (%)", *RH_PCT, 74)],
                                   ("", *"JFMAMJJASOND", "Year")),
    "days of a spreadsheet": below(names=[f"2024-{n:02d}-01" for n in range(1, 13)]),
    "a year behind the month": below(names=[f"{one}-24" for one in NAMES]),
    "Dutch, the month's own title": below("maand,temperatuur (°C),vochtigheid (%)")
    + "Jaar,9.4,74\n",
    "another word for the year": across(
        [("T2M °C", *TEMP_C, 9, 1), ("RH2M", *RH_PCT, 74, 70)], ("", *NAMES, "ANN", "Winter")
    ),
    "a page's rules": below(
        "| month | T (°C) | RH (%)\n|---|---|---|", [f"| {one}" for one in NAMES], " | "
    ),
    "laid out with blanks": below("month   T (°C)   RH (%)", mark="     "),
    "both units in cells": across([
        ("Avg. Temperature °C (°F)", *(f"{t} °C (({t * 1.8 + 32:.0f}) °F)" for t in TEMP_C)),
        ("Humidity(%)", *(f"{h}%" for h in RH_PCT)),
    ], ("", *NAMES), "\t"),
    "highs and lows, another language": below(
        "mois;température minimale (°C);température moyenne (°C);température máxima (°C);humidité",
        [f"{one};-9" for one in FRENCH.split()], ";",
        rh_pct=[f"30;{one}" for one in RH_PCT],
    ),
    "unit behind each number": below(
        "month;temperature;humidity", mark=";", rh_pct=[f"{one} %" for one in RH_PCT]
    ),
    "degrees F without a word of it": below(temps=[t * 1.8 + 32 for t in TEMP_C],
                                            head="month,temp,humidity"),
}  # fmt: skip


def written(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "town.csv"
    path.write_bytes(text.encode(encoding))
    return path


def monthly(values, times):
    return pd.Series(values).groupby(times.month).mean().to_numpy()


@pytest.mark.parametrize("text", WAYS.values(), ids=WAYS)
def test_every_month_keeps_its_mean_however_the_table_is_printed(text, tmp_path):
    weather = read_months(written(tmp_path, text))
    log = weather.log
    assert (weather.kind, weather.typical, log.times.size) == (MONTHS, True, 365)
    # Degrees of a table in °F are printed to 0.1 °F.
    assert monthly(log.temp_c, log.times) == pytest.approx(np.array(TEMP_C), abs=0.06)
    assert monthly(log.rh_pct, log.times) == pytest.approx(np.array(RH_PCT), abs=1e-6)
    assert is_months(written(tmp_path, text))


@pytest.mark.parametrize("encoding", ["cp1252", "utf-16", "utf-8-sig"])
def test_what_a_spreadsheet_saves_is_read(encoding, tmp_path):
    text = below("Monat;Temperatur (°C);rel. Feuchte (%)", GERMAN, ";", ",").replace("\n", "\r\n")
    log = read_months(written(tmp_path, text, encoding)).log
    assert monthly(log.temp_c, log.times) == pytest.approx(np.array(TEMP_C))


def test_the_course_is_smooth_and_closes_to_a_ring():
    course = through_means(np.array(TEMP_C))
    steps = np.diff(np.append(course, course[0]))
    # A degree of season a day is hardly met anywhere; a stair of means would jump by 6 K.
    assert np.abs(steps).max() < 0.4
    assert np.abs(np.diff(np.append(steps, steps[0]))).max() < 0.03
    assert TEMP_C[6] < course.max() < TEMP_C[6] + 1.0


def test_even_months_make_an_even_year():
    assert through_means(np.full(12, 20.0)) == pytest.approx(np.full(365, 20.0))


def test_humidity_between_damp_months_stays_possible(tmp_path):
    log = read_months(written(tmp_path, below(rh_pct=[98, 100, 98, *[70] * 9]))).log
    assert log.rh_pct.max() == 100.0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (below().replace("Dec,-1.0,82\n", ""), "11 months; December is missing"),
        (below().replace("Feb", "Jan"), "January stands twice"),
        (below().replace("Mar", "Smarch"), '"Smarch" is no month'),
        (below(names=[*range(1, 12), 13]), '"13" is no month'),
        (across([("T (°C)", *TEMP_C), ("RH", *RH_PCT)], ("", *NAMES[:-1], "Lunary")),
         '"Lunary" is no month'),
        (below(rh_pct=[*RH_PCT[:-1], 182]), "humidity of December is 182 %"),
        (below(rh_pct=[*RH_PCT[:-1], 2]), "humidity of December is 2 %"),
        (below(temps=[*TEMP_C[:6], 72.0, *TEMP_C[7:]]), "July is 72 °C on average"),
        (below(temps=[t - 60.0 for t in TEMP_C]), "January is -63.1 °C on average"),
        (below(temps=[t - 30.0 for t in TEMP_C]), "its warmest month is -8 °C on average"),
        (below("month,temp,RH", temps=[t * 2 - 8 for t in TEMP_C]), "may be °C or °F"),
        (below("month,temperature (°C),rain (mm)"), "no relative humidity was found"),
        (below("month,sun,relative humidity (%)"), "no mean temperature was found"),
        (below("month,RH 9 am,RH 3 pm"), "no mean temperature was found"),
        ("\n".join(below().split("\n")[1:]), "no mean temperature was found"),
        (below(decimal=","), "put semicolons between them"),
        (below().replace("19.0", "n/a"), '"n/a" is no number under "temperature (°C)" for June'),
        (below().replace("19.0", ""), 'nothing stands under "temperature (°C)" for June'),
        (across([("T (°C)", *TEMP_C), ("RH 9 am", *RH_PCT), ("RH 3 pm", *RH_PCT)], ("", *NAMES)),
         '"RH 9 am" and "RH 3 pm" may each be the humidity'),
        ("hello\nworld\n", "no months were found in it"),
        ("time,T,RH\n" + "2025-02-01 00:00,3,80\n" * 300, "give a log or a weather file as"),
        ("", "the file is empty"),
    ],
)  # fmt: skip
def test_what_is_no_such_table_is_refused_with_what_mends_it(text, says, tmp_path):
    with pytest.raises(UnusableInputError) as caught:
        read_months(written(tmp_path, text))
    assert says in str(caught.value)
    assert str(caught.value).startswith("town.csv: ")
    assert "\n" not in str(caught.value)


def test_a_unit_that_no_title_says_may_be_settled(tmp_path):
    path = written(tmp_path, below("month,temp,humidity", temps=[t + 20 for t in TEMP_C]))
    how = ImportOptions(for_files=(for_file("town.csv: temp-unit F"),))
    as_told, guessed = read_months(path, how).log, read_months(path).log
    assert as_told.temp_c.max() < 10 < 40 < guessed.temp_c.max()
    assert ("unit of temperature", "°C") in {(one.what, one.value) for one in guessed.guesses}


def test_outdoors_of_any_kind_are_told_apart():
    kinds = [
        read_outdoors(SAMPLES / name).kind
        for name in ("ferry_house_months.csv", "ferry_house_outdoors.csv")
    ]
    assert kinds == ["months", "logger"]
    assert read_outdoors(f"{pvlib.__path__[0]}/data/723170TYA.CSV").kind == "TMY3"


def test_a_cold_town_in_degrees_fahrenheit_is_told_by_the_unit_behind_its_numbers(tmp_path):
    text = below("month;temperature;humidity", mark=";", temps=[t + 20.0 for t in TEMP_C])
    for temp in TEMP_C:
        text = text.replace(f";{temp + 20.0:.1f};", f";{temp + 20.0:.1f}°F;")
    log = read_months(written(tmp_path, text)).log
    celsius = (np.array(TEMP_C) + 20.0 - 32.0) / 1.8
    assert monthly(log.temp_c, log.times) == pytest.approx(celsius, abs=0.06)


@pytest.mark.parametrize("first", [0, 1])
def test_numbers_that_go_on_count_readings_and_are_no_months(first, tmp_path):
    lines = [f"{first + n},{19 + n / 10},{40 + n}" for n in range(18)]
    path = written(tmp_path, "\n".join(["No,Temp,RH", *lines]))
    assert not is_months(path)


def test_a_thirteenth_month_is_told(tmp_path):
    lines = [f"{1 + n},{n},{60 + n}" for n in range(13)]
    with pytest.raises(UnusableInputError, match='"13" is no month'):
        read_months(written(tmp_path, "\n".join(["month,temperature (°C),humidity", *lines])))
