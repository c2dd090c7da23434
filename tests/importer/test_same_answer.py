"""A log written another way that means the same is read alike, or asked about."""

import pytest

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
