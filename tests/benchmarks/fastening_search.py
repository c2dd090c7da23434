"""How well the travel as a set agrees with a search at random that shares no code with it.

python tests/benchmarks/fastening_search.py [LAYOUTS] [SEED]: a line for each direction that differs
by more than 0.01 mm over the half width, then how many agree. Some minutes for 60 layouts.
"""

import sys

import numpy as np

from climlog.model.fastening.set_travel import travel_as_a_set
from tests.model.fastening.brute_force import (
    LOST,
    WIDTH_MM,
    breaks,
    lets_go,
    sound_layout,
    wander,
)

KINDS = ("figure-eight", "figure-eight", "clip", "button", "slot", "round-hole", "pocket-screw")
SAME_MM = 0.01


def main(layouts: int = 60, seed: int = 5) -> None:
    agree = over = 0
    worst_mm = 0.0
    for number in range(layouts):
        rng = np.random.default_rng((seed, number))
        fastenings = sound_layout(rng, KINDS, 3, 8)
        found = travel_as_a_set(fastenings, WIDTH_MM)
        for sign, strain, pose in (
            (1, found.swell_strain, found.pose_swelling),
            (-1, found.shrink_strain, found.pose_shrinking),
        ):
            told_mm = strain * WIDTH_MM / 2
            searched_mm = max(wander(fastenings, sign, rng, finest_mm=0.001) for _ in range(2))
            if any(one.kind in LOST for one in fastenings):
                until_mm = max(searched_mm, told_mm)
                searched_mm = min(searched_mm, lets_go(fastenings, sign, until_mm, rng))
            same = abs(searched_mm - told_mm) <= SAME_MM
            fits = float(breaks(fastenings, pose, sign * strain)) <= 2e-3
            agree += same
            over += searched_mm > told_mm + SAME_MM
            worst_mm = max(worst_mm, searched_mm - told_mm)
            if not same:
                print(
                    f"{number:4d} {sign:+d} told {told_mm:8.3f} searched {searched_mm:8.3f} mm; "
                    f"the pose told {'fits' if fits else 'DOES NOT FIT'}"
                )
    print(
        f"{agree} of {2 * layouts} agree to {SAME_MM} mm; the search got farther in {over}, by "
        f"{worst_mm:.3f} mm at most"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
