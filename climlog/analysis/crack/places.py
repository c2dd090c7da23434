"""Where a piece has been: made in one air, delivered, lived in another; nothing joins two as one.

The place where it lives is a record of its own, read or worked out from the outdoors, gone through
from the day of delivery. The shop's air stands before that day only: it fills no day of the other.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.ahead import Ahead, AirErrors, ahead_from, covered_days
from climlog.analysis.air.air import Air, air_of, in_one_year
from climlog.analysis.air.projection import Projection
from climlog.analysis.crack.result import HowKnown, StayTold, Where
from climlog.analysis.crack.weights import weight
from climlog.analysis.place.place import Asked
from climlog.analysis.place.year import Surroundings, projected_year
from climlog.arguments import require_kind
from climlog.errors import UnusableInputError
from climlog.importer.log import FlagKind, Log
from climlog.importer.weather import Weather
from climlog.model.board import Piece
from climlog.model.indoor import HouseClass
from climlog.model.series import runs_of_true
from climlog.tables import ORDINARY_HOME
from climlog.units import DAYS_PER_YEAR, Units

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Lived:
    """What is known of a piece's whereabouts besides the logs.

    Attributes
    ----------
    delivered : date or None
        Day it left the shop; None where it has been in one place since it was fixed.
    outdoor : Weather or None
        Air outdoors where it lives, for what nobody logged there.
    house : HouseClass or None
        Kind of house, needed where nothing was logged.
    elsewhere : bool
        Whether the outdoor readings are of another place, so that no date of theirs counts.
    """

    delivered: date | None = None
    outdoor: Weather | None = None
    house: HouseClass | None = None
    elsewhere: bool = False

    def __post_init__(self) -> None:
        """Refuse what is no day, no air outdoors and no kind of house."""
        for one, kind, gives in (
            (self.delivered, date, "datetime.date(2025, 11, 10)"),
            (self.outdoor, Weather, "read_weather"),
            (self.house, HouseClass, "house_named"),
        ):
            if one is not None:
                require_kind(one, kind, "Lived", gives)


ONE_PLACE = Lived()


def refuse_outdoors(log: Log | None, option: str = "") -> None:
    """Refuse air of outdoors as that of a room.

    Raises
    ------
    UnusableInputError
        With the option that uses it rightly.
    """
    flags = () if log is None else log.flags
    for flag in flags:
        if flag.kind == FlagKind.OUTDOOR_AIR and log is not None:
            where = f"{option} " if option else ""
            instead = (
                f"add --made-in with the log of the shop, or moisture_when_fixed to the sheet, and "
                f"leave {log.file} out"
                if option
                else f"give it as --outdoor {log.file} --house NAME ({ORDINARY_HOME} is an "
                "ordinary home), and a log of the room, if there is one, as LOG"
            )
            raise UnusableInputError(f"{where}{log.file}: {flag.says}; {instead}")


def refuse_days(piece: Piece, seen_on: date, lived: Lived) -> None:
    """Refuse days that cannot follow one another.

    Raises
    ------
    UnusableInputError
        Naming both days.
    """
    fixed, delivered = piece.fixed_on, lived.delivered
    if fixed is not None and seen_on < fixed:
        raise UnusableInputError(
            f"{piece.name}: the crack was seen on {seen_on}, before it was fixed on {fixed}; check "
            "both days"
        )
    if delivered is None:
        return
    if fixed is not None and delivered < fixed:
        raise UnusableInputError(
            f"{piece.name}: --delivered {delivered} is before it was made (fixed on {fixed}); "
            "check both days"
        )
    if seen_on < delivered:
        raise UnusableInputError(
            f"{piece.name}: the crack was seen on {seen_on}, before --delivered "
            f"{delivered}: leave --delivered out and give the shop's log as LOG, or check both days"
        )


def asked_of(
    piece: Piece, log: Log | None, made_in: Log | None, units: Units, lived: Lived, seen_on: date
) -> tuple[Asked, tuple[StayTold, ...]]:
    """Put together what the job of `place` is asked, and where the piece was, stretch by stretch.

    Raises
    ------
    UnusableInputError
        If logs and days do not reach one another.
    """
    refuse_outdoors(log)
    refuse_outdoors(made_in, "--made-in")
    delivered = lived.delivered
    if delivered is not None and piece.fixed_on is None:
        piece = replace(piece, fixed_on=delivered)
    projection = _projection(log, lived, delivered or piece.fixed_on, seen_on)
    log = None if log is None else in_one_year(log)
    record = _record(log, projection)
    _refuse_short(log, record, piece, lived)
    errors = None if projection is None else projection.errors_at
    begins = delivered or piece.fixed_on or record.times[0].date()
    ahead = ahead_from(record, begins, errors)
    shop = None
    if delivered is not None and made_in is not None and piece.fixed_on != delivered:
        shop = _shop_air(piece, made_in, delivered)
    whole = ahead if shop is None else _joined(shop.air, ahead, delivered or begins)
    if delivered is not None and shop is None:
        whole = replace(ahead, lead_hours=0.0) if ahead.lead_hours == 0.0 else ahead
    stays = (
        *_stays_of_shop(piece, shop, made_in, delivered),
        *_stays(whole, projection, delivered or begins, seen_on, log),
    )
    if shop is not None:
        _refuse_open(piece, stays, seen_on)
    asked = Asked(piece, log, made_in, units, projection, ahead=whole, tells_kinds=False)
    return asked, stays


def _projection(
    log: Log | None, lived: Lived, since: date | None, seen_on: date
) -> Projection | None:
    """Work the air out from the outdoors, over the year that holds the crack."""
    if lived.outdoor is None:
        return None
    around = Surroundings(log, lived.outdoor, lived.house, lived.elsewhere)
    latest = seen_on - timedelta(days=DAYS_PER_YEAR - 1)
    return projected_year(around, latest if since is None else max(since, latest))


def _record(log: Log | None, projection: Projection | None) -> Air:
    if projection is not None:
        return projection.air
    if log is None:
        raise UnusableInputError(
            "nothing tells the air where it lived: give its log, or --outdoor FILE with --house "
            f"NAME ({ORDINARY_HOME} is an ordinary home)"
        )
    return air_of(log)


def _refuse_short(log: Log | None, record: Air, piece: Piece, lived: Lived) -> None:
    """Refuse a client's log that ends before the piece came there."""
    delivered = lived.delivered
    if log is None or delivered is None or record.times[-1].date() >= delivered:
        return
    raise UnusableInputError(
        f"{log.file} ends on {record.times[-1].date()}, before {piece.name} was delivered "
        f"(--delivered {delivered}): give a log of the place where it lived then, or leave LOG out "
        "and add --outdoor FILE --house NAME"
    )


def _refuse_open(piece: Piece, stays: tuple[StayTold, ...], seen_on: date) -> None:
    """Refuse to judge by a few days that follow a long stretch of which nobody knows the air.

    Raises
    ------
    UnusableInputError
        Naming the stretch.
    """
    least = timedelta(days=weight("open_stretch_days"))
    since = timedelta(days=weight("since_open_days"))
    unknown = [one for one in stays if one.how is HowKnown.NOT_KNOWN]
    if not unknown:
        return
    first, last = unknown[-1].first, unknown[-1].last
    in_shop = unknown[-1].where is Where.MADE
    for one in reversed(unknown[:-1]):
        if one.last == first - timedelta(days=1):
            first, in_shop = one.first, True
    if last >= seen_on or last - first < least or seen_on - last >= since:
        return
    instead = (
        "give a log of the shop that reaches over those days, or leave --made-in out and add "
        "moisture_when_fixed to the sheet"
        if in_shop
        else "give a log of the place that reaches over those days, or add --outdoor FILE"
    )
    raise UnusableInputError(
        f"{piece.name}: nothing tells its air from {first} to {last}, too short before the crack "
        f"was seen on {seen_on} to judge by the days after it: {instead}"
    )


def _shop_air(piece: Piece, made_in: Log, delivered: date) -> Ahead:
    """Air of the shop from the fixing to the delivery.

    Raises
    ------
    UnusableInputError
        If it holds nothing of those days, nor of the same days of another year.
    """
    record = air_of(in_one_year(made_in))
    fixed = piece.fixed_on or delivered
    days, known = covered_days(record)
    there = days[known]
    says = (
        f"--made-in {made_in.file} ({there[0]} to {there[-1]}) holds nothing of {fixed} to "
        f"{delivered}, when {piece.name} stood there, nor of the same days of another year: give "
        "a log of those days, or leave --made-in out and add moisture_when_fixed to the sheet"
    )
    try:
        ahead = ahead_from(record, fixed)
    except UnusableInputError as error:
        raise UnusableInputError(says) from error
    stop = int(ahead.air.times.searchsorted(pd.Timestamp(delivered)))
    if stop < 1 or not np.isfinite(ahead.air.emc_pct[:stop]).any():
        raise UnusableInputError(says)
    return replace(ahead, air=ahead.air.part(0, stop), source=ahead.source[:stop])


def _joined(shop: Air, ahead: Ahead, delivered: date) -> Ahead:
    """Put the shop's air before that of the place; its steps are read on no day of the record."""
    step = pd.Timedelta(hours=ahead.air.step_hours)
    first = shop.times[0]
    count = max(0, int(np.floor((ahead.air.times[0] - first) / step)))
    times = pd.date_range(ahead.air.times[0] - count * step, periods=count, freq=step)
    temp_c, rh_pct = (_on_grid(shop, values, times, step) for values in (shop.temp_c, shop.rh_pct))
    both = pd.DatetimeIndex(np.concatenate([times.to_numpy(), ahead.air.times.to_numpy()]))
    known = Air.of(both[:count], temp_c, rh_pct, ahead.air.step_hours) if count else None
    if known is None:
        return ahead
    air = replace(
        ahead.air,
        times=both,
        temp_c=np.concatenate([known.temp_c, ahead.air.temp_c]),
        rh_pct=np.concatenate([known.rh_pct, ahead.air.rh_pct]),
        emc_pct=np.concatenate([known.emc_pct, ahead.air.emc_pct]),
        emc_per_rh=np.concatenate([known.emc_per_rh, ahead.air.emc_per_rh]),
    )
    here = int(np.flatnonzero(np.isfinite(air.emc_pct))[0])
    source = np.concatenate([np.full(count, -1, dtype=np.int64), ahead.source])
    errors = ahead.errors
    cut = pd.Timestamp(delivered)
    return Ahead(
        air.part(here).bridged(),
        source[here:],
        ahead.record,
        ahead.coverage,
        0.0,
        None if errors is None else _from_delivery(errors, cut),
    )


def _from_delivery(errors: AirErrors, cut: pd.Timestamp) -> AirErrors:
    """Leave what was read in the shop without the doubt of what was worked out."""

    def at(times: pd.DatetimeIndex) -> "Floats":
        return np.where(np.asarray(times >= cut)[None, :], errors(times), 0.0)

    return at


def _on_grid(air: Air, values: "Floats", times: pd.DatetimeIndex, step: pd.Timedelta) -> "Floats":
    """Average finer steps into ours; hold a coarser one over those it spans; NaN for none."""
    if times.size == 0:
        return np.empty(0)
    place = np.floor(np.asarray((air.times - times[0]) / step)).astype(np.int64)
    inside = (place >= 0) & (place < times.size) & np.isfinite(values)
    rows = np.bincount(place[inside], minlength=times.size)
    sums = np.bincount(place[inside], weights=values[inside], minlength=times.size)
    found = np.where(rows > 0, sums / np.maximum(rows, 1), np.nan)
    at = np.clip(air.times.searchsorted(times, side="right") - 1, 0, air.times.size - 1)
    near = np.asarray(times - air.times[at] < pd.Timedelta(hours=air.step_hours)) & np.asarray(
        times >= air.times[at]
    )
    return np.where(np.isfinite(found), found, np.where(near, values[at], np.nan))


def _stays_of_shop(
    piece: Piece, shop: Ahead | None, made_in: Log | None, delivered: date | None
) -> Iterator[StayTold]:
    if delivered is None or piece.fixed_on is None or piece.fixed_on == delivered:
        return
    last = delivered - timedelta(days=1)
    if shop is None or made_in is None:
        yield StayTold(Where.MADE, piece.fixed_on, last, HowKnown.NOT_KNOWN, "")
        return
    how = np.where(shop.source < 0, _CODE[HowKnown.NOT_KNOWN], _CODE[HowKnown.READ])
    how = np.where(shop.repeated, _CODE[HowKnown.SAME_DAYS], how)
    yield from _runs(shop.air.times, how, (Where.MADE, piece.fixed_on, last), made_in.file)


def _stays(
    ahead: Ahead, projection: Projection | None, begins: date, seen_on: date, log: Log | None
) -> Iterator[StayTold]:
    times = ahead.air.times
    here = np.asarray((times >= pd.Timestamp(begins)) & (ahead.source >= 0))
    how = np.where(here, _CODE[HowKnown.READ], _CODE[HowKnown.NOT_KNOWN])
    if projection is None:
        how = np.where(here & ahead.repeated, _CODE[HowKnown.SAME_DAYS], how)
        name = "" if log is None else log.file
    else:
        out = np.asarray(ahead.of_record(projection.projected), dtype=bool) | ahead.repeated
        how = np.where(here & out, _CODE[HowKnown.WORKED_OUT], how)
        read = "" if log is None else f"{log.file}, "
        name = f"{read}{projection.outdoor_name}"
    inside = np.asarray(times >= pd.Timestamp(begins))
    yield from _runs(times[inside], how[inside], (Where.LIVED, begins, seen_on), name)


_CODE = {how: code for code, how in enumerate(HowKnown)}


def _runs(
    times: pd.DatetimeIndex,
    how: "NDArray[np.int64]",
    stay: tuple[Where, date, date],
    name: str,
) -> Iterator[StayTold]:
    """Give runs of days known one way; a run of a few days goes with the one before it."""
    where, first, last = stay
    days = pd.date_range(first, last, freq="D")
    at = np.floor(np.asarray((times - days[0]) / pd.Timedelta(days=1))).astype(np.int64)
    inside = (at >= 0) & (at < days.size)
    counts = np.zeros((len(_CODE), days.size))
    np.add.at(counts, (how[inside], at[inside]), 1)
    of_day = np.where(counts.sum(axis=0) > 0, counts.argmax(axis=0), _CODE[HowKnown.NOT_KNOWN])
    short = round(weight("short_stretch_days"))
    for code in range(len(_CODE)):
        for begin, stop in runs_of_true(of_day == code):
            if stop - begin < short and begin > 0:
                of_day[begin:stop] = of_day[begin - 1]
    edges = np.flatnonzero(np.diff(of_day, prepend=-1, append=-1))
    ways = list(HowKnown)
    for begin, stop in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        known = ways[int(of_day[begin])]
        files = "" if known is HowKnown.NOT_KNOWN else name
        yield StayTold(where, days[begin].date(), days[stop - 1].date(), known, files)


def air_known(ahead: Ahead, worked_out: bool, seen_on: date) -> tuple[datetime, datetime]:
    """Tell from when to when the air counts as known: as read, or worked out where asked for."""
    there = ahead.as_read
    begins = there.times[0]
    if worked_out:
        there = ahead.until_read
        begins = ahead.air.times[int(np.flatnonzero(ahead.source >= 0)[0])]
    if seen_on >= begins.date():
        joined = ahead.source[0] < 0
        begins = ahead.air.times[0] if joined else begins
    return begins.to_pydatetime(), there.times[-1].to_pydatetime()
