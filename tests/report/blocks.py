"""Runs of every job, real and made, whose answers and letters are counted: each verdict of each.

The made ones are results of the samples with what decides replaced: their figures need not fit
together, for only the words are looked at.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.result import Conclusion
from climlog.analysis.place.air_range import analyse_air_range
from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.verdict import Verdict
from climlog.analysis.place.year import Surroundings, analyse_in_year
from climlog.analysis.room.room import analyse_room
from climlog.importer.read import read_log
from climlog.importer.weather import read_weather
from climlog.model.indoor import house_named
from climlog.sheets.crack import Seen, read_seen
from climlog.sheets.piece import read_piece
from climlog.sheets.quick import QuickPiece
from climlog.sheets.stock import read_stock
from tests.analysis.made import steady_log
from tests.places import SAMPLES

SHEETS = (
    "dining_table", "wide_top_slots", "breadboard_table", "cupboard_door", "held_top",
)  # fmt: skip
HOUSE, PHONE, SHOP = "ferry_house_dining_room", "three_weeks_phone", "shop"


@cache
def log_of(name):
    return read_log([SAMPLES / f"{name}.csv"])


@cache
def sheet_of(name):
    return read_piece(SAMPLES / f"{name}.toml")


@cache
def quick(**asked):
    given = {"wood": "white oak", "width": "900 mm", "thickness": "22 mm"} | asked
    return QuickPiece(**given).piece()


@cache
def outdoors():
    return read_weather(SAMPLES / "ferry_house_outdoors.csv")


@cache
def place(sheet="dining_table", log=HOUSE, units="inch"):
    return analyse_place(sheet_of(sheet), log_of(log), units=units)


@cache
def quick_place(log=HOUSE, **asked):
    return analyse_place(quick(**asked), log_of(log))


@cache
def projected(sheet="wide_top_slots", log=PHONE):
    return analyse_in_year(sheet_of(sheet), Surroundings(log_of(log), outdoors()))


@cache
def in_a_house(sheet="wide_top_slots"):
    kind = house_named("iso13788-class-2", heating_c=20.0)
    return analyse_in_year(sheet_of(sheet), Surroundings(None, outdoors(), kind))


def judged(result, verdict, share, **more):
    """The same with another verdict."""
    return replace(
        result, as_a_set=replace(result.as_a_set, verdict=verdict, share_of_draws=share), **more
    )


KNOWN = {"fixed_on": "2025-02-14", "moisture_when_fixed": "7.5 %"}
PLACE: dict[str, Callable[[], object]] = {
    **{one: (lambda one=one: place(one)) for one in SHEETS},
    **{f"{one} in three weeks": (lambda one=one: place(one, PHONE)) for one in SHEETS[:2]},
    **{f"{one} projected": (lambda one=one: projected(one)) for one in SHEETS[:3]},
    "a house alone": in_a_house,
    "a house alone, runs out": lambda: in_a_house("dining_table"),
    "close": lambda: judged(place("wide_top_slots"), Verdict.CLOSE, 0.3),
    "close, a change": lambda: judged(place("breadboard_table"), Verdict.CLOSE, 0.3),
    "close, no change": lambda: judged(place("wide_top_slots"), Verdict.CLOSE, 0.3, remedies=()),
    "runs out, no change": lambda: judged(
        place("held_top"), Verdict.RUNS_OUT, 0.9, remedies=(), fixing=None
    ),
    "no fastenings": lambda: quick_place(**KNOWN),
    "no fastenings, no moisture": lambda: quick_place(fixed_on="2025-02-14"),
    "no fastenings, three weeks": lambda: quick_place(PHONE),
    "one clip, rails open": lambda: quick_place(fastening="clip", **KNOWN),
    "button, rails open, no moisture": lambda: quick_place(fastening="button"),
    "clips all round, no moisture": lambda: quick_place(fastening="clip", layout="apron"),
    "slab": lambda: quick_place(fastening="slot", layout="slab on a frame", **KNOWN),
    **{
        one: (lambda one=one: quick_place(layout=one, **KNOWN))
        for one in ("breadboard ends", "panel in a frame", "door", "drawer front")
    },
    "floor": lambda: quick_place(
        layout="floor between walls", width="5 m", length="4 m", board_width="120 mm", **KNOWN
    ),
    "floor, no boards told": lambda: quick_place(
        layout="floor between walls", width="5 m", **KNOWN
    ),
    "steady air": lambda: analyse_place(
        sheet_of("dining_table"), steady_log(400, start="2025-01-01")
    ),
}
AIR = "30 to 60 % RH at 20 C"
RANGE: dict[str, Callable[[], object]] = {
    "fixed": lambda: analyse_air_range(sheet_of("dining_table"), AIR),
    "as drawn, moisture open": lambda: analyse_air_range(
        replace(sheet_of("dining_table"), moisture_when_fixed_pct=None), AIR
    ),
    "bare": lambda: analyse_air_range(quick(), AIR),
    "bare, fixed": lambda: analyse_air_range(quick(**KNOWN), AIR),
    "rails open": lambda: analyse_air_range(quick(fastening="clip"), AIR),
}


@cache
def stock():
    return read_stock(SAMPLES / "stock.toml")


def drier(log, points):
    return replace(log, rh_pct=np.clip(log.rh_pct - points, 3.0, 99.0), files=("upstairs.csv",))


@cache
def room(shift=0.0, with_stock=True, second=None, **asked):
    log = log_of("drying_room")
    if shift:
        log = replace(drier(log, shift), files=log.files)
    other = None if second is None else drier(log, second)
    return analyse_room(log, stock() if with_stock else None, second=other, **asked)


def many(count):
    boards = tuple(
        replace(one, name=f"{one.name} {n}") for n in range(count) for one in stock().boards
    )
    return replace(stock(), boards=boards)


@cache
def room_of_many():
    return analyse_room(log_of("drying_room"), many(3))


@cache
def for_client(shift=0.0, pieces=("dining_table",), with_stock=False):
    log = drier(log_of(SHOP), shift)
    return analyse_room(
        log, stock() if with_stock else None, client=log_of(HOUSE),
        pieces=tuple(sheet_of(one) for one in pieces),
    )  # fmt: skip


ROOM: dict[str, Callable[[], object]] = {
    "the sample": room,
    "no stock": lambda: room(with_stock=False),
    "a target": lambda: room(with_stock=False, target_pct=7.0),
    "a target far off": lambda: room(with_stock=False, target_pct=12.0),
    "a target too dry for a room": lambda: room(with_stock=False, target_pct=3.0),
    "a target of mould": lambda: room(with_stock=False, target_pct=18.0),
    "on target": lambda: room(with_stock=False, target_pct=round(room().room.recent.emc_pct, 1)),
    "damp": lambda: room(shift=-35.0),
    "dry": lambda: room(shift=20.0),
    "loggers that agree": lambda: room(second=-1.0),
    "loggers that differ": lambda: room(second=-8.0),
    "loggers that differ, no stock": lambda: room(with_stock=False, second=-8.0, target_pct=7.0),
    "tried": lambda: room(tried_rh_pct=35.0),
    "tried, none keeps it": lambda: room(tried_rh_pct=12.0, tried_temp_c=4.0),
    "fifteen boards": room_of_many,
    "for a client": for_client,
    "for a client, damp": lambda: for_client(-25.0, ("dining_table", "cupboard_door", "held_top")),
    "for a client with stock": lambda: for_client(with_stock=True),
    "for a client, no piece": lambda: for_client(pieces=()),
}


@cache
def crack(name, log=HOUSE, on=None, signs=(), gap=None):
    sheet = SAMPLES / f"{name}.toml"
    return analyse_crack(sheet_of(name), log_of(log), read_seen(sheet, on, gap, signs))


@cache
def bare_crack():
    piece = replace(sheet_of("crack_held_top"), fastenings=())
    return analyse_crack(piece, log_of(HOUSE), Seen(date(2026, 1, 20)))


@cache
def seen_early(on):
    piece = replace(sheet_of("crack_held_top"), fixed_on=date(2024, 11, 3))
    return analyse_crack(piece, log_of(HOUSE), Seen(on))


DAMAGES = ("split-panel", "cupped", "crowned", "jams", "shows-a-line", "opened-mitre")
CRACK: dict[str, Callable[[], object]] = {
    "held": lambda: crack("crack_held_top"),
    "crushed": lambda: crack("crack_blocked_summer"),
    "gentle": lambda: crack("crack_gentle_year", SHOP),
    "log after the crack": lambda: seen_early(date(2025, 1, 10)),
    "log before the crack": lambda: crack("crack_held_top", PHONE, on="2026-03-01"),
    "no fastenings": bare_crack,
    "no sign told": lambda: analyse_crack(
        sheet_of("crack_held_top"), log_of(HOUSE), Seen(date(2026, 1, 20))
    ),
    "a part": lambda: replace(crack("crack_blocked_summer"), conclusion=Conclusion.PART),
    **{one: (lambda one=one: crack("crack_held_top", signs=(f"damage={one}",))) for one in DAMAGES},
}
