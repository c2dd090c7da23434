"""The lives of pieces that crack: rooms, boards and holdings of a simulator that is not climlog's.

Air is a heated house as a vapour balance against its own weather; sorption by the printed table; a
board of finite volumes (all stories at once), ends as a lag, set and relaxation by a plain rule.
`live` lives through stories of a cause; `crack_stories.py` hands them on and judges.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

FIRST_DAY = date(2023, 6, 1)
DAYS = 900
PER_DAY = 4
STEPS = DAYS * PER_DAY
CELLS = 9
CAUSES = ("held", "set", "ends", "wrong_moisture", "one_face", "wet_stock", "local", "unseen")
UNSEEN_KINDS = ("glue", "knock", "old check", "knot", "water")
# "Wood Handbook", FPL-GTR-190 (2010), table 4-2, row 21.1 °C (read); 0.02 % less per °C above it.
TABLE_RH = np.array([0, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 99], dtype=float)
TABLE_EMC = np.array([0, 1.3, 2.5, 4.5, 6.2, 7.7, 9.2, 11.0, 13.1, 16.0, 20.5, 23.9, 27.0])
# Movement per 1 % moisture (table 13-5) and specific gravity (FPL-GTR-282, table 5-3b).
WOODS = {
    "red oak": (0.00369, 0.63), "black cherry": (0.00248, 0.50), "hard maple": (0.00353, 0.63),
    "black walnut": (0.00274, 0.55), "white oak": (0.00365, 0.68),
}  # fmt: skip
# Permeance of a face, kg/(m² s Pa): still air, and finishes fitted to the published tests.
AIR_FILM = 2e-8
FINISHES = {"none": None, "shellac": 3.64e-10, "polyurethane": 1.57e-10}
LIMITS, ELASTIC = (0.004, 0.009), (0.005, 0.010)  # Getty 1998, yield to failure; Hoadley 1998
KNOWN = ("all", "no shop", "outdoors only", "late log", "winter alone")
MISSING = KNOWN[2:]


def saturation(temp_c):
    """Magnus, Pa."""
    return 610.94 * np.exp(17.625 * temp_c / (temp_c + 243.04))


def emc(temp_c, rh):
    return np.interp(rh, TABLE_RH, TABLE_EMC) - 0.02 * (temp_c - 21.1) * (rh / 50)


def wander(rng, steps, days, count):
    """Wanderings of sd 1 that forget themselves in some days, shape (steps, count)."""
    keep = np.exp(-1 / (days * PER_DAY))
    found, now = np.empty((steps, count)), rng.standard_normal(count)
    noise = rng.standard_normal((steps, count)) * np.sqrt(1 - keep**2)
    for step in range(steps):
        now = keep * now + noise[step]
        found[step] = now
    return found


@dataclass
class Airs:
    """Air of every story, each of shape (STEPS, n): °C and %."""

    out: tuple
    shop: tuple
    house: tuple


def airs(rng, n, houses):
    """Weather, a shop and a house for each story."""
    day = np.arange(STEPS)[:, None] / PER_DAY + FIRST_DAY.timetuple().tm_yday
    season = np.cos(2 * np.pi * (day - 200) / 365.25)
    out_c = rng.uniform(6, 12, n) + rng.uniform(8, 13, n) * season + 3.5 * wander(rng, STEPS, 3, n)
    out_rh = np.clip(76 - 5 * season + 9 * wander(rng, STEPS, 2, n), 30, 99)
    vapour = out_rh / 100 * saturation(out_c)
    slow = pd.DataFrame(vapour).ewm(span=PER_DAY).mean().to_numpy()
    warm = pd.DataFrame(out_c).ewm(span=2 * PER_DAY).mean().to_numpy()

    def room(heats, excess, dampest, driest=None):
        temp = np.maximum(heats, warm + 2) + 0.5 * wander(rng, STEPS, 5, n)
        people = excess * np.clip(1 - warm / 20, 0, 1) * np.exp(0.25 * wander(rng, STEPS, 4, n))
        rh = np.clip(100 * (slow + people) / saturation(temp), 8, dampest)
        return temp, rh if driest is None else np.maximum(rh, driest)

    shop = room(rng.uniform(16, 19, n), rng.uniform(200, 450, n), 60.0, 38.0)
    heats, excess, dampest = zip(*(HOUSE[one](rng) for one in houses), strict=True)
    house = room(np.array(heats), np.array(excess), np.array(dampest))
    return Airs((out_c, out_rh), shop, house)


HOUSE = {
    "ordinary": lambda rng: (rng.uniform(20, 22), rng.uniform(300, 600), 68.0),
    "dry": lambda rng: (rng.uniform(22, 24), rng.uniform(0, 150), 62.0),
    "damp summer": lambda rng: (rng.uniform(20, 22), rng.uniform(250, 450), 82.0),
    "even": lambda rng: (rng.uniform(20, 21), rng.uniform(650, 900), 55.0),
}
HOUSES = {
    "held": ("ordinary", "dry"), "set": ("damp summer",), "ends": ("ordinary", "even"),
    "wrong_moisture": ("even", "ordinary"), "one_face": ("dry", "ordinary"),
    "wet_stock": ("even", "ordinary"), "local": ("even", "ordinary"),
    "unseen": ("even", "ordinary", "dry"),
}  # fmt: skip


@dataclass
class Drawn:
    """What is drawn of n stories of one cause; arrays of shape (n,) unless said."""

    cause: str
    wood: list
    width_mm: np.ndarray
    thickness_mm: np.ndarray
    films: list
    swell_mm: np.ndarray
    shrink_mm: np.ndarray
    fixed_step: np.ndarray
    delivered_step: np.ndarray
    fixed_pct: np.ndarray
    off_pct: np.ndarray
    movement: np.ndarray
    slow: np.ndarray
    limit: np.ndarray
    elastic: np.ndarray
    keeps: np.ndarray
    curve: np.ndarray
    end_days: np.ndarray


ROOM_MM = {  # room to swell and to shrink, drawn evenly, in mm at each of two rows
    "held": ((4, 9), (0, 0.6)), "set": ((0, 0.4), (0.3, 2.0)), "ends": ((12, 15), (12, 15)),
    "wrong_moisture": ((3, 6), (0.4, 1.4)), "one_face": ((12, 15), (12, 15)),
    "wet_stock": ((3, 6), (0.4, 1.8)), "local": ((3, 6), (0.2, 1.0)),
    "unseen": ((2, 12), (2, 12)),
}  # fmt: skip


def draw(rng, cause, n):
    thick = rng.uniform(42, 50, n) if cause == "wet_stock" else rng.uniform(18, 24, n)
    swell, shrink = (rng.uniform(*ends, n) for ends in ROOM_MM[cause])
    begins = {"set": (200, 330), "held": (20, 360)}.get(cause, (10, 380))
    fixed = (rng.uniform(*begins, n) * PER_DAY).astype(int)
    stays = (rng.uniform(20, 80, n) * PER_DAY).astype(int)
    offs = {"wrong_moisture": (2.0, 3.4), "wet_stock": (4.0, 7.0)}.get(cause, (-0.5, 0.5))
    faces = {"one_face": ("polyurethane", "none")}
    films = [
        faces.get(cause) or (str(rng.choice(["none", "shellac", "polyurethane"])), "none")
        for _ in range(n)
    ]
    return Drawn(
        cause, list(rng.choice(list(WOODS), n)), rng.uniform(550, 1050, n), thick, films,
        swell, shrink, fixed, fixed + stays, np.zeros(n), rng.uniform(*offs, n),
        rng.uniform(0.85, 1.15, n), np.exp(0.35 * rng.standard_normal(n)), rng.uniform(*LIMITS, n),
        rng.uniform(*ELASTIC, n), rng.uniform(0.35, 1.0, n),
        1 + 0.05 * rng.standard_normal(n), rng.uniform(1, 5, n),
    )  # fmt: skip


def board(story, temp_c, rh, start_pct):
    """March boards through their air: mean, both face cells and bend (share of M), (STEPS, n)."""
    n = story.width_mm.size
    gravity = np.array([WOODS[one][1] for one in story.wood])
    thick = story.thickness_mm / 1000
    width = thick / CELLS
    target = story.curve * emc(temp_c, rh)
    slope = np.clip((emc(temp_c, rh + 1) - emc(temp_c, rh - 1)) / 2, 0.08, 0.6)
    spread = 4e-11 * (0.6 / gravity) ** 2 * story.slow
    films = np.array(
        [[1 / (1 / AIR_FILM + (1 / FINISHES[f] if FINISHES[f] else 0)) for f in faces]
         for faces in story.films]
    ).T  # fmt: skip
    now = np.repeat(start_pct[None], CELLS, axis=0)
    seconds = 86400.0 / PER_DAY
    place = (np.arange(CELLS) - (CELLS - 1) / 2)[:, None] * width
    found = np.full((4, STEPS, n), np.nan)
    for step in range(STEPS):
        live = step >= story.fixed_step
        warmth = np.exp(40_000 / 8.314 * (1 / 293.15 - 1 / (temp_c[step] + 273.15)))
        inner = spread * warmth / width
        # kg/(m² s Pa) x Pa per % moisture, on a moisture basis of this wood
        pull = films * saturation(temp_c[step]) / 100 / slope[step] / (10 * gravity)
        pull = 1 / (1 / pull + width / (2 * spread * warmth))
        diagonal = np.full((CELLS, n), width / seconds)
        diagonal[1:] += inner
        diagonal[:-1] += inner
        diagonal[[0, -1]] += pull
        right = now * width / seconds
        right[[0, -1]] += pull * target[step]
        for cell in range(1, CELLS):
            factor = inner / diagonal[cell - 1]
            diagonal[cell] -= factor * inner
            right[cell] += factor * right[cell - 1]
        right[-1] /= diagonal[-1]
        for cell in range(CELLS - 2, -1, -1):
            right[cell] = (right[cell] + inner * right[cell + 1]) / diagonal[cell]
        now = np.where(live, right, start_pct)
        mean = now.mean(axis=0)
        bend = 12 / thick**3 * ((now - mean) * place * width).sum(axis=0) * thick / 2
        found[:, step] = np.where(live, np.array([mean, now[0], now[-1], bend]), np.nan)
    return found


def held(story, free, balance=False):
    """Stretch with and without set, set, and what a split would gather, each (STEPS, n)."""
    n = story.width_mm.size
    row = story.width_mm / 2 - 60
    swell, shrink = story.swell_mm / row, story.shrink_mm / row
    fade = story.keeps ** (1 / (90 * PER_DAY))
    found = np.zeros((4, STEPS, n))
    crushed, eased, alone = np.zeros(n), np.zeros(n), np.zeros(n)
    for step in range(STEPS):
        now = np.nan_to_num(free[step])
        crushed = crushed + np.maximum(now - crushed + eased - swell - story.elastic, 0)
        pull = np.maximum(-shrink - (now - crushed + eased), 0)
        eased = eased + pull * (1 - fade)
        plain = np.maximum(-shrink - (now + alone), 0)
        alone = alone + plain * (1 - fade)
        found[:, step] = pull, plain, crushed, np.maximum(crushed - now - shrink, 0)
    return found


@dataclass
class Story:
    """One piece: what is handed on, and the truth."""

    cause: str
    kind: str
    known: str
    piece: object
    logs: dict
    delivered: date
    seen: object
    split: int = 0


def first_past(values, limit):
    """First step at which each passes its limit; STEPS where none does."""
    past = values >= limit
    return np.where(past.any(axis=0), past.argmax(axis=0), STEPS)


def lagged_ends(story, target, start):
    keep = np.exp(-1 / (story.end_days * PER_DAY))
    now, found = start.copy(), np.empty_like(target)
    for step in range(STEPS):
        now = np.where(step >= story.fixed_step, target[step] + (now - target[step]) * keep, start)
        found[step] = now
    return found


def at_the_piece(rng, story, air):
    """Air of the piece itself: shop, then house; steep falls and stoves where the cause is that."""
    here = np.arange(STEPS)[:, None] < story.delivered_step
    temp, rh = (np.where(here, one, other) for one, other in zip(air.shop, air.house, strict=True))
    logged = (temp.copy(), rh.copy())
    begins = story.delivered_step + (rng.uniform(40, 160, temp.shape[1]) * PER_DAY).astype(int)
    after = np.arange(STEPS)[:, None] >= begins
    if story.cause in ("ends", "one_face"):
        rh = np.where(after, np.maximum(rh - rng.uniform(18, 26, temp.shape[1]), 10), rh)
        logged = (temp, rh)
    if story.cause == "local":
        warmer = temp + rng.uniform(5, 9, temp.shape[1])
        dry = rh * saturation(temp) / saturation(warmer)
        temp, rh = np.where(after, warmer, temp), np.where(after, dry, rh)
    return (temp, rh), logged, begins


def live(rng, cause, n):
    """Live n stories of one cause, and mark those that cracked of it, and when."""
    air = airs(rng, n, [str(rng.choice(HOUSES[cause])) for _ in range(n)])
    story = draw(rng, cause, n)
    here, logged, begins = at_the_piece(rng, story, air)
    balance = fix(story, air)
    each = story.movement * np.array([WOODS[one][0] for one in story.wood])
    mean, _, _, bend = board(story, *here, story.fixed_pct)
    pulls = held(story, each * (mean - story.fixed_pct))
    lived = np.arange(STEPS)[:, None] >= story.delivered_step
    if cause in ("ends", "one_face"):
        at, good = by_layers(story, (each, mean, bend), here, (begins, lived))
        good &= pulls[0].max(axis=0) < 0.3 * story.limit
    elif cause == "unseen":
        at, good = begins, pulls[0].max(axis=0) < 0.6 * story.limit
    else:
        other = held(story, each * (board(story, *here, balance)[0] - balance))[0]
        if cause == "local":
            cool = board(story, *logged, story.fixed_pct)[0]
            other = held(story, each * (cool - story.fixed_pct))[0]
        at, good = by_holding(story, pulls, other, lived)
    good = good & (at > story.delivered_step) & (at < STEPS - 50 * PER_DAY)
    return story, air, logged, at, good, pulls[3], bend


def fix(story, air):
    """Settle the moisture each is fixed at; give that of balance with its house."""
    every = np.arange(STEPS)[:, None]
    year = (every >= story.delivered_step) & (every < story.delivered_step + 365 * PER_DAY)
    balance = np.where(year, emc(*air.house), 0).sum(axis=0) / year.sum(axis=0) * story.curve
    shop = story.curve * emc(*air.shop)
    before = np.array(
        [shop[max(0, at - 40 * PER_DAY) : at + 1, k].mean()
         for k, at in enumerate(story.fixed_step.tolist())]
    )  # fmt: skip
    base = before if story.cause in ("set", "ends", "one_face") else balance
    story.fixed_pct = base + story.off_pct
    return balance


def by_layers(story, followed, here, when):
    """When ends, or the drier face of a top held flat, pass the limit, and in which stories."""
    (each, mean, bend), (begins, lived) = followed, when
    if story.cause == "one_face":
        pull = each * np.abs(np.nan_to_num(bend)) * lived
    else:
        ends = lagged_ends(story, story.curve * emc(*here), story.fixed_pct)
        after = np.arange(STEPS)[:, None] >= begins
        pull = each * (np.nan_to_num(mean) - ends) * lived * after
    first = first_past(pull, story.limit)
    good = first < STEPS
    if story.cause == "ends":
        good &= first < begins + 40 * PER_DAY
    return np.clip(first, 0, STEPS - 1), good


def by_holding(story, pulls, other, lived):
    """When a held top passes its limit, and in which stories for this cause and no other.

    `other` is its stretch had it been fixed in balance, or without the stove.
    """
    stretch, alone, crushed, _ = pulls
    first = first_past(stretch * lived, story.limit)
    at, columns = np.clip(first, 0, STEPS - 1), np.arange(first.size)
    by_set = crushed[at, columns] >= 0.3 * story.limit
    good = first < STEPS
    if story.cause == "set":
        upto = np.array([alone[: k + 1, j].max() for j, k in enumerate(at.tolist())])
        return at, good & by_set & (upto < 0.6 * story.limit)
    if story.cause == "held":
        return at, good & ~by_set & (other.max(axis=0) >= story.limit)
    return at, good & ~by_set & (other.max(axis=0) < 0.7 * story.limit)
