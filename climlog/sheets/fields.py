"""The one table of everything that may stand in a sheet.

Reader, quick form, interview and starting sheets all go by it: a new key is one Field here.
"""

from dataclasses import dataclass
from datetime import date

from climlog.errors import ImpossibleValueError, UnusableInputError
from climlog.model.board import BARE, Finish, HowMeasured, Rail, Wood
from climlog.model.finishes import finish_named
from climlog.model.movement import tangential_share_of
from climlog.model.woods import wood_named, woods_called
from climlog.sheets.bounds import bound
from climlog.sheets.layouts import layout_names
from climlog.sheets.reading import (
    as_angle_deg,
    as_count,
    as_day,
    as_days,
    as_length_mm,
    as_lengths_mm,
    as_moisture_pct,
    as_month,
    as_number,
    as_percent,
    as_room_mm,
    as_share,
    as_size_mm,
    as_temp_c,
    as_text,
    as_weight_g,
    as_yes,
    one_of,
    quoted,
)
from climlog.sheets.section import Field, Section
from climlog.sheets.sheet import inline
from climlog.tables import find, load_table, names_of

USUAL_GRAVITY = 0.60
"""Of an own wood whose specific gravity is not given: a middling hardwood, own default."""
SHOWN_COATS = 3
RAIL_NAMES = {Rail.ACROSS: ("across",), Rail.ALONG: ("along",)}
HOW_NAMES = {
    HowMeasured.OVEN: ("oven-dry", "oven dry sample"),
    HowMeasured.PIN_METER: ("meter", "pinless meter", "moisture meter"),
    HowMeasured.GUESS: ("guessed", "estimate"),
}


@dataclass(frozen=True)
class Cut:
    """How boards were sawn: the word as given, and the tangential part of their movement."""

    word: str
    tangential_share: float


@dataclass(frozen=True)
class WoodAsked:
    """A wood as it was named, and the woods that may be meant: several where the name is plain."""

    word: str
    woods: tuple[Wood, ...]


@dataclass(frozen=True)
class Rails:
    """Rails that run one way: distances from the middle of the top, and their thickness, in mm."""

    at_mm: tuple[float, ...]
    thick_mm: float | None = None


@dataclass(frozen=True)
class Sample:
    """A slice cut from a board and dried in an oven, both in g."""

    wet_g: float
    dry_g: float


def as_our_day(value: object) -> date:
    """Read a day from 1900 to 2100."""
    day = as_day(value)
    bound("day.year").require(day.year, f"the year of {day.isoformat()}")
    return day


def as_rail(value: object) -> Rail:
    """Read which way a rail runs."""
    return Rail(
        find({str(rail): words for rail, words in RAIL_NAMES.items()}, as_text(value), "rail")
    )


def as_how(value: object) -> HowMeasured:
    """Read how a moisture was found."""
    names = {str(how): words for how, words in HOW_NAMES.items()}
    return HowMeasured(find(names, as_text(value), "way to measure"))


def as_cut(value: object) -> Cut:
    """Read a cut, or a ring angle."""
    word = as_text(value)
    return Cut(word, tangential_share_of(word))


def as_finish(value: object) -> Finish:
    """Read a finish: a kind, or `{ kind = "polyurethane", coats = 3 }`."""
    if isinstance(value, str):
        text = as_text(value)
        return BARE if text.lower() == "none" else finish_named(text, None)
    given = inline(FINISH_IN_LINE, value)
    kind, coats = given.get("kind", str) or "", given.get("coats", int)
    return BARE if kind.lower() == "none" else finish_named(kind, coats)


def as_wood(value: object) -> Wood:
    """Read a wood by its name, or its own figures."""
    if isinstance(value, str):
        return wood_named(as_text(value))
    given = inline(OWN_WOOD, value)
    radial = given.get("radial_per_pct", float) or 0.0
    tangential = given.get("tangential_per_pct", float) or 0.0
    if radial > tangential:
        raise ImpossibleValueError(
            f"radial_per_pct {radial:g} is more than tangential_per_pct {tangential:g}: wood moves "
            "more along its rings than square to them; are they exchanged?"
        )
    return Wood(
        name=given.get("name", str) or "own figures",
        botanical_name="",
        radial_per_pct=radial,
        tangential_per_pct=tangential,
        radial_shrinkage_pct=_shrinkage_pct(radial),
        tangential_shrinkage_pct=_shrinkage_pct(tangential),
        specific_gravity=given.get("specific_gravity", float) or USUAL_GRAVITY,
        marks={"all": "given"},
        source="the sheet",
    )


def as_woods(value: object) -> WoodAsked:
    """Read a wood as `as_wood`, or a plain name such as "ash" that several have."""
    if isinstance(value, str):
        word = as_text(value)
        return WoodAsked(word, woods_called(word))
    own = as_wood(value)
    return WoodAsked(own.name, (own,))


def _shrinkage_pct(per_pct: float) -> float:
    """Total shrinkage that goes with a coefficient, by the handbook's own relation, from 30 %."""
    return 100 * 30 * per_pct / (1 + 20 * per_pct)


def as_rails(value: object) -> Rails:
    """Read `{ at = "31 in", thickness = "3/4 in" }`, one each side, or a list of places."""
    given = inline(RAILS, value if isinstance(value, dict) else {"at": value})
    at_mm: tuple[float, ...] = given.get("at", tuple) or ()
    if not at_mm and not given.has("thickness"):
        raise UnusableInputError('says nothing; write { at = "31 in", thickness = "3/4 in" }')
    if len(at_mm) == 1 and at_mm[0]:
        at_mm = (at_mm[0], -at_mm[0])
    if len({round(one, 1) for one in at_mm}) < len(at_mm):
        raise ImpossibleValueError("two rails stand at one place; give each its own")
    return Rails(at_mm, given.get("thickness", float))


def as_samples(value: object) -> tuple[Sample, ...]:
    """Read slices dried in an oven."""
    rows = value if isinstance(value, list) else [value]
    if not rows:
        raise UnusableInputError('is an empty list; write [{ wet = "52.3 g", dry = "47.1 g" }]')
    return tuple(_sample(row) for row in rows)


def _sample(row: object) -> Sample:
    given = inline(SAMPLE, row)
    sample = Sample(given.get("wet", float) or 0.0, given.get("dry", float) or 0.0)
    if sample.dry_g > sample.wet_g:
        raise ImpossibleValueError(f"dry {sample.dry_g:g} g is more than wet {sample.wet_g:g} g")
    return sample


def _what_if_names() -> dict[str, tuple[str, ...]]:
    return {str(name): () for name in load_table("what_ifs").index}


as_layout = one_of(layout_names, "layout")
as_kind = one_of(
    lambda: names_of("fastening_kinds"), "fastening", "climlog tables fastening lists them all"
)
as_what_if = one_of(_what_if_names, "what-if")


FINISH_IN_LINE = Section(
    "finish",
    (
        Field("kind", as_text, '"polyurethane"', needed=True),
        Field("coats", as_count, str(SHOWN_COATS), bound="finish.coats"),
    ),
)
OWN_WOOD = Section(
    "wood",
    (
        Field("name", as_text, '"my oak"'),
        Field("radial_per_pct", as_number, "0.0016", bound="own.radial_per_pct", needed=True),
        Field(
            "tangential_per_pct", as_number, "0.0034", bound="own.tangential_per_pct", needed=True
        ),
        Field("specific_gravity", as_number, "0.63", bound="own.specific_gravity"),
    ),
)
RAILS = Section(
    "rails",
    (
        Field("at", as_lengths_mm, '"31 in"', bound="rail.at"),
        Field("thickness", as_size_mm, '"3/4 in"', bound="rail.thickness"),
    ),
)
SAMPLE = Section(
    "samples",
    (
        Field("wet", as_weight_g, '"52.3 g"', bound="stock.weight", needed=True),
        Field("dry", as_weight_g, '"47.4 g"', bound="stock.weight", needed=True),
    ),
)

PIECE = Section(
    "piece",
    (
        Field("name", as_text, '"Dining table"', written=True),
        Field(
            "wood", as_woods, '"red oak"', "climlog tables wood lists them", needed=True,
            written=True, question="Which wood (climlog tables wood lists them)", usual="red oak",
        ),
        Field(
            "cut", as_cut, '"flat-sawn"',
            'flat-sawn, rift, quartersawn, or a ring angle such as "35 deg"', written=True,
            question="Cut: flat-sawn, rift, quartersawn, or a ring angle such as 35 deg",
            usual="flat-sawn",
        ),
        Field(
            "width", as_size_mm, '"38 in"', "across the grain: the direction that moves",
            bound="piece.width", needed=True, written=True,
            question="Width across the grain, with its unit", usual="38 in",
        ),
        Field(
            "length", as_size_mm, '"72 in"', "along the grain", bound="piece.length", written=True,
            question="Length along the grain", usual="72 in",
        ),
        Field(
            "thickness", as_size_mm, '"7/8 in"', bound="piece.thickness", needed=True,
            written=True, question="Thickness", usual="7/8 in",
        ),
        Field(
            "board_width", as_size_mm, '"120 mm"', "of a floor: of each of its boards",
            bound="piece.board_width", question="Width of each board of the floor", usual="120 mm",
        ),
        Field(
            "fixed_on", as_our_day, "2025-02-14", "the day it was or will be fastened down",
            question="Day it is fixed down, or later", usual="later",
        ),
        Field(
            "moisture_when_fixed", as_moisture_pct, '"7.5 %"',
            "of the wood that day; else give --made-in SHOPLOG",
            bound="piece.moisture_when_fixed", question="Its moisture that day, in %, or unknown",
            usual="unknown",
        ),
        Field(
            "measured_by", as_how, '"pin meter"', "oven, pin meter or guess: how sure that is",
            question="Measured by oven, pin meter or guess", usual="pin meter",
        ),
    ),
    "A piece, for climlog place and climlog crack. Lines behind # are optional: take the # away.\n"
    'Lengths carry their unit: "965 mm", "38 in", "37 15/16 in", "3 ft 2 in".',
    needed=True,
)  # fmt: skip
FINISH = Section(
    "finish",
    (
        Field(
            "show_face", as_finish, '"none"',
            'or { kind = "polyurethane", coats = 3 }: climlog tables finish', written=True,
            question="Finish on the show face, or none", usual="none",
        ),
        Field(
            "hidden_face", as_finish, '"none"', written=True,
            question="Finish on the hidden face, or none", usual="none",
        ),
    ),
)  # fmt: skip
BASE = Section(
    "base",
    (
        Field(
            "layout", as_layout, '"apron"', "places rails and fastenings by rule; or give them:",
            question="What it is",
        ),
        Field(
            "rails_across_grain", as_rails, '{ at = "31 in", thickness = "3/4 in" }', written=True,
            question="Rails across the grain: how far from the middle of the top", usual="31 in",
        ),
        Field(
            "rails_along_grain", as_rails, '{ at = "15 in", thickness = "3/4 in" }', written=True,
            question="Rails along the grain: how far from the middle of the top", usual="15 in",
        ),
    ),
    "What the top sits on: a named layout (apron, trestle, slab on a frame, breadboard ends,\n"
    "panel in a frame, door, drawer front, floor between walls), or the rails, each by its\n"
    "distance from the middle of the top, one each side.",
)  # fmt: skip
FASTENING = Section(
    "fastening",
    (
        Field("name", as_text, '"outer pegs"'),
        Field(
            "kind", as_kind, '"slot"', needed=True, written=True,
            question="Kind of fastening (climlog tables fastening lists them), or none",
            usual="slot",
        ),
        Field(
            "rail", as_rail, '"across the grain"', "across the grain or along the grain",
            written=True, question="On which rails",
        ),
        Field(
            "count", as_count, "3", bound="fastening.count", written=True,
            question="How many on each rail", usual="3",
        ),
        Field("spread", as_size_mm, '"30 in"', bound="fastening.spread", written=True),
        Field("rail_at", as_lengths_mm, '"-14 in"', "of these rails only", bound="fastening.place"),
        Field("x", as_length_mm, '"10 in"', bound="fastening.place"),
        Field("y", as_length_mm, '"-14 in"', bound="fastening.place"),
    ),
    "One block for each kind of fastening on each kind of rail; climlog tables fastening lists\n"
    "kinds and sizes. count is for each rail, spread is from the first to the last.",
    many=True,
    rows=(
        {},
        {"kind": '"button"', "rail": '"along the grain"', "count": "4", "spread": '"56 in"',
         "gap": '"1/8 in"'},
    ),
)  # fmt: skip
BOARD = Section(
    "board",
    (
        Field("width", as_size_mm, '"5 in"', bound="board.width", needed=True, written=True),
        Field("cut", as_cut, '"rift"', needed=True, written=True),
    ),
    "Boards of several cuts in one top; their widths add up to its width:",
    many=True,
    rows=(),
)
MEASURED = Section(
    "measured",
    (
        Field("on", as_our_day, "2025-08-20", needed=True, written=True),
        Field("width", as_size_mm, '"38 5/32 in"', written=True),
        Field(
            "moisture", as_moisture_pct, '"9 %"',
            'of a pin meter; with its wood_temp = "50 °F" it is corrected',
            bound="measured.moisture", written=True,
        ),
        Field("weight", as_weight_g, '"24.3 kg"', bound="measured.weight"),
        Field("wood_temp", as_temp_c, '"50 °F"', bound="temperature.wood"),
    ),
    "What you really measured on the piece, to check and narrow the answer:",
    many=True,
    rows=(),
)  # fmt: skip
WHAT_IF = Section(
    "what_if",
    (
        Field("kind", as_what_if, '"humidifier"', needed=True, written=True),
        Field(
            "start",
            as_our_day,
            "2025-11-01",
            'or month = "November"; without either the worst month is sought',
            written=True,
        ),
        Field("month", as_month, '"November"'),
        Field("length", as_days, '"5 months"', bound="what_if.length", written=True),
        Field("temperature", as_temp_c, '"5 °C"', bound="what_if.temperature"),
        Field("humidity", as_percent, '"40 %"', bound="humidity", written=True),
        Field("log", as_text, '"other_place.csv"'),
    ),
    "What may happen to its air, for climlog place: cooling fails, heating stuck, humidifier,\n"
    "dehumidifier, shut up, in store, move. A temperature, a humidity, a log go where they fit:",
    many=True,
    rows=(),
)
CRACK = Section(
    "crack",
    (
        Field("seen", as_our_day, "2026-01-28", written=True),
        Field("delivered", as_our_day, "2025-07-12", "the day it left the shop"),
        Field("gap", as_size_mm, '"3 mm"', bound="crack.gap", written=True),
    ),
    "What was seen of a crack, for climlog crack; climlog crack --list-signs lists the rest:",
    rows=(),
)
PIECE_SHEET = (PIECE, FINISH, BASE, FASTENING, BOARD, MEASURED, WHAT_IF, CRACK)

STOCK = Section(
    "stock",
    (
        Field("name", as_text, '"Oak for the table"', written=True),
        Field(
            "target", as_moisture_pct, '"7.5 %"',
            "moisture the wood should reach; a board may have its own", bound="stock.target",
            written=True,
        ),
        Field(
            "tolerance", as_percent, '"0.5 %"',
            "ready when within this of the target, shell and core too", bound="stock.spread",
            written=True,
        ),
        Field(
            "meter_calibrated_at", as_temp_c, '"20 °C"',
            "of the pin meter, to correct readings of cold or warm wood", bound="temperature.wood",
        ),
        Field(
            "largest_gap", as_percent, '"5 %"',
            "warn where the air stands further below the wood than this", bound="stock.spread",
        ),
    ),
    "Stock waiting in a room, for climlog room. Lines behind # are optional: take the # away.",
)  # fmt: skip
MOISTURE_OF_STOCK = Field(
    "moisture", as_moisture_pct, '"11 %"',
    "by meter, mean of the board: pins at a quarter of the thickness", bound="stock.moisture",
    written=True,
)  # fmt: skip
READING = Section(
    "board.reading",
    (
        Field("on", as_our_day, "2025-03-17", needed=True, written=True),
        Field("moisture", as_moisture_pct, '"9.6 %"', bound="stock.moisture"),
        Field("weight", as_weight_g, '"4265 g"', bound="stock.weight", written=True),
        Field("how", one_of(lambda: {"meter": (), "oven": ()}, "way to measure"), '"oven"'),
        Field("wood_temp", as_temp_c, '"12 °C"', bound="temperature.wood"),
    ),
    "and so on, whenever the board was looked at again",
    many=True,
    rows=(),
)
STOCK_BOARD = Section(
    "board",
    (
        Field("name", as_text, '"top 1"', written=True),
        Field("wood", as_wood, '"red oak"', "climlog tables wood lists them all", needed=True,
              written=True),
        Field("cut", as_cut, '"flat-sawn"', written=True),
        Field("thickness", as_size_mm, '"1 1/8 in"', bound="stock.thickness", needed=True,
              written=True),
        Field("finish", as_finish, '"none"'),
        Field("ends_sealed", as_yes, "true", written=True),
        Field("target", as_moisture_pct, '"8 %"', bound="stock.target"),
        Field("tolerance", as_percent, '"0.5 %"', bound="stock.spread"),
        Field("measured_on", as_our_day, "2025-03-03", written=True),
        MOISTURE_OF_STOCK,
        Field("how", one_of(lambda: {"meter": (), "oven": ()}, "way to measure"), '"oven"',
              "where that moisture comes from an oven-dry sample"),
        Field("wood_temp", as_temp_c, '"12 °C"', "of the wood when the meter was read",
              bound="temperature.wood"),
        Field("weight", as_weight_g, '"4310 g"',
              "weighed the same day: later weights then tell the moisture", bound="stock.weight"),
        Field("oven_dry", as_weight_g, '"3920 g"', "its weight without any water, where known",
              bound="stock.weight"),
        Field("samples", as_samples,
              '[{ wet = "52.3 g", dry = "47.4 g" }, { wet = "49.8 g", dry = "45.2 g" }]',
              "in place of moisture: slices of both its ends, weighed at once and oven-dry"),
    ),
    many=True,
    needed=True,
    rows=(
        {"name": '"top 1"'},
        {
            "name": '"top 2, a sample board"', "cut": '"quartersawn"', "moisture": "",
            "how": "", "wood_temp": "", "oven_dry": "", "finish": "",
            "samples": '[{ wet = "52.3 g", dry = "47.4 g" }, { wet = "49.8 g", dry = "45.2 g" }]',
            "weight": '"4310 g"',
        },
    ),
)  # fmt: skip
STOCK_SHEET = (STOCK, STOCK_BOARD, READING)


HOUSE = Section(
    "house",
    (
        Field("heating", as_temp_c, bound="temperature.house"),
        Field("cooling", as_temp_c, bound="temperature.house"),
        Field("humidifier", as_percent, bound="humidity"),
    ),
)


def size_fields(kind: str) -> tuple[Field, ...]:
    """List the sizes that a kind of fastening may be given, by tables/fastening_sizes.csv."""
    rows = load_table("fastening_sizes")
    own = rows[rows.index.str.startswith(f"{kind}.")]
    return tuple(_size_field(str(key), str(words)) for key, words in own["words"].items())


def any_size_keys() -> list[str]:
    """List the keys of every size of every kind."""
    kinds = load_table("fastening_kinds").index
    return list(dict.fromkeys(one.key for kind in kinds for one in size_fields(str(kind))))


def as_made_mm(value: object) -> float:
    """Read a size of a fastening: nothing at all, or no finer than anybody makes it, in mm."""
    length_mm = as_room_mm(value)
    if length_mm:
        bound("any.finest_mm").require(length_mm, quoted(value))
    return length_mm


def _size_field(key: str, words: str) -> Field:
    size = key.partition(".")[2]
    for ending, read in (("_mm", as_made_mm), ("_deg", as_angle_deg)):
        if size.endswith(ending):
            return Field(size.removesuffix(ending), read, comment=words, bound=key)
    return Field(size, as_share, comment=words, bound=key)
