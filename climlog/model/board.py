"""The piece of furniture as plain checked records: wood, finish, fastenings, sizes.

Axes on the top, seen from above: x along the grain, y across it, both from the middle of the top.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from climlog.errors import ImpossibleValueError
from climlog.told import told


class Rail(StrEnum):
    """The way a rail, a batten or an edge runs."""

    ALONG = "along the grain"
    ACROSS = "across the grain"


ALONG, ACROSS = Rail.ALONG, Rail.ACROSS


class HowMeasured(StrEnum):
    """How the moisture when fixed was found: it decides how sure that is."""

    OVEN = "oven"
    PIN_METER = "pin meter"
    GUESS = "guess"


@told(as_its="name")
@dataclass(frozen=True)
class Wood:
    """A species: how much it moves, how dense it is, and how well each figure is known.

    Attributes
    ----------
    radial_per_pct, tangential_per_pct : float
        Change of size per 1 % moisture, as a share of the size, for 6 to 14 % moisture.
    radial_shrinkage_pct, tangential_shrinkage_pct : float
        Total shrinkage from green to oven-dry. [% of green size]
    specific_gravity : float
        Oven-dry mass over volume at 12 % moisture, relative to water.
    marks : mapping of str to str
        "read", "memory" or "derived" for each figure above.
    """

    name: str
    botanical_name: str
    radial_per_pct: float
    tangential_per_pct: float
    radial_shrinkage_pct: float
    tangential_shrinkage_pct: float
    specific_gravity: float
    marks: Mapping[str, str] = field(default_factory=dict)
    source: str = ""


ROUNDED_MM = 0.05
"""Half of the last digit of a place in mm: what lies at an edge may be written so far outside."""


@dataclass(frozen=True)
class Finish:
    """A film on one face; bare wood has no permeance of its own (None)."""

    kind: str
    coats: int
    permeance_kg_m2_s_pa: float | None
    mark: str = ""
    source: str = ""


BARE = Finish("none", 0, None, "read", "no film")


@told(without="where")
@dataclass(frozen=True)
class Fastening:
    """One fastening, where it sits and its sizes.

    Attributes
    ----------
    kind : str
        A key of tables/fastening_kinds.csv.
    rail : Rail
        The direction in which the rail it is fixed to runs.
    x_mm, y_mm : float
        Where it holds the top; x along the grain, y across, from the middle of the top. [mm]
    sizes_mm : mapping of str to float
        Every size of the kind (tables/fastening_sizes.csv); angles in degrees end in "_deg".
    assumed : tuple of str
        Keys of `sizes_mm` that are the table's typical figure, not the user's.
    rail_thickness_mm : float or None
        Of the rail it is fixed to, from the Base of its Piece where left out; None where nobody
        said it. [mm]
    where : str
        What a message about it begins with: the sheet and line, or the option, with a colon.
    """

    name: str
    kind: str
    rail: Rail
    x_mm: float
    y_mm: float
    sizes_mm: Mapping[str, float]
    assumed: tuple[str, ...] = ()
    rail_thickness_mm: float | None = None
    where: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        """Refuse a rail that runs neither way; take its words as well as the Rail."""
        try:
            object.__setattr__(self, "rail", Rail(self.rail))
        except ValueError as error:
            raise ImpossibleValueError(
                f'{self.name}: a rail runs "{ALONG}" or "{ACROSS}", not "{self.rail}"'
            ) from error


@dataclass(frozen=True)
class Measured:
    """Measurements on the real piece on one day; None where nothing was measured.

    Attributes
    ----------
    moisture_pct : float or None
        As the meter showed it. [%]
    wood_temp_c : float or None
        Of the wood under a pin meter; None where the reading stands as it is. [°C]
    """

    on: date
    width_mm: float | None = None
    moisture_pct: float | None = None
    weight_g: float | None = None
    wood_temp_c: float | None = None


@dataclass(frozen=True)
class Base:
    """Where the rails are, each as its distance from the middle of the top, in mm.

    The thickness of rails is None where nobody said it. [mm]
    """

    rails_across_grain_x_mm: tuple[float, ...] = ()
    rails_along_grain_y_mm: tuple[float, ...] = ()
    rails_across_grain_thick_mm: float | None = None
    rails_along_grain_thick_mm: float | None = None


@told(without="fastenings measured moisture_when_fixed_pct")
@dataclass(frozen=True)
class Piece:
    """A solid-wood top as fixed.

    Attributes
    ----------
    name : str
    wood : Wood
    cut : str
        As the sheet names it.
    tangential_share : float
        Part of the width movement that is tangential: 1 flat-sawn, 0 quartersawn, between by
        cos² of the angle from ring to face, averaged by board width. [1]
    width_mm, length_mm, thickness_mm : float
        Across the grain, along it, and through; above 0. [mm]
    show_face, hidden_face : Finish
    base : Base
        The rails below it.
    fastenings : tuple of Fastening
    fixed_on : date or None
    measured : tuple of Measured
        Readings of the real piece since.
    assumed : tuple of str
        What the sheet left open and was taken from the tables.
    moisture_when_fixed_pct : float or None
        None where it must be taken from a log. [%]
    measured_by : HowMeasured or None
        How that moisture was found; None where nobody said.
    layout : str or None
        The named layout (tables/layouts.csv) that placed the rails; None where they were given.
    board_width_mm : float or None
        Of the boards that a floor is laid from, which open one by one. [mm]
    undecided : tuple of str
        Questions whose answers decide and were not given: the verdict is "not known" unless it
        runs out whatever they are. Each names the option or key that settles it.
    wood_asked : str or None
        The plain name that was given, such as "ash", where the table has several of that name and
        `wood` is the one that moves most as it was cut; None where one wood was named.
    other_woods : tuple of str
        Those others.
    """

    name: str
    wood: Wood
    cut: str
    tangential_share: float
    width_mm: float
    length_mm: float
    thickness_mm: float
    show_face: Finish = BARE
    hidden_face: Finish = BARE
    base: Base = field(default_factory=Base)
    fastenings: tuple[Fastening, ...] = ()
    fixed_on: date | None = None
    moisture_when_fixed_pct: float | None = None
    measured: tuple[Measured, ...] = ()
    assumed: tuple[str, ...] = ()
    measured_by: HowMeasured | None = None
    layout: str | None = None
    board_width_mm: float | None = None
    undecided: tuple[str, ...] = ()
    wood_asked: str | None = None
    other_woods: tuple[str, ...] = ()

    @property
    def wood_called(self) -> str:
        """The wood as its maker named it: what may stand before a client."""
        return self.wood_asked or self.wood.name

    def __post_init__(self) -> None:
        """Refuse sizes that no top has; tell each fastening how thick its rail is."""
        for what, value_mm, high_mm in (
            ("width", self.width_mm, 30_000.0),
            ("length", self.length_mm, 30_000.0),
            ("thickness", self.thickness_mm, 500.0),
        ):
            if not 0 < value_mm <= high_mm:
                raise ImpossibleValueError(
                    f"{self.name}: {what} {value_mm:g} mm is not between 0 and {high_mm:g} mm"
                )
        for one in self.fastenings:
            beyond = max(abs(one.y_mm) - self.width_mm / 2, abs(one.x_mm) - self.length_mm / 2)
            if beyond > ROUNDED_MM:
                raise ImpossibleValueError(
                    f"{self.name}: {one.name} at x {one.x_mm:g} mm, y {one.y_mm:g} mm from the "
                    f"middle lies outside the top ({self.length_mm:g} x {self.width_mm:g} mm)"
                )
        object.__setattr__(self, "fastenings", tuple(map(self._on_its_rail, self.fastenings)))

    def _on_its_rail(self, one: Fastening) -> Fastening:
        along = one.rail == ALONG
        base = self.base
        thick_mm = base.rails_along_grain_thick_mm if along else base.rails_across_grain_thick_mm
        known = one.rail_thickness_mm is not None or thick_mm is None
        return one if known else replace(one, rail_thickness_mm=thick_mm)
