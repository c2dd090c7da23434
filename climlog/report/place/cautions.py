"""What an answer does not know, and where to stop and ask somebody else; each said once."""

from collections.abc import Sequence
from datetime import datetime, time

from climlog.analysis.air.spells import Spell
from climlog.analysis.board.start import Stands
from climlog.analysis.place.result import PlaceResult
from climlog.limits import OUTSIDE
from climlog.model.board import Piece
from climlog.report.phrases import Say, days_text, plural_of, sentence
from climlog.report.place.fastenings import free_text
from climlog.report.place.year import (
    is_projected,
    lacking_text,
    projected_caution,
    span_told,
)
from climlog.tables import figure, load_table, load_text, load_texts, range_of

OUTDOORS = "outdoor"


def cautions(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what the answer does not know, what was assumed, and where to ask somebody else."""
    return (*mind(result, say), *(f"Assumed: {one}." for one in result.piece.assumed))


def mind(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say what the answer does not know, and where to stop and ask somebody else."""
    lines = [*_log_cautions(result, say), *_air_cautions(result, say)]
    if not result.weighing.agrees:
        lines.append(
            "What was measured on the piece does not fit this log and sheet: check both before "
            "believing either."
        )
    if result.fastenings:
        lines.append(free_text(result.piece))
    return (*lines, load_text("place.not_strength"))


def short_log_caution(result: PlaceResult, say: Say) -> str | None:
    """Say that a log is not a year, where it is not, or that the rest of it is projected."""
    if result.projection is not None:
        return projected_caution(result.projection)
    if result.is_full_year:
        return None
    return (
        f"Of the year after it is fixed {days_text(result.coverage.days)} are known; none of "
        f"{lacking_text(result, say)}: those seasons may ask for more travel than any of these "
        "figures."
    )


def _log_cautions(result: PlaceResult, say: Say) -> list[str]:
    start, short = result.start, short_log_caution(result, say)
    lines = [] if short is None else [short]
    lines += [
        f"{sentence(one.says).rstrip('.')}. {load_text('place.outdoors')}"
        for one in result.flags
        if OUTDOORS in one.kind
    ]
    if start.stands is Stands.BEFORE and result.ahead.lead_hours:
        lines.append(
            f"The log begins {days_text(start.days_outside)} after the piece was fixed: what the "
            "air did before is not known; by then the piece is taken to have moved from "
            f"{start.fixed_pct:.1f} to {result.course.mean_pct[0]:.1f} % moisture, in air like the "
            "log's first weeks."
        )
    if result.lived.repeated:
        first = result.lived.repeated[0][0]
        lines.append(
            f"From {say.day(first)} on nothing is read yet: the place's own record is gone through "
            "again, days of the year matched, as what this place does again."
        )
    if not start.day_is_given:
        lines.append("No day of fixing was given: the first day of the log was taken.")
    left_open = len(result.air.stretches) - 1
    if left_open == 1:
        lines.append(
            "One gap of the log is too long to bridge: the moisture after it is partly a guess."
        )
    elif left_open:
        lines.append(
            f"{left_open} gaps of the log are too long to bridge: the moisture after each is "
            "partly a guess."
        )
    return lines


def _air_cautions(result: PlaceResult, say: Say) -> list[str]:
    """Damp and dry spells long enough to matter to more than the furniture."""
    lived = result.lived
    limit = {str(key): value for key, value in load_table("client_air")["value"].items()}
    lines = []
    if lived.damp:
        mould = load_text("place.mould").format(**limit)
        lines.append(f"{_spell_text(result, lived.damp[0], say)}. {mould}")
    if lived.dry:
        lines.append(f"{_spell_text(result, lived.dry[0], say)}. {load_text('place.dry')}")
    return lines


def _spell_text(result: PlaceResult, spell: Spell, say: Say) -> str:
    first, last = (datetime.combine(one, time(12)) for one in (spell.first, spell.last))
    air = "the projected air" if is_projected(result, last) else "the air"
    span = span_told(result, first, last, say)
    return (
        f"From {span}, {days_text(spell.days)}, {air} stayed at {spell.rh_pct:.0f} % relative "
        "humidity on average"
    )


def assumed_lines(piece: Piece) -> tuple[str, ...]:
    """List what nobody gave and the tables or the log stand in for."""
    lines = list(piece.assumed)
    sizes = load_table("fastening_sizes")["words"]
    groups: dict[tuple[str, str], int] = {}
    for one in piece.fastenings:
        words = [
            f"{sizes[f'{one.kind}.{size}']} {_size(size, one.sizes_mm[size])}"
            for size in one.assumed
        ]
        if words:
            key = (one.kind, "; ".join(words))
            groups[key] = groups.get(key, 0) + 1
    lines += [
        f"{plural_of(kind)} ({count}), typical sizes: {words}"
        for (kind, words), count in groups.items()
    ]
    return tuple(dict.fromkeys(lines))


def _size(size: str, value: float) -> str:
    unit = " mm" if size.endswith("_mm") else "°" if size.endswith("_deg") else ""
    return f"{value:g}{unit}"


def limit_lines(beyond: Sequence[str]) -> tuple[str, ...]:
    """Say the limits of the method, and where this run goes beyond what a figure was fitted to."""
    follows = range_of("transport", "scanning_share")
    figures = {
        "curve_pct": 100 * figure("doubts", "curve", "spread"),
        "coefficient_pct": 100 * figure("doubts", "coefficient", "spread"),
        "scanning_low_pct": 100 * follows.low,
        "scanning_high_pct": 100 * follows.high,
    }
    limits = (one.format(**figures) for one in load_texts("place.limits"))
    return (*limits, *(_beyond(one) for one in beyond))


def _beyond(limit: str) -> str:
    """Say of a figure's range what it is; what else was warned of begins with its file's name."""
    if OUTSIDE not in limit:
        return f"{limit}."
    return f"{sentence(limit)}, beyond what the figure was fitted to."
