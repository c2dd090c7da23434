"""Thirty pieces at random, every change that is told for them done and run again.

python tests/benchmarks/remedies_again.py [PIECES] [SEED]: a row for each change with the odds and
the travel told and found, then how many agree and how long a piece takes. The table stands in
DEVELOPERS.md.
"""

import sys
import time
from dataclasses import replace
from datetime import date

import numpy as np

from climlog import Log, analyse_place, read_log
from climlog.model.board import ACROSS, ALONG, Base, Fastening, Piece
from climlog.model.fastening.bench import Change
from climlog.model.fastening.kinds import all_kinds, typical_sizes
from climlog.model.fastening.remedies import Remedy
from climlog.model.fastening.set_travel import travel_as_a_set
from climlog.model.woods import all_woods
from tests.places import SAMPLES

RAIL_KINDS = [kind.name for kind in all_kinds().values() if kind.seat == "rail"]
ODD_KINDS = ["breadboard", "leg-plate", "channel", "panel"]
INSET_MM = 80.0


def sizes_at_random(kind: str, rng: np.random.Generator) -> dict[str, float]:
    """Sizes of the table, some of them small: what a piece in trouble has."""
    sizes = typical_sizes(kind)
    if kind == "figure-eight" and rng.random() < 0.5:
        sizes["recess_corners_cleared"] = 1.0
    if kind in ("clip", "button"):
        sizes["gap_mm"] = float(rng.choice([0.0, 1.5, 3.0]))
        sizes["kerf_depth_mm" if kind == "clip" else "groove_depth_mm"] = 12.0
    if kind == "breadboard" and rng.random() < 0.5:
        sizes["slot_length_mm"] = sizes["peg_mm"]
    return sizes


def piece_at_random(number: int, rng: np.random.Generator) -> Piece:
    """A top, or a panel in its frame."""
    width_mm, length_mm = float(rng.uniform(400, 1200)), float(rng.uniform(900, 2600))
    rails = (length_mm / 2 - INSET_MM, width_mm / 2 - INSET_MM)
    across, along = (str(rng.choice(RAIL_KINDS)) for _ in range(2))
    odd = str(rng.choice(ODD_KINDS)) if rng.random() < 0.3 else ""
    found = []
    if odd == "panel":
        found = [(odd, ALONG, 0.0, side * width_mm / 2) for side in (1, -1)]
    elif odd:
        steps = (-1, 0, 1) if odd == "breadboard" else (-1, 1)
        found = [(odd, ACROSS, x, step * rails[1]) for x in (rails[0], -rails[0]) for step in steps]
    else:
        count = int(rng.integers(2, 5))
        steps = np.linspace(-rails[1] + 30, rails[1] - 30, count)
        found = [(across, ACROSS, x, float(y)) for x in (rails[0], -rails[0]) for y in steps]
        if rng.random() < 0.7:
            places = np.linspace(-rails[0] + 150, rails[0] - 150, max(2, round(length_mm / 350)))
            found += [(along, ALONG, float(x), y) for y in (rails[1], -rails[1]) for x in places]
    sizes = {kind: sizes_at_random(kind, rng) for kind, *_ in found}
    fastenings = tuple(
        Fastening(f"{kind} {at}", kind, rail, x, y, sizes[kind])
        for at, (kind, rail, x, y) in enumerate(found, start=1)
    )
    return Piece(
        f"piece {number}",
        all_woods()[int(rng.integers(len(all_woods())))],
        "flat-sawn",
        1.0,
        width_mm,
        length_mm,
        float(rng.uniform(18, 40)),
        base=Base((rails[0], -rails[0]), (rails[1], -rails[1]), 22.0, 22.0),
        fastenings=fastenings,
        fixed_on=date(2025, 2, 14),
        moisture_when_fixed_pct=float(rng.uniform(6.0, 11.0)),
    )


def carried_out(piece: Piece, remedy: Remedy) -> Piece:
    """Do what a change says, in the sheet."""
    done = replace(piece, fastenings=remedy.after)
    for step in remedy.steps:
        if step.what is Change.CONDITION:
            done = replace(done, moisture_when_fixed_pct=step.to_mm)
    return done


def steps_in_short(remedy: Remedy) -> str:
    """Say its steps in a few words."""
    return "; ".join(
        f"{s.what} {s.size or s.kind}{'' if s.to_mm is None else f' {s.to_mm:g}'} "
        f"({len(s.fastenings) or len(s.places_mm) or 'all'})"
        for s in remedy.steps
    )


def run_again(piece: Piece, remedy: Remedy, log: Log) -> tuple[str, bool]:
    """Do one change and run the job again: travel and odds found, and whether they were told."""
    done = carried_out(piece, remedy)
    again, travel = (
        analyse_place(done, log).as_a_set,
        travel_as_a_set(done.fastenings, done.width_mm),
    )
    found = [piece.width_mm * way for way in (travel.swell_strain, travel.shrink_strain)]
    told = [
        piece.width_mm * way for way in (remedy.travel.swell_strain, remedy.travel.shrink_strain)
    ]
    agree = max(abs(a - b) for a, b in zip(found, told, strict=True)) < 0.01
    agree &= abs(again.share_of_draws - remedy.odds) < 0.005 and again.verdict == "holds"
    cells = (
        f"{told[0]:.1f}/{told[1]:.1f}, {100 * remedy.odds:.1f} | "
        f"{found[0]:.1f}/{found[1]:.1f}, {100 * again.share_of_draws:.1f}, {again.verdict}"
    )
    return f"{cells} | {remedy.stays}{'' if agree else ' | DIFFERS'}", agree


def main(pieces: int = 30, seed: int = 1) -> None:
    log = read_log([SAMPLES / "ferry_house_dining_room.csv"])
    same = told = trouble = without = 0
    took_s = []
    print("| piece | of 100 run out | change | told: mm, of 100 | found | stay |")
    print("| --- | --- | --- | --- | --- | --- |")
    for number in range(pieces):
        piece = piece_at_random(number, np.random.default_rng((seed, number)))
        start = time.perf_counter()
        result = analyse_place(piece, log)
        took_s.append(time.perf_counter() - start)
        kinds = " and ".join(
            dict.fromkeys(f"{o.kind} {o.rail[:6].strip()}" for o in piece.fastenings)
        )
        now = result.as_a_set
        lead = f"| {number}: {piece.width_mm:.0f} mm {piece.wood.name}, {kinds} | "
        lead += f"{100 * now.share_of_draws:.0f}"
        trouble += now.verdict != "holds"
        without += not result.remedies and now.verdict != "holds"
        if not result.remedies:
            print(f"{lead} | none | | | |")
        for one in result.remedies:
            cells, agree = run_again(piece, one, log)
            same, told = same + agree, told + 1
            print(f"{lead} | {steps_in_short(one)} | {cells} |")
            lead = "| | "
    print(
        f"\n{same} of {told} changes agree; {without} of {trouble} pieces in trouble without one; "
        f"a piece takes {np.median(took_s):.2f} s, at most {max(took_s):.2f}"
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
