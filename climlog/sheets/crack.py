"""What somebody saw of a crack: options and the sheet's [crack] table -> one checked record."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from climlog.arguments import Paths, one_path
from climlog.errors import ClimlogError, UnknownNameError, UnusableInputError
from climlog.sheets.table import SheetTable, as_day, as_size_mm, as_text, load_toml
from climlog.tables import find, load_table

YES, GAP = "yes", "gap"


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

    Raises
    ------
    ClimlogError
        One line that says what was found and what would fix it.
    """
    path = one_path(sheet, "read_seen")
    text, tables = load_toml(path)
    values = tables.get("crack", {})
    if not isinstance(values, Mapping):
        raise UnusableInputError(f"{path.name}: crack should be a table of its own: [crack]")
    table = SheetTable(f"{path.name} [crack]", values, text)
    seen_on = table.take("seen", as_day)
    gap_mm = table.take("gap", as_size_mm)
    questions = known_signs()
    found = {name: table.take(name, _answer) for name in questions}
    table.finish()
    options = SheetTable("--gap, --seen", {"seen": on, "gap": gap})
    seen_on = options.take("seen", as_day) if on else seen_on
    gap_mm = options.take("gap", as_size_mm) if gap else gap_mm
    if seen_on is None:
        raise UnusableInputError(
            "the day the crack was seen is missing: add --seen 2026-01-28, or seen = 2026-01-28 "
            "under [crack] in the sheet; the month's first day does where only the month is known"
        )
    told = {name: value for name, value in found.items() if value is not None}
    told |= dict(_option(one) for one in signs)
    return Seen(seen_on, gap_mm, {name: _checked(name, value) for name, value in told.items()})


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
        return Seen(as_day(day))
    except ClimlogError as error:
        raise type(error)(f"seen: {error}") from error


def known_signs() -> dict[str, tuple[str, ...]]:
    """Every sign with its answers, most telling first; the gap's width is told apart."""
    answers = load_table("crack_questions")["answers"]
    return {str(name): tuple(str(one).split("|")) for name, one in answers.items() if name != GAP}


def _option(given: str) -> tuple[str, str]:
    name, mark, answer = given.partition("=")
    return name.strip().lower(), answer.strip().lower() if mark else YES


def _answer(value: object) -> str:
    if isinstance(value, bool):
        return YES if value else "no"
    return as_text(value).lower()


def _checked(name: str, answer: str) -> str:
    signs = known_signs()
    name = find(tuple(signs), name, "sign")
    if answer not in signs[name]:
        raise UnknownNameError(
            f'sign "{name}": "{answer}" is not an answer; write one of {", ".join(signs[name])}'
        )
    return answer
