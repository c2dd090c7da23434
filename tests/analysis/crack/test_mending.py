"""When a top is mended: in the middle of its settled year, never of its first drying."""

from datetime import date, timedelta

import numpy as np
import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.result import CauseKey
from climlog.model.emc import equilibrium_moisture
from climlog.report.crack.repair import ease_of, freeing_lines, is_held, repair_lines
from climlog.report.phrases import Say
from climlog.sheets.crack import Seen
from climlog.tables import load_table
from tests.analysis.made import fastening, made_log, oak_top

FIXED, SEEN = date(2025, 1, 1), date(2025, 11, 20)
DAY = np.arange(400 * 24) / 24
SEASON = np.cos(2 * np.pi * (DAY - 200) / 365)
YEAR = made_log(np.full(DAY.size, 20.0), 45.0 + 15.0 * SEASON)
HALF = made_log(np.full(DAY.size // 2, 20.0), (45.0 + 15.0 * SEASON)[: DAY.size // 2])


def top(kind="screw", fixed_pct=14.0, **changes):
    rows = [fastening(kind, side * 300.0, x) for side in (1, -1) for x in (-500.0, 500.0)]
    return oak_top(*rows, fixed_on=FIXED, moisture_when_fixed_pct=fixed_pct, **changes)


def test_the_range_to_mend_in_leaves_the_first_drying_out():
    mending = analyse_crack(top(), YEAR, Seen(SEEN)).mending
    driest, dampest = (float(equilibrium_moisture(20.0, one)) for one in (30.0, 60.0))
    # The board follows the year's 30 to 60 % in part; the 14 % it was fixed at is no part of it.
    assert driest <= mending.low_pct < mending.high_pct <= dampest
    third = (mending.high_pct - mending.low_pct) / 3
    assert mending.low_pct + third < mending.middle_pct < mending.high_pct - third


def test_the_days_to_mend_lie_in_the_year_after_the_crack():
    mending = analyse_crack(top(), YEAR, Seen(SEEN)).mending
    assert SEEN < mending.first <= mending.last <= SEEN + timedelta(days=365)
    # Driest in January, dampest in July: the middle comes in spring.
    assert mending.first.month in (3, 4, 5)


def test_no_day_to_mend_lies_among_the_days_that_were_read():
    mending = analyse_crack(top(), YEAR, Seen(date(2025, 2, 20))).mending
    assert mending.first > YEAR.times[-1].date()


def test_part_of_a_year_has_no_middle_and_no_mean():
    result = analyse_crack(top(), HALF, Seen(date(2025, 6, 1)))
    assert result.mending is None
    assert result.place_middle_pct is None
    assert any("--outdoor FILE" in line for line in repair_lines(result, Say("metric")))


def test_only_what_held_is_freed_and_what_cannot_be_eased_is_taken_out():
    assert ease_of(fastening("figure-eight", rail="across the grain")) == "figure-eight.across"
    assert ease_of(fastening("figure-eight", rail="along the grain")) == "figure-eight.along"
    assert ease_of(fastening("nails")) == "nails.any"
    free = analyse_crack(top("slot", fixed_pct=8.0), YEAR, Seen(SEEN, signs={"water": "yes"}))
    assert not is_held(free)
    assert not any(line.startswith("Free it") for line in repair_lines(free, Say("metric")))


def test_every_cause_has_its_repair_and_every_method_its_words():
    result = analyse_crack(top(), YEAR, Seen(SEEN))
    repairs, methods = load_table("crack_repairs"), load_table("crack_methods")
    assert set(repairs.index) == {key.value for key in CauseKey}
    assert {*repairs["method"], *repairs["wide"]} <= set(methods.index)
    (line,) = freeing_lines(result)
    assert "the plain screws" in line


@pytest.mark.parametrize("kind", sorted(set(load_table("crack_ease")["kind"]) - {"other"}))
def test_a_row_of_the_table_of_easing_names_a_kind_that_exists(kind):
    assert kind in load_table("fastening_kinds").index
