"""The hourly table: what a spreadsheet or a program reads from it."""

import csv
import io

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.hourly import AirFrom, hourly_of
from climlog.analysis.place.place import analyse_place
from climlog.model.emc import humidity_holding
from climlog.report.place.hourly import BYTE_ORDER_MARK, hourly_csv, safe_cell
from tests.analysis.made import fastening, made_log, oak_top, steady_log

# "Wood Handbook", FPL-GTR-190 (2010), table 13-5: red oak, tangential 0.00369 per 1 % moisture.
RED_OAK_TANGENTIAL = 0.00369
COLUMNS = [
    "time", "piece", "air_temp_c", "rh_pct", "emc_pct", "board_mean_pct", "board_show_face_pct",
    "board_hidden_face_pct", "board_core_pct", "width_mm", "swell_used_pct", "shrink_used_pct",
    "air_from",
]  # fmt: skip


def settled_at(moisture_pct):
    return steady_log(400, rh_pct=float(humidity_holding(moisture_pct, 20.0)))


def slotted(room_mm):
    """A top pinned in the middle with slots that give so much each way, 400 mm from it."""
    slots = [
        fastening("slot", y, slot_length_mm=2 * room_mm + 4.2, shank_mm=4.2) for y in (400, -400)
    ]
    return oak_top(fastening("screw"), *slots)


def read(text):
    return pd.read_csv(io.StringIO(text.removeprefix(BYTE_ORDER_MARK)))


def test_every_hour_is_a_row_of_known_columns():
    result = analyse_place(slotted(6), settled_at(11))
    table = read(hourly_csv([result]))
    assert list(table.columns) == COLUMNS
    assert len(table) == 400 * 24
    assert table["time"].iloc[[0, 25]].tolist() == ["2025-01-01 00:00", "2025-01-02 01:00"]
    assert table["air_temp_c"].unique().tolist() == [20.0]
    # In air that holds 11 % the board goes there from its 8 %, faces ahead of the core.
    early = table.iloc[24 * 10]
    assert early["board_mean_pct"] < early["board_show_face_pct"] < 11.01
    assert early["board_core_pct"] < early["board_mean_pct"]
    assert table["board_mean_pct"].iloc[-1] == pytest.approx(11.0, abs=0.1)


def test_the_travel_used_is_worked_out_by_hand():
    needed_mm = 400 * RED_OAK_TANGENTIAL * 3
    damp = read(hourly_csv([analyse_place(slotted(2 * needed_mm), settled_at(11))]))
    assert damp["swell_used_pct"].iloc[-1] == pytest.approx(50, abs=1)
    assert (damp["shrink_used_pct"] == 0).all()
    dry = read(hourly_csv([analyse_place(slotted(needed_mm), settled_at(6.5))]))
    assert dry["shrink_used_pct"].iloc[-1] == pytest.approx(50, abs=1)
    assert (dry["swell_used_pct"] == 0).all()


def test_a_locked_top_is_999_and_a_free_one_is_left_empty():
    locked = oak_top(fastening("glue", 400), fastening("glue", -400))
    table = read(hourly_csv([analyse_place(locked, settled_at(11))]))
    assert table["swell_used_pct"].max() == 999
    free = read(hourly_csv([analyse_place(oak_top(), settled_at(11))]))
    assert free[["swell_used_pct", "shrink_used_pct"]].isna().all(axis=None)


def gappy_log():
    """Ten days of hours with 5 missing from hour 30 and 60 from hour 100."""
    rh = np.full(240, 50.0)
    rh[30:35] = rh[100:160] = np.nan
    return made_log(np.full(240, 20.0), rh)


def test_bridged_hours_and_open_gaps_are_marked():
    result = analyse_place(oak_top(), gappy_log())
    told = hourly_of(result).air_from
    # Up to 24 hours are bridged along a straight line, longer ones stay open (analysis/air/air.py).
    assert set(told[30:35]) == {AirFrom.BRIDGED}
    assert set(told[100:160]) == {AirFrom.GAP}
    known = np.r_[0:30, 35:100, 160:240]
    assert set(told[known]) == {AirFrom.MEASURED}
    table = read(hourly_csv([result]))
    assert table.loc[table["air_from"] == AirFrom.GAP, COLUMNS[2:12]].isna().all(axis=None)
    assert table.loc[table["air_from"] == AirFrom.BRIDGED, "rh_pct"].eq(50.0).all()


def test_several_readings_in_an_hour_are_one_measured_row():
    log = made_log(np.full(6 * 48, 20.0), np.full(6 * 48, 50.0), step_minutes=10)
    told = hourly_of(analyse_place(oak_top(), log)).air_from
    assert told.tolist() == [AirFrom.MEASURED] * 48


@pytest.mark.parametrize(
    "name", ["=HYPERLINK(1)", "+1", "-1 top", "@top", "\ttop", " =1", "\r=1", "\n=1"]
)
def test_no_text_can_be_run_as_a_formula(name):
    text = hourly_csv([analyse_place(oak_top(name=name), settled_at(8))])
    rows = list(csv.reader(io.StringIO(text.removeprefix(BYTE_ORDER_MARK), newline="")))
    for row in (rows[0], rows[1], rows[-1]):
        for cell in row:
            if not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
                continue
            float(cell)
    assert len(rows) == 1 + 400 * 24
    assert rows[1][1].removeprefix("'") == " ".join(name.split())


def test_plain_names_stay_as_they_are_and_several_pieces_follow_one_another():
    assert safe_cell("Gästetisch 床") == "Gästetisch 床"
    pair = [analyse_place(oak_top(name=name), steady_log(10)) for name in ('a "top", wide', "b")]
    table = read(hourly_csv(pair))
    assert table["piece"].tolist() == ['a "top", wide'] * 240 + ["b"] * 240


def test_cold_air_stays_a_number():
    table = read(hourly_csv([analyse_place(oak_top(), steady_log(10, temp_c=-5.0))]))
    assert (table["air_temp_c"] == -5.0).all()


def test_the_text_is_marked_as_utf8_with_line_feeds():
    text = hourly_csv([analyse_place(oak_top(name="Gästetisch"), steady_log(10))])
    data = text.encode("utf-8")
    assert data.startswith(b"\xef\xbb\xbftime,piece,")
    assert b"\r" not in data
    assert data.endswith(b"\n")
