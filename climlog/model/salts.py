"""Salt jars: air over wet salt has a known humidity, so a sensor in it shows its error.

One jar gives an offset, two give a gain and an offset. A jar tells about the humidities near it;
how far its word is carried, and how well it is known, comes with the correction.
"""

import itertools
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from climlog.errors import ImpossibleValueError, UnusableInputError
from climlog.limits import Limits
from climlog.model.psychrometrics import saturation_pressure
from climlog.tables import figure, find, load_table, names_of
from climlog.told import told

if TYPE_CHECKING:
    from numpy.typing import NDArray

READING = Limits("reading in a jar", "% RH", 0.0, 100.0)
MOST_JARS = 2
"""One jar fixes an offset, two a gain as well; a third would only average their doubts."""
SHOWN_EVERY_PCT = 10
"""Steps of the readings whose correction is told: as fine as a dial is read."""

limit = partial(figure, "salt_limits")


@dataclass(frozen=True)
class Salt:
    """A salt for a jar: its formula, its plain name, and what to mind with it."""

    formula: str
    name: str
    care: str


@dataclass(frozen=True)
class FixedPoint:
    """The humidity of the air over a wet salt at one temperature, give or take `doubt_pct`."""

    salt: Salt
    temp_c: float
    rh_pct: float
    doubt_pct: float
    source: str
    mark: str


@dataclass(frozen=True)
class Jar:
    """A salt and what a sensor, settled, showed over it in % RH."""

    salt: Salt
    reading_pct: float


@told(
    {
        "rh_gain": "gain",
        "rh_offset": "offset_pct",
        "trusted_rh_pct.low": "trusted_rh_pct.0",
        "trusted_rh_pct.high": "trusted_rh_pct.1",
    },
    also="readings",
    without="temp_c jars points trusted_rh_pct",
)
@dataclass(frozen=True)
class Correction:
    """True humidity = gain x reading + offset, and where that may be trusted.

    Attributes
    ----------
    jars, points : tuples of the same length
        The readings and what the jars should have shown, drier jar first.
    gain, offset_pct : float
        [1], [% RH]
    trusted_rh_pct : (float, float)
        Least and largest true humidity for which the correction stands. [%]
    """

    temp_c: float
    jars: tuple[Jar, ...]
    points: tuple[FixedPoint, ...]
    gain: float
    offset_pct: float
    trusted_rh_pct: tuple[float, float]

    def corrected_pct(self, reading_pct: float) -> float:
        """Correct one reading, in % RH."""
        return self.gain * reading_pct + self.offset_pct

    def doubt_pct(self, rh_pct: float) -> float:
        """Say how far a corrected humidity may be off, from what the jars leave open, in % RH.

        Each jar is off by the salt's own doubt, by the sensor's hysteresis and by the temperature
        between sensor and salt, taken as independent; a straight line through two jars carries
        them on by its weights.
        """
        errors = [_jar_doubt_pct(point) for point in self.points]
        if len(errors) == 1:
            return errors[0]
        low, high = self.points
        share = (rh_pct - low.rh_pct) / (high.rh_pct - low.rh_pct)
        return math.hypot((1.0 - share) * errors[0], share * errors[1])

    @property
    def readings(self) -> "tuple[CorrectedReading, ...]":
        """Round readings inside the trusted range, corrected."""
        low, high = self.trusted_rh_pct
        each = [(float(one), self.corrected_pct(one)) for one in range(0, 101, SHOWN_EVERY_PCT)]
        return tuple(
            CorrectedReading(reading, rh_pct, self.doubt_pct(rh_pct))
            for reading, rh_pct in each
            if low <= rh_pct <= high
        )

    @property
    def is_odd(self) -> bool:
        """Whether the correction is larger than a sound sensor in a settled jar needs."""
        off = max(
            abs(p.rh_pct - j.reading_pct) for p, j in zip(self.points, self.jars, strict=True)
        )
        gain_is_odd = not limit("odd_gain_low") <= self.gain <= limit("odd_gain_high")
        return gain_is_odd or off > limit("odd_offset")

    @property
    def is_badly_spread(self) -> bool:
        """Whether two jars lie too close together to fix a gain well."""
        if len(self.points) == 1:
            return False
        return self.points[1].rh_pct - self.points[0].rh_pct < limit("nearest_jars")


@dataclass(frozen=True)
class CorrectedReading:
    """What a reading of the sensor means, in % RH."""

    reading_pct: float
    corrected_rh_pct: float
    doubt_pct: float


@told(
    {
        "salt": "point.salt.formula",
        "name": "point.salt.name",
        "should_read_pct": "point.rh_pct",
        "doubt_pct": "point.doubt_pct",
        "source": "point.source",
        "mark": "point.mark",
    },
    also="off_by_pct",
    without="point",
)
@dataclass(frozen=True)
class JarCheck:
    """What a jar should show, and what the sensor showed in it; None where nothing was read."""

    point: FixedPoint
    reading_pct: float | None

    @property
    def off_by_pct(self) -> float | None:
        """The sensor's reading less the true humidity. [% RH]."""
        return None if self.reading_pct is None else self.reading_pct - self.point.rh_pct


@told(also="temp_c jars", without="points")
@dataclass(frozen=True)
class SaltCheck:
    """A sensor held against salt jars.

    Attributes
    ----------
    points : tuple of FixedPoint
        The jars read, or all that could be made.
    correction : Correction or None
        None where nothing was read yet.
    """

    points: tuple[FixedPoint, ...]
    correction: Correction | None = None

    @property
    def temp_c(self) -> float:
        """Temperature of jars and sensor. [°C]."""
        return self.points[0].temp_c

    @property
    def jars(self) -> tuple[JarCheck, ...]:
        """Each jar, with its reading."""
        read = [jar.reading_pct for jar in self.correction.jars] if self.correction else ()
        return tuple(
            JarCheck(point, reading) for point, reading in itertools.zip_longest(self.points, read)
        )


def salts() -> tuple[Salt, ...]:
    """List the salts known, the one nearest at hand first."""
    table = load_table("salt_kinds")
    return tuple(
        Salt(str(formula), str(row["name"]), str(row["care"])) for formula, row in table.iterrows()
    )


def salt_named(name: str) -> Salt:
    """Find a salt by its formula or by a name in common use.

    Parameters
    ----------
    name : str
        Such as "NaCl", "table salt", "MgCl₂·6H₂O"; case and water of crystals do not matter.

    Raises
    ------
    UnknownNameError
        If the table does not have it.

    Examples
    --------
    >>> salt_named("Kitchen salt").formula, salt_named("MgCl₂·6H₂O").formula
    ('NaCl', 'MgCl2')
    """
    others = names_of("salt_kinds")
    known = {one.name: (one.formula, *others[one.formula]) for one in salts()}
    without_water = re.split(r"[·*•]", name, maxsplit=1)[0]
    found = find(known, without_water, "salt")
    return next(one for one in salts() if one.name == found)


def trusted_temp_c(salt: Salt) -> tuple[float, float]:
    """Give the temperatures between which published tables of a salt agree, in °C."""
    temps = _rows_of(salt).temp_c
    return float(temps[0]), float(temps[-1])


@dataclass(frozen=True, eq=False)
class _Rows:
    temp_c: "NDArray[np.float64]"
    rh_pct: "NDArray[np.float64]"
    doubt_pct: "NDArray[np.float64]"
    source: str
    mark: str


def _rows_of(salt: Salt) -> _Rows:
    table = load_table("salts")
    rows = table[table["salt"] == salt.formula]
    return _Rows(
        temp_c=rows["temp_c"].to_numpy(dtype=float),
        rh_pct=rows["rh_pct"].to_numpy(dtype=float),
        doubt_pct=rows["doubt_pct"].to_numpy(dtype=float),
        source=str(rows["source"].iloc[0]),
        mark=str(rows["mark"].iloc[0]),
    )


def fixed_point(salt: Salt, temp_c: float) -> FixedPoint:
    """Give the humidity over a wet salt, between the table's temperatures along a straight line.

    Parameters
    ----------
    salt : Salt
    temp_c : float
        Temperature of jar and sensor, inside `trusted_temp_c`. [°C]

    Raises
    ------
    ImpossibleValueError
        If the temperature lies where no published values agree.

    References
    ----------
    .. [1] L. Greenspan, J. Res. NBS 81A (1977) 89-96, as transcribed; T. Padfield's table where
       named. See tables/salts.csv.

    Examples
    --------
    >>> round(fixed_point(salt_named("NaCl"), 25.0).rh_pct, 1)
    75.3
    """
    rows, (lowest, highest) = _rows_of(salt), trusted_temp_c(salt)
    Limits(f"{salt.name}: temperature of the jar", "°C", lowest, highest).require(temp_c)
    rh_pct, doubt_pct = (
        float(np.interp(temp_c, rows.temp_c, each)) for each in (rows.rh_pct, rows.doubt_pct)
    )
    return FixedPoint(salt, temp_c, rh_pct, doubt_pct, rows.source, rows.mark)


def points_at(temp_c: float) -> tuple[FixedPoint, ...]:
    """Give every salt whose humidity is known at a temperature, in the order of `salts`.

    Raises
    ------
    ImpossibleValueError
        If no salt of the table is known there.
    """
    known = tuple(
        fixed_point(salt, temp_c)
        for salt in salts()
        if trusted_temp_c(salt)[0] <= temp_c <= trusted_temp_c(salt)[1]
    )
    if not known:
        spans = [trusted_temp_c(salt) for salt in salts()]
        raise ImpossibleValueError(
            f"no salt of the table is known at {temp_c:g} °C; choose a place of "
            f"{min(low for low, _ in spans):g} to {max(high for _, high in spans):g} °C"
        )
    return known


def _jar_doubt_pct(point: FixedPoint) -> float:
    """Doubt of what a settled sensor in a jar should show, in % RH."""
    warmer = saturation_pressure(np.array([point.temp_c, point.temp_c + limit("evenness")]))
    by_warmth = point.rh_pct * float(warmer[1] / warmer[0] - 1.0)
    return math.hypot(point.doubt_pct, limit("hysteresis"), by_warmth)


def correct(jars: Sequence[Jar], temp_c: float) -> Correction:
    """Turn one or two jar readings into a correction.

    Parameters
    ----------
    jars : sequence of one or two Jar
        Of different salts.
    temp_c : float
        Temperature of jars and sensor. [°C]

    Raises
    ------
    ImpossibleValueError
        If a reading lies outside 0 to 100 %, or the temperature outside what the salt is known for.
    UnusableInputError
        If there are no jars or more than two, twice the same salt, or readings that do not rise
        with the jars.
    """
    if not 1 <= len(jars) <= MOST_JARS:
        raise UnusableInputError(f"{len(jars)} jars; a correction takes one jar or two")
    for jar in jars:
        READING.require(jar.reading_pct)
        if math.isnan(jar.reading_pct):
            raise ImpossibleValueError(f"{jar.salt.name}: the reading is not a number")
    pairs = sorted(
        ((fixed_point(jar.salt, temp_c), jar) for jar in jars), key=lambda pair: pair[0].rh_pct
    )
    points, ordered = tuple(point for point, _ in pairs), tuple(jar for _, jar in pairs)
    gain, offset_pct = _line(points, ordered)
    return Correction(temp_c, ordered, points, gain, offset_pct, _trusted(points))


def _line(points: Sequence[FixedPoint], jars: Sequence[Jar]) -> tuple[float, float]:
    if len(points) == 1:
        return 1.0, points[0].rh_pct - jars[0].reading_pct
    (dry, damp), (dry_jar, damp_jar) = points, jars
    if dry.salt == damp.salt:
        raise UnusableInputError(
            f"two jars of {dry.salt.name} tell of one humidity only; give one, or another salt"
        )
    rise = damp_jar.reading_pct - dry_jar.reading_pct
    if rise <= 0:
        raise UnusableInputError(
            f"{damp.salt.name} should read higher than {dry.salt.name}, but reads "
            f"{damp_jar.reading_pct:g} % against {dry_jar.reading_pct:g} %: swapped, or a jar "
            "that had not settled"
        )
    gain = (damp.rh_pct - dry.rh_pct) / rise
    return gain, dry.rh_pct - gain * dry_jar.reading_pct


def _trusted(points: Sequence[FixedPoint]) -> tuple[float, float]:
    low, high = points[0].rh_pct, points[-1].rh_pct
    reach, ceiling = limit("near"), limit("ceiling")
    return max(0.0, low - reach), max(high, min(high + reach, ceiling))
