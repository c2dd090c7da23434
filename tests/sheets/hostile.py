"""Sheets and options spoilt at random, and a second reader that shares no code with climlog's.

The second reader knows TOML and what furniture can be, by limits of its own, wider than those of
tables/bounds.csv: whatever lies beyond them, no sheet may be accepted with. From general knowledge
of furniture, no source.
"""

import copy
import datetime
import json
import re
import tomllib
from fractions import Fraction

SHEETS = (
    """
[piece]
name = "Table"
wood = "red oak"
cut = "flat-sawn"
width = "38 in"
length = "72 in"
thickness = "7/8 in"
fixed_on = 2025-02-14
moisture_when_fixed = "7.5 %"
measured_by = "pin meter"
[finish]
show_face = { kind = "polyurethane", coats = 3 }
hidden_face = "none"
[base]
rails_across_grain = { at = "31 in", thickness = "3/4 in" }
rails_along_grain = { at = ["15 in", "-14 in"] }
[[fastening]]
kind = "figure-eight"
rail = "across the grain"
count = 3
spread = "30 in"
hole_to_hole = "5/8 in"
[[fastening]]
kind = "slot"
rail = "along the grain"
rail_at = "-14 in"
count = 1
slot_length = "3/4 in"
[[fastening]]
kind = "clip"
rail = "across the grain"
x = "-31 in"
y = "5 in"
gap = "1/8 in"
[[measured]]
on = 2025-08-20
width = "38 5/32 in"
[[what_if]]
kind = "humidifier"
start = 2025-11-01
humidity = "40 %"
[crack]
seen = 2026-01-28
gap = "3 mm"
where = "middle"
""",
    """
[piece]
wood = { name = "my oak", radial_per_pct = 0.0016, tangential_per_pct = 0.0034 }
width = "900 mm"
thickness = "25 mm"
[base]
layout = "apron"
[[fastening]]
kind = "button"
gap = "3 mm"
[[board]]
width = "450 mm"
cut = "rift"
[[board]]
width = "450 mm"
cut = "35 deg"
[[measured]]
on = 2025-08-20
moisture = "9 %"
wood_temp = "50 °F"
""",
    """
[piece]
wood = "cherry"
width = "14 1/2 in"
length = "26 in"
thickness = "1/2 in"
[[fastening]]
kind = "panel"
rail = "along the grain"
gap = "1/8 in"
edge_in_groove = "1/4 in"
""",
)
VALUES = (
    "1,219 mm", "1.219 mm", "25 m", "38 ft", "0.001 mm", "1e40 mm", "-3 mm", "--3 mm", "0 in",
    "nan in", "inf mm", "٣ mm", "1/0 in", "½ in", "3/4 in", "19 mm", "38 in", "965 mm", "", " ",
    "3", "2 in 3 ft", "1'219 mm", "0.075", "7.5 %", "45 %", "0.5 %", "200 %", "-1 %", "nan %",
    "2025-02-14", "20245-02-14", "0001-01-01", "3/4/2025", "9999-12-31", "14 Feb 1850",
    "across the grain", "side", "clip", "panel", "door", "apron", "none", "polyurethane", "red oak",
    "x" * 5000, "\x1b[2J\x9b31m", "\u202egnp.exe", "a\nb", "💥", "\x00",
)  # fmt: skip
OTHERS = (
    0, 1, 3, -1, 200, 10**9, 10**30, 0.0, 0.075, 7.5, 1e-9, 1e308, float("nan"), float("inf"),
    True, False, [], {}, [1, "2 in"], ["2 in", "2 in"], {"at": "3 in"}, {"kind": "oil"},
    datetime.date(2025, 2, 14), datetime.date(1, 1, 1), datetime.date(9999, 12, 31),
    datetime.datetime(2025, 2, 14, 12, 30), datetime.time(7, 30),
    {"radial_per_pct": 1e-9, "tangential_per_pct": 0.003},
    {"radial_per_pct": 0.004, "tangential_per_pct": 0.003},
)  # fmt: skip
MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, '"': 25.4, "'": 304.8}
LONG_SIZES = {"kerf_length", "mortise_length", "bolt_pitch", "glued_length", "spread", "x", "y"}


def spoilt(rng, sheets=SHEETS):
    """Draw a sheet and spoil it in one to four places."""
    tables = tomllib.loads(rng.choice(sheets))
    for _ in range(rng.choice((1, 1, 2, 3, 4))):
        _spoil(rng, tables)
    return tables


def _spoil(rng, tables):
    name = rng.choice(list(tables))
    here = tables[name]
    row = rng.choice(here) if isinstance(here, list) and here else here
    if not isinstance(row, dict) or not row:
        tables[name] = rng.choice(OTHERS)
        return
    key = rng.choice(list(row))
    way = rng.random()
    if way < 0.6:
        row[key] = copy.deepcopy(rng.choice(VALUES) if rng.random() < 0.6 else rng.choice(OTHERS))
    elif way < 0.7:
        del row[key]
    elif way < 0.8:
        row[_typo(rng, key)] = row.pop(key)
    elif way < 0.88:
        other = rng.choice(list(tables))
        if isinstance(tables[other], dict):
            tables[other][key] = row[key]
    elif way < 0.94:
        tables[name] = [row] if isinstance(here, dict) else row
    else:
        tables[_typo(rng, name)] = tables.pop(name)


def _typo(rng, word):
    at = rng.randrange(len(word))
    letter = rng.choice("aeioxz_")
    return rng.choice((word[:at] + word[at + 1 :], word[:at] + letter + word[at:])) or "z"


def toml(value):
    """Write a value as TOML, by a writer of its own."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{json.dumps(k)} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True).replace("\x7f", "\\u007f")
    if isinstance(value, float):
        return repr(value)
    return str(value) if isinstance(value, int) else value.isoformat()


def text_of(tables, rng=None):
    """Write a sheet; with `rng`, in any order of tables and keys, with remarks and blank lines."""
    blocks = []
    for name, value in tables.items():
        rows = (
            value if isinstance(value, list) and all(isinstance(r, dict) for r in value) else None
        )
        if rows:
            blocks.append("\n".join(_table(f"[[{json.dumps(name)}]]", row, rng) for row in rows))
        elif isinstance(value, dict):
            blocks.append(_table(f"[{json.dumps(name)}]", value, rng))
        else:
            blocks.insert(0, f"{json.dumps(name)} = {toml(value)}")
    if rng is not None:
        rng.shuffle(blocks)
    return "\n".join(blocks) + "\n"


def _table(header, row, rng):
    lines = [f"{json.dumps(key)} = {toml(value)}" for key, value in row.items()]
    if rng is not None:
        rng.shuffle(lines)
        lines = [f"  {line}  # remark = 3" if rng.random() < 0.3 else line for line in lines]
        lines.insert(rng.randrange(len(lines) + 1), "")
    return "\n".join([header, *lines])


def length_mm(value):
    """Read a length by a reader of its own; None where it is no length."""
    if not isinstance(value, str):
        return None
    total, sign = 0.0, -1 if value.strip().startswith("-") else 1
    value = value.replace("½", " 1/2")
    found = re.findall(r"(\d+\s+\d+/\d+|\d+/\d+|\d+[.,]?\d*)\s*(mm|cm|m|in|ft|\"|')", value)
    for amount, unit in found:
        try:
            number = sum(Fraction(one) for one in amount.replace(",", ".").split())
        except (ValueError, ZeroDivisionError):
            return None
        total += float(number) * MM[unit]
    return sign * total if found else None


def percent(value):
    """Read a percentage; None where it is none."""
    found = re.fullmatch(r"\s*(-?[\d.]+)\s*%?\s*", str(value))
    return float(found[1]) if found and not isinstance(value, bool) else None


def impossible(tables):
    """Name what no furniture can be in a sheet; None where nothing is seen to be."""
    piece = tables.get("piece", {})
    if not isinstance(piece, dict):
        return "no piece"
    checks = [*_of_piece(piece, tables), *_of_rows(tables, piece)]
    return next((says for says, wrong in checks if wrong), None)


def _outside(value, low, high):
    return value is not None and not low <= value <= high


def _of_piece(piece, tables):
    width, thickness = length_mm(piece.get("width")), length_mm(piece.get("thickness"))
    kinds = {row.get("kind") for row in _rows(tables, "fastening")}
    floor = "floor" in kinds or "floor" in str(_table_of(tables, "base").get("layout"))
    yield "width", _outside(width, 15, 35_000 if floor else 5_000) or width is None
    yield "length", _outside(length_mm(piece.get("length")), 15, 35_000)
    yield "thickness", _outside(thickness, 1.5, 250) or thickness is None
    yield "moisture", _outside(percent(piece.get("moisture_when_fixed", 8)), 1, 35)
    said = [str(value) for key, value in piece.items() if key != "name"]
    yield "thousands", any("1,219" in one or "1'219" in one for one in said)
    day = piece.get("fixed_on")
    yield "year", isinstance(day, datetime.date) and not 1900 <= day.year <= 2100
    wood = piece.get("wood")
    if isinstance(wood, dict):
        radial, tangential = wood.get("radial_per_pct", 0), wood.get("tangential_per_pct", 0)
        yield "wood", not 0.0001 < radial <= tangential < 0.02
    for face in _table_of(tables, "finish").values():
        yield "coats", isinstance(face, dict) and not 0 <= face.get("coats", 1) <= 20


def _of_rows(tables, piece):
    width = length_mm(piece.get("width"))
    boards = [length_mm(row.get("width")) for row in _rows(tables, "board")]
    if boards and width and None not in boards:
        yield "boards", abs(sum(boards) / width - 1) > 0.05
    fixed = piece.get("fixed_on")
    for row in _rows(tables, "measured"):
        mm, on = length_mm(row.get("width")), row.get("on")
        yield "measured width", bool(mm and width and abs(mm / width - 1) > 0.1)
        both = type(on) is datetime.date and type(fixed) is datetime.date
        yield "measured before it was fixed", both and on < fixed
    for row in _rows(tables, "fastening"):
        yield "count beside x", "count" in row and ("x" in row or "y" in row)
        yield "rail", "rail" in row and not str(row["rail"]).strip()
        yield "count", isinstance(row.get("count"), int) and not 0 < row["count"] <= 100
        for key, value in row.items():
            mm = length_mm(value) if key not in ("kind", "rail", "name", "rail_at") else None
            most = 35_000 if key in LONG_SIZES else 150
            yield key, mm is not None and (mm > most or (mm < 0 and key not in ("x", "y")))
            yield "play", key == "play" and mm is not None and mm > 5


def _table_of(tables, name):
    value = tables.get(name, {})
    return value if isinstance(value, dict) else {}


def _rows(tables, name):
    value = tables.get(name, [])
    rows = value if isinstance(value, list) else [value]
    return [row for row in rows if isinstance(row, dict)]


def faults_of(text, tables, read):
    """Read one spoilt sheet and name what is wrong with how it was dealt with; None where nothing.

    Parameters
    ----------
    text, tables
        The sheet, written and as tables; None for a sheet that is not judged once it is taken.
    read : function of a text
        Gives the piece, or raises.
    """
    from climlog.errors import ClimlogError, SeveralFaultsError

    try:
        read_as = read(text)
    except ClimlogError as error:
        said = str(error)
        lines = error.faults if isinstance(error, SeveralFaultsError) else (said,)
        if "piece.toml" not in said:
            return f"the sheet is not named: {said}"
        if any(len(one) > 330 for one in lines):
            return f"a message of {max(map(len, lines))} letters"
        if "x" * 61 in said or not said.replace("\n", "?").isprintable() or "\n" in said:
            return f"input repeated as it is: {said[:300]!r}"
        return None
    except Exception as error:  # noqa: BLE001 - any other is what is sought
        return f"{type(error).__name__}: {error}"
    return None if tables is None else wrong_with(read_as, tables)


def wrong_with(piece, tables):
    """Name what is wrong with a piece that was taken; None where nothing."""
    wrong = impossible(tables)
    if wrong is not None:
        return f"taken, though its {wrong} is impossible"
    numbers = [piece.width_mm, piece.length_mm, piece.thickness_mm]
    numbers += [x for one in piece.fastenings for x in (one.x_mm, one.y_mm, *one.sizes_mm.values())]
    return None if all(abs(one) < 1e6 for one in numbers) else "a number that is none"
