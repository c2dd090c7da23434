"""A small museum for the round: places with logs and sheets in a folder. INVENTED."""

import numpy as np
import pandas as pd

DAYS = 380
PIECE = """\
[piece]
name = "{name}"
wood = "red oak"
cut = "flat-sawn"
width = "900 mm"
length = "1500 mm"
thickness = "22 mm"
fixed_on = 2025-01-05
moisture_when_fixed = "8 %"
[finish]
show_face = "none"
hidden_face = "none"
[base]
rails_across_grain = {{ at = "700 mm", thickness = "22 mm" }}
[[fastening]]
kind = "{kind}"
rail = "across the grain"
count = 3
spread = "800 mm"
"""
PLACE = """\
[[place]]
name = "{name}"
logs = "logs/{log}.csv"
pieces = "pieces/{piece}.toml"
"""


def write_log(path, rh_pct, days=DAYS, step=0.0):
    """Write hourly readings about a humidity, which steps up halfway."""
    times = pd.date_range("2025-01-01", periods=24 * days, freq="h")
    rh = rh_pct + 3 * np.sin(np.arange(times.size) / 24) + step * (np.arange(times.size) > 800)
    rows = [f"{when:%Y-%m-%d %H:%M},20.0,{one:.1f}" for when, one in zip(times, rh, strict=True)]
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(["time,temperature (°C),humidity (%)", *rows]), encoding="utf-8")


def write_piece(path, name, kind="slot"):
    """Write a table top's sheet."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(PIECE.format(name=name, kind=kind), encoding="utf-8")


def open_museum(folder):
    """Write two halls: in one a top on slots, in the other a glued one in air that turns damp."""
    write_log(folder / "logs" / "hall.csv", 45)
    write_log(folder / "logs" / "chapel.csv", 45, step=25)
    write_piece(folder / "pieces" / "bench.toml", "Oak bench")
    write_piece(folder / "pieces" / "altar.toml", "Altar table", "glue")
    text = PLACE.format(name="Hall", log="hall", piece="bench")
    text += PLACE.format(name="Chapel", log="chapel", piece="altar")
    file = folder / "museum.toml"
    file.write_text(f'[round]\nname = "Small museum"\n{text}', encoding="utf-8")
    return file
