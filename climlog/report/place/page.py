"""The page of a `place` run: one HTML file that holds everything and asks no network for anything.

Words come from wording.py and its neighbours, drawings from charts.py and plan.py; here they are
put into the templates, which escape every name.
"""

from dataclasses import dataclass
from typing import Any

from climlog.analysis.place.result import FasteningResult, PlaceResult
from climlog.analysis.place.verdict import Judgement
from climlog.report import provenance as ground
from climlog.report.drawing.cases import CaseCount
from climlog.report.html import environment
from climlog.report.phrases import day_text, numbers_text, plural_of, room_text, sentence
from climlog.report.place import advice, plates
from climlog.report.place import answer as wording
from climlog.report.place import what_if as what_if_words
from climlog.report.place import year as projection_words
from climlog.report.place.air_bar import air_bar
from climlog.report.place.air_chart import air_chart
from climlog.report.place.captions import MARK_SHAPES, mark_of
from climlog.report.place.care_card import care_card
from climlog.report.place.charts import moisture_chart, width_chart
from climlog.report.place.disputes import other_dispute_lines
from climlog.report.place.measured import measured_lines
from climlog.report.place.plan import plan_from_below
from climlog.report.place.remedies import kind_rows
from climlog.report.place.spells import spell_lines
from climlog.units import length_text


@dataclass(frozen=True)
class FasteningRow:
    """Fastenings that need and have the same, as one row of the table."""

    numbers: str
    name: str
    rail: str
    needs: tuple[str, str]
    has: tuple[str, str]
    used: str
    verdict: str
    shape: str
    when: str


def place_page(result: PlaceResult, units: str) -> str:
    """Lay a place run out as a page.

    Parameters
    ----------
    result : PlaceResult
    units : {"inch", "metric"}
        Which units stand first.

    Returns
    -------
    str
        A whole HTML document: style, drawings and script inside it.
    """
    return environment().get_template("place.html.j2").render(_context(result, units))


def _context(result: PlaceResult, units: str) -> dict[str, Any]:
    judged = result.as_a_set
    has_fastenings = bool(result.fastenings)
    return {
        "piece": result.piece,
        "units": units,
        "headline": wording.headline(result, units),
        "worst": wording.worst_line(result, units),
        "short_log": wording.short_log_caution(result),
        "verdict": wording.verdict_word(judged) if has_fastenings else "not judged",
        "shape": mark_of(judged) if has_fastenings else "",
        "title_block": _title_block(result, units),
        "width": width_chart(result, units),
        "plan": plan_from_below(result, units),
        "changes": advice.changes(result, units),
        "contradiction": plates.CONTRADICTION,
        "plate_rows": plates.plate_rows(result.disputes.plates, judged.needs, judged.has, units),
        "disputes": other_dispute_lines(result, units),
        "rows": _rows(result, units),
        "set_lines": wording.set_lines(result, units) if has_fastenings else (),
        "moisture": moisture_chart(result, units),
        "moisture_lines": wording.moisture_lines(result, units),
        "air": air_chart(result, units),
        "spell_lines": spell_lines(result, units),
        "bar": air_bar(result, units) if has_fastenings else None,
        "shapes": MARK_SHAPES,
        "kinds": kind_rows(result, units),
        "mind": wording.mind(result),
        "share": CaseCount(
            "cases",
            "100 likely cases",
            wording.share_line(result),
            round(100 * judged.share_of_draws),
        ),
        "measured": measured_lines(result, units),
        "assumed": ground.assumed_lines(result),
        "events": what_if_words.event_rows(result, units),
        "event_caution": what_if_words.CAUTION,
        "climate": projection_words.climate_lines(result, units),
        "projection": projection_words.projection_lines(result, units),
        "log": None if result.log is None else ground.log_account(result.log),
        "limits": ground.limit_lines(result),
        "sources": ground.source_rows(result),
        "card": care_card(result, units, result.outdoor_low_c),
    }


def _title_block(result: PlaceResult, units: str) -> tuple[tuple[str, str], ...]:
    piece, start = result.piece, result.start
    fixed = f"{day_text(start.fixed_on)} at {start.fixed_pct:.1f} % moisture"
    size = " x ".join(
        length_text(one, units) for one in (piece.width_mm, piece.length_mm, piece.thickness_mm)
    )
    return (
        *ground.piece_rows(piece),
        ("Width, length, thickness", size),
        ("Fixed down", fixed),
        *_air_rows(result),
    )


def _air_rows(result: PlaceResult) -> list[tuple[str, str]]:
    """Say which log was read and which outdoor air fills the rest."""
    rows = []
    if result.log is not None:
        first, last = result.log.times[0], result.log.times[-1]
        span = f"{day_text(first)} to {day_text(last)}"
        rows.append(("Log", f"{', '.join(result.log.files)}, {span}"))
    if result.projection is not None:
        basis = sentence(projection_words.basis_words(result))
        rows.append(("Year", f"{basis}, with {result.projection.outdoor_name}"))
    return rows


def _rows(result: PlaceResult, units: str) -> tuple[FasteningRow, ...]:
    """Group fastenings of one kind and rail that need and have the same, worst first."""
    groups: dict[tuple[str, ...], list[tuple[int, FasteningResult]]] = {}
    for number, one in enumerate(result.fastenings, start=1):
        key = (one.fastening.kind, one.fastening.rail, wording.fastening_line(one, units))
        groups.setdefault(key, []).append((number, one))
    worst_first = sorted(groups.values(), key=lambda group: -group[0][1].judgement.used_pct)
    return tuple(_row(group, units) for group in worst_first)


def _row(group: list[tuple[int, FasteningResult]], units: str) -> FasteningRow:
    _, one = group[0]
    judged: Judgement = one.judgement
    name = one.fastening.name if len(group) == 1 else plural_of(one.fastening.kind)
    return FasteningRow(
        numbers=numbers_text([number for number, _ in group]),
        name=name,
        rail=one.fastening.rail,
        needs=(room_text(judged.needs.swell_mm, units), room_text(judged.needs.shrink_mm, units)),
        has=(room_text(judged.has.swell_mm, units), room_text(judged.has.shrink_mm, units)),
        used=wording.used_text(judged),
        verdict=wording.verdict_word(judged),
        shape=mark_of(judged),
        when=day_text(judged.runs_out_on) if judged.runs_out_on else "",
    )
