"""The piece as the page draws it while it is filled in: read by the sheet's own reader.

What is wrong is told by the key it belongs to, what is open is asked, what was assumed is listed.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from climlog.desk.asked import Tables
from climlog.errors import ClimlogError
from climlog.model.board import Fastening, Piece, Rail
from climlog.model.fastening.kinds import kind_named
from climlog.sheets.layouts import belongs
from climlog.sheets.piece import ReadPiece, piece_of
from climlog.sheets.places import Path
from climlog.sheets.sheet import Sheet

WHERE = "the piece"
TURNS = ("cant_deg", "slot_turned_deg")
"""Sizes that turn a fastening."""
FREE_SEATS = ("line", "leg", "bar", "end")
"""Where a fastening may stand anywhere on the top; on a rail it slides along the rail."""
ON_A_RAIL = "rail"
WORDS_MM_DIGITS = 3


class Keys:
    """Places told by table and key, for a form that has a field for each."""

    def place(self, path: Path) -> str:
        """Join the path: "piece.width", "fastening.2.kind"."""
        return ".".join(str(part) for part in path)

    def whole(self, place: str, says: str) -> str:
        """Say what is wrong alone: the field is beside it."""
        return says

    def settles(self, path: Path, answer: str) -> str:
        """Name the field."""
        return f"{path[-1]} = {answer}"

    def trimmed(self, path: Path, says: str) -> str:
        """Leave the key out."""
        return says.removeprefix(f"{path[-1]}: ") if path else says


@dataclass(frozen=True)
class Described:
    """A piece read from tables, or what is wrong with them."""

    read: ReadPiece | None
    faults: tuple[tuple[str, str], ...]


def read_tables(tables: Tables) -> Described:
    """Read the tables of a piece; every fault is kept with its key."""
    sheet = Sheet(WHERE, tables, Keys())
    try:
        return Described(piece_of(sheet), ())
    except ClimlogError as error:
        found = [(one.place, one.says) for one in sheet.faults] or [("", str(error))]
        return Described(None, tuple(dict.fromkeys(found)))


def described(tables: Tables) -> dict[str, object]:
    """Give everything that the page draws and asks of a piece."""
    from climlog.report.place.fastenings import view_of

    found = read_tables(tables)
    faults = [{"place": place, "says": says} for place, says in found.faults]
    if found.read is None:
        return {"faults": faults}
    piece = found.read.piece
    return {
        "faults": faults,
        "piece": {
            "name": piece.name,
            "wood": piece.wood.name,
            "view": view_of(piece)._asdict(),
            "width_mm": piece.width_mm,
            "length_mm": piece.length_mm,
            "thickness_mm": piece.thickness_mm,
            "rails": {
                "across": list(piece.base.rails_across_grain_x_mm),
                "along": list(piece.base.rails_along_grain_y_mm),
            },
            "fastenings": [_fastening(one) for one in piece.fastenings],
        },
        "assumed": [*piece.assumed, *_assumed_sizes(piece)],
        "open": [
            {
                "place": list(one.place),
                "asks": f"{one.asks}?",
                "choices": list(one.choices),
                "example": one.example,
            }
            for one in _once(found.read)
        ],
        "placed": is_placed(tables),
    }


def _once(read: ReadPiece) -> list:  # type: ignore[type-arg]
    """Ask what several fastenings ask alike for the first of them."""
    return list({(one.asks, one.place): one for one in read.open}.values())


def is_placed(tables: Tables) -> bool:
    """Whether every fastening of a sheet stands at a place of its own."""
    rows = tables.get("fastening")
    return bool(rows) and all(
        isinstance(row, Mapping) and ("x" in row or "y" in row)
        for row in (rows if isinstance(rows, list) else [rows])
    )


def _fastening(one: Fastening) -> dict[str, object]:
    kind = kind_named(one.kind)
    turn = next((name for name in TURNS if name in one.sizes_mm), "")
    return {
        "name": one.name,
        "kind": one.kind,
        "words": kind.words,
        "form": str(kind.form),
        "rail": str(one.rail),
        "x_mm": one.x_mm,
        "y_mm": one.y_mm,
        "slides": "rail" if _seat(one) == ON_A_RAIL else "top" if _seat(one) in FREE_SEATS else "",
        "turn": turn.removesuffix("_deg"),
        "turn_deg": one.sizes_mm.get(turn, 0.0),
        "long_mm": _drawn_mm(one),
        "sizes": [
            {"key": _key(name), "value": value, "unit": _unit(name), "assumed": name in one.assumed}
            for name, value in one.sizes_mm.items()
        ],
    }


def _seat(one: Fastening) -> str:
    return belongs(one.kind).place


def _key(size: str) -> str:
    return size.removesuffix("_mm").removesuffix("_deg")


def _unit(size: str) -> str:
    return "mm" if size.endswith("_mm") else "deg" if size.endswith("_deg") else ""


def _drawn_mm(one: Fastening) -> float:
    """How long it is drawn: its plate, slot or tongue; nothing for what has none."""
    sizes = one.sizes_mm
    for name in ("hole_to_hole_mm", "slot_length_mm", "bolt_pitch_mm", "tongue_length_mm"):
        if name in sizes:
            return float(sizes[name])
    return 0.0


def _assumed_sizes(piece: Piece) -> list[str]:
    """Say once a kind which of its sizes are the usual ones of the tables."""
    found: dict[str, list[str]] = {}
    for one in piece.fastenings:
        named = [f"{_key(size).replace('_', ' ')} {_size(one, size)}" for size in one.assumed]
        known = found.setdefault(one.kind, [])
        known += [name for name in named if name not in known]
    return [f"{kind}: {', '.join(names)}" for kind, names in found.items() if names]


def _size(one: Fastening, name: str) -> str:
    value = f"{one.sizes_mm[name]:.{WORDS_MM_DIGITS}g}"
    return f"{value} {_unit(name)}".strip()


def rails_of(piece: Piece, rail: Rail) -> tuple[float, ...]:
    """Where the rails of a piece stand that run one way. [mm]."""
    base = piece.base
    return base.rails_across_grain_x_mm if rail is Rail.ACROSS else base.rails_along_grain_y_mm
