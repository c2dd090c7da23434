"""Whatever a file holds, reading it gives Logs that add up or one line; never a traceback."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from climlog.errors import ClimlogError
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from climlog.importer.text.cells import kind_of
from climlog.importer.text.titles import read_title, temperature_unit_in, utc_offset_in
from tests.benchmarks.fuzz_importer import LOGS, faults_of, fuzz, read_case
from tests.importer.truth import room

ANY_TEXT = st.text(min_size=0, max_size=40)
QUICK = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.mark.slow
def test_mutated_real_logs(tmp_path):
    outcomes, failures = fuzz(50, 20240229, tmp_path, sorted(LOGS.iterdir()))
    assert not failures
    assert outcomes["read"] > 10
    assert outcomes["asked or refused"] > 5


@QUICK
@given(content=st.binary(min_size=0, max_size=3000))
def test_any_bytes(tmp_path, content):
    path = tmp_path / "bytes.csv"
    path.write_bytes(content)
    _, wrong = read_case(path, ImportOptions())
    assert not wrong


CELL = st.one_of(
    st.floats(-60, 110).map(lambda value: f"{value:.1f}"),
    st.sampled_from(["", "-", "nan", "ERR", "-200", "9999", "2023-03-01 10:00", "RH", "20,5", '"']),
    ANY_TEXT,
)


@pytest.mark.slow
@QUICK
@given(
    rows=st.lists(st.lists(CELL, min_size=1, max_size=5), max_size=40),
    mark=st.sampled_from(",;\t|"),
)
def test_any_cells_between_good_rows(tmp_path, rows, mark):
    good = [f"{one.at:%Y-%m-%d %H:%M}{mark}{one.temp_c}{mark}{one.rh_pct}" for one in room(rows=60)]
    odd = [mark.join(cell.replace("\n", " ").replace("\r", " ") for cell in row) for row in rows]
    text = "\n".join([f"Time{mark}Temp °C{mark}RH %", *good[:30], *odd, *good[30:]])
    path = tmp_path / "rows.csv"
    path.write_bytes(text.encode("utf-8", errors="replace"))
    _, wrong = read_case(path, ImportOptions())
    assert not wrong


@QUICK
@given(
    missing=st.sets(st.integers(0, 59), max_size=25),
    shuffled=st.randoms(use_true_random=False),
    copies=st.lists(st.integers(0, 59), max_size=10),
)
def test_rows_lost_shuffled_and_doubled_always_add_up(tmp_path, missing, shuffled, copies):
    readings = room(rows=60)
    rows = [
        f"{one.at:%Y-%m-%d %H:%M},{'' if n in missing else one.temp_c},{one.rh_pct}"
        for n, one in enumerate(readings)
    ]
    rows += [rows[n] for n in copies]
    shuffled.shuffle(rows)
    path = tmp_path / "rows.csv"
    path.write_text("\n".join(["Time,Temp °C,RH %", *rows]), encoding="utf-8")
    log = read_log([path])
    kept = [one for n, one in enumerate(readings) if n not in missing]
    assert list(log.times.to_pydatetime()) == [one.at for one in kept]
    np.testing.assert_array_equal(log.temp_c, [one.temp_c for one in kept])
    assert log.rows_read == 60 + len(copies)
    assert log.rows_left_out.get("temperature missing", 0) == len(missing) + sum(
        n in missing for n in copies
    )
    assert not list(faults_of(log))


@given(title=ANY_TEXT)
def test_any_title_can_be_taken_apart(title):
    assert read_title(title).text == title
    assert temperature_unit_in(title) in ("C", "F", "K", None)
    offset = utc_offset_in(title)
    assert offset is None or len(offset) == 6


@given(cell=ANY_TEXT)
def test_any_cell_is_of_some_kind(cell):
    assert kind_of(cell) in ("number", "moment", "day", "clock", "word", "blank")


@pytest.mark.parametrize("length", [1, 200_000, 3_000_000])
def test_a_line_without_end_is_no_hang(tmp_path, length):
    path = tmp_path / "long.csv"
    path.write_text("Time,Temp,RH\n" + "7" * length, encoding="utf-8")
    with pytest.raises(ClimlogError):
        read_log([path])
