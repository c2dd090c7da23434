"""What somebody saw of a crack: options and the sheet's [crack] table -> one checked record."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from climlog.arguments import Paths, one_path
from climlog.errors import ClimlogError, UnknownNameError, UnusableInputError
from climlog.sheets.fields import CRACK, as_our_day
from climlog.sheets.places import Options
from climlog.sheets.reading import as_text, quoted
from climlog.sheets.section import Field, Section
from climlog.sheets.sheet import Sheet
from climlog.tables import find, load_table

CRACK_ITSELF, VENEER = "crack", "veneer"


class CrackSign(StrEnum):
    """What somebody can be asked about a crack: a row of tables/crack_questions.csv each."""

    WHERE = "where"
    FASTENINGS = "fastenings"
    GAP = "gap"
    CRACK_FACES = "crack-faces"
    HEAT = "heat"
    GROWS = "grows"
    CLOSES = "closes"
    SWELLED = "swelled"
    OPENS = "opens"
    CUP = "cup"
    ENDS = "ends"
    WATER = "water"
    KNOCK = "knock"
    SUDDEN = "sudden"
    REPAIRED = "repaired"
    DAMAGE = "damage"


class CrackAnswer(StrEnum):
    """Answers that the program itself goes by; the others weigh through tables/crack_signs.csv."""

    YES = "yes"
    NO = "no"
    BLOCKED = "blocked"
    FREE = "free"
    AT_ENDS = "ends"
    AT_SURFACE = "surface"
    AT_GLUE_LINE = "glue-line"
    UP = "up"
    DOWN = "down"
    FLAT = "none"
    SEALED = "sealed"
    ONE_END = "one-end"


@dataclass(frozen=True)
class Seen:
    """A crack as reported.

    Attributes
    ----------
    on : date
        When somebody first saw it, which need not be when it opened.
    gap_mm : float or None
        Its width then; of several cracks, the widths added up. [mm]
    signs : mapping of str to str
        Sign -> answer, both words of tables/crack_questions.csv.
    """

    on: date
    gap_mm: float | None = None
    signs: Mapping[str, str] = field(default_factory=dict)


def crack_of_sheet() -> Section:
    """Give the table [crack], every sign a key."""
    signs = tuple(Field(name, _answers(name)) for name in known_signs())
    return replace(CRACK, fields=(*CRACK.fields, *signs))


def read_seen(
    sheet: Paths, on: str | None = None, gap: str | None = None, signs: Iterable[str] = ()
) -> Seen:
    """Put together what the options and the sheet's [crack] table say; options go first.

    Parameters
    ----------
    sheet : str or Path
        Piece sheet, with or without a [crack] table: seen, gap, and signs by name.
    on, gap : str or None
        Day such as "2026-01-28"; width such as "3 mm".
    signs : iterable of str
        Each "name=answer", or "name" for yes.

    Returns
    -------
    Seen
        What `analyse_crack` takes for its `seen`.

    Raises
    ------
    ClimlogError
        Saying what was found and what would fix it.
    """
    section = crack_of_sheet()
    of_file = Sheet.of_file(one_path(sheet, "read_seen"))
    in_sheet = of_file.section(section)
    in_sheet.finish()
    of_file.settle()
    given = {key: value for key, value in (("seen", on), ("gap", gap)) if value}
    places = Options.plain("crack", ("seen", "gap"))
    of_options = Sheet("the options", {"crack": given}, places)
    options = of_options.section(CRACK)
    of_options.settle()
    told = dict(_option(one) for one in signs)
    day = options.get("seen", date) or in_sheet.get("seen", date)
    if day is None:
        raise UnusableInputError(
            f"{of_file.where}: the day the crack was seen is missing: add --seen 2026-01-28, or "
            "seen = 2026-01-28 under [crack]; the month's first day does where only the month is "
            "known"
        )
    written = ((name, in_sheet.get(name, str)) for name in known_signs())
    found = {name: answer for name, answer in written if answer is not None}
    return Seen(day, options.get("gap", float) or in_sheet.get("gap", float), found | told)


def damage_of(seen: Seen) -> str:
    """Tell what was brought: a crack unless said otherwise."""
    return seen.signs.get(CrackSign.DAMAGE, CRACK_ITSELF)


def with_implied(seen: Seen) -> Seen:
    """Add the sign that the damage itself is: edges up are those of a cupped floor.

    Raises
    ------
    UnusableInputError
        If it is no solid wood.
    """
    damage = damage_of(seen)
    if damage == VENEER:
        raise UnusableInputError(
            "a lifted veneer edge is not solid wood: nothing here works it out; ask a furniture "
            "conservator, and press, wet or glue nothing before"
        )
    row = load_table("crack_damages").loc[damage]
    if not isinstance(row["sign"], str):
        return seen
    implied = {str(row["sign"]): str(row["answer"])}
    return replace(seen, signs=implied | dict(seen.signs))


def delivered_on(sheet: Paths, given: str | None = None) -> date | None:
    """Tell the day a piece was delivered: the option's, else that of the sheet's [crack] table.

    Raises
    ------
    ClimlogError
        If it is no day that can be told.
    """
    if given:
        try:
            return as_our_day(given)
        except ClimlogError as error:
            raise type(error)(f"--delivered: {error}") from error
    in_sheet = Sheet.of_file(one_path(sheet, "delivered_on")).section(crack_of_sheet())
    return in_sheet.get("delivered", date)


def seen_on(day: date | str) -> Seen:
    """Take a day alone for what was seen.

    Raises
    ------
    ClimlogError
        If it is no day that can be told.

    Examples
    --------
    >>> seen_on("2026-01-28").on
    datetime.date(2026, 1, 28)
    """
    try:
        return Seen(as_our_day(day))
    except ClimlogError as error:
        raise type(error)(f"seen: {error}") from error


def known_signs() -> dict[str, tuple[str, ...]]:
    """Every sign with its answers, most telling first; the gap's width is told apart."""
    answers = load_table("crack_questions")["answers"]
    return {
        str(name): tuple(str(one).split("|"))
        for name, one in answers.items()
        if name != CrackSign.GAP
    }


def _option(given: str) -> tuple[str, str]:
    """Read "name=answer", or "name" for yes."""
    said, mark, answer = given.partition("=")
    name = find(tuple(known_signs()), said.strip(), "sign")
    try:
        return name, _answers(name)(answer if mark else True)
    except ClimlogError as error:
        raise type(error)(f"--sign {name}: {error}") from error


def _answers(name: str) -> Callable[[object], str]:
    """Make a reader of the answers of one sign; true and false are yes and no."""
    answers = known_signs()[name]

    def read(value: object) -> str:
        is_so = CrackAnswer.YES if value else CrackAnswer.NO
        text = str(is_so) if isinstance(value, bool) else as_text(value).lower()
        if text not in answers:
            raise UnknownNameError(
                f"{quoted(value)} is not an answer; write one of {', '.join(answers)}"
            )
        return text

    return read
