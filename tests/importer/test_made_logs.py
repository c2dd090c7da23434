"""Every made file is read right, or asked about in a way that leads to its truth; none is guessed.

No published figure is needed: the truth is made before the file (made_logs.py and its shelves).
"""

import pytest

from tests.importer.made_logs import GOOD, Made, judge, shelves

MADE = shelves()


@pytest.mark.parametrize("made", MADE, ids=[f"{one.principle}: {one.name}" for one in MADE])
def test_a_made_file_comes_to_its_truth(tmp_path, made: Made):
    outcome, told = judge(made, tmp_path)
    assert outcome in GOOD, f"{outcome}: {told}"


def test_there_are_files_of_every_principle():
    assert len(shelves()) >= 180
    assert len({made.principle for made in shelves()}) >= 9
    assert len({made.data for made in shelves()}) == len(shelves())
