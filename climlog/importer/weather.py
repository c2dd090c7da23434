"""Weather files by their documented columns: EPW (EnergyPlus) and TMY3, else any logger's file.

A year put together from months of several years keeps only month, day and hour; its readings are
dated in one nominal year and marked as typical.
"""

import csv
import io
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.arguments import Paths, paths_of
from climlog.errors import UnusableInputError
from climlog.importer.faults.climate import signs_of_a_room
from climlog.importer.faults.gaps import find_gaps, median_step_minutes
from climlog.importer.log import FlagKind, Guess, Log, Sensor
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_log
from climlog.importer.text import epw
from climlog.importer.text.dialect import Text, load_text
from climlog.units import HOURS_PER_DAY

if TYPE_CHECKING:
    from numpy.typing import NDArray

TMY3_DATE, TMY3_TIME = "Date (MM/DD/YYYY)", "Time (HH:MM)"
TMY3_TEMP, TMY3_RH = "Dry-bulb (C)", "RHum (%)"
TMY3_MISSING = -9900.0
NOMINAL_YEAR = 2001
NO_OPTIONS = ImportOptions()
EPW, TMY3, LOGGER, MONTHS = "EPW", "TMY3", "logger", "months"
MINUTE_NS = 60_000_000_000
NOT_A_NUMBER = "not a number"
MARKED_MISSING = "marked as missing"
UNDATED = "time not readable"
LONGEST_GAP_DAYS = 300
NOT_POSSIBLE = "humidity outside 0 to 100 %"
LEAP_DAY = "29 February left out of the typical year"


@dataclass(frozen=True, eq=False)
class Weather:
    """Outdoor air and what kind of file it came from.

    Attributes
    ----------
    log : Log
        Readings at the start of their hour; in a nominal year where `typical`.
    kind : {"EPW", "TMY3", "logger", "months"}
        The last is a table of monthly means, whose days have no weather of their own.
    typical : bool
        Whether the months come from several years, so that no date is a real one.
    place : str
        As the file names it; empty for a logger.
    """

    log: Log
    kind: str
    typical: bool
    place: str = ""


@dataclass(frozen=True, eq=False)
class _Body:
    """Columns as they stand in a file: hours run from 1 to 24, each ends at its number."""

    dates: pd.DataFrame
    temp: "NDArray[np.float64]"
    rh: "NDArray[np.float64]"
    missing: tuple[float, float]
    sensor: Sensor
    place: str
    kind: str
    parts_of_hour: int = 1


def read_weather(paths: Paths, how: ImportOptions = NO_OPTIONS) -> Weather:
    """Read outdoor air from an EPW file, a TMY3 file or a logger's file.

    Parameters
    ----------
    paths : str or Path, or several in a list
        The kind is told from the first two lines, not from the name; several are a logger's.
    how : ImportOptions
        For a logger's file.

    Returns
    -------
    Weather
        Every row of the file counted as used or left out.

    Raises
    ------
    UnusableInputError
        If the file has no usable row, rows that the format does not allow, or a room's air.

    References
    ----------
    .. [1] EnergyPlus documentation, "Auxiliary Programs", weather data dictionary.
    .. [2] Wilcox, Marion, "Users Manual for TMY3 Data Sets", NREL/TP-581-43156, 2008.
    """
    files = paths_of(paths, "read_weather")
    if len(files) != 1 or files[0].is_dir():
        return _logger(files, how)
    (path,) = files
    text = load_text(path, how.encoding)
    first, second = (*text.data.split(b"\n", 2), b"", b"")[:2]
    if epw.is_epw(first.decode(errors="replace")):
        return _weather(text, _epw(text))
    if second.decode(errors="replace").strip().strip('"').startswith(TMY3_DATE):
        return _weather(text, _tmy3(text))
    return _logger(files, how)


def _logger(files: list[Path], how: ImportOptions) -> Weather:
    log = read_log(files, how)
    signs = signs_of_a_room(
        log.times.as_unit("ns").asi8, log.temp_c, log.rh_pct, log.median_step_minutes * MINUTE_NS
    )
    if signs:
        raise UnusableInputError(
            f"{log.file}: this is the air of a room, not of outdoors ({signs}): give it as LOG, "
            "and the weather outside with --outdoor"
        )
    return Weather(log, LOGGER, any(flag.kind == FlagKind.TYPICAL_YEAR for flag in log.flags))


def _epw(text: Text) -> _Body:
    lines = text.data.decode("utf-8", errors="replace").splitlines()
    header = [next(csv.reader([line]), []) for line in lines[: epw.HEADER_LINES]]
    periods = [line for line in header if line and line[0].strip().upper() == epw.PERIODS]
    if len(header) < epw.HEADER_LINES or not periods:
        raise UnusableInputError(
            f"{text.name}: begins as an EPW file, but its eight header lines do not hold "
            f'"{epw.PERIODS}": save it again, or give a log as CSV'
        )
    table = _table(text.name, EPW, lines[epw.HEADER_LINES :], None, list(epw.FIELDS.values()))
    columns = {name: table[field] for name, field in epw.FIELDS.items()}
    dates = pd.DataFrame({name: columns[name] for name in ("year", "month", "day", "hour")})
    named = [cell.strip() for cell in header[0][1:4] if cell.strip() not in ("", "-")]
    return _Body(
        dates.apply(pd.to_numeric, errors="coerce"),
        _numbers(columns["temp"]),
        _numbers(columns["rh"]),
        (epw.TEMP_MISSING, epw.RH_MISSING),
        Sensor("weather", "field 7, dry bulb", "C", "field 9, relative humidity", "%"),
        ", ".join(named),
        EPW,
        _records_an_hour(text.name, periods[0]),
    )


def _table(
    name: str, kind: str, lines: Sequence[str], header: int | None, fields: list[int] | None
) -> pd.DataFrame:
    """Divide lines into cells, all text."""
    try:
        return pd.read_csv(
            io.StringIO("\n".join(lines)),
            header=header,
            usecols=fields,
            dtype=str,
            skipinitialspace=True,
            keep_default_na=False,
        )
    except ValueError as error:  # pandas' own errors of parsing are ValueErrors
        raise UnusableInputError(
            f"{name}: the rows of this {kind} file cannot be divided into its columns "
            f"({error}): save it again"
        ) from error


def _numbers(cells: "pd.Series[str]") -> "NDArray[np.float64]":
    return np.asarray(pd.to_numeric(cells, errors="coerce"), dtype=np.float64)


def _records_an_hour(name: str, period: Sequence[str]) -> int:
    try:
        return max(1, int(period[2]))
    except (IndexError, ValueError) as error:
        raise UnusableInputError(
            f'{name}: the line "{epw.PERIODS}" does not say how many records an hour has: '
            "write 1 in its third field"
        ) from error


def _tmy3(text: Text) -> _Body:
    lines = text.data.decode("utf-8", errors="replace").splitlines()
    station = next(csv.reader([lines[0]]), [])
    table = _table(text.name, TMY3, lines[1:], 0, None)
    wanted = (TMY3_DATE, TMY3_TIME, TMY3_TEMP, TMY3_RH)
    absent = [title for title in wanted if title not in table.columns]
    if absent:
        raise UnusableInputError(
            f"{text.name}: begins as a TMY3 file, but has no column titled {', '.join(absent)}"
        )
    parts = table[TMY3_DATE].str.split("/", expand=True).reindex(columns=range(3))
    dates = pd.DataFrame(
        {
            "year": parts[2],
            "month": parts[0],
            "day": parts[1],
            "hour": table[TMY3_TIME].str.partition(":")[0],
        }
    )
    return _Body(
        dates.apply(pd.to_numeric, errors="coerce"),
        _numbers(table[TMY3_TEMP]),
        _numbers(table[TMY3_RH]),
        (TMY3_MISSING, TMY3_MISSING),
        Sensor("weather", TMY3_TEMP, "C", TMY3_RH, "%"),
        ", ".join(cell.strip() for cell in station[1:3]),
        TMY3,
    )


def _weather(text: Text, body: _Body) -> Weather:
    years = body.dates["year"].dropna().unique()
    typical = _is_patchwork(_stamps(body, body.dates["year"]))
    stamps = _stamps(body, pd.Series(NOMINAL_YEAR, body.dates.index)) if typical else None
    times = _stamps(body, body.dates["year"]) if stamps is None else stamps
    leap = ((body.dates["month"] == 2) & (body.dates["day"] == 29)).to_numpy()
    reasons = _reasons(body, times.isna().to_numpy(), leap & typical)
    used = reasons == ""
    if used.sum() < 2:
        raise UnusableInputError(
            f"{text.name}: an {body.kind} file without two usable hours of temperature and humidity"
        )
    order = np.flatnonzero(used)[np.argsort(times[used].to_numpy(), kind="stable")]
    when = pd.DatetimeIndex(times.iloc[order])
    if when.has_duplicates:
        raise UnusableInputError(
            f"{text.name}: {when[when.duplicated()][0]:%d %B %H:%M} stands twice in the "
            f"{body.kind} file: save it again with one row an hour"
        )
    wall = when.as_unit("ns").asi8
    log = Log(
        files=(text.name,),
        sensor=body.sensor,
        times=when,
        temp_c=body.temp[order],
        rh_pct=body.rh[order],
        rows_read=int(used.size),
        rows_used=int(used.sum()),
        rows_left_out=dict(Counter(reasons[~used].tolist())),
        median_step_minutes=median_step_minutes(wall),
        gaps=find_gaps(wall),
        guesses=(*text.guesses, *_told(body, years, typical)),
    )
    return Weather(log, body.kind, typical, body.place)


def _stamps(body: _Body, years: "pd.Series[int]") -> "pd.Series[pd.Timestamp]":
    """Start of each record, NaT where the date is none."""
    parts = {"year": years, "month": body.dates["month"], "day": body.dates["day"]}
    day = pd.to_datetime(pd.DataFrame(parts), errors="coerce")
    hour = body.dates["hour"].where(body.dates["hour"].between(1, HOURS_PER_DAY)) - 1
    whole = day + pd.to_timedelta(hour, unit="h")
    if body.parts_of_hour == 1:
        return whole
    place = body.dates.groupby(["year", "month", "day", "hour"]).cumcount()
    return whole + pd.to_timedelta(place / body.parts_of_hour, unit="h")


def _is_patchwork(stamps: "pd.Series[pd.Timestamp]") -> bool:
    """Say whether the dates jump back or over most of a year, as in a typical year."""
    step_days = stamps.dropna().diff() / pd.Timedelta(days=1)
    return bool(((step_days < 0) | (step_days > LONGEST_GAP_DAYS)).any())


def _reasons(
    body: _Body, undated: "NDArray[np.bool_]", leap: "NDArray[np.bool_]"
) -> "NDArray[np.object_]":
    """Why each row is left out, "" where it is used; the first reason counts."""
    temp, rh = body.temp, body.rh
    blanks = [
        _is_missing(values, mark) for values, mark in zip((temp, rh), body.missing, strict=True)
    ]
    reasons = np.full(temp.size, "", dtype=object)
    for reason, rows in (
        (LEAP_DAY, leap),
        (UNDATED, undated & ~leap),
        (NOT_A_NUMBER, np.isnan(temp) | np.isnan(rh)),
        (MARKED_MISSING, blanks[0] | blanks[1]),
        (NOT_POSSIBLE, (rh < 0) | (rh > 100)),
    ):
        reasons[rows & (reasons == "")] = reason
    return reasons


def _is_missing(values: "NDArray[np.float64]", mark: float) -> "NDArray[np.bool_]":
    """Say which values are the format's mark of a missing one, or beyond it."""
    return np.asarray(values >= mark if mark > 0 else values <= mark)


def _told(body: _Body, years: "NDArray[np.float64]", typical: bool) -> tuple[Guess, ...]:
    kind = Guess("kind of file", body.kind, "its first lines")
    if not typical:
        return (kind,)
    because = f"its months come from {years.size} years, {years.min():.0f} to {years.max():.0f}"
    return kind, Guess("dates", "typical year", because)
