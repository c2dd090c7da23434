"""A log written another way that means the same is read alike, or asked about."""

import pytest

from climlog.importer.read import read_log
from climlog.importer.text.titles import utc_offset_in
from tests.benchmarks.same_answer import LOGS, run


@pytest.mark.slow
def test_order_encoding_quotes_remarks_and_joins_change_no_reading():
    done = run(240, 3, sorted(path for path in LOGS.iterdir() if path.is_file()))
    assert not done.failures
    assert done.cases == 240
    assert done.outcomes["asked"] < done.outcomes["alike"] / 10


def test_a_word_glued_to_another_still_says_utc():
    assert utc_offset_in("DateUTC") == utc_offset_in("date_GMT") == "+00:00"
    assert utc_offset_in("Azimutc") is None


def _with_column(path, mark, words):
    """Write a day of hours, eight of them twice, steady where a last column says something."""
    lines = [mark.join(["time", "T", "RH", "remark"])]
    for hour in range(24):
        temp, rh = (18 + hour % 5, 50 + 3 * (hour % 4)) if hour not in words else (19, 52)
        cells = [f"2025-03-14 {hour:02}:00", f"{temp:.1f}", f"{rh:.1f}", words.get(hour, "")]
        lines.append(mark.join(cells))
    path.write_text("\n".join([*lines, *lines[3:11]]), encoding="utf-8")
    return path


def test_a_column_of_marks_alone_names_no_sensors(tmp_path):
    marks = {hour: "," if hour % 2 else ",," for hour in range(11, 24)}
    assert read_log(_with_column(tmp_path / "marks.csv", "\t", marks)).times.size == 24


def test_a_column_that_names_few_rows_drops_none_of_the_others(tmp_path):
    words = {20: "door", 21: "door", 22: "window", 23: "window"}
    assert read_log(_with_column(tmp_path / "remarks.csv", ",", words)).times.size == 24
