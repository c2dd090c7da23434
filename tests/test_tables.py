"""Every table: each row has a known source and a known mark, and its key stands once."""

from pathlib import Path

import pandas as pd
import pytest

import climlog.tables
from climlog.tables import load_table

NAMES = sorted(path.stem for path in Path(climlog.tables.__file__).parent.glob("*.csv"))
MARKS = {"read", "read*", "memory", "derived", "common practice"}
NOT_IN_SOURCES = {"derived", "own default", "common practice, no source"}


@pytest.mark.parametrize("name", NAMES)
def test_every_row_says_where_it_is_from_and_how_well_it_is_known(name):
    table = load_table(name)
    assert len(table)
    if name == "sources":
        return
    assert set(table["source"]) <= set(load_table("sources").index) | NOT_IN_SOURCES
    marks = [column for column in table.columns if column == "mark" or column.startswith("mark_")]
    assert "mark" in marks
    for column in marks:
        assert set(table[column].dropna()) <= MARKS
    assert table["mark"].notna().all()


def test_tables_are_plain_utf8_with_plain_newlines():
    for name in NAMES:
        raw = (Path(climlog.tables.__file__).parent / f"{name}.csv").read_bytes()
        assert b"\r" not in raw, name
        raw.decode("utf-8")


def test_a_row_without_a_source_is_refused(tmp_path, monkeypatch):
    frame = pd.DataFrame({"source": [None]}, index=pd.Index(["a"], name="key"))
    monkeypatch.setattr(pd, "read_csv", lambda *_, **__: frame)
    with pytest.raises(climlog.errors.ClimlogError, match="row without a source"):
        load_table.__wrapped__("woods")
