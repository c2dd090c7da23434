"""The invented sample logs: made again byte for byte, and as plausible as published air is."""

import runpy
import tomllib

import numpy as np
import pandas as pd
import psychrolib
import pytest
from pvlib.atmosphere import rh_from_tdew, tdew_from_rh

from climlog.importer.read import read_file
from climlog.sheets.piece import read_piece
from climlog.sheets.stock import read_stock
from tests.places import SAMPLES

SCRIPT = SAMPLES / "make_samples.py"
MONTHS = "ferry_house_months.csv"
SHEETS = sorted(SAMPLES.glob("*.toml"))
STAMPS = {
    "ferry_house_dining_room.csv": "%Y-%m-%d %H:%M",
    "ferry_house_outdoors.csv": "%Y-%m-%d %H:%M",
    "shop.csv": "%d.%m.%Y %H:%M",
    "drying_room.csv": "%m/%d/%Y %I:%M:%S %p",
    "three_weeks_phone.csv": "%m/%d/%Y %I:%M %p",
}
HOW = {
    "shop.csv": {"sep": ";", "decimal": ","},
    "three_weeks_phone.csv": {"sep": "\t", "skiprows": 1},
}
FAILURE = slice("2025-08-06", "2025-08-20")

# "Wood Handbook", FPL-GTR-190 (2010), table 4-2, rows 70 °F and 80 °F, 5 to 95 % RH by fives.
PRINTED_RH_PCT = np.arange(5, 100, 5)
PRINTED_EMC_PCT = {
    "70 °F": "1.3 2.5 3.5 4.5 5.4 6.2 6.9 7.7 8.5 9.2 10.1 11.0 12.0 13.1 14.4 16.0 17.9 20.5 23.9",
    "80 °F": "1.3 2.4 3.5 4.4 5.3 6.1 6.8 7.6 8.3 9.1 9.9 10.8 11.7 12.9 14.2 15.7 17.7 20.2 23.6",
}


def read_sample(name):
    table = pd.read_csv(SAMPLES / name, encoding="utf-8", **HOW.get(name, {}))
    times = pd.to_datetime(table.iloc[:, 0], format=STAMPS[name])
    log = (
        table.iloc[:, 1:].set_axis(["temp_c", "rh_pct"], axis=1).set_index(pd.DatetimeIndex(times))
    )
    if "°F" in table.columns[1]:
        log["temp_c"] = (log["temp_c"] - 32) * 5 / 9
    return log


@pytest.fixture(scope="module", autouse=True)
def _si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.fixture(scope="module")
def logs():
    return {name: read_sample(name) for name in STAMPS}


@pytest.fixture(scope="module")
def dining(logs):
    return logs["ferry_house_dining_room.csv"]


@pytest.fixture(scope="module")
def both(dining, logs):
    """Daily means indoors and outdoors, with vapour pressures.

    Indoors by psychrolib. Outdoors over water, as hygrometers are scaled below freezing
    (psychrolib goes over ice there): dew point by pvlib, whose constants are those of
    WMO-No. 8, then the humidity that air of this dew point has at 20 °C, times psychrolib's
    saturation pressure at 20 °C.
    """
    inside, outside = dining.dropna().copy(), logs["ferry_house_outdoors.csv"].copy()
    inside["vapour_pa"] = [
        psychrolib.GetVapPresFromRelHum(temp_c, rh_pct / 100)
        for temp_c, rh_pct in zip(inside["temp_c"], inside["rh_pct"], strict=True)
    ]
    outside["dew_c"] = tdew_from_rh(outside["temp_c"], outside["rh_pct"])
    outside["vapour_pa"] = (
        rh_from_tdew(20.0, outside["dew_c"]) / 100 * psychrolib.GetSatVapPres(20.0)
    )
    daily = pd.concat(
        {"inside": inside.resample("D").mean(), "outside": outside.resample("D").mean()}, axis=1
    )
    return daily.dropna()


def absolute_humidity_g_m3(air):
    # Ideal gas, 461.5 J/(kg K) for water vapour.
    return 1000 * air["vapour_pa"] / (461.5 * (air["temp_c"] + 273.15))


def printed_emc_pct(rh_pct, row):
    return np.interp(rh_pct, PRINTED_RH_PCT, [float(cell) for cell in PRINTED_EMC_PCT[row].split()])


def test_the_script_makes_the_committed_files_byte_for_byte():
    made = runpy.run_path(str(SCRIPT))["build"]()
    assert set(made) == {path.name for path in SAMPLES.glob("*.csv")} == {*STAMPS, MONTHS}
    for name, content in made.items():
        assert (SAMPLES / name).read_bytes() == content, name


def test_files_are_small_and_end_their_lines_alike_on_every_system():
    files = [path for path in SAMPLES.iterdir() if path.is_file()]
    assert sum(path.stat().st_size for path in files) < 3_000_000
    for path in files:
        assert b"\r" not in path.read_bytes(), path.name
        path.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", STAMPS)
def test_stamps_increase_without_repeats(logs, name):
    assert logs[name].index.is_monotonic_increasing
    assert logs[name].index.is_unique


@pytest.mark.parametrize("name", STAMPS)
def test_humidity_and_dew_point_stay_possible(logs, name):
    log = logs[name].dropna()
    assert log["rh_pct"].between(5, 100).all()
    assert (tdew_from_rh(log["temp_c"], log["rh_pct"]) <= log["temp_c"]).all()


# WMO-No. 305 (1993), chapter 6: largest change between reports dt hours apart, as transcribed in
# the manual of an R package (the work itself was not opened): air temperature, dew point [°C].
@pytest.mark.parametrize(
    ("hours", "temp_c", "dew_c"), [(1, 4, 4), (2, 7, 6), (3, 9, 8), (6, 15, 12), (12, 25, 20)]
)
def test_weather_outdoors_changes_no_faster_than_weather_does(logs, hours, temp_c, dew_c):
    outside = logs["ferry_house_outdoors.csv"]
    dew = tdew_from_rh(outside["temp_c"], outside["rh_pct"])
    assert outside["temp_c"].diff(hours).abs().max() <= temp_c
    assert dew.diff(hours).abs().max() <= dew_c


def test_indoor_absolute_humidity_follows_outdoor_as_in_measured_homes(both):
    # Nguyen, Schwartz, Dockery, Indoor Air 24:103-112 (2014), abstract: 16 homes in Boston over
    # a year, slope 0.69, r 0.96. One home may differ from the mean of sixteen: 0.15 and 0.06
    # are our allowance, no source.
    indoor, outdoor = (absolute_humidity_g_m3(both[place]) for place in ("inside", "outside"))
    slope = np.polyfit(outdoor, indoor, 1)[0]
    assert slope == pytest.approx(0.69, abs=0.15)
    assert np.corrcoef(outdoor, indoor)[0, 1] == pytest.approx(0.96, abs=0.06)


def test_indoor_temperature_follows_warm_weather_and_not_cold(both):
    # Same abstract: slope 0.41 (r 0.91) when warm, 0.04 (r 0.40) when cool. It does not give the
    # division; 15 °C is where heating begins in Yeom et al.'s 14 Seoul homes (abstract). The
    # allowances are ours, no source. Days with broken cooling are left out.
    usual = both.drop(both.loc["2025-08-05":"2025-08-21"].index)
    outdoor_c, indoor_c = usual[("outside", "temp_c")], usual[("inside", "temp_c")]
    warm = outdoor_c >= 15
    assert np.polyfit(outdoor_c[warm], indoor_c[warm], 1)[0] == pytest.approx(0.41, abs=0.15)
    assert np.polyfit(outdoor_c[~warm], indoor_c[~warm], 1)[0] == pytest.approx(0.04, abs=0.04)


def test_winter_air_is_outdoor_air_heated_plus_what_people_give_off(both):
    # Humidity kept under heating is the lower edge (physics). The upper edge is 810 Pa more:
    # ISO 13788 humidity class 3 at 0 °C and below, as transcribed (the standard was not opened).
    frost = both[both[("outside", "temp_c")] < 0]
    assert len(frost) > 80
    indoor_c = frost[("inside", "temp_c")]
    only_heated_pct = rh_from_tdew(indoor_c, frost[("outside", "dew_c")])
    full_pa = np.array([psychrolib.GetSatVapPres(temp_c) for temp_c in indoor_c])
    indoor_pct = frost[("inside", "rh_pct")]
    assert (indoor_pct > only_heated_pct).all()
    assert (indoor_pct < only_heated_pct + 100 * 810 / full_pa).all()


def test_winter_vapour_is_that_of_measured_winter_homes(both):
    # Quinn, Shaman, Sci. Total Environ. 583:29-35 (2017), abstract: mean indoor vapour pressure
    # 6.7 mb in 34 New York apartments, winter 2014-2015. Our winter is another one: 1.5 mb is
    # our allowance, no source.
    winter = both["2025-12-01":"2026-02-28"]
    assert winter[("inside", "vapour_pa")].mean() / 100 == pytest.approx(6.7, abs=1.5)


def test_the_year_holds_wood_at_what_the_handbook_expects_indoors(both):
    # Wood Handbook, table 13-2 (as transcribed): interior woodwork, most of the US, 8 % on
    # average, single pieces 6 to 10 %.
    year = both["2025-03-01":"2026-02-28"]
    emc_pct = printed_emc_pct(year[("inside", "rh_pct")], "70 °F")
    assert 6 < emc_pct.mean() < 10


def test_cold_spells_dry_wood_as_in_a_measured_room(both):
    # "Moisture content changes of beech and ash elements during two years in room conditions"
    # (abstract): wood at least 5-6 % in cold spells, about 1 above the air's EMC: so 4 to 5 %.
    spell = both["2026-01-18":"2026-01-27"][("inside", "rh_pct")]
    assert 20 < spell.mean() < 25
    assert 4 < printed_emc_pct(spell, "70 °F").mean() < 5.5


def test_august_without_cooling_is_humid_and_the_days_around_it_are_not(both):
    rh_pct = both[("inside", "rh_pct")]
    assert rh_pct[FAILURE].between(70, 85).all()
    assert rh_pct[:"2025-08-04"][-3:].max() < 60
    assert rh_pct["2025-08-22":][:3].max() < 60
    # Printed 12.9 % at 70 % RH and 17.7 % at 85 %, row 80 °F.
    assert 12.9 < printed_emc_pct(rh_pct[FAILURE], "80 °F").mean() < 17.7
    assert printed_emc_pct(rh_pct["2025-07-01":"2025-07-31"], "70 °F").mean() < 11


def test_shop_is_held_on_working_days_and_cools_at_weekends_in_winter(logs):
    shop = logs["shop.csv"].dropna()
    working = shop[(shop.index.day_of_week < 5) & (shop.index.hour >= 9) & (shop.index.hour < 18)]
    assert working["rh_pct"].quantile(0.05) > 37
    assert working["rh_pct"].quantile(0.95) < 54
    winter = shop[shop.index.month.isin([12, 1, 2])]
    assert winter[winter.index.day_of_week == 6]["temp_c"].mean() < 9
    assert working["temp_c"].min() > 15


def test_drying_room_holds_seven_percent_but_for_one_night(logs):
    drying = logs["drying_room.csv"]
    held = drying[drying.index >= "2025-03-24"]
    assert held["temp_c"].median() == pytest.approx(29, abs=0.3)
    assert held["rh_pct"].median() == pytest.approx(35, abs=0.5)
    # Printed 6.8 % at 35 % RH, row 80 °F; two degrees warmer wood settles less than 0.1 lower.
    assert printed_emc_pct(held["rh_pct"].median(), "80 °F") == pytest.approx(6.8, abs=0.1)
    wet = held.index[held["rh_pct"] > 45]
    assert wet[0] >= pd.Timestamp("2025-04-08 22:10")
    assert wet[-1] < pd.Timestamp("2025-04-09 12:00")


def test_dining_room_has_the_flaws_its_readme_tells(dining):
    steps = dining.index.to_series().diff()
    assert steps[steps > pd.Timedelta("30min")].to_dict() == {
        pd.Timestamp("2025-05-11 10:00"): pd.Timedelta("31h30min")
    }
    assert list(dining.index[dining["rh_pct"].isna()]) == [pd.Timestamp("2025-10-06 12:30")]
    stuck = dining["2025-06-18 13:00":"2025-06-19 19:00"]
    assert len(stuck) == 61
    assert len(stuck.drop_duplicates()) == 1


def test_shop_has_three_rows_without_numbers(logs):
    shop = logs["shop.csv"]
    assert list(shop.index[shop["rh_pct"].isna()]) == list(
        pd.date_range("2025-07-28 06:00", periods=3, freq="h")
    )


def test_phone_log_is_three_weeks_of_the_dining_room(logs, dining):
    phone = logs["three_weeks_phone.csv"]
    assert len(phone) == 21 * 48
    same = dining.loc[phone.index]
    assert (phone["temp_c"] - same["temp_c"]).abs().max() < 1e-9
    # Whole percents: half a percent is all the room there is.
    assert (phone["rh_pct"] - same["rh_pct"]).abs().max() <= 0.5 + 1e-9


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda path: path.stem)
def test_sheets_say_that_they_are_invented(sheet):
    text = sheet.read_text(encoding="utf-8")
    assert "INVENTED" in text
    assert tomllib.loads(text)


# Rows follow from the spans and steps told in sample_logs/README.md, less the battery gap.
@pytest.mark.parametrize(
    ("name", "rows", "blank"),
    [
        ("ferry_house_dining_room.csv", 408 * 48 - 62, 1),
        ("ferry_house_outdoors.csv", 408 * 24, 0),
        ("shop.csv", 365 * 24, 3),
        ("drying_room.csv", 70 * 144, 0),
        ("three_weeks_phone.csv", 21 * 48, 0),
    ],
)
def test_importer_reads_every_row_as_pandas_does_when_told_how(logs, name, rows, blank):
    (log,) = read_file(SAMPLES / name)
    told = logs[name].dropna()
    assert (log.rows_read, log.rows_used) == (rows, rows - blank)
    assert sum(log.rows_left_out.values()) == blank
    assert (log.times == told.index).all()
    np.testing.assert_allclose(log.temp_c, told["temp_c"], atol=1e-9)
    np.testing.assert_allclose(log.rh_pct, told["rh_pct"], atol=1e-9)


@pytest.mark.parametrize(
    "sheet", [path for path in SHEETS if path.stem != "stock"], ids=lambda path: path.stem
)
def test_piece_sheets_leave_nothing_to_assume(sheet):
    piece = read_piece(sheet)
    assert piece.fastenings
    assert piece.moisture_when_fixed_pct is not None
    assert piece.assumed == ()


def test_dining_table_is_as_its_sheet_says():
    piece = read_piece(SAMPLES / "dining_table.toml")
    assert piece.wood.name == "red oak"
    # 38 x 72 x 7/8 in at 25.4 mm; three plates on each of two rails, four on each of two.
    assert (piece.width_mm, piece.length_mm) == pytest.approx((965.2, 1828.8))
    assert piece.thickness_mm == pytest.approx(22.225)
    assert len(piece.fastenings) == 2 * 3 + 2 * 4


def test_stock_sheet_can_be_read():
    stock = read_stock(SAMPLES / "stock.toml")
    assert [board.target_pct for board in stock.boards] == [7.0] * 5
