"""Random houses with a top that cracked for a known cause, worked out without climlog's model.

Air: a season, weather of a few days and a sensor that is a little off. Wood: one first-order lag
behind the printed table of equilibrium moisture, a straight coefficient, held by its own simple
rule. Only the readings, the sheet and the day somebody saw the crack are handed on.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd

from climlog.importer.log import Log, Sensor
from climlog.model.board import ACROSS, Fastening, Piece
from climlog.model.finishes import finish_named
from climlog.model.woods import wood_named
from climlog.sheets.crack import Seen

# "Wood Handbook", FPL-GTR-190 (2010), table 4-2, row 21.1 °C (30 to 95 % read).
TABLE_RH = np.array([0, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95], dtype=float)
TABLE_EMC = np.array([0, 1.3, 2.5, 4.5, 6.2, 7.7, 9.2, 11.0, 13.1, 16.0, 20.5, 23.9])
COEFFICIENTS = {"red oak": 0.00369, "black cherry": 0.00248, "hard maple": 0.00353}  # table 13-5
STEP_HOURS = 3
PER_DAY = 24 // STEP_HOURS
LIMITS = (0.004, 0.009)  # yield to failure: Mecklenburg and others, Getty 1998 (read)
ELASTIC = (0.005, 0.010)  # compression: Hoadley, Getty 1998 (read)


@dataclass
class House:
    """What nobody may look at: the truth; and what is handed on."""

    cause: str
    piece: Piece
    log: Log
    seen: Seen
    truth: dict[str, float] = field(default_factory=dict)


def rooms_air(rng, days, low, high, first=date(2024, 9, 1)):
    """Humidity each three hours: damp in late summer, dry in late winter."""
    count = days * PER_DAY
    day = np.arange(count) / PER_DAY + first.timetuple().tm_yday
    season = np.cos(2 * np.pi * (day - 220) / 365.25)
    weather = pd.Series(rng.normal(0, 1, count)).rolling(4 * PER_DAY, min_periods=1).mean()
    rh = (low + high) / 2 + (high - low) / 2 * season + 10 * weather.to_numpy()
    return np.clip(rh, 8, 92)


def lagged(emc, start, days):
    keep = np.exp(-1 / (days * PER_DAY))
    out, now = [], start
    for one in emc:
        now = one + (now - one) * keep
        out.append(now)
    return np.array(out)


def held_by(free, swell, shrink, elastic, keeps):
    """Stretch of a held top and its set, with its own plain rule for relaxation."""
    fade = keeps ** (1 / (90 * PER_DAY))
    stretch, crushed, eased, crushed_all = [], 0.0, 0.0, []
    for now in free:
        over = now - crushed + eased - swell
        crushed += max(over - elastic, 0.0)
        pull = -shrink - (now - crushed + eased)
        stretch.append(max(pull, 0.0))
        eased += max(pull, 0.0) * (1 - fade)
        crushed_all.append(crushed)
    return np.array(stretch), np.array(crushed_all)


def top(rng, swell_mm, shrink_mm, thickness_mm=19.0, show=None):
    """A flat-sawn top with two rows of slotted screws whose room each way is chosen."""
    wood = str(rng.choice(list(COEFFICIENTS)))
    width_mm = float(rng.uniform(500, 1000))
    row_mm = width_mm / 2 - 60
    room_mm, start = swell_mm + shrink_mm, shrink_mm / max(swell_mm + shrink_mm, 1e-9)
    sizes = {
        "slot_length_mm": 4.0 + room_mm,
        "slot_width_mm": 4.0,
        "shank_mm": 4.0,
        "slot_turned_deg": 0.0,
        "start_share": start,
        "play_mm": 0.0,
    }
    fastenings = tuple(
        Fastening(f"row {n}", "slot", ACROSS, x, side * row_mm, sizes)
        for n, (x, side) in enumerate(((-400, 1), (400, 1), (-400, -1), (400, -1)), 1)
    )
    return Piece(
        name="a top",
        wood=wood_named(wood),
        cut="flat-sawn",
        tangential_share=1.0,
        width_mm=width_mm,
        length_mm=1200.0,
        thickness_mm=thickness_mm,
        show_face=finish_named(show, 3) if show else finish_named("none"),
        fastenings=fastenings,
    )


def log_of(rng, rh, first):
    times = pd.date_range(datetime.combine(first, datetime.min.time()), periods=rh.size, freq="3h")
    read = np.clip(np.round(rh + rng.normal(0, 1.5), 1), 0, 100)
    temp = np.round(20 + rng.normal(0, 0.3, rh.size), 1)
    sensor = Sensor("room", "T", "°C", "RH", "%")
    return Log(("house.csv",), sensor, times, temp, read, rh.size, rh.size, {}, 180.0)


@dataclass(frozen=True)
class Truth:
    """Hidden figures of one house's wood."""

    coefficient: float
    lag_days: float
    limit: float
    elastic: float
    keeps: float

    @classmethod
    def drawn(cls, rng, piece, slow=1.0):
        lag = (piece.thickness_mm / 19.0) ** 1.5 * rng.uniform(8, 20) * slow
        return cls(
            COEFFICIENTS[piece.wood.name] * rng.uniform(0.85, 1.15),
            lag,
            rng.uniform(*LIMITS),
            rng.uniform(*ELASTIC),
            rng.uniform(0.35, 1.0),
        )


def emc_of(rh):
    return np.interp(rh, TABLE_RH, TABLE_EMC)


def seen_after(rng, crack_step, first, days):
    day = int(crack_step) // PER_DAY + int(rng.integers(0, 45))
    return first + timedelta(days=min(day, days - 1))


def restrained(cause, room, fixed_off, season, thickness_mm=19.0):
    """Make a builder of houses whose top is strained by its fastenings."""

    def build(rng) -> House | None:
        first, days = season(rng), 330
        low, high = room["air"](rng)
        rh = rooms_air(rng, days, low, high, first)
        piece = top(rng, room["swell"](rng), room["shrink"](rng), thickness_mm)
        truth = Truth.drawn(rng, piece)
        emc = emc_of(rh)
        balance = float(emc.mean())
        fixed = (balance if room["balanced"] else float(emc[: 20 * PER_DAY].mean())) + fixed_off(
            rng
        )
        moisture = lagged(emc, fixed, truth.lag_days)
        free = truth.coefficient * (moisture - fixed)
        reach = abs(piece.fastenings[0].y_mm)
        sizes = piece.fastenings[0].sizes_mm
        whole = sizes["slot_length_mm"] - sizes["shank_mm"]
        shrink, swell = (
            whole * sizes["start_share"] / reach,
            whole * (1 - sizes["start_share"]) / reach,
        )
        stretch, crushed = held_by(free, swell, shrink, truth.elastic, truth.keeps)
        passed = np.flatnonzero(stretch >= truth.limit)
        if not passed.size:
            return None
        alone, _ = held_by(free, np.inf, shrink, truth.elastic, truth.keeps)
        split = passed[0]
        by_set = alone[: split + 1].max() < 0.5 * truth.limit
        no_set = crushed[split] < 0.15 * truth.limit
        if (cause == "set") != by_set or (cause != "set" and not no_set):
            return None
        if cause in ("wrong_moisture", "wet_stock"):
            free = truth.coefficient * (lagged(emc, balance, truth.lag_days) - balance)
            well, _ = held_by(free, swell, shrink, truth.elastic, truth.keeps)
            if well.max() >= 0.5 * truth.limit:
                return None
        seen = Seen(seen_after(rng, split, first, days), None, {})
        piece = replace(
            piece, fixed_on=first, moisture_when_fixed_pct=round(fixed + rng.normal(0, 0.4), 1)
        )
        return House(cause, piece, log_of(rng, rh, first), seen, {"fixed": fixed})

    return build


def unstrained(cause, signs, shock):
    """Make a builder of houses whose fastenings are free, so that something else did it."""

    def build(rng) -> House | None:
        first, days = date(2024, 9, 1) + timedelta(days=int(rng.integers(0, 40))), 240
        rh = rooms_air(rng, days, rng.uniform(38, 42), rng.uniform(50, 55), first)
        split = int(rng.integers(120, 180)) * PER_DAY
        rh = shock(rng, rh, split)
        piece = top(rng, 15.0, 15.0, show="polyurethane" if cause == "one_face" else None)
        fixed = float(emc_of(rh)[: 20 * PER_DAY].mean())
        seen = Seen(
            first + timedelta(days=split // PER_DAY + int(rng.integers(2, 20))), None, signs
        )
        piece = replace(piece, fixed_on=first, moisture_when_fixed_pct=round(fixed, 1))
        return House(cause, piece, log_of(rng, rh, first), seen)

    return build


def steep_drop(rng, rh, split):
    dried = rh.copy()
    dried[split:] -= rng.uniform(20, 28)
    return np.clip(dried, 8, 92)


def warmer_spot(cause_c=5.0):
    """Tight tops in mild air, but 5 °C warmer at the piece from some day on."""

    def build(rng) -> House | None:
        first, days = date(2024, 9, 10), 240
        rh = rooms_air(rng, days, 43, 50, first)
        begins = int(rng.integers(60, 100)) * PER_DAY
        at_piece = rh.copy()
        # 5 °C warmer takes 50 % to 37 % (psychrometrics; trade texts print the same pair).
        at_piece[begins:] *= 0.74
        piece = top(rng, 15.0, 0.2)
        truth = Truth.drawn(rng, piece)
        emc = emc_of(at_piece)
        fixed = float(emc[: 20 * PER_DAY].mean())
        free = truth.coefficient * (lagged(emc, fixed, truth.lag_days) - fixed)
        shrink = 0.2 / abs(piece.fastenings[0].y_mm)
        stretch, _ = held_by(free, np.inf, shrink, truth.elastic, truth.keeps)
        passed = np.flatnonzero(stretch >= truth.limit)
        if not passed.size:
            return None
        seen = Seen(seen_after(rng, passed[0], first, days), None, {"heat": "yes"})
        piece = replace(piece, fixed_on=first, moisture_when_fixed_pct=round(fixed, 1))
        return House("local", piece, log_of(rng, rh, first), seen)

    return build


def nothing(rng, rh, split):
    return rh


def autumn(rng):
    return date(2024, 9, 20) + timedelta(days=int(rng.integers(0, 30)))


def spring(rng):
    return date(2024, 3, 1) + timedelta(days=int(rng.integers(0, 30)))


def even(low, high):
    return lambda rng: float(rng.uniform(low, high))


def dry_winter(rng):
    return rng.uniform(22, 28), rng.uniform(52, 60)


def damp_summer(rng):
    return rng.uniform(30, 36), rng.uniform(70, 78)


def mild(rng):
    return rng.uniform(38, 42), rng.uniform(50, 54)


BUILDERS: dict[str, Callable[[np.random.Generator], House | None]] = {
    "held": restrained(
        "held",
        {"air": dry_winter, "swell": even(4, 9), "shrink": even(0.0, 0.5), "balanced": True},
        even(-0.3, 0.3),
        autumn,
    ),
    "set": restrained(
        "set",
        {"air": damp_summer, "swell": even(0.0, 0.4), "shrink": even(0.2, 1.0), "balanced": False},
        even(-0.3, 0.3),
        spring,
    ),
    "wrong_moisture": restrained(
        "wrong_moisture",
        {"air": mild, "swell": even(3, 6), "shrink": even(0.6, 1.2), "balanced": True},
        even(2.0, 3.5),
        autumn,
    ),
    "wet_stock": restrained(
        "wet_stock",
        {"air": mild, "swell": even(3, 6), "shrink": even(0.5, 1.5), "balanced": True},
        even(4.0, 7.0),
        autumn,
        thickness_mm=45.0,
    ),
    "ends": unstrained("ends", {"where": "ends", "ends": "bare"}, steep_drop),
    "one_face": unstrained("one_face", {"cup": "down"}, steep_drop),
    "local": warmer_spot(),
    "unseen": unstrained("unseen", {"crack-faces": "glue-film"}, nothing),
}


def houses(cause, count, seed):
    """Draw houses until enough of them cracked for that cause."""
    rng = np.random.default_rng([seed, list(BUILDERS).index(cause)])
    found: list[House] = []
    for _ in range(400 * count):
        one = BUILDERS[cause](rng)
        if one is not None:
            found.append(one)
        if len(found) == count:
            return found
    raise AssertionError(f"{cause}: only {len(found)} houses cracked")
