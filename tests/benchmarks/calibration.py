"""Do the odds come true? What `place` tells, held against boards simulated without its code.

    python -m tests.benchmarks.calibration [--pieces 60] [--truths 400] [--seed 1]
                                           [--log FILE[=SENSOR]]... [--only-logs] [--csv FILE]
                                           [--diffusivity-sd 0.42]

Pieces are drawn at random (wood, cut, width, thickness, finishes, day and moisture when fixed, how
that was measured) in real and made rooms (airs.py); each gets slots whose travel some truths pass,
so that the odds spread from 0 to 100. truths.py then says in how many of its boards the travel
runs out in the year ahead: the true share. Printed are, by bins of the odds told, the mean told,
the mean and range that came true, and how many truths lie inside the 5 to 95 % band of the yearly
least and most. Rooms and pieces are split in two halves, one looked at while mending, one not.

The goal: in every bin the true share within 8 points of the told, and 85 to 95 of 100 truths
inside the band.
"""

import argparse
import itertools
import sys
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from tests.benchmarks.airs import ROOT, Room, project_rooms, read_any
from tests.benchmarks.truths import (
    DIFFUSIVITY_SD,
    STEP_HOURS,
    Air,
    Board,
    Truths,
    extremes,
    sorption_pct,
    year_ahead,
)

BINS = (0, 5, 15, 25, 50, 75, 95, 100)
SLOT_AT = 0.42
SHANK_MM = 4.2
LEAST_TRAVEL_MM = 0.35
"""A slot is longer than it is wide (4.8 mm)."""
MEASURED = pd.read_csv(ROOT / "tests" / "data" / "published" / "european_movement.csv")

# Specific gravity (table 5-3b of FPL-GTR-282), tangential and radial movement per 1 % moisture
# (table 13-5 of FPL-GTR-190); European woods by every source of european_movement.csv, a truth
# each at random.
AMERICAN = {
    "red oak": (0.63, 0.00369, 0.00158),
    "white oak": (0.68, 0.00365, 0.00180),
    "hard maple": (0.63, 0.00353, 0.00165),
    "black walnut": (0.55, 0.00274, 0.00190),
    "white ash": (0.60, 0.00274, 0.00169),
    "American beech": (0.64, 0.00431, 0.00190),
    "yellow-poplar": (0.42, 0.00289, 0.00158),
    "eastern white pine": (0.35, 0.00212, 0.00071),
}
EUROPEAN = {
    "European oak": 0.63,
    "European beech": 0.63,
    "European ash": 0.62,
    "Norway spruce": 0.41,
    "Scots pine": 0.46,
}
# Permeance per face, kg/(m² s Pa), fitted to the published moisture-excluding tests (FPL 462;
# Wood Handbook table 16-3).
FILMS = {
    "none": None,
    "linseed oil 3": 4.75e-9,
    "nitrocellulose lacquer 2": 7.9e-10,
    "oil-modified urethane varnish 2": 3.5e-10,
    "oil-modified urethane varnish 3": 1.57e-10,
    "shellac 2": 3.64e-10,
    "two-part clear polyurethane 2": 1.45e-10,
}
RING_ANGLES_DEG = {"flat-sawn": (0, 0), "rift": (45, 45), "quartersawn": (60, 90)}


@dataclass(frozen=True)
class Drawn:
    """One piece as its maker would tell it."""

    room: Room
    wood: str
    cut: str
    width_mm: float
    thickness_mm: float
    show: str
    hidden: str
    fixed_step: int
    moisture_pct: float
    measured_by: str

    @property
    def fixed_on(self):
        return self.room.times[self.fixed_step * STEP_HOURS].date()

    def board(self):
        if self.wood in AMERICAN:
            gravity, tangential, radial = AMERICAN[self.wood]
            movement = np.array([[tangential, radial]])
        else:
            gravity = EUROPEAN[self.wood]
            rows = MEASURED[MEASURED["wood"] == self.wood]
            movement = rows[["tangential_pct_per_pct", "radial_pct_per_pct"]].to_numpy() / 100
        angles = np.deg2rad(np.linspace(*RING_ANGLES_DEG[self.cut], 7))
        share = np.cos(angles)[:, None] ** 2
        per_pct = share * movement[:, 0] + (1 - share) * movement[:, 1]
        return Board(
            self.thickness_mm / 1000,
            gravity,
            per_pct.ravel(),
            (FILMS[self.show], FILMS[self.hidden]),
            self.moisture_pct,
            self.measured_by,
        )


def draw_piece(room, rng):
    steps = room.temp_c.size // STEP_HOURS
    per_day = 24 // STEP_HOURS
    day = int(rng.integers(0, steps // per_day - 1))
    middle = sorption_pct(room.temp_c, np.clip(room.rh_pct / 100, 0, 0.98)).mean()
    show = str(rng.choice(list(FILMS)))
    return Drawn(
        room=room,
        wood=str(rng.choice([*AMERICAN, *EUROPEAN])),
        cut=str(rng.choice(list(RING_ANGLES_DEG), p=(0.7, 0.15, 0.15))),
        width_mm=float(rng.integers(30, 121) * 10),
        thickness_mm=float(rng.choice([12, 16, 19, 22, 25, 32, 45])),
        show=show,
        hidden=str(rng.choice([show, "none"])),
        fixed_step=day * per_day,
        moisture_pct=float(np.round(np.clip(middle + rng.normal(0, 1.2), 4, 20), 1)),
        measured_by=str(rng.choice(["oven", "pin meter", "guess"], p=(0.2, 0.6, 0.2))),
    )


def finish_text(name):
    kind, _, coats = name.rpartition(" ")
    return f'{{ kind = "{kind}", coats = {coats} }}' if kind else f'"{name}"'


def sheet_text(piece, travel_mm, measured_by):
    """The piece as a sheet: a pin in the middle, a slot near each edge, on two rails."""
    how = f'measured_by = "{piece.measured_by}"\n' if measured_by else ""
    thick = ', thickness = "25 mm"' if measured_by else ""
    rail = 'rail = "across the grain"\n'
    return (
        f'[piece]\nname = "drawn"\nwood = "{piece.wood}"\ncut = "{piece.cut}"\n'
        f'width = "{piece.width_mm:g} mm"\nlength = "1500 mm"\n'
        f'thickness = "{piece.thickness_mm:g} mm"\nfixed_on = {piece.fixed_on}\n'
        f'moisture_when_fixed = "{piece.moisture_pct:g} %"\n{how}'
        f"[finish]\nshow_face = {finish_text(piece.show)}\n"
        f"hidden_face = {finish_text(piece.hidden)}\n"
        f'[base]\nrails_across_grain = {{ at = ["600 mm", "-600 mm"]{thick} }}\n'
        f'[[fastening]]\nname = "middle"\nkind = "pin"\n{rail}count = 1\n'
        f'[[fastening]]\nname = "slot"\nkind = "slot"\n{rail}count = 2\n'
        f'spread = "{2 * SLOT_AT * piece.width_mm:.2f} mm"\n'
        f'slot_length = "{2 * travel_mm + SHANK_MM:.2f} mm"\nslot_width = "4.8 mm"\n'
        f'shank = "{SHANK_MM} mm"\n'
    )


def log_file(room, folder):
    path = Path(folder) / f"{''.join(c for c in room.name if c.isalnum())}.csv"
    if not path.exists():
        pd.DataFrame(
            {"time": room.times, "temperature (°C)": room.temp_c, "humidity (%)": room.rh_pct}
        ).to_csv(path, index=False, date_format="%Y-%m-%d %H:%M", encoding="utf-8")
    return path


def ask_climlog(piece, travel_mm, folder, measured_by):
    """Odds, travel over the width, and the 5 to 95 % range of the yearly least and most, mm."""
    import climlog

    sheet = Path(folder) / "piece.toml"
    sheet.write_text(sheet_text(piece, travel_mm, measured_by), encoding="utf-8", newline="\n")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        log = climlog.read_log([log_file(piece.room, folder)])
        result = climlog.analyse_place(climlog.read_piece(sheet), log)
    judged = result.as_a_set
    return judged.share_of_draws, judged.has, told_band(result)


def told_band(result):
    """((p05, p95) of the yearly least width, and of the most), mm; 0.1.0 had a band a day only."""
    if hasattr(result, "width_range"):
        ends = result.width_range.least, result.width_range.most
        return tuple((end.p05, end.p95) for end in ends)
    low, _, high = result.band.width_mm
    return (low.min(), high.min()), (low.max(), high.max())


def measure(piece, rng, how):
    """One row of the table behind the table."""
    room, board = piece.room, piece.board()
    order = year_ahead(room.temp_c.size // STEP_HOURS, piece.fixed_step)
    air = Air.of(room.temp_c, room.rh_pct, order)
    truths = Truths.draw(board, how.truths, rng, how.diffusivity_sd)
    low, high = extremes(board, truths, air)
    worst = np.maximum(high, -low)
    strain = float(np.quantile(worst, rng.uniform(0.01, 0.99)))
    travel_mm = max(LEAST_TRAVEL_MM, SLOT_AT * piece.width_mm * strain)
    told, has, (least, most) = ask_climlog(piece, travel_mm, how.folder, how.measured_by)
    true = np.mean((high * piece.width_mm > has.swell_mm) | (-low * piece.width_mm > has.shrink_mm))
    widths = piece.width_mm * (1 + np.array([low, high]))
    return {
        "room": room.name, "wood": piece.wood, "cut": piece.cut, "width_mm": piece.width_mm,
        "thickness_mm": piece.thickness_mm, "show": piece.show, "hidden": piece.hidden,
        "fixed_on": piece.fixed_on, "moisture_pct": piece.moisture_pct,
        "measured_by": piece.measured_by, "travel_mm": has.swell_mm, "told": 100 * told,
        "true": 100 * true,
        "least_in": 100 * np.mean((widths[0] >= least[0]) & (widths[0] <= least[1])),
        "most_in": 100 * np.mean((widths[1] >= most[0]) & (widths[1] <= most[1])),
        "least_below": 100 * np.mean(widths[0] < least[0]),
        "most_above": 100 * np.mean(widths[1] > most[1]),
    }  # fmt: skip


def table_of(rows, title):
    """Print the odds by bins and the band."""
    print(f"\n{title}: {len(rows)} pieces")
    print(
        "told, of 100 |  n | told mean | true mean (range) | apart | least in band | most in band"
    )
    for low, high in itertools.pairwise(BINS):
        of = rows[(rows["told"] > low if low else rows["told"] >= 0) & (rows["told"] <= high)]
        if of.empty:
            print(f"{low:3d} to {high:3d}   |  0 |")
            continue
        true = of["true"]
        print(
            f"{low:3d} to {high:3d}   | {len(of):2d} | {of['told'].mean():9.0f} | "
            f"{true.mean():5.0f} ({true.min():.0f} to {true.max():.0f})".ljust(50)
            + f"| {true.mean() - of['told'].mean():+5.0f} | "
            f"{of['least_in'].mean():13.0f} | {of['most_in'].mean():12.0f}"
        )
    off = rows["true"] - rows["told"]
    print(
        f"all: true less told {off.mean():+.1f} points on average, {off.abs().mean():.1f} either "
        f"way; truths inside the band: least {rows['least_in'].mean():.0f}, most "
        f"{rows['most_in'].mean():.0f} of 100 (below {rows['least_below'].mean():.0f}, above "
        f"{rows['most_above'].mean():.0f})"
    )


def rooms_asked(how, rng):
    rooms = [] if how.only_logs else [make() for make in project_rooms(rng)]
    for each in how.log:
        path, _, sensor = each.partition("=")
        rooms.append(read_any(Path(path), sensor or None))
    return rooms


def options():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--pieces", type=int, default=60)
    parser.add_argument("--truths", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--log", action="append", default=[], metavar="FILE[=SENSOR]")
    parser.add_argument("--only-logs", action="store_true", help="no rooms but those of --log")
    parser.add_argument("--csv", type=Path, help="write a row a piece")
    parser.add_argument("--diffusivity-sd", type=float, default=DIFFUSIVITY_SD)
    parser.add_argument("--old-sheets", dest="measured_by", action="store_false", help="of 0.1.0")
    return parser.parse_args()


def main():
    how = options()
    rng = np.random.default_rng(how.seed)
    rooms = rooms_asked(how, rng)
    rows = []
    with tempfile.TemporaryDirectory() as how.folder:
        for number in range(how.pieces):
            room = rooms[number % len(rooms)]
            rows.append(measure(draw_piece(room, rng), rng, how))
            print(f"\r{number + 1} of {how.pieces}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    table = pd.DataFrame(rows)
    if how.csv:
        table.to_csv(how.csv, index=False)
    names = [room.name for room in rooms]
    mended = table["room"].isin(names[::2])
    if len(names) > 1:
        table_of(table[mended], "Rooms looked at while mending")
        table_of(table[~mended], "Rooms kept for judging")
    table_of(table, "All")


if __name__ == "__main__":
    main()
