"""Everything that `place --air` says, built once from its record; terminal and page arrange it."""

from collections.abc import Iterator, Sequence

from climlog.analysis.place.range_result import AirRangeResult, FasteningRoom, FixedAt
from climlog.analysis.place.verdict import Verdict, counted
from climlog.model.fastening.fasteners import Travel
from climlog.report.document import (
    MOST_OPEN,
    OPEN_TITLE,
    Answer,
    Document,
    Facts,
    Lines,
    Paragraph,
    Picture,
    Section,
    Table,
)
from climlog.report.phrases import Say, numbers_text, plural_of, sentence
from climlog.report.place.answer import questions
from climlog.report.place.cautions import assumed_lines, limit_lines
from climlog.report.place.caveats import caveats_of
from climlog.report.place.document import cited_for
from climlog.report.place.fastenings import SIGNS, free_text, holder_of
from climlog.report.place.range_chart import range_chart
from climlog.report.provenance import piece_rows, sources_section
from climlog.tables import load_text

TABLES_USED = {
    "air to the moisture it holds wood at": "emc_coefficients",
    "doubt of each figure": "doubts",
}
ROOM_HEADS = ("Number", "Fastening", "Needs, swelling / shrinking", "Has, swelling / shrinking")
OVERVIEW_HEADS = ("Piece", "Moves", "Needs over the width", "Has over the width")


def range_document(result: AirRangeResult, say: Say) -> Document:
    """Say how far a piece moves in a range of air.

    Parameters
    ----------
    result : AirRangeResult
    say : Say
        Bound to the reader's units.
    """
    return Document(
        job="place",
        subject=result.piece.name,
        question=f"{result.piece.name}: how far does it move in {air_words(result, say)}?",
        answer=range_answer(result, say),
        pictures=(Picture(range_chart(result, say)),),
        facts=Facts(tuple(_facts(result, say))),
        sections=tuple(_sections(result, say)),
    )


def range_answer(result: AirRangeResult, say: Say) -> Answer:
    """Answer in one look: how far, what travel, and what is not known."""
    air = result.air
    return Answer(
        verdict=SIGNS[Verdict.NOT_KNOWN],
        says=f"Not known: in {air.low_rh_pct:g} to {air.high_rh_pct:g} % humidity it moves "
        f"{say.size(result.moves_mm.p50)}.",
        set=_set(result, say),
        do=_do(result, say),
        odds="95 of 100 likely cases need no more.",
        not_known=(
            *questions(result.piece.undecided),
            "What its air does: climlog place LOG.",
        )[:MOST_OPEN],
    )


def air_words(result: AirRangeResult, say: Say) -> str:
    """Name the range."""
    air = result.air
    return f"{air.low_rh_pct:g} to {air.high_rh_pct:g} % RH at {say.temp(air.temp_c)}"


def _moves_text(result: AirRangeResult, say: Say) -> str:
    moves = result.moves_mm
    return f"it moves {say.size(moves.p50)}, likely {say.size(moves.p05)} to {say.size(moves.p95)}"


def _set(result: AirRangeResult, say: Say) -> tuple[str, ...]:
    if result.as_fixed is not None:
        return ()
    fixed = result.evenly
    moves = say.bare_travel(Travel(fixed.swells.p50, fixed.shrinks.p50))
    return (f"Fix it at {fixed.moisture_pct:.1f} % moisture; it then moves {moves}.",)


def _do(result: AirRangeResult, say: Say) -> tuple[str, ...]:
    lead = "Give it" if result.as_fixed is not None else "Otherwise give it"
    needs = f"{lead} {say.bare_travel(result.needs)} over the width"
    if result.piece.undecided:
        return (f"{needs}.",)
    if result.as_a_set is None:
        return (f"{needs}; half of that at an edge.",)
    holder = holder_of(result.piece)
    verb = "has" if holder.ending else "have"
    return (f"{needs}; {holder.name} {verb} {say.bare_travel(result.as_a_set.has)}.",)


def log_adds(result: AirRangeResult, say: Say) -> tuple[str, ...]:
    """Say what a log would add, with the commands."""
    bounds = f"{result.air.low_rh_pct:g} and {result.air.high_rh_pct:g} %"
    lines = [
        f"Whether the air of the place keeps between {bounds}, and for how long: a wood follows "
        "slowly, so that days beyond it may do nothing and months inside it less than all of this.",
        "The odds that its fastenings run out, by when, and which change holds.",
        "A year of readings: climlog place LOG --piece SHEET. Some weeks of them and the weather "
        "outdoors: climlog place LOG --outdoor FILE --piece SHEET.",
        "No readings, but the weather outdoors and the kind of house: climlog place --outdoor FILE "
        "--house iso13788-class-2 --piece SHEET.",
    ]
    if result.as_fixed is None:
        lines.append(
            "The moisture it is fixed at, from the log of the shop with --made-in; or measure it, "
            "and give --moisture-when-fixed or the sheet's moisture_when_fixed."
        )
    return tuple(lines)


def _facts(result: AirRangeResult, say: Say) -> Iterator[tuple[str, str]]:
    piece, low, high = result.piece, result.driest_pct, result.wettest_pct
    yield "Air", air_words(result, say)
    yield "Moves in all", _moves_text(result, say).removeprefix("it moves ")
    yield "By the wood's figure alone", say.length(result.by_coefficient_mm)
    yield (
        "Moisture of the wood",
        f"{low.p50:.1f} % settled at {result.air.low_rh_pct:g} %, {high.p50:.1f} % at "
        f"{result.air.high_rh_pct:g} %",
    )
    as_fixed = result.as_fixed
    fixed = "not given" if as_fixed is None else f"{as_fixed.moisture_pct:.1f} %"
    yield "Moisture when fixed", fixed
    if result.as_a_set is not None:
        holder = holder_of(piece)
        yield f"{sentence(holder.name)} allow{holder.ending}", say.travel(result.as_a_set.has)
    size = (piece.width_mm, piece.length_mm, piece.thickness_mm)
    yield "Width, length, thickness", " x ".join(say.size(one) for one in size)
    yield from piece_rows(piece)


def _sections(result: AirRangeResult, say: Say) -> Iterator[Section]:
    yield Section("do", "How far it moves", (Lines(tuple(_movement_lines(result, say))),))
    if result.as_a_set is not None:
        yield Section(
            "fastenings",
            "Fastenings: what is needed and what there is",
            (_rooms_table(result, say), Lines(_set_lines(result, say))),
        )
    asked = tuple(sentence(one) for one in result.piece.undecided)
    yield Section("open", OPEN_TITLE, (Lines(asked),) if asked else ())
    yield Section("log", "What a log would add", (Lines(log_adds(result, say)),))
    yield Section("mind", "Mind", (Lines(_mind(result)),))
    assumed = _assumed(result, say)
    lead = Paragraph("Nobody gave these, so usual figures were taken.")
    yield Section("assumed", "What was assumed", (lead, Lines(assumed)) if assumed else ())
    yield sources_section(cited_for(result.piece, TABLES_USED), limit_lines(result.limits))


def _movement_lines(result: AirRangeResult, say: Say) -> Iterator[str]:
    moves, air, as_fixed = result.moves_mm, result.air, result.as_fixed
    yield (
        f"From settled at {air.low_rh_pct:g} % to settled at {air.high_rh_pct:g} % it moves "
        f"{say.length(moves.p50)} over its width in the middle of the likely cases, between "
        f"{say.length(moves.p05)} and {say.length(moves.p95)} in 90 of 100. By the wood's own "
        f"figure alone, with nothing doubted, it would be {say.length(result.by_coefficient_mm)}."
    )
    if as_fixed is not None:
        for way, one in (("swells", as_fixed.swells), ("shrinks", as_fixed.shrinks)):
            far = f"{say.length(one.p50)}, up to {say.length(one.p95)} in 95 of 100 likely cases"
            amount = far if counted(one.p95) else "hardly at all"
            yield f"From {as_fixed.moisture_pct:.1f} %, as it is fixed, it {way} {amount}."
    else:
        yield (
            "Nobody said at which moisture it is fixed. In balance with any air of this range, it "
            f"goes {say.length(result.needs.swell_mm)} at most either way in 95 of 100 cases."
        )
    yield (
        f"Over the whole width it needs {say.travel(result.needs)}: 95 of 100 likely cases stay "
        "within both. Half of that comes on each edge where the middle is held; all of it on one "
        "edge where the other is."
    )
    evenly = result.evenly
    yield (
        f"Fixed at {evenly.moisture_pct:.1f} %, in the middle of this range, it likely moves "
        f"{_likely(evenly, say)}. A meter's doubt comes on top: 95 of 100 likely cases stay within "
        f"{say.travel(evenly.needs)}."
    )


def _likely(fixed: FixedAt, say: Say) -> str:
    return say.travel(Travel(fixed.swells.p50, fixed.shrinks.p50))


def _rooms_table(result: AirRangeResult, say: Say) -> Table:
    groups: dict[tuple[str, ...], list[int]] = {}
    for at, one in enumerate(result.fastenings):
        groups.setdefault(_room_cells(one, say), []).append(at)
    rows = []
    for cells, group in groups.items():
        named = result.fastenings[group[0]].fastening
        name = named.name if len(group) == 1 else sentence(plural_of(named.kind))
        numbers = numbers_text([at + 1 for at in group])
        rows.append((numbers, f"{name}, rail {named.rail}", *cells[2:]))
    return Table(
        "Each fastening alone, from the line that stays put; figures, no verdict: nobody knows yet "
        "what air it will see.",
        ROOM_HEADS,
        tuple(rows),
    )


def _room_cells(one: FasteningRoom, say: Say) -> tuple[str, ...]:
    ways = (one.room.needs, one.room.has)
    return (one.fastening.kind, one.fastening.rail, *(_both_ways(way, say) for way in ways))


def _both_ways(travel: Travel, say: Say) -> str:
    return f"{say.room(travel.swell_mm)} / {say.room(travel.shrink_mm)}"


def _set_lines(result: AirRangeResult, say: Say) -> tuple[str, ...]:
    if result.as_a_set is None:
        return ()
    lines = [
        f"All together, over the width: needs {say.travel(result.as_a_set.needs)}; has "
        f"{say.travel(result.as_a_set.has)}.",
        *caveats_of(result.set_travel, result.piece, say),
    ]
    if result.as_fixed is None:
        lines.append(
            "Nobody said at which moisture it is fixed, so the whole movement is asked of either "
            "way."
        )
    return tuple(lines)


def _mind(result: AirRangeResult) -> tuple[str, ...]:
    lines = [load_text("place.air_range")]
    if result.fastenings:
        lines.append(free_text(result.piece))
    return (*lines, load_text("place.not_strength"))


def _assumed(result: AirRangeResult, say: Say) -> tuple[str, ...]:
    own = assumed_lines(result.piece)
    if result.air.temp_is_given:
        return own
    return (f"air of {say.temp(result.air.temp_c)}, as in a room", *own)


def range_overview(results: Sequence[AirRangeResult], title: str, say: Say) -> Table:
    """Lay several pieces side by side, a row each, in their order."""
    rows = tuple(
        (
            one.piece.name,
            _moves_text(one, say).removeprefix("it moves "),
            say.travel(one.needs),
            "no fastenings" if one.as_a_set is None else say.travel(one.as_a_set.has),
        )
        for one in results
    )
    return Table(title, OVERVIEW_HEADS, rows)
