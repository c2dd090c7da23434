"""Causes of a crack and what speaks for and against each -> words. Numbers come from the record.

A sentence of evidence is a line of tables/crack_facts.csv; {needs_mm:size} in it is the figure
`needs_mm` of the record, written as FORMS["size"] writes it.
"""

from collections.abc import Callable, Mapping

from climlog.analysis.crack.result import Cause, CauseKey, CauseVerdict, Evidence, Fact, Proviso
from climlog.analysis.crack.weights import weight
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.cracks import crack_limit
from climlog.report.document import Lines, Paragraph, Part, Sign, Signed, Table
from climlog.report.phrases import Say, sentence
from climlog.report.shape import Shape
from climlog.tables import load_table

NAMES = {
    CauseKey.HELD: "being held while it shrank",
    CauseKey.SET: "being crushed while it swelled",
    CauseKey.ENDS: "fast drying of its ends or faces",
    CauseKey.WRONG_MOISTURE: "being fixed too damp or too dry",
    CauseKey.ONE_FACE: "one face moving faster than the other",
    CauseKey.WET_STOCK: "stock that was still drying",
    CauseKey.LOCAL: "heat or sun at the piece",
    CauseKey.UNSEEN: "glue, water, a knock or the grain",
    CauseKey.SWELLED: "swelling past its clearance",
    CauseKey.SHRANK: "ordinary shrinking",
}
SHAPES = {
    CauseVerdict.SUFFICIENT: Shape.SUFFICIENT,
    CauseVerdict.POSSIBLE: Shape.POSSIBLE,
    CauseVerdict.UNLIKELY: Shape.UNLIKELY,
    CauseVerdict.RULED_OUT: Shape.RULED_OUT,
    CauseVerdict.NOT_IN_THIS_LOG: Shape.NOT_IN_LOG,
}
NO_SIGN = "No sign of it was reported, and the log has nothing to say of it."
HARDLY_MM = 0.2
"""A length below this is told as hardly anything: a sheet of paper or two."""


def _size(length_mm: float, say: Say) -> str:
    if abs(length_mm) < HARDLY_MM:
        return "nothing" if abs(length_mm) < SMALLEST_LENGTH_MM else "hardly anything"
    return say.length(abs(length_mm))


FORMS: Mapping[str, Callable[[float, Say], str]] = {
    "size": _size,
    "moisture": lambda value, _: f"{value:.1f} %",
    "points": lambda value, _: f"{abs(value):.1f} points",
    "strain": lambda value, _: f"{100 * value:.2f} %",
    "of_100": lambda value, _: f"{100 * value:.0f} of 100 cases",
    "days": lambda value, say: say.days(value),
    "warmer": lambda value, say: say.temp_difference(value),
}
"""How a figure of the record is written, by the word behind its name in the table."""


class _Figure:
    """A figure that a sentence of the table can name with the way it is to be written."""

    def __init__(self, value: float, say: Say) -> None:
        self.value, self.say = value, say

    def __format__(self, form: str) -> str:
        return FORMS[form](self.value, self.say)


def evidence_text(one: Evidence, say: Say) -> str:
    """Say one piece of evidence; a sign is told in its table's own words."""
    if one.key == Fact.SIGN:
        strong = " (strong)" if abs(one.weight) >= weight("strong") else ""
        if one.denies:
            strong = f" (decides: wrong in {100 * weight('wrong_report'):.0f} of 100 such reports)"
        return f"Reported: {one.says}{strong}."
    figures = {name: _Figure(value, say) for name, value in one.figures.items()}
    day = {} if one.on is None else {"day": say.day(one.on)}
    says = str(load_table("crack_facts")["says"][one.key.value])
    return says.format_map({"day": "no day", **day, **figures, **one.words})


def share_text(cause: Cause, say: Say) -> str:
    """Say in how many likely cases it would have been enough, with the signs, and what that needs.

    What the share takes for granted is told with it.
    """
    share = cause.share_with_signs
    if share is None or cause.share_of_draws is None:
        return "not told by it"
    count = _of_100(share)
    return f"{count}, {proviso_text(cause.proviso, say)}" if cause.proviso else count


def air_text(cause: Cause) -> str:
    """Say the same by the air alone."""
    return "not told" if cause.share_of_draws is None else _of_100(cause.share_of_draws)


def _of_100(share: float) -> str:
    return f"{100 * share:.0f} of 100"


def proviso_text(proviso: Proviso, say: Say) -> str:
    """Say what a share takes for granted."""
    if proviso == Proviso.WARMER:
        warmer = say.temp_difference(crack_limit("local_warmth_c").value)
        return f"if the piece stood {warmer} warmer than the logger"
    return str(proviso)


def legend() -> str:
    """Tell the rule by which every cause is judged."""
    half, hardly = 100 * weight("sufficient_share"), 100 * weight("ruled_out_share")
    factor, by_air = weight("odds_per_point"), 100 * weight("least_by_air")
    by_layers = 100 * weight("least_by_layers")
    return (
        "In how many of 100 likely cases each would have been enough by itself: by the air alone, "
        f"and raised or lowered by the signs (each multiplies or divides its odds by {factor:.0f}, "
        f"a strong one by {factor ** weight('strong'):.0f}). With the signs {half:.0f} or more: "
        f"sufficient, if the air alone gives {by_air:.0f} ({by_layers:.0f} for ends and "
        "faces, which dry a little in most rooms), no strong sign speaks against it or for "
        "what no logger sees, nothing has to be granted first, and no cause that "
        "is not enough itself stands at half its share. "
        f"More than {hardly:.0f}: possible. {hardly:.0f} or fewer: "
        "unlikely, and ruled out if it did not act in them either and no strong sign speaks for "
        f"it. Where a report leaves a cause no room, {100 * weight('wrong_report'):.0f} of 100 of "
        "its share stay: unlikely. What a logger cannot see is not in this log."
    )


def cause_table(causes: tuple[Cause, ...], say: Say) -> Table:
    """Put every cause into a row: what is left of it, and in how many cases it is enough."""
    return Table(
        caption=legend(),
        heads=("Cause", "What is left of it", "By the air alone", "With the signs"),
        rows=tuple(
            (
                sentence(NAMES[one.key]),
                Signed(Sign(str(one.verdict), SHAPES[one.verdict])),
                air_text(one),
                share_text(one, say),
            )
            for one in causes
        ),
    )


def evidence_parts(causes: tuple[Cause, ...], say: Say) -> tuple[Part, ...]:
    """Give all that speaks for and against each cause, the strongest first."""
    return tuple(Part(sentence(NAMES[one.key]), (_evidence(one, say),)) for one in causes)


def _evidence(cause: Cause, say: Say) -> Lines | Paragraph:
    if not cause.evidence:
        return Paragraph(NO_SIGN)
    return Lines(tuple(f"{_way(one)}{evidence_text(one, say)}" for one in cause.evidence))


def _way(one: Evidence) -> str:
    if one.weight == 0:
        return ""
    return "For: " if one.weight > 0 else "Against: "
