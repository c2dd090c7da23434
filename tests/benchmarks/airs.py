"""Hourly indoor air of a year or more: logs that were read, and houses made from outdoor years.

Made houses are plain vapour and heat balances with a thermostat, a cooler and people in them; the
outdoor years come with pvlib (US typical years) and with the sample logs.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from tests.benchmarks.truths import saturation_pa

ROOT = Path(__file__).parents[2]
FEWEST_DAYS = 350


@dataclass(frozen=True)
class Room:
    """Hourly air without a gap."""

    name: str
    times: pd.DatetimeIndex
    temp_c: np.ndarray
    rh_pct: np.ndarray


def room_of(name, frame):
    """Fill a frame of times, °C and % up to whole hours; gaps are bridged by straight lines."""
    hourly = frame.resample("1h").mean().interpolate()
    return Room(name, hourly.index, *(hourly.iloc[:, k].to_numpy() for k in (0, 1)))


def read_plain(path, name=None):
    """Read a log whose first three columns are time, °C and %."""
    frame = pd.read_csv(path, usecols=[0, 1, 2], parse_dates=[0], index_col=0)
    return room_of(name or Path(path).stem, frame)


def read_any(path, sensor=None):
    """Read any log with climlog's importer: how the others are read has no part in the odds."""
    from climlog.importer.options import ImportOptions
    from climlog.importer.read import read_log

    log = read_log([Path(path)], ImportOptions(sensor=sensor))
    frame = pd.DataFrame({"temp_c": log.temp_c, "rh_pct": log.rh_pct}, index=log.times)
    return room_of(sensor or Path(path).stem, frame)


def outdoors():
    """Outdoor years by name: times, °C, %."""
    import pvlib

    data = Path(pvlib.__file__).parent / "data"
    found = {"ferry house": pd.read_csv(
        ROOT / "sample_logs" / "ferry_house_outdoors.csv", parse_dates=[0], index_col=0
    )}  # fmt: skip
    for name, file in (("Alaska", "703165TY.csv"), ("Carolina", "723170TYA.CSV")):
        table, _ = pvlib.iotools.read_tmy3(data / file, map_variables=True)
        found[name] = table[["temp_air", "relative_humidity"]].set_axis(one_year(len(table)))
    table, _ = pvlib.iotools.read_tmy2(data / "12839.tm2")
    found["Florida"] = pd.DataFrame(
        {"t": table["DryBulb"].to_numpy() / 10, "rh": table["RHum"].to_numpy()},
        index=one_year(len(table)),
    )
    return {name: twice(frame) for name, frame in found.items()}


def one_year(hours):
    return pd.date_range("2023-01-01", periods=hours, freq="1h")


def twice(frame):
    """Go through a typical year again until there are 420 days, as a log of 14 months."""
    hourly = frame.resample("1h").mean().interpolate()
    again = hourly.copy()
    again.index = again.index + pd.Timedelta(days=365)
    both = pd.concat([hourly, again[again.index > hourly.index[-1]]])
    return both.iloc[: 420 * 24]


@dataclass(frozen=True)
class House:
    """How a house stands against the weather.

    `heats_to`, `cools_to` are °C; `vapour_pa` is what people add in cold weather, fading to none
    at 20 °C outdoors; `damp_pct` is the humidity that a cooler or dehumidifier holds at most;
    `days` is how long the building takes to follow the weather.
    """

    heats_to: float
    cools_to: float
    vapour_pa: float
    damp_pct: float = 95.0
    days: float = 1.0


HOUSES = {
    "heated": House(21.0, 60.0, 350.0),
    "heated hard": House(23.5, 60.0, 150.0),
    "humidified": House(20.0, 60.0, 900.0),
    "cooled": House(21.0, 25.0, 300.0, damp_pct=58.0),
    "cooled cold": House(20.0, 22.0, 200.0, damp_pct=65.0),
    "barely heated": House(9.0, 60.0, 200.0, days=3.0),
    "unheated": House(-40.0, 60.0, 60.0, days=4.0),
}


def made(name, frame, house, rng):
    """Hourly indoor air of a house in an outdoor year, with days that differ."""
    out_c, out_rh = frame.iloc[:, 0].to_numpy(float), frame.iloc[:, 1].to_numpy(float)
    slow_c = running(out_c, 24 * house.days)
    free_c = slow_c + 2.0
    temp_c = np.clip(free_c, house.heats_to, house.cools_to)
    temp_c = np.where(free_c < house.heats_to, house.heats_to, temp_c)
    temp_c = temp_c + 0.7 * wander(rng, out_c.size, 6) + 0.5 * wander(rng, out_c.size, 24 * 10)
    pressure = running(out_rh / 100 * saturation_pa(out_c), 12)
    people = house.vapour_pa * np.clip(1 - slow_c / 20, 0, 1)
    people = people * np.exp(0.35 * wander(rng, out_c.size, 24 * 3))
    rh = 100 * (pressure + people) / saturation_pa(temp_c)
    return Room(name, frame.index, temp_c.round(2), np.clip(rh, 5, house.damp_pct).round(1))


def running(values, hours):
    """First-order lag of a building or a room."""
    keep, now, found = np.exp(-1 / hours), values[:24].mean(), np.empty(values.size)
    for k, value in enumerate(values):
        now = keep * now + (1 - keep) * value
        found[k] = now
    return found


def wander(rng, count, hours):
    """A wandering of sd 1 that forgets itself in some hours."""
    keep = np.exp(-1 / hours)
    noise, found, now = rng.standard_normal(count), np.empty(count), 0.0
    for k in range(count):
        now = keep * now + np.sqrt(1 - keep**2) * noise[k]
        found[k] = now
    return found


def project_rooms(rng) -> list[Callable[[], Room]]:
    """The project's own logs and made houses, each as a function that makes it."""
    weather = outdoors()
    rooms = [
        lambda: read_plain(ROOT / "sample_logs" / "ferry_house_dining_room.csv"),
        lambda: read_plain(ROOT / "tests" / "data" / "lag" / "timber_house_year.csv"),
    ]
    for place, kind in (
        ("ferry house", "heated"), ("ferry house", "unheated"), ("Alaska", "heated"),
        ("Alaska", "barely heated"), ("Carolina", "cooled"), ("Carolina", "heated hard"),
        ("Florida", "cooled cold"), ("Florida", "cooled"), ("Carolina", "unheated"),
        ("ferry house", "humidified"),
    ):  # fmt: skip
        rooms.append(
            lambda place=place, kind=kind: made(
                f"{kind}, {place}", weather[place], HOUSES[kind], rng
            )
        )
    return rooms
