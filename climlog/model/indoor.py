"""Indoor air from outdoor air: published classes of heated rooms, unheated ones, set points.

Classes are lines over the outdoor daily mean, made for moisture safety and so on the damp side; a
real heated house in a cold spell is drier, down to "heated-only".
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from climlog.errors import ImpossibleValueError
from climlog.limits import Limits
from climlog.model.psychrometrics import saturation_pressure
from climlog.tables import figure, find, load_table

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

SATURATED_PCT = 100.0
POSSIBLE_RH = Limits("relative humidity", "%", 0.0, 100.0)
SET_POINTS = Limits("set point of heating or cooling", "°C", 0.0, 40.0)

house_figure = partial(figure, "house_figures")


class HouseKind(StrEnum):
    """What a class gives over the outdoor daily mean."""

    HUMIDITY_LINE = "humidity line"
    VAPOUR_EXCESS = "vapour excess"
    BARELY_HEATED = "barely heated"
    UNHEATED = "unheated"
    ROOF_SPACE = "roof space"


@dataclass(frozen=True)
class HouseClass:
    """A kind of house and how it is run.

    Attributes
    ----------
    name : str
        A row of tables/indoor_classes.csv; see `house_named`.
    kind : HouseKind
    cold_rh_pct, warm_rh_pct : float
        Ends of a humidity line. [%]
    excess_pa : float
        Vapour that use adds in the cold. [Pa]
    words, source, mark : str
        What it is called, and where its figures are from.
    heating_c, cooling_c : float or None
        Set points; None leaves the class's own temperatures. [°C]
    humidifier_pct : float or None
        Humidity that a humidifier keeps up; None is no humidifier. [%]
    """

    name: str
    kind: HouseKind
    cold_rh_pct: float
    warm_rh_pct: float
    excess_pa: float
    words: str
    source: str
    mark: str
    heating_c: float | None = None
    cooling_c: float | None = None
    humidifier_pct: float | None = None

    @property
    def is_heated(self) -> bool:
        """Whether it is kept warm the winter through."""
        return self.kind in (HouseKind.HUMIDITY_LINE, HouseKind.VAPOUR_EXCESS)

    def __post_init__(self) -> None:
        """Refuse set points that no house has."""
        for value_c in (self.heating_c, self.cooling_c):
            if value_c is not None:
                SET_POINTS.require(value_c)
        if self.humidifier_pct is not None:
            POSSIBLE_RH.require(self.humidifier_pct)
        if (
            self.heating_c is not None
            and self.cooling_c is not None
            and self.heating_c > self.cooling_c
        ):
            raise ImpossibleValueError(
                f"{self.name}: heating to {self.heating_c:g} °C and cooling to "
                f"{self.cooling_c:g} °C would fight each other"
            )
        if not self.is_heated and self.heating_c is not None:
            raise ImpossibleValueError(
                f"{self.name}: it cannot be heated to {self.heating_c:g} °C too: take that away, "
                "or name a heated kind of house"
            )


@dataclass(frozen=True, eq=False)
class IndoorAir:
    """Room temperature [°C], relative humidity [%] and vapour pressure [Pa], arrays alike."""

    temp_c: "NDArray[np.float64]"
    rh_pct: "NDArray[np.float64]"
    vapour_pa: "NDArray[np.float64]"


def house_names() -> tuple[str, ...]:
    """Names that `house_named` knows."""
    return tuple(load_table("indoor_classes").index)


def house_named(
    name: str,
    heating_c: float | None = None,
    cooling_c: float | None = None,
    humidifier_pct: float | None = None,
) -> HouseClass:
    """Find a published class and say how the house is run.

    Parameters
    ----------
    name : str
        A row of tables/indoor_classes.csv, in any case, blanks or hyphens.
    heating_c, cooling_c : float, optional
        Set points, 0 to 40. [°C]
    humidifier_pct : float, optional
        0 to 100. [%]

    Returns
    -------
    HouseClass
        The row's own figures, with the set points given.

    Raises
    ------
    UnknownNameError
        If there is no such class.
    ImpossibleValueError
        If a set point is impossible, or heating is set above cooling.

    Examples
    --------
    >>> house_named("EN15026 normal").warm_rh_pct
    60.0
    """
    wanted = find(house_names(), name, "kind of house")
    row = load_table("indoor_classes").loc[wanted].to_dict()
    return HouseClass(
        wanted,
        HouseKind(row["kind"]),
        float(row["cold_rh_pct"]),
        float(row["warm_rh_pct"]),
        float(row["excess_pa"]),
        str(row["words"]),
        str(row["source"]),
        str(row["mark"]),
        heating_c,
        cooling_c,
        humidifier_pct,
    )


def vapour_pressure(temp_c: "ArrayLike", rh_pct: "ArrayLike") -> "NDArray[np.float64]":
    """Compute the vapour pressure of air from its relative humidity over water.

    Parameters
    ----------
    temp_c : float or array
        [°C]
    rh_pct : float or array
        0 to 100, broadcast against `temp_c`. [%]

    Returns
    -------
    array
        [Pa]

    Raises
    ------
    ImpossibleValueError
        If any humidity lies outside 0 to 100 %.

    Examples
    --------
    >>> round(float(vapour_pressure(0.0, 80.0)))
    489
    """
    POSSIBLE_RH.require(rh_pct)
    share = np.asarray(rh_pct, dtype=float) / SATURATED_PCT
    return np.asarray(share * saturation_pressure(temp_c), dtype=float)


def humidity_of(temp_c: "ArrayLike", vapour_pa: "ArrayLike") -> "NDArray[np.float64]":
    """Compute the relative humidity of a room from its vapour; what is over saturation condenses.

    Parameters
    ----------
    temp_c : float or array
        [°C]
    vapour_pa : float or array
        Not negative, broadcast against `temp_c`. [Pa]

    Returns
    -------
    array
        At most 100. [%]

    Examples
    --------
    >>> round(float(humidity_of(20.0, 489.0)), 1), float(humidity_of(0.0, 900.0))
    (21.0, 100.0)
    """
    share = np.asarray(vapour_pa, dtype=float) / saturation_pressure(temp_c)
    return np.asarray(np.minimum(SATURATED_PCT * share, SATURATED_PCT), dtype=float)


def indoor_air(
    house: HouseClass, outdoor_temp_c: "ArrayLike", outdoor_vapour_pa: "ArrayLike"
) -> IndoorAir:
    """Tell the room's air from the outdoor daily means.

    Parameters
    ----------
    house : HouseClass
    outdoor_temp_c : float or array
        Daily means, -45 to 60. [°C]
    outdoor_vapour_pa : float or array
        Daily means, broadcast against the temperature; a humidity line does not use it. [Pa]

    Returns
    -------
    IndoorAir
        Arrays of the input's shape; NaN where an input is NaN.

    Notes
    -----
    Without set points a class with a humidity line keeps its published temperatures; a class
    with a vapour excess publishes none, takes the same line, and is never cooler than outdoors.
    A cooling set point stands for a machine, which also dries. An unheated room is a little warmer
    than outdoors the whole year, one under a roof much warmer in the sun; both hold the outdoor
    vapour.

    References
    ----------
    .. [1] EN 15026:2007, annex C; EN ISO 13788:2012, annex A, both as transcribed in public codes.

    Examples
    --------
    >>> air = indoor_air(house_named("en15026-normal"), 0.0, 489.0)
    >>> float(air.temp_c), float(air.rh_pct)
    (20.0, 40.0)
    """
    outdoor_c, outdoor_pa = np.broadcast_arrays(
        np.asarray(outdoor_temp_c, dtype=float), np.asarray(outdoor_vapour_pa, dtype=float)
    )
    temp_c = _room_temperature(house, outdoor_c)
    if house.kind is HouseKind.HUMIDITY_LINE:
        ends = (house_figure("rh_line_cold"), house_figure("rh_line_warm"))
        rh_pct = np.interp(outdoor_c, ends, (house.cold_rh_pct, house.warm_rh_pct))
        rh_pct = np.where(np.isnan(outdoor_pa), np.nan, rh_pct)
    else:
        ends = (house_figure("excess_full"), house_figure("excess_gone"))
        excess_pa = np.interp(outdoor_c, ends, (house.excess_pa, 0.0))
        rh_pct = humidity_of(temp_c, outdoor_pa + excess_pa)
    if house.cooling_c is not None:
        hot = temp_c >= house.cooling_c
        rh_pct = np.where(hot, np.minimum(rh_pct, house_figure("cooled_rh")), rh_pct)
    if house.humidifier_pct is not None:
        rh_pct = np.maximum(rh_pct, house.humidifier_pct)
    return IndoorAir(temp_c, rh_pct, vapour_pressure(temp_c, rh_pct))


def _room_temperature(house: HouseClass, outdoor_c: "NDArray[np.float64]") -> "NDArray[np.float64]":
    if not house.is_heated:
        temp_c = _left_to_itself(house.kind, outdoor_c)
        return temp_c if house.cooling_c is None else np.minimum(temp_c, house.cooling_c)
    heated = house_figure("heated_to") if house.heating_c is None else house.heating_c
    warmer = np.maximum(outdoor_c - house_figure("warming_from"), 0.0) * house_figure(
        "warming_slope"
    )
    most = house_figure("warmest") if house.heating_c is None else heated + _rise()
    temp_c = np.minimum(heated + warmer, most)
    if house.kind is HouseKind.VAPOUR_EXCESS:
        temp_c = np.maximum(temp_c, outdoor_c)
    if house.cooling_c is not None:
        temp_c = np.minimum(temp_c, house.cooling_c)
    return np.asarray(temp_c, dtype=float)


def _left_to_itself(kind: HouseKind, outdoor_c: "NDArray[np.float64]") -> "NDArray[np.float64]":
    """Tell the temperature of a room without heating, or with hardly any. [°C]."""
    if kind is HouseKind.UNHEATED:
        return np.asarray(outdoor_c + house_figure("unheated_warmer"))
    if kind is HouseKind.ROOF_SPACE:
        sunny_c = np.maximum(outdoor_c - house_figure("roof_sun_from"), 0.0)
        return np.asarray(
            outdoor_c + house_figure("roof_warmer") + house_figure("roof_sun_slope") * sunny_c
        )
    warmer = np.maximum(outdoor_c - house_figure("barely_from"), 0.0)
    temp_c = house_figure("barely_to") + house_figure("barely_slope") * warmer
    return np.asarray(np.maximum(temp_c, outdoor_c))


def _rise() -> float:
    return house_figure("warmest") - house_figure("heated_to")
