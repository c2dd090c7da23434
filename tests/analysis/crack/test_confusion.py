"""Random houses with a known cause: it must be named, and the log must never rule it out.

The truth is worked out in crack_houses.py without climlog's model; run with -s for the table.
"""

import sys
from collections import Counter
from functools import cache

import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.result import CauseKey, CauseVerdict
from tests.analysis.crack.houses import BUILDERS, houses

HOUSES_A_CAUSE = 8
SEED = 2025


@cache
def judged(cause):
    """Causes of every house as (key, verdict) pairs, the best supported first."""
    found = []
    for house in houses(cause, HOUSES_A_CAUSE, SEED):
        result = analyse_crack(house.piece, house.log, house.seen)
        found.append([(one.key, one.verdict) for one in result.causes])
    return found


@pytest.mark.slow
@pytest.mark.parametrize("cause", BUILDERS)
def test_the_true_cause_is_never_ruled_out(cause):
    verdicts = [dict(one)[cause] for one in judged(cause)]
    assert CauseVerdict.RULED_OUT not in verdicts


@pytest.mark.parametrize("cause", BUILDERS)
def test_the_true_cause_is_named_first_or_second(cause):
    places = [[key for key, _ in one].index(cause) for one in judged(cause)]
    # Sensor, moisture meter and the board itself are off by hidden amounts, so now and then
    # another cause comes before it; 4 of 5 are asked, chance would give 2 or 3.
    assert sum(place < 2 for place in places) >= 0.8 * HOUSES_A_CAUSE


@pytest.mark.parametrize("cause", ["held", "set", "wet_stock", "wrong_moisture"])
def test_another_cause_that_is_called_sufficient_also_needs_the_fastenings_to_hold(cause):
    # These four all act through a top that is held; none of them may be blamed on ends or faces.
    for one in judged(cause):
        others = {key for key, verdict in one if verdict == CauseVerdict.SUFFICIENT}
        assert others <= {"held", "set", "wet_stock", "wrong_moisture"}


def test_where_only_a_fault_remains_the_climate_is_not_called_sufficient():
    for one in judged(CauseKey.UNSEEN):
        verdicts = dict(one)
        assert CauseVerdict.SUFFICIENT not in verdicts.values()
        assert verdicts[CauseKey.UNSEEN] == CauseVerdict.NOT_IN_THIS_LOG
    # A rule-out must be within reach, or "never ruled out" says nothing.
    cleared = [
        dict(one)[key] == CauseVerdict.RULED_OUT
        for one in judged(CauseKey.UNSEEN)
        for key in ("held", "set")
    ]
    assert sum(cleared) >= 0.9 * len(cleared)


def test_the_table_of_confusions():
    lines = [f"{'true cause':<16}" + "".join(f"{key:>16}" for key in CauseKey) + "  sufficient"]
    for cause in BUILDERS:
        first = Counter(one[0][0] for one in judged(cause))
        sure = sum(dict(one)[cause] == CauseVerdict.SUFFICIENT for one in judged(cause))
        assert sum(first.values()) == HOUSES_A_CAUSE
        lines.append(
            f"{cause:<16}" + "".join(f"{first[key]:>16}" for key in CauseKey) + f"{sure:>12}"
        )
    sys.stdout.write("\n" + "\n".join(lines) + "\n")
