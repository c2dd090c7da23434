"""Print what a round costs beside the sum of its work done once each, and its memory by size.

python tests/benchmarks/round_sum.py             12 rooms with 30 pieces in all, against the sum
python tests/benchmarks/round_sum.py 40 30       so many places, so many pieces in each: memory
"""

import re
import sys
import tempfile
from fractions import Fraction
from pathlib import Path

import numpy as np
import pandas as pd

from tests.benchmarks.budgets import SAMPLES, climlog, compare, run_once

SHEETS = ("dining_table", "cupboard_door", "held_top", "breadboard_table", "wide_top_slots")
PIECES = (5, 5, 3, 3, 3, 2, 2, 2, 2, 2, 1, 0)
BUDGET = 1.2
SUM = """
import sys
from pathlib import Path
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.analysis.room.room import analyse_room
from climlog.importer.read import read_log
from climlog.report import html
from climlog.report.phrases import Say
from climlog.report.place.document import document
from climlog.report.room import document as of_room
from climlog.sheets.piece import read_piece
from climlog.sheets.round import read_round
out = Path(sys.argv[2])
out.mkdir(exist_ok=True)
for place in read_round(sys.argv[1]).places:
    log = read_log(list(place.logs))
    for at, sheet in enumerate(place.pieces):
        said = document(analyse_in_year(read_piece(sheet), Surroundings(log)), Say("inch"))
        (out / f"{place.name}{at}.html").write_text(html.render(said), encoding="utf-8")
    if not place.pieces:
        said = of_room.document(analyse_room(log), Say("inch"))
        (out / f"{place.name}.html").write_text(html.render(said), encoding="utf-8")
"""


def varied(text, at):
    """Make a sheet another piece: boards of another thickness, and a little wider.

    Thirty pieces are then fifteen boards. A sheet with widths that were measured keeps its own.
    """
    text = re.sub(
        r'^(thickness = )"([^"]+)"',
        lambda found: f'{found[1]}"{eighths(found[2]) + (at % 3) / 16} in"',
        text, count=1, flags=re.M,
    )  # fmt: skip
    if "[[measured" in text:
        return text
    return re.sub(
        r'^(width = )"([^"]+)"',
        lambda found: f'{found[1]}"{eighths(found[2]) * (1 + 0.002 * (at % 11)):.4f} in"',
        text, count=1, flags=re.M,
    )  # fmt: skip


def eighths(words):
    """Read inches with a fraction, such as 14 1/2 in."""
    return float(sum(Fraction(one) for one in words.removesuffix(" in").split()))


def build(folder, pieces):
    """Write places from the invented house, each with its own air, and so many pieces in each."""
    logs, sheets = folder / "logs", folder / "pieces"
    logs.mkdir()
    sheets.mkdir()
    texts = [(SAMPLES / f"{name}.toml").read_text(encoding="utf-8") for name in SHEETS]
    house = pd.read_csv(SAMPLES / "ferry_house_dining_room.csv").iloc[::2]
    rh = house.columns[2]
    rng = np.random.default_rng(5)
    text = '[round]\nname = "Museum"\n'
    for number, count in enumerate(pieces):
        own = house.assign(**{rh: (50 + (house[rh] - 50) * rng.uniform(0.3, 1.0)).round(1)})
        own.to_csv(logs / f"room{number}.csv", index=False)
        text += f'[[place]]\nname = "Room {number}"\nlogs = "logs/room{number}.csv"\n'
        named = []
        for at in range(count):
            path = sheets / f"r{number}_{at}.toml"
            path.write_text(varied(texts[at % len(texts)], at), encoding="utf-8")
            named.append(f'"pieces/{path.name}"')
        text += f"pieces = [{', '.join(named)}]\n" if named else ""
    file = folder / "museum.toml"
    file.write_text(text, encoding="utf-8")
    return file


def main(words):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if words:
            places, each = (int(word) for word in words)
            file = build(folder, (each,) * places)
            took, peak = run_once(*climlog("round", file, "--out", folder / "out"))
            print(f"{places} places x {each} pieces: {took:.0f} s, peak {peak / 1e9:.2f} GB")
            return
        file = build(folder, PIECES)
        ours = climlog("round", file, "--out", folder / "out")
        bare = [sys.executable, "-c", SUM, file, folder / "sum"]
        compare("12 rooms, 30 pieces, beside the sum", BUDGET, ours, bare, 3)


if __name__ == "__main__":
    main(sys.argv[1:])
