"""How fast moisture moves in a given wood and through its faces, from tables/transport.csv.

Everything is told at 20 °C; `rate_at` tells how much faster it goes when it is warmer. Both
directions across the grain share one diffusivity: they differ by less than two boards of a kind.
"""

from functools import cache, partial

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.constants import R as GAS_CONSTANT

from climlog.limits import Limits
from climlog.model.board import Finish, Piece
from climlog.model.diffusion import Slab
from climlog.model.emc import equilibrium_moisture, humidity_holding, sorption_slope
from climlog.tables import range_of
from climlog.units import MM_PER_M, kelvin_from_celsius

WATER_KG_M3 = 1000.0
POSSIBLE_GRAVITY = Limits("specific gravity", "", 0.05, 1.5)
USUAL_GRAVITY = Limits("specific gravity", "", 0.3, 0.9)
DAMPEST_RH_PCT = 90.0
POSSIBLE_MEAN = Limits("mean moisture of the wood", "%", 0, 35)
"""Beyond, water fills the cells and moves otherwise."""
POSSIBLE_TEMP = Limits("air temperature", "°C", -100, 150)


figure = partial(range_of, "transport")


def diffusivity_m2_s(specific_gravity: float, moisture_pct: float | None = None) -> float:
    """Tell the diffusivity of moisture across the grain at 20 °C.

    Parameters
    ----------
    specific_gravity : float
        Oven-dry mass over volume, relative to water.
    moisture_pct : float, optional
        Of the wood; left out, 8 %. Damp wood lets moisture through faster. [%]

    Returns
    -------
    float
        Known to a factor of 2 either way. [m²/s]

    Raises
    ------
    ImpossibleValueError
        If no wood is so light or so heavy (0.05 to 1.5).

    Warns
    -----
    ExtrapolationWarning
        Outside 0.3 to 0.9, where nothing was compared.

    References
    ----------
    .. [1] Middle of the models of Siau, "Wood: Influence of Moisture on Physical Properties",
       1995, and Nelson, Canadian Journal of Forest Research 30, 2000; see tables/sources.csv.

    Examples
    --------
    >>> diffusivity_m2_s(0.60), round(diffusivity_m2_s(0.40), 13)
    (4e-11, 9e-11)
    >>> round(diffusivity_m2_s(0.60, 16.0) / diffusivity_m2_s(0.60, 8.0), 2)
    1.9
    """
    POSSIBLE_GRAVITY.require(specific_gravity)
    USUAL_GRAVITY.warn_beyond(specific_gravity)
    lighter = figure("reference_gravity").value / specific_gravity
    wetter = 0.0
    if moisture_pct is not None:
        POSSIBLE_MEAN.require(moisture_pct)
        wetter = (moisture_pct - figure("reference_moisture").value) / 100.0
    dry = figure("diffusivity").value * lighter ** figure("gravity_exponent").value
    return float(dry * np.exp(figure("moisture_exponent").value * wetter))


def permeance_kg_m2_s_pa(finish: Finish, film_factor: float = 1.0) -> float:
    """Tell what still air and a finish, one behind the other, let through.

    Parameters
    ----------
    finish : Finish
        Bare wood has the air film only.
    film_factor : float
        Both films' permeance over the tables' figures.

    Returns
    -------
    float
        [kg/(m² s Pa)]
    """
    air = figure("air_film_permeance").value
    if finish.permeance_kg_m2_s_pa is None:
        return film_factor * air
    return film_factor / (1 / air + 1 / finish.permeance_kg_m2_s_pa)


def transfer_m_s(
    finish: Finish,
    specific_gravity: float,
    moisture_per_rh: float | None = None,
    film_factor: float = 1.0,
) -> float:
    """Tell the transfer coefficient of a face, driven by a difference of wood moisture, at 20 °C.

    A permeance is driven by vapour pressure; p_sat / (dry density x slope of the sorption curve)
    turns it into one driven by moisture.

    Parameters
    ----------
    finish : Finish
        On that face.
    specific_gravity : float
        Oven-dry mass over volume of the wood, relative to water.
    moisture_per_rh : float, optional
        Slope of the sorption curve, % moisture per % relative humidity. Left out: at 20 °C and
        8 % moisture, about 0.16.
    film_factor : float
        Both films' permeance over the tables' figures.

    Returns
    -------
    float
        [m/s]

    Raises
    ------
    ImpossibleValueError
        If no wood is so light or so heavy (0.05 to 1.5).

    Examples
    --------
    >>> from climlog.model.board import BARE
    >>> f"{transfer_m_s(BARE, 0.65):.1e}"
    '4.7e-07'
    """
    POSSIBLE_GRAVITY.require(specific_gravity)
    slope = _usual_slope() if moisture_per_rh is None else moisture_per_rh
    pressure_pa = figure("saturation_pressure").value
    dry_kg_m3 = specific_gravity * WATER_KG_M3
    return permeance_kg_m2_s_pa(finish, film_factor) * pressure_pa / (dry_kg_m3 * slope)


def rate_at(temp_c: ArrayLike) -> NDArray[np.float64]:
    """Tell how fast moisture moves relative to 20 °C.

    One activation energy serves diffusion and transfer: published values for diffusion run from
    36 to 53 kJ/mol, and transfer rises with saturation pressure, about 44 kJ/mol. With a shared
    rate, temperature is only a change of clock.

    Parameters
    ----------
    temp_c : float or array
        [°C]

    Returns
    -------
    array
        NaN where the temperature is NaN.

    Raises
    ------
    ImpossibleValueError
        If a temperature lies outside -100 to 150 °C.

    Examples
    --------
    >>> rate_at([10, 20, 30]).round(2)
    array([0.56, 1.  , 1.72])
    """
    POSSIBLE_TEMP.require(temp_c)
    kelvin = kelvin_from_celsius(np.asarray(temp_c, dtype=float))
    reference = kelvin_from_celsius(figure("reference_temp").value)
    scaled = figure("activation_energy").value / GAS_CONSTANT
    return np.asarray(np.exp(scaled * (1 / reference - 1 / kelvin)))


def slab_for(
    piece: Piece,
    *,
    faces: tuple[Finish, Finish] | None = None,
    moisture_pct: float | None = None,
    diffusivity_factor: float = 1.0,
    film_factor: float = 1.0,
) -> Slab:
    """Turn a piece into the slab that the lag model runs.

    Parameters
    ----------
    piece : Piece
    faces : pair of Finish, optional
        Show face, hidden face, instead of the piece's own.
    moisture_pct : float, optional
        Mean moisture of the wood in its air, at which slope and diffusivity are taken: in damp
        places a filmed board lags more and a bare one less. Left out: 8 %, a heated room. [%]
    diffusivity_factor, film_factor : float
        Of a draw, on the tables' figures; 0.5 to 2 and 0.25 to 1.45 are honest ranges.

    Returns
    -------
    Slab
        At 20 °C.

    Notes
    -----
    Films that were too open to measure after the first day (oils, paste wax) count as none from
    10 mm thickness on.
    """
    show, hidden = (
        transfer_m_s(
            _counting(face, piece.thickness_mm),
            piece.wood.specific_gravity,
            None if moisture_pct is None else moisture_per_rh(moisture_pct),
            film_factor,
        )
        for face in (faces or (piece.show_face, piece.hidden_face))
    )
    diffusivity = diffusivity_factor * diffusivity_m2_s(piece.wood.specific_gravity, moisture_pct)
    return Slab(piece.thickness_mm / MM_PER_M, diffusivity, transfer_m_s=(show, hidden))


def _counting(face: Finish, thickness_mm: float) -> Finish:
    permeance = face.permeance_kg_m2_s_pa
    if permeance is None or thickness_mm < figure("weak_film_thickness").value:
        return face
    weak = permeance > figure("weak_film_permeance").value
    return Finish(face.kind, face.coats, None, face.mark, face.source) if weak else face


@cache
def moisture_per_rh(moisture_pct: float) -> float:
    """Tell the slope of the sorption curve at 20 °C about a moisture, in % per % RH.

    Above 90 % RH it is that of 90 %: the curve grows without measure near saturation, where no
    board's air stays.

    Examples
    --------
    >>> [round(moisture_per_rh(moisture), 2) for moisture in (6.0, 8.0, 12.0, 18.0)]
    [0.16, 0.15, 0.21, 0.44]
    """
    temp_c = figure("reference_temp").value
    dampest = float(equilibrium_moisture(temp_c, DAMPEST_RH_PCT))
    at = float(humidity_holding(min(moisture_pct, dampest), temp_c))
    return float(sorption_slope(temp_c, at))


@cache
def _usual_slope() -> float:
    return moisture_per_rh(figure("reference_moisture").value)
