"""Shop against client: the middle, the mismatch, and millimetres by the handbook's own figures."""

import numpy as np
import pytest

from climlog.analysis.room.result import TargetFrom
from climlog.analysis.room.room import analyse_room
from climlog.errors import ImpossibleValueError
from tests.analysis.made import made_log, oak_top, steady_log


def year_between(low_rh, high_rh, temp_c=21.1):
    """Half a year at each humidity, so that monthly means reach both."""
    half = 183 * 24
    rh_pct = np.repeat([low_rh, high_rh], half)
    return made_log(np.full(rh_pct.size, temp_c), rh_pct)


def test_the_middle_of_the_clients_range_becomes_the_target():
    # Wood Handbook, FPL-GTR-190 (2010), table 4-2, row 21.1 °C: 6.2 % at 30 % RH, 12.0 % at 65 %.
    asked = dict(client=year_between(30.0, 65.0))
    result = analyse_room(steady_log(30, 40.0, 21.1), **asked)
    assert result.client.low_pct == pytest.approx(6.2, abs=0.05)
    assert result.client.high_pct == pytest.approx(12.0, abs=0.05)
    assert result.target_pct == pytest.approx(9.1, abs=0.05)
    assert result.target_from == TargetFrom.CLIENT
    # 7.7 % is printed for 40 % RH; 9.1 % lies just below the 9.2 % of 50 % RH.
    assert result.client.off_pct == pytest.approx(7.7 - 9.1, abs=0.1)
    assert result.client.hold.rh_pct == pytest.approx(49.3, abs=0.7)


def test_a_piece_moves_there_by_the_handbooks_coefficient():
    # Table 13-5, red oak, tangential 0.00369 per 1 %; thin and bare, so it follows all the way.
    piece = oak_top(width_mm=1000.0, thickness_mm=6.0)
    asked = dict(client=year_between(30.0, 65.0), pieces=(piece,))
    (seen,) = analyse_room(steady_log(30, 50.0, 21.1), **asked).client.pieces
    assert seen.shrinks_mm == pytest.approx(1000 * 0.00369 * (9.2 - 6.2), rel=0.04)
    assert seen.swells_mm == pytest.approx(1000 * 0.00369 * (12.0 - 9.2), rel=0.04)
    assert seen.if_at_middle_mm == pytest.approx(1000 * 0.00369 * (12.0 - 9.1), rel=0.04)


def test_a_room_at_the_middle_leaves_nothing_to_tell():
    asked = dict(client=year_between(30.0, 65.0), pieces=(oak_top(),))
    result = analyse_room(steady_log(30, 49.3, 21.1), **asked)
    assert abs(result.client.off_pct) < 0.1
    assert not result.client.wide
    assert abs(result.client.pieces[0].off_mm) < 0.7


def test_months_are_the_rooms_own():
    room = made_log(np.full(59 * 24, 21.1), np.repeat([35.0, 50.0], [31 * 24, 28 * 24]))
    months = analyse_room(room, client=year_between(30.0, 65.0)).client.months
    assert [(one.year, one.month, one.days) for one in months] == [(2025, 1, 31), (2025, 2, 28)]
    # Table 4-2, row 21.1 °C: 6.9 % at 35 % RH, 9.2 % at 50 %.
    assert [one.emc_pct for one in months] == pytest.approx([6.9, 9.2], abs=0.06)


def test_a_short_client_log_says_so():
    result = analyse_room(steady_log(30), client=steady_log(40, 45.0))
    assert not result.client.is_full_year
    assert analyse_room(steady_log(30), client=year_between(30, 60)).client.is_full_year


def test_air_that_no_room_has_is_not_tried():
    with pytest.raises(ImpossibleValueError, match="not the air of a room"):
        analyse_room(steady_log(20), tried_temp_c=200.0)
