"""Make the invented sample logs again, byte for byte: python make_samples.py [FOLDER].

Everything here is INVENTED: a climate with cold winters and humid summers, a house in it, a
furniture maker's shop and a drying room. The air obeys physics (vapour balances, saturation
pressure), so the files behave like real logs; no reading was ever taken.

Only uniform draws are taken from the generator and every value is rounded before it is written,
so that neither the operating system nor its mathematics library shows in the files.
"""

import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from climlog.units import fahrenheit_from_celsius, kelvin_from_celsius

SEED = 20250201
CLIMATE_BEGINS = datetime(2025, 1, 1)
CLIMATE_HOURS = 24 * 450
MONTHS = (
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
)  # fmt: skip

Series = NDArray[np.float64]


@dataclass(frozen=True)
class Spell:
    """A stretch of weather that comes on and fades within a day."""

    first: datetime
    last: datetime
    mean_c: float
    cloud: float
    depression_c: float

    def weight(self, hours: Series) -> Series:
        """Say how much of the weather is this spell's: 0 outside, 1 inside."""
        begin, end = hours_since_start(self.first), hours_since_start(self.last)
        return np.clip((hours - begin) / 24.0, 0, 1) * np.clip((end - hours) / 24.0, 0, 1)


@dataclass(frozen=True)
class Air:
    """The outdoor climate, hourly: temperature and vapour pressure."""

    temp_c: Series
    vapour_pa: Series


@dataclass(frozen=True)
class Reading:
    """What a logger would write down at one time; None where it wrote no number."""

    at: datetime
    temp_c: float | None
    rh_pct: float | None


SPELLS = (
    Spell(datetime(2025, 2, 15), datetime(2025, 2, 22), -10.0, 0.2, 3.5),
    Spell(datetime(2025, 8, 4), datetime(2025, 8, 23), 25.3, 0.8, 3.8),
    Spell(datetime(2025, 12, 10), datetime(2025, 12, 16), -9.0, 0.3, 3.5),
    Spell(datetime(2026, 1, 16), datetime(2026, 1, 28), -11.0, 0.2, 3.5),
)
COOLING_FAILS, COOLING_MENDED = datetime(2025, 8, 5, 14), datetime(2025, 8, 21, 16)
DINING_BATTERY_GAP = (datetime(2025, 5, 10, 3), datetime(2025, 5, 11, 9, 30))
DINING_STUCK = (datetime(2025, 6, 18, 13), datetime(2025, 6, 19, 19))
DINING_HANDLED = datetime(2025, 5, 11, 10)
DINING_BLANK = datetime(2025, 10, 6, 12, 30)
SHOP_BLANK = (datetime(2025, 7, 28, 6), datetime(2025, 7, 28, 8))
DRYER_TRIPS, DRYER_RESET = datetime(2025, 4, 8, 22, 10), datetime(2025, 4, 9, 7, 40)


def hours_since_start(at: datetime) -> float:
    """Count hours from the beginning of the climate."""
    return (at - CLIMATE_BEGINS) / timedelta(hours=1)


def saturation_pa(temp_c: float) -> float:
    """Saturation vapour pressure over water, below freezing too, as hygrometers are scaled.

    References
    ----------
    .. [1] WMO, "Guide to Instruments and Methods of Observation", WMO-No. 8: Magnus form,
       611.2 Pa, 17.62 and 243.12 °C.
    """
    return 611.2 * math.exp(17.62 * temp_c / (243.12 + temp_c))


def bell(rng: np.random.Generator, count: int) -> list[float]:
    """Draw near-normal numbers, mean 0 and spread 1: twelve uniform ones added up, less six."""
    total = np.zeros(count)
    for draw in rng.random((12, count)):
        total += draw
    return [float(value) for value in total - 6.0]


def wander(rng: np.random.Generator, count: int, memory_steps: float) -> Series:
    """Draw a smooth wandering series, spread 1, that forgets itself within `memory_steps`.

    Two equal first-order lags one after the other; the factor keeps the variance at 1.
    """
    keep = math.exp(-2.0 / memory_steps)
    fresh = math.sqrt((1.0 - keep**2) ** 3 / (1.0 + keep**2))
    first, second, series = 0.0, 0.0, []
    for draw in bell(rng, count):
        first = keep * first + fresh * draw
        second = keep * second + first
        series.append(second)
    return np.array(series)


def outdoor_climate(rng: np.random.Generator) -> Air:
    """Season, weather of a few days, day and night, then a dew point below all that."""
    hours = np.arange(CLIMATE_HOURS, dtype=float)
    cold = np.cos(2 * np.pi * (hours / 24.0 - 20.0) / 365.25)
    mean_c = 9.5 - 14.0 * cold + (3.4 + 1.0 * cold) * wander(rng, CLIMATE_HOURS, 60.0)
    cloud = np.clip(0.5 + 0.25 * wander(rng, CLIMATE_HOURS, 30.0), 0.0, 1.0)
    depression_c = 4.4 - 0.5 * cold + 4.0 * (0.5 - cloud) + 0.8 * wander(rng, CLIMATE_HOURS, 20.0)
    within = 0.8 * wander(rng, CLIMATE_HOURS, 30.0)
    for spell in SPELLS:
        share = spell.weight(hours)
        mean_c = (1 - share) * mean_c + share * (spell.mean_c + within)
        cloud = (1 - share) * cloud + share * spell.cloud
        depression_c = (1 - share) * depression_c + share * (spell.depression_c + 0.3 * within)
    swing_c = (4.2 - 1.0 * cold) * (1.3 - 0.9 * cloud)
    temp_c = mean_c + swing_c * np.cos(2 * np.pi * (hours - 15.0) / 24.0)
    dew_c = np.minimum(mean_c - np.maximum(depression_c, 0.5), temp_c - 0.4)
    return Air(temp_c, np.array([saturation_pa(float(value)) for value in dew_c]))


def steps(first: datetime, last: datetime, minutes: int) -> Iterator[datetime]:
    """Every stamp from first to last, both included."""
    at = first
    while at <= last:
        yield at
        at += timedelta(minutes=minutes)


def read_sensor(
    stamps: list[datetime], temp_c: list[float], vapour_pa: list[float], rng: np.random.Generator
) -> list[Reading]:
    """Turn true air into readings of 0.1 with a sensor's small unrest."""
    shake_t, shake_h = bell(rng, len(stamps)), bell(rng, len(stamps))
    readings = []
    for n, at in enumerate(stamps):
        rh_pct = 100.0 * vapour_pa[n] / saturation_pa(temp_c[n]) + 0.25 * shake_h[n]
        readings.append(Reading(at, round(temp_c[n] + 0.05 * shake_t[n], 1), round(rh_pct, 1)))
    return readings


def outdoors(air: Air, rng: np.random.Generator) -> list[Reading]:
    """Read the climate in the shade of the house, hourly."""
    stamps = list(steps(datetime(2025, 2, 1), datetime(2026, 3, 15, 23), 60))
    at = slice(int(hours_since_start(stamps[0])), int(hours_since_start(stamps[-1])) + 1)
    temp_c, vapour_pa = air.temp_c[at].tolist(), air.vapour_pa[at].tolist()
    return read_sensor(stamps, temp_c, vapour_pa, rng)


@dataclass
class Room:
    """Air of one room, marched through time: heat first, then vapour."""

    temp_c: float
    vapour_pa: float
    buffer: float

    def drift(self, toward_c: float, hours: float, memory_hours: float) -> None:
        """Let the temperature go towards `toward_c`."""
        self.temp_c += (toward_c - self.temp_c) * (1.0 - math.exp(-hours / memory_hours))

    def heat(self, setpoint_c: float, most_c: float) -> None:
        """Warm the air up to the setpoint, as far as the heating can."""
        self.temp_c += min(max(setpoint_c - self.temp_c, 0.0), most_c)

    def cool(self, setpoint_c: float, most_c: float) -> None:
        """Cool the air down to the setpoint, as far as the cooling can."""
        self.temp_c -= min(max(self.temp_c - setpoint_c, 0.0), most_c)

    def breathe(self, outdoor_pa: float, changes_per_hour: float, gain_pa_h: float) -> None:
        """Mix in outdoor vapour and what is given off, slowed by what the room's goods store.

        The step must be short: half an hour or one hour.
        """
        self.vapour_pa += (
            changes_per_hour * (outdoor_pa - self.vapour_pa) + gain_pa_h
        ) / self.buffer


def vapour_from_people_pa_h(kg_per_hour: float, volume_m3: float, temp_c: float) -> float:
    """Rise of vapour pressure per hour by moisture given off; 461.5 J/(kg K) for vapour."""
    return kg_per_hour / volume_m3 * 461.5 * kelvin_from_celsius(temp_c)


def dining_room(air: Air, rng: np.random.Generator) -> list[Reading]:
    """Heat, open windows and cool the Ferry House; the cooling fails in August."""
    stamps = list(steps(CLIMATE_BEGINS, datetime(2026, 3, 15, 23, 30), 30))
    household = 1.0 + 0.15 * wander(rng, len(stamps), 48.0)
    room = Room(temp_c=20.0, vapour_pa=600.0, buffer=3.0)
    warmth_c = -5.0
    temp_c, vapour_pa = [], []
    grid = np.arange(CLIMATE_HOURS, dtype=float)
    for n, at in enumerate(stamps):
        hour = hours_since_start(at)
        out_c = float(np.interp(hour, grid, air.temp_c))
        out_pa = float(np.interp(hour, grid, air.vapour_pa))
        warmth_c += (out_c - warmth_c) / 48.0
        broken = COOLING_FAILS <= at < COOLING_MENDED
        windows = min(max((warmth_c - 12.0) / 4, 0), 1) * min(max((20.0 - warmth_c) / 2, 0), 1)
        windows = 1.0 if broken else windows
        load_c = out_c + (3.5 + sun(at, 2.0)) * (1.0 - 0.7 * windows)
        room.drift(load_c, 0.5, 45.0 / (1.0 + 4.0 * windows))
        room.heat(20.8 if 6 <= at.hour < 22 else 18.5, 0.6)
        coil = 0.0 if broken else min(max((warmth_c - 18.0) / 6.0, 0.0), 1.0) * (1.0 - windows)
        if not broken:
            room.cool(24.3, 0.5)
        changes = 0.33 + 0.003 * max(room.temp_c - out_c, 0.0) + 1.2 * windows
        people = vapour_from_people_pa_h(0.42 * household[n] * meals(at), 400.0, room.temp_c)
        dried = 1.6 * coil * max(room.vapour_pa - saturation_pa(9.0), 0.0)
        room.breathe(out_pa, 0.5 * changes, 0.5 * (people - dried))
        temp_c.append(room.temp_c)
        vapour_pa.append(room.vapour_pa)
    readings = read_sensor(stamps, temp_c, vapour_pa, rng)
    return dining_flaws([one for one in readings if one.at >= datetime(2025, 2, 1)])


def sun(at: datetime, most_c: float) -> float:
    """Warmth of the sun on the house through the day, seen as outdoor warmth."""
    return most_c * max(math.cos(2 * math.pi * (at.hour + at.minute / 60 - 14.0) / 24.0), 0.0)


def meals(at: datetime) -> float:
    """Share of the household's mean moisture: more at breakfast and supper, less at night."""
    return {7: 1.8, 8: 1.6, 12: 1.4, 18: 2.2, 19: 2.4, 20: 1.6}.get(at.hour, 0.76)


def dining_flaws(readings: list[Reading]) -> list[Reading]:
    """Leave out, hold and blank what README.md says is odd in this log."""
    held = next(one for one in readings if one.at == DINING_STUCK[0])
    flawed = []
    for one in readings:
        if DINING_BATTERY_GAP[0] <= one.at <= DINING_BATTERY_GAP[1]:
            continue
        if DINING_STUCK[0] <= one.at <= DINING_STUCK[1]:
            flawed.append(Reading(one.at, held.temp_c, held.rh_pct))
        elif one.at == DINING_HANDLED:
            flawed.append(Reading(one.at, 26.4, 61.8))
        elif one.at == DINING_BLANK:
            flawed.append(Reading(one.at, None, None))
        else:
            flawed.append(one)
    return flawed


def shop(air: Air, rng: np.random.Generator) -> list[Reading]:
    """Heat the shop on working days; hold 40 to 50 % as far as its two small machines can."""
    stamps = list(steps(CLIMATE_BEGINS, datetime(2026, 1, 31, 23), 60))
    room = Room(temp_c=12.0, vapour_pa=600.0, buffer=2.0)
    temp_c, vapour_pa = [], []
    for n, at in enumerate(stamps):
        out_c, out_pa = float(air.temp_c[n]), float(air.vapour_pa[n])
        working = at.weekday() < 5
        room.drift(out_c + 2.0 + sun(at, 2.0), 1.0, 26.0)
        by_day = working and 6 <= at.hour < 18
        room.heat(19.0 if by_day else 16.0 if working else 7.0, 2.2)
        room.cool(27.0, 0.3)
        full_pa = saturation_pa(room.temp_c)
        wanted_pa = 0.43 * full_pa - room.vapour_pa if working else 0.0
        spare_pa = 0.48 * full_pa - room.vapour_pa
        machines = min(max(wanted_pa, 0.0), 330.0) + max(min(spare_pa, 0.0), -380.0)
        room.breathe(out_pa, 0.30, 25.0 + 1.4 * machines)
        temp_c.append(room.temp_c)
        vapour_pa.append(room.vapour_pa)
    readings = read_sensor(stamps, temp_c, vapour_pa, rng)
    return [
        Reading(one.at, None, None) if SHOP_BLANK[0] <= one.at <= SHOP_BLANK[1] else one
        for one in readings
        if one.at >= datetime(2025, 2, 1)
    ]


def drying_room(rng: np.random.Generator) -> list[Reading]:
    """Run a dehumidifier in a tight insulated room; one night it ices up and trips."""
    stamps = list(steps(datetime(2025, 3, 3, 8), datetime(2025, 5, 12, 7, 50), 10))
    pace = wander(rng, len(stamps), 200.0)
    room = Room(temp_c=19.0, vapour_pa=0.52 * saturation_pa(19.0), buffer=1.0)
    temp_c, vapour_pa, turn = [], [], 0.0
    for n, at in enumerate(stamps):
        days = (at - stamps[0]) / timedelta(days=1)
        turn += 1.0 / (6.0 + 0.8 * pace[n])
        cycle = math.sin(2 * math.pi * turn)
        wet_pct = 15.0 * math.exp(-days / 5.0)
        if DRYER_TRIPS <= at < DRYER_RESET:
            room.drift(14.0, 1 / 6, 14.0)
            target_pa, memory_hours = 0.62 * saturation_pa(room.temp_c), 2.5
        else:
            room.drift(29.0 + 0.35 * cycle, 1 / 6, 3.0)
            target_pa = (35.0 + wet_pct - 1.3 * cycle) / 100 * saturation_pa(room.temp_c)
            memory_hours = 1.5
        room.vapour_pa += (target_pa - room.vapour_pa) * (1 - math.exp(-1 / 6 / memory_hours))
        temp_c.append(room.temp_c)
        vapour_pa.append(room.vapour_pa)
    return read_sensor(stamps, temp_c, vapour_pa, rng)


def number(value: float | None, mark: str = ".", places: int = 1) -> str:
    """Write a reading with its decimal mark, or nothing where there is none."""
    return "" if value is None else f"{value:.{places}f}".replace(".", mark)


def iso_row(one: Reading) -> str:
    """Write stamps as the year first, commas between."""
    return f"{one.at:%Y-%m-%d %H:%M},{number(one.temp_c)},{number(one.rh_pct)}"


def shop_row(one: Reading) -> str:
    """Write the day first, decimal commas, semicolons between."""
    return f"{one.at:%d.%m.%Y %H:%M};{number(one.temp_c, ',')};{number(one.rh_pct, ',')}"


def twelve_hours(at: datetime, places: str = "%M") -> str:
    """Write a time with AM or PM, whatever language the machine speaks."""
    return f"{(at.hour - 1) % 12 + 1}:{at:{places}} {'AM' if at.hour < 12 else 'PM'}"


def drying_row(one: Reading) -> str:
    """Write the month first, AM and PM, degrees Fahrenheit."""
    temp_f = None if one.temp_c is None else fahrenheit_from_celsius(one.temp_c)
    return (
        f"{one.at:%m/%d/%Y} {twelve_hours(one.at, '%M:%S')},{number(temp_f)},{number(one.rh_pct)}"
    )


def phone_row(one: Reading) -> str:
    """Write the month first, AM and PM, whole percents, tabs between."""
    stamp = f"{one.at:%m/%d/%Y} {twelve_hours(one.at)}"
    return f"{stamp}\t{number(one.temp_c)}\t{number(one.rh_pct, places=0)}"


def page(head: str, row: Callable[[Reading], str], readings: list[Reading]) -> bytes:
    """Put a log together: UTF-8, a line feed after each line on every system."""
    return "".join(f"{line}\n" for line in [head, *map(row, readings)]).encode("utf-8")


def months_table(outside: list[Reading]) -> bytes:
    """Print the means of February 2025 to January 2026 as a climate table does, months across."""
    lines = [["Ferry House (invented)", *MONTHS]]
    for title, value in (
        ("Mean temperature (°C)", lambda one: one.temp_c),
        ("Mean relative humidity (%)", lambda one: one.rh_pct),
    ):
        means = []
        for month in range(1, 13):
            year = 2026 if month == 1 else 2025
            of_month = [one for one in outside if (one.at.year, one.at.month) == (year, month)]
            means.append(sum(value(one) or 0.0 for one in of_month) / len(of_month))
        places = 1 if "°C" in title else 0
        lines.append([title, *(number(one, places=places) for one in means)])
    return "".join(",".join(line) + "\n" for line in lines).encode("utf-8")


def build() -> dict[str, bytes]:
    """Make every log; each room has its own generator, so one may change without the others."""
    air = outdoor_climate(np.random.default_rng([SEED, 1]))
    dining = dining_room(air, np.random.default_rng([SEED, 2]))
    phone = [one for one in dining if datetime(2025, 11, 3) <= one.at < datetime(2025, 11, 24)]
    iso_head = "time,temperature (°C),relative humidity (%)"
    phone_head = (
        "Ferry House dining room, sent from the phone\nTime\tTemperature (°C)\tHumidity (%)"
    )
    outside = outdoors(air, np.random.default_rng([SEED, 3]))
    at_work = shop(air, np.random.default_rng([SEED, 4]))
    drying = drying_room(np.random.default_rng([SEED, 5]))
    return {
        "ferry_house_months.csv": months_table(outside),
        "ferry_house_dining_room.csv": page(iso_head, iso_row, dining),
        "ferry_house_outdoors.csv": page(iso_head, iso_row, outside),
        "shop.csv": page("Date and time;Temperature (°C);Rel. humidity (%)", shop_row, at_work),
        "drying_room.csv": page("Date Time,Temp (°F),Humidity (%RH)", drying_row, drying),
        "three_weeks_phone.csv": page(phone_head, phone_row, phone),
    }


def main(folder: Path) -> None:
    """Write the logs into a folder."""
    for name, content in build().items():
        (folder / name).write_bytes(content)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
