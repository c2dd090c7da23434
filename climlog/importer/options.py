"""ImportOptions: every guess of the importer that a person may overrule."""

from dataclasses import dataclass


@dataclass(frozen=True)
class ImportOptions:
    """What the user settled; None leaves it to the importer.

    Attributes
    ----------
    date_order : {"day-first", "month-first", "year-first"} or None
    temp_column, rh_column : str or None
        Header text or column number counted from 1.
    time_column : str, tuple of str or None
        Likewise; several where day, clock, or the parts of a date stand apart.
    time_format : str or None
        How the time is written, as "dd.mm.yyyy hh:mm" or "%d.%m.%Y %H:%M".
    temp_unit : {"C", "F", "K"} or None
    sensor : str or None
        Which one, where a file holds several.
    rh_gain : float
        Every humidity reading is multiplied by it before `rh_offset` is added.
    rh_offset, temp_offset : float
        Added to every reading: the sensor's correction. [% RH], [°C]
    """

    date_order: str | None = None
    time_column: str | tuple[str, ...] | None = None
    time_format: str | None = None
    temp_column: str | None = None
    rh_column: str | None = None
    temp_unit: str | None = None
    sensor: str | None = None
    decimal_mark: str | None = None
    delimiter: str | None = None
    encoding: str | None = None
    rh_gain: float = 1.0
    rh_offset: float = 0.0
    temp_offset: float = 0.0

    @property
    def time_columns(self) -> tuple[str, ...]:
        """The columns named for the time, none or more."""
        told = self.time_column
        return () if told is None else (told,) if isinstance(told, str) else tuple(told)
