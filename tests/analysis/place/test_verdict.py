"""One rule for what counts as a need, wherever it is judged."""

import numpy as np
import pandas as pd
import pytest

from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.verdict import Verdict, judge, used_pct_of, verdict_of
from climlog.model.fastening.fasteners import Travel
from tests.analysis.made import fastening, made_log, oak_top

TIMES = pd.date_range("2025-01-01", periods=3, freq="h")


@pytest.mark.parametrize(
    ("moved_mm", "room_mm", "verdict"),
    [
        (0.03, 0.0, Verdict.HOLDS),
        (0.06, 0.0, Verdict.RUNS_OUT),
        (5.03, 5.0, Verdict.RUNS_OUT),
        (4.5, 5.0, Verdict.CLOSE),
        (3.9, 5.0, Verdict.HOLDS),
    ],
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_need_below_a_twentieth_of_a_millimetre_is_none(moved_mm, room_mm, verdict, sign):
    moved = sign * moved_mm * np.array([0.0, 0.5, 1.0])
    found = judge(TIMES, moved, Travel(room_mm, room_mm), 0.0)
    assert found.verdict == verdict
    assert (found.runs_out_on is not None) == (verdict == Verdict.RUNS_OUT)


def test_used_stays_inside_what_can_be_said():
    assert used_pct_of(Travel(0.04, 0.0), Travel(0.0, 0.0)) == 0.0
    assert used_pct_of(Travel(4.0, 0.0), Travel(0.0, 0.0)) == 999.0
    assert [verdict_of(one) for one in (80.0, 80.1, 100.0, 100.1)] == [
        Verdict.HOLDS, Verdict.CLOSE, Verdict.CLOSE, Verdict.RUNS_OUT,
    ]  # fmt: skip


def test_a_day_in_which_nothing_moves_asks_for_no_change():
    day = made_log(np.full(24, 20.0), 43.0 + np.sin(np.arange(24)))
    top = oak_top(fastening("glue", 40), fastening("glue", -40), width_mm=100.0)
    result = analyse_place(top, day)
    assert 0.0 < np.nanmax(np.abs(result.width_mm - 100.0)) < 0.05
    assert result.as_a_set.runs_out_on is None
    assert result.as_a_set.used_pct == 0.0
    assert all(one.judgement.used_pct == 0.0 for one in result.fastenings)
    assert all(one.used_share == 0.0 for one in result.kinds)
