"""Words of marks stand where no line strikes them, if there is such a place."""

from itertools import combinations

import numpy as np
import pytest

from climlog.report.drawing.chart import LEFT, RIGHT, Mark
from climlog.report.drawing.labels import DESK, PHONE, Ground, box_of, placed

X = np.linspace(LEFT, RIGHT, 400)


def ground(y, *edges):
    return Ground(X, y, edges, 0.0, 350.0)


def box(mark, size):
    return box_of(mark.says, mark.x, mark.y + mark.dy, mark.anchor, size)


@pytest.mark.parametrize("size", [DESK, PHONE])
@pytest.mark.parametrize("slope", [-2.0, -0.4, 0.0, 0.4, 2.0])
def test_words_beside_a_slope_are_not_struck_by_it(slope, size):
    middle = (LEFT + RIGHT) / 2
    line = ground(np.clip(175.0 + slope * (X - middle), 0.0, 350.0))
    (found,) = placed([Mark("runs-out", middle, 175.0, "runs out 3 Mar", dy=-16.0)], line)
    words = box(found, size)
    inside = (words.left < X) & (words.right > X)
    assert not ((line.y[inside] > words.top) & (line.y[inside] < words.bottom)).any()


def test_an_edge_of_the_travel_strikes_no_words():
    line = ground(np.full(400, 175.0), 200.0)
    (found,) = placed([Mark("narrowest", 300.0, 185.0, "narrowest", dy=22.0)], line)
    for size in (DESK, PHONE):
        words = box(found, size)
        assert not words.top < 200.0 < words.bottom


def test_words_of_three_marks_at_one_place_stand_apart_and_in_the_drawing():
    line = ground(np.full(400, 175.0))
    marks = [Mark("seen", 690.0, 175.0, says, "end") for says in ("crack seen", "held", "widest")]
    found = placed(marks, line)
    for size in (DESK, PHONE):
        boxes = [box(one, size) for one in found]
        assert not any(one.meets(other) for one, other in combinations(boxes, 2))
        assert all(one.left >= LEFT and one.right <= RIGHT for one in boxes)


def test_a_mark_without_words_stays_as_it_is():
    silent = Mark("measured", 300.0, 100.0, "")
    assert placed([silent], ground(np.full(400, 100.0))) == (silent,)


def test_words_stand_clear_of_three_lines_that_fall_beside_each_other():
    falls = 60.0 + 0.2 * (X - LEFT)
    line = ground(np.stack([falls - 14.0, falls, falls + 14.0]))
    at = 350.0
    (found,) = placed([Mark("holds", at, 60.0 + 0.2 * (at - LEFT), "ready 29 Mar", dy=-16.0)], line)
    words = box(found, DESK)
    inside = (words.left < X) & (words.right > X)
    struck = (line.y[:, inside] > words.top) & (line.y[:, inside] < words.bottom)
    assert not struck.any()
