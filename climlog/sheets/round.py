"""A round file (TOML): places with their logs, and the sheets of what stands in each.

Every path lies at or below the folder of the file; nothing else is read. A pattern that matches
nothing is trouble of its place alone; what makes the whole file doubtful is refused at once.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias

from climlog.arguments import Paths, one_path
from climlog.errors import UnusableInputError, shown, slug_of
from climlog.sheets.fields import HOUSE
from climlog.sheets.reading import as_moisture_pct, as_number, as_text, as_yes, one_of
from climlog.sheets.section import Field, Section
from climlog.sheets.sheet import Sheet, Values, there

PATTERN = re.compile(r"[*?\[]")


def as_texts(value: object) -> tuple[str, ...]:
    """Read a text, or several in a list."""
    rows = value if isinstance(value, list) else [value]
    if not rows:
        raise UnusableInputError("names nothing")
    return tuple(as_text(one) for one in rows)


def _one_of(what: str, *names: str) -> Callable[[object], str]:
    return one_of(lambda: dict.fromkeys(names, ()), what)


READING: Mapping[str, Callable[[object], object]] = {
    "date_order": _one_of("date order", "day-first", "month-first", "year-first"),
    "time_column": as_texts,
    "time_format": as_text,
    "temp_column": as_text,
    "rh_column": as_text,
    "temp_unit": _one_of("unit of temperature", "C", "F", "K"),
    "sensor": as_text,
    "decimal_mark": _one_of("decimal mark", ".", ","),
    "delimiter": as_text,
    "encoding": as_text,
    "for_files": as_texts,
    "rh_gain": as_number,
    "rh_offset": as_number,
    "temp_offset": as_number,
}
"""Keys of a place that settle how its logs are read, by the names of ImportOptions."""
SET_POINTS = tuple(one.key for one in HOUSE.fields)
ONE_FILE = ("stock", "outdoor", "outdoor_months")
NO_FOLDER = ("pieces", *ONE_FILE)
OF_THE_AIR = ("logs", "made_in", "stock", "outdoor", "outdoor_months")
"""Paths without which nothing can be said of the place; a sheet that is missing is its own row."""
PATHS = ("pieces", *OF_THE_AIR)
ROUND = Section(
    "round",
    (Field("name", as_text, '"Monthly round"', "heads the table and the index"),),
    words="Many places and pieces at once; climlog round FILE goes through them.\n"
    "Every path lies in this file's folder or below it.",
    rows=({},),
)
PLACE = Section(
    "place",
    (
        Field("name", as_text, '"Gallery 1"', "names the place and its pages", needed=True,
              written=True),
        Field("logs", as_texts, '["logs/gallery1*.csv"]', "files, patterns, folders; joined",
              written=True),
        Field("pieces", as_texts, '["pieces/*.toml"]', "sheets of what stands there", written=True),
        Field("stock", as_text, '"stock.toml"', "sheet of boards that wait there"),
        Field("target", as_moisture_pct, '"7 %"', "moisture that its air should hold wood at"),
        Field("made_in", as_texts, '["logs/shop.csv"]', "log of where the pieces were made"),
        Field("outdoor", as_text, '"weather/town.epw"', "fills a short log up to a year"),
        Field("outdoor_months", as_text, '"weather/town_months.csv"',
              "in its place, twelve monthly means of a climate table"),
        Field("outdoor_elsewhere", as_yes, "true", "the outdoor readings are of another place"),
        Field("house", as_text, '"iso13788-class-2"', "kind of house, with outdoor"),
        *HOUSE.fields,
        *(Field(name, read) for name, read in READING.items()),
    ),
    words="A place: its logs, how to read them where they leave it open (sensor = \"Hall\",\n"
    'date_order = "day-first" ...), and the sheets of its pieces or its stock.',
    many=True,
    needed=True,
)  # fmt: skip
ROUND_SHEET = (ROUND, PLACE)


Reading: TypeAlias = str | tuple[str, ...] | float


@dataclass(frozen=True)
class RoundPlace:
    """One place of a round.

    Attributes
    ----------
    logs, made_in : tuple of Path
    pieces : tuple of Path
        Sheets, in the order given.
    missing : tuple of str
        Sheets and patterns of sheets that name no file.
    stock, outdoor, outdoor_months : Path or None
    target_pct : float or None
        Moisture that its air should hold wood at. [%]
    house : str or None
    set_points : tuple of (float or None)
        What the house is heated to, cooled to [°C], and what a humidifier holds [%].
    reading : mapping of str to str, tuple of str or float
        What settles how its logs are read, by the names of ImportOptions.
    trouble : str
        Why it cannot be read, found out already; empty where nothing is known against it.
    """

    name: str
    logs: tuple[Path, ...]
    pieces: tuple[Path, ...] = ()
    missing: tuple[str, ...] = ()
    stock: Path | None = None
    target_pct: float | None = None
    made_in: tuple[Path, ...] = ()
    outdoor: Path | None = None
    outdoor_months: Path | None = None
    outdoor_elsewhere: bool = False
    house: str | None = None
    set_points: tuple[float | None, ...] = (None, None, None)
    reading: Mapping[str, Reading] = field(default_factory=dict)
    trouble: str = ""

    @property
    def inputs(self) -> tuple[Path, ...]:
        """Every file that is read for it."""
        stock = () if self.stock is None else (self.stock,)
        return (*self.logs, *self.made_in, *self.pieces, *stock, *self.outdoors)

    @property
    def outdoors(self) -> tuple[Path, ...]:
        """The file of the air outdoors, if there is one."""
        return tuple(one for one in (self.outdoor, self.outdoor_months) if one is not None)


@dataclass(frozen=True)
class RoundFile:
    """A round: its name, the folder that all its files lie in, its places in the order given."""

    name: str
    folder: Path
    places: tuple[RoundPlace, ...]


def read_round(path: Paths) -> RoundFile:
    """Read a round file; `path` is text or a Path.

    Raises
    ------
    ClimlogError
        With everything that makes the file doubtful: places of one name, a sheet listed twice, a
        path that leaves its folder, unknown keys.
    """
    file = one_path(path, "read_round")
    sheet = Sheet.of_file(file)
    sheet.only(ROUND_SHEET)
    head, places = sheet.section(ROUND), sheet.sections(PLACE)
    head.finish()
    folder = file.resolve().parent
    for one in places:
        one.finish()
        _check_place(one, folder)
    _check_names(places)
    sheet.settle()
    name = head.get("name", str) or file.stem
    return RoundFile(name, folder, tuple(_place(one, folder) for one in places))


def _check_names(places: Sequence[Values]) -> None:
    """Refuse names that are the same, or would be in the names of pages."""
    first: dict[str, str] = {}
    for one in places:
        name = one.get("name", str)
        if name is None:
            continue
        slug = slug_of(name) or name
        other = first.get(slug)
        first.setdefault(slug, name)
        if other is not None:
            alike = "" if other == name else f' (a page\'s name would not tell "{shown(other)}")'
            one.fault("name", f'two places are called "{shown(name)}"{alike}; rename one')


def _check_place(one: Values, folder: Path) -> None:
    if not one.has("logs") and not one.has("outdoor", "outdoor_months"):
        one.fault("", 'no air; add logs = ["logs/gallery1*.csv"]')
    if one.has("outdoor") and one.has("outdoor_months"):
        one.fault("outdoor_months", "outdoor gives the air outdoors too: leave one of the two out")
    of_house = one.has("outdoor_elsewhere", "house", *SET_POINTS)
    if of_house and not one.has("outdoor", "outdoor_months"):
        one.fault("", 'house and outdoor_elsewhere need the air outdoors: add outdoor = "FILE"')
    for key in PATHS:
        _check_paths(one, key, folder)


def _check_paths(one: Values, key: str, folder: Path) -> None:
    texts = _texts(one, key)
    for text in texts:
        if not _is_inside(text, folder):
            one.fault(key, f'"{shown(text)}" leaves the folder of this file')
        if key in ONE_FILE and PATTERN.search(text):
            one.fault(key, "name one file here, not a pattern")
    found = [path for text in texts for path in _matches(text, folder)] if key in NO_FOLDER else []
    for path in found:
        if path.is_dir():
            name = path.relative_to(folder).as_posix()
            one.fault(
                key, f'"{shown(name)}" is a folder; name a file in it, or "{shown(name)}/*.toml"'
            )
    for twice in sorted({path.name for path in found if found.count(path) > 1}):
        one.fault(key, f'"{shown(twice)}" is listed twice; name each sheet once')


def _texts(one: Values, key: str) -> tuple[str, ...]:
    value = one.read.get(key)
    return (value,) if isinstance(value, str) else value if isinstance(value, tuple) else ()


def _is_inside(text: str, folder: Path) -> bool:
    """Whether a path or pattern, and all that it matches, lies at or below a folder."""
    if Path(text).is_absolute() or ".." in Path(text.replace("\\", "/")).parts:
        return False
    if re.match(r"[A-Za-z]:", text):
        return False
    return all(path.resolve().is_relative_to(folder) for path in _matches(text, folder))


def _matches(text: str, folder: Path) -> list[Path]:
    """Give the files and folders that a path or pattern names, by name."""
    plain = text.replace("\\", "/")
    if Path(plain).is_absolute():
        return []
    if not PATTERN.search(plain):
        path = folder / plain
        return [path] if path.exists() else []
    try:
        return sorted(folder.glob(plain))
    except (ValueError, NotImplementedError):
        return []


def _place(one: Values, folder: Path) -> RoundPlace:
    found = {key: _found(one, key, folder) for key in PATHS}
    reading = {key: one.read[key] for key in READING if key in one.read}
    return RoundPlace(
        name=there(one.get("name", str)),
        logs=found["logs"],
        pieces=found["pieces"],
        missing=tuple(text for text in _texts(one, "pieces") if not _matches(text, folder)),
        stock=next(iter(found["stock"]), None),
        target_pct=one.get("target", float),
        made_in=found["made_in"],
        outdoor=next(iter(found["outdoor"]), None),
        outdoor_months=next(iter(found["outdoor_months"]), None),
        outdoor_elsewhere=bool(one.get("outdoor_elsewhere", bool)),
        house=one.get("house", str),
        set_points=tuple(one.get(name, float) for name in SET_POINTS),
        reading={
            key: value for key, value in reading.items() if isinstance(value, str | tuple | float)
        },
        trouble="; ".join(line for key in OF_THE_AIR for line in _missing(one, key, folder)),
    )


def _found(one: Values, key: str, folder: Path) -> tuple[Path, ...]:
    every = [path for text in _texts(one, key) for path in _matches(text, folder)]
    return tuple(dict.fromkeys(every))


def _missing(one: Values, key: str, folder: Path) -> Iterator[str]:
    for text in _texts(one, key):
        if not _matches(text, folder):
            yield f"{key}: {no_file(text)}"


def no_file(text: str) -> str:
    """Say that a path or pattern names no file."""
    what = "matches no file" if PATTERN.search(text) else "no such file"
    return f'"{shown(text)}": {what}'
