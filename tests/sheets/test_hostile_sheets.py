"""Sheets spoilt at random: refused in short clean lines, or possible; the order never matters.

tests/benchmarks/hostile.py runs the same with any seed and any number.
"""

import random
import re

import pytest

from climlog.errors import ClimlogError, SeveralFaultsError
from climlog.sheets.blank import blank_sheet
from climlog.sheets.piece import read_piece
from climlog.sheets.stock import read_stock
from tests.sheets import hostile

CASES = 600


@pytest.fixture
def read(tmp_path):
    def reader(text, encoding="utf-8"):
        path = tmp_path / "piece.toml"
        path.write_bytes(text.encode(encoding))
        return read_piece(path)

    return reader


def test_a_spoilt_sheet_is_refused_in_short_clean_lines_or_possible(read):
    rng = random.Random(20251125)
    for _ in range(CASES):
        tables = hostile.spoilt(rng)
        text = hostile.text_of(tables)
        assert hostile.faults_of(text, tables, read) is None, text[:2000]


def test_a_spoilt_stock_sheet_is_taken_or_refused_in_short_clean_lines(tmp_path):
    def read(text):
        path = tmp_path / "piece.toml"
        path.write_text(text, encoding="utf-8")
        return read_stock(path)

    rng = random.Random(3)
    for _ in range(CASES // 2):
        text = hostile.text_of(hostile.spoilt(rng, (blank_sheet("stock"),)))
        assert hostile.faults_of(text, None, read) is None, text[:2000]


def said_of(read, text, encoding="utf-8"):
    """Give the piece, or what is wrong with it whatever the lines."""
    try:
        return read(text, encoding)
    except SeveralFaultsError as error:
        faults = error.faults
    except ClimlogError as error:
        faults = (str(error),)
    return sorted(re.sub(r"^(piece\.toml, )?(line \d+: )?", "", one) for one in faults)


def test_order_remarks_line_ends_and_a_byte_order_mark_change_nothing(read):
    rng = random.Random(7)
    for number in range(CASES // 4):
        tables = hostile.spoilt(rng) if number > 10 else hostile.tomllib.loads(
            hostile.SHEETS[number % len(hostile.SHEETS)]
        )  # fmt: skip
        plain = said_of(read, hostile.text_of(tables))
        other = hostile.text_of(tables, rng)
        assert said_of(read, other) == plain, other[:2000]
        assert said_of(read, other.replace("\n", "\r\n"), "utf-8-sig") == plain


def test_the_second_reader_sees_what_is_impossible():
    for sheet in hostile.SHEETS:
        assert hostile.impossible(hostile.tomllib.loads(sheet)) is None
    for right, wrong, what in (
        ('width = "38 in"', 'width = "38 ft"', "width"),
        ('thickness = "7/8 in"', 'thickness = "0.001 mm"', "thickness"),
        ("coats = 3", "coats = 200", "coats"),
        ('slot_length = "3/4 in"', 'slot_length = "25 m"', "slot_length"),
        ('y = "5 in"', 'y = "5 in"\ncount = 3', "count beside x"),
        ("on = 2025-08-20", "on = 2025-01-20", "measured before it was fixed"),
    ):
        spoilt = hostile.SHEETS[0].replace(right, wrong, 1)
        assert hostile.impossible(hostile.tomllib.loads(spoilt)) == what
