"""Does the answer hang on the luck of the draw? The odds told by `place`, seed by seed.

    python -m tests.benchmarks.seeds [--seeds 24] [--pieces 4]

The pipeline draws its cases from a fixed seed; here every generator it makes is moved on by 1 to
24. Each piece is one board of truths.py, drawn at random, with no reading of its width, with one,
two and four, as a tape would give them (0.5 mm). Printed are the odds of the fixed seed, and the
standard deviation and the range over the seeds, in points of 100. The goal: sd within 3 points.
"""

import argparse
import tempfile
import warnings
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from tests.benchmarks.airs import project_rooms
from tests.benchmarks.calibration import SLOT_AT, draw_piece, log_file, sheet_text
from tests.benchmarks.truths import STEP_HOURS, Air, Truths, march

READINGS = (0, 1, 2, 4)
TAPE_SD_MM = 0.5
LATEST_FIXING = 120
"""Days of the record after which no piece is fixed, so that readings have time to lie apart."""


@contextmanager
def seed_moved_on(by):
    """Move every seeded generator on."""
    real = np.random.default_rng
    np.random.default_rng = lambda seed=None: real(seed if seed is None else seed + by)
    try:
        yield
    finally:
        np.random.default_rng = real


def one_board(piece, rng):
    """Width of one true board, step by step after the fixing, mm."""
    room, board = piece.room, piece.board()
    steps = np.arange(piece.fixed_step, room.temp_c.size // STEP_HOURS)
    truths = Truths.draw(board, 1, rng)
    moisture = np.array(
        [mean[0] for mean in march(board, truths, Air.of(room.temp_c, room.rh_pct, steps))]
    )
    return piece.width_mm * (1 + truths.movement[0] * (moisture - truths.start_pct[0]))


def readings_text(piece, widths, count, rng):
    """Measured widths as the sheet takes them, spread over the record, in order of use."""
    per_day = 24 // STEP_HOURS
    days = widths.size // per_day - 1
    text = ""
    for share in (0.45, 0.9, 0.25, 0.7)[:count]:
        day = int(share * days)
        stamp = piece.room.times[(piece.fixed_step + day * per_day) * STEP_HOURS].date()
        read_mm = widths[day * per_day + per_day // 2] + rng.normal(0, TAPE_SD_MM)
        text += f'[[measured]]\non = {stamp}\nwidth = "{read_mm:.1f} mm"\n'
    return text


def share_told(sheet, log):
    import climlog

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return 100 * climlog.analyse_place(climlog.read_piece(sheet), log).as_a_set.share_of_draws


def early_piece(room, rng):
    while True:
        piece = draw_piece(room, rng)
        if piece.fixed_step < LATEST_FIXING * 24 // STEP_HOURS:
            return piece


def main():
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--seeds", type=int, default=24)
    parser.add_argument("--pieces", type=int, default=4)
    parser.add_argument("--old-sheets", dest="measured_by", action="store_false", help="of 0.1.0")
    how = parser.parse_args()
    import climlog

    rng = np.random.default_rng(2)
    rooms = project_rooms(rng)
    print("piece | readings | told | sd | from | to")
    spread = {count: [] for count in READINGS}
    with tempfile.TemporaryDirectory() as folder:
        for number in range(how.pieces):
            room = rooms[number % len(rooms)]()
            log = climlog.read_log([log_file(room, folder)])
            piece = early_piece(room, rng)
            widths = one_board(piece, rng)
            moved = np.abs(widths - piece.width_mm).max()
            plain = sheet_text(piece, SLOT_AT * moved * rng.uniform(0.8, 1.2), how.measured_by)
            sheet = Path(folder) / "piece.toml"
            for count in READINGS:
                text = plain + readings_text(piece, widths, count, rng)
                sheet.write_text(text, encoding="utf-8", newline="\n")
                told, shares = share_told(sheet, log), []
                for seed in range(1, how.seeds + 1):
                    with seed_moved_on(seed):
                        shares.append(share_told(sheet, log))
                spread[count].append(np.std(shares))
                print(
                    f"{piece.wood}, {room.name} | {count} | {told:.0f} | {np.std(shares):.1f} | "
                    f"{min(shares):.0f} | {max(shares):.0f}",
                    flush=True,
                )
    for count, sds in spread.items():
        print(f"{count} readings: sd {np.mean(sds):.1f} on average, {max(sds):.1f} at most")


if __name__ == "__main__":
    main()
