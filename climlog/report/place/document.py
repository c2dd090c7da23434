"""Everything that `place` says, built once from its record; terminal and page only arrange it."""

from collections.abc import Iterator, Mapping, Sequence

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import of_100
from climlog.analysis.place.what_if_result import WhatIfRow
from climlog.model.board import Piece
from climlog.report.citations import cited_tables
from climlog.report.document import (
    OPEN_TITLE,
    Block,
    Card,
    Columns,
    Document,
    Facts,
    Lines,
    Paragraph,
    Part,
    Picture,
    Section,
    Signed,
    Table,
)
from climlog.report.drawing.cases import CaseCount
from climlog.report.drawing.chart import Chart
from climlog.report.phrases import Say, sentence
from climlog.report.place.advice import changes
from climlog.report.place.air import air_bar, air_chart, air_lines, safe_air_line, spell_lines
from climlog.report.place.answer import answer, movement_text, open_lines
from climlog.report.place.care_card import care_card
from climlog.report.place.cautions import assumed_lines, limit_lines, mind
from climlog.report.place.cup import cup_lines
from climlog.report.place.disputes import other_dispute_lines, plates_table
from climlog.report.place.fastenings import (
    FASTENINGS,
    alone_table,
    holder_of,
    kinds_table,
    set_lines,
    sign_of,
)
from climlog.report.place.letter import letter
from climlog.report.place.measured import measured_lines
from climlog.report.place.plan import plan_of
from climlog.report.place.planned import gap_section
from climlog.report.place.setting_out import setting_out
from climlog.report.place.taken import elsewise, likely, taken
from climlog.report.place.what_if import event_lines, events_table
from climlog.report.place.width import width_chart
from climlog.report.place.wood import moisture_chart, wood_lines
from climlog.report.place.year import (
    basis_words,
    climate_lines,
    outdoors_words,
    projection_lines,
)
from climlog.report.provenance import log_section, piece_rows, sources_section
from climlog.tables import load_table, load_text

TABLES_USED = {
    "air to the moisture it holds wood at": "emc_coefficients",
    "lag through the thickness": "transport",
    "doubt of each figure": "doubts",
    "air to ask a client for": "client_air",
    "humidity and cold windows": "winter_humidity",
}
PIECES, CANDIDATES = "Pieces", "Candidates"
OVERVIEW_HEADS = ("Piece", "Verdict", "Of 100 run out", "Answer")


def document(result: PlaceResult, say: Say) -> Document:
    """Say what a run of `place` found.

    Parameters
    ----------
    result : PlaceResult
    say : Say
        Bound to the reader's units.
    """
    piece, answered = result.piece, answer(result, say)
    return Document(
        job="place",
        subject=piece.name,
        question=f"{piece.name}: will {holder_of(piece).name} let it move?",
        answer=answered,
        pictures=(Picture(width_chart(result, say)), Picture(plan_of(result, say))),
        facts=Facts(_facts(result, say)),
        sections=tuple(_sections(result, say)),
        cards=_cards(result, say),
        letter=letter(result, answered.says, say),
    )


def _cards(result: PlaceResult, say: Say) -> tuple[Card, ...]:
    """Give what prints on sheets of its own: the setting-out drawing and the client's card."""
    drawing = setting_out(result, say)
    if drawing is None:
        return (care_card(result, say),)
    note = "Prints on a sheet of its own, turned on its side."
    sheet = Card(
        "set-out", "Setting out", note, drawing.title, (Picture(drawing),), on_its_side=True
    )
    return (sheet, care_card(result, say))


def overview(documents: Sequence[Document], results: Sequence[PlaceResult], title: str) -> Table:
    """Lay several pieces side by side, a row each, in their order."""
    rows = tuple(
        (
            one.subject,
            Signed(sign_of(result.as_a_set)),
            f"{of_100(result.as_a_set.share_of_draws)}{taken(result)}" if result.fastenings else "",
            one.answer.says,
        )
        for one, result in zip(documents, results, strict=True)
    )
    return Table(title, OVERVIEW_HEADS, rows)


def _facts(result: PlaceResult, say: Say) -> tuple[tuple[str, str], ...]:
    piece, start = result.piece, result.start
    size = " x ".join(
        say.size(one) for one in (piece.width_mm, piece.length_mm, piece.thickness_mm)
    )
    rows = [("Moves", movement_text(result, say)), ("In 90 of 100 cases", _range(result, say))]
    if result.fastenings:
        holder = holder_of(piece)
        allows = f"{sentence(holder.name)} allow{holder.ending}"
        rows.append((allows, say.travel(result.as_a_set.has)))
    rows += [
        ("Fixed down", f"{say.day(start.fixed_on)} at {start.fixed_pct:.1f} % moisture"),
        ("Width, length, thickness", size),
        *piece_rows(piece),
    ]
    if result.log is not None:
        first, last = result.log.times[0], result.log.times[-1]
        files = say.listed(result.log.files)
        rows.append(("Log", f"{files}, {say.day(first)} to {say.day(last)}"))
    if result.projection is not None:
        basis = sentence(basis_words(result))
        rows.append(("Year", f"{basis}, with {outdoors_words(result.projection)}"))
        if (fit := result.projection.fit) is not None and fit.chosen and fit.stands_cold:
            rows.append(("Building", f'It stands cold: taken for "{fit.house.name}"'))
    return tuple(rows)


def _range(result: PlaceResult, say: Say) -> str:
    """Say how far it goes at the least and at the most in the likely cases."""
    width_mm, ranges = result.piece.width_mm, result.width_range
    narrowest = say.change(ranges.least.p05 - width_mm)
    return f"{narrowest} to {say.change(ranges.most.p95 - width_mm)}{taken(result)}"


def _sections(result: PlaceResult, say: Say) -> Iterator[Section]:
    """Sections in order of weight; those without anything to say are left out by the renderers."""
    yield Section("do", "What to do", _what_to_do(result, say))
    settles = open_lines(result, say)
    yield Section("open", OPEN_TITLE, (Lines(settles),) if settles else ())
    if result.fastenings:
        yield from _of_fastenings(result, say)
    events = events_table(result, say)
    if events is not None:
        each = Part("Each, its air, and what to do", (Lines(event_lines(result, say)),))
        yield Section("what-if", "What if", (events, each, Paragraph(load_text("place.what_if"))))
    yield from _of_wood_and_air(result, say)
    yield from _of_doubt(result, say)
    if result.log is not None:
        yield log_section(result.log, say)
    yield sources_section(cited(result), limit_lines(result.limits))


def _what_to_do(result: PlaceResult, say: Say) -> tuple[Block, ...]:
    blocks: list[Block] = [Lines(changes(result, say))]
    gaps = gap_section(result, say)
    if gaps:
        blocks.append(Part("The gap to set today", (Lines(gaps),)))
    hollow = cup_lines(result, say)
    if hollow:
        blocks.append(Part("One face finished otherwise than the other", (Lines(hollow),)))
    plates, disputes = plates_table(result, say), other_dispute_lines(result, say)
    if plates is not None:
        lead = f"{load_text('place.plates_along')} On this piece, over the whole width:"
        blocks.append(Part("Plates on the rails along the grain", (Paragraph(lead), plates)))
    if disputes:
        blocks.append(Part("Where the trade disagrees", (Lines(disputes),)))
    return tuple(blocks)


def _of_fastenings(result: PlaceResult, say: Say) -> Iterator[Section]:
    title = "Fastenings" if holder_of(result.piece) == FASTENINGS else "What holds it"
    yield Section(
        "fastenings",
        title,
        (alone_table(result, say), Part("All together", (Lines(set_lines(result, say)),))),
    )
    safe = f"{safe_air_line(result, say)} {load_text('place.beyond_days')}"
    yield Section(
        "steady",
        "Air it can stand",
        (
            Columns(
                (
                    (Paragraph(safe), Lines(spell_lines(result, say))),
                    (Picture(air_bar(result, say)),),
                )
            ),
        ),
    )
    kinds = kinds_table(result, say)
    if kinds is not None:
        yield Section("kinds", "Other kinds in the same places", (kinds,))


def _of_wood_and_air(result: PlaceResult, say: Say) -> Iterator[Section]:
    yield Section(
        "wood",
        "Moisture in the wood",
        (Lines(wood_lines(result, say)), Picture(moisture_chart(result, say))),
    )
    climate = climate_lines(result, say)
    yield Section(
        "air",
        "Air",
        (
            Lines(air_lines(result, say)),
            Picture(air_chart(result, say)),
            *((Part("The place through its record", (Lines(climate),)),) if climate else ()),
        ),
    )
    projected = projection_lines(result, say)
    yield Section(
        "projected", "How the year was projected", (Lines(projected),) if projected else ()
    )


def _of_doubt(result: PlaceResult, say: Say) -> Iterator[Section]:
    if result.fastenings:
        share = share_line(result)
        out = of_100(result.as_a_set.share_of_draws)
        count = CaseCount("cases", "100 likely cases", share, out)
        ranges = Lines(range_lines(result, say))
        columns = Columns(((Paragraph(share), ranges), (Picture(count),)))
        yield Section("sure", "How sure", (columns,))
    measured = measured_lines(result, say)
    yield Section("measured", "Measured on the piece", (Lines(measured),) if measured else ())
    yield Section("mind", "Mind", (Lines(mind(result, say)),))
    assumed = assumed_lines(result.piece)
    lead = Paragraph("Nobody gave these, so usual figures were taken. Put your own into the sheet.")
    yield Section("assumed", "What was assumed", (lead, Lines(assumed)) if assumed else ())


def range_lines(result: PlaceResult, say: Say) -> tuple[str, ...]:
    """Say between which widths the least and the most of the year lie."""
    return tuple(
        f"Its {name} width lies between {say.length(one.p05)} and {say.length(one.p95)} in 90 "
        f"{likely(result)}."
        for name, one in (("least", result.width_range.least), ("largest", result.width_range.most))
    )


def share_line(result: PlaceResult) -> str:
    """Say how sure, in plain counts."""
    projected = "" if result.projection is None else "the projected air, "
    return (
        f"Nobody knows {projected}the sensor, the moisture when fixed, the wood's movement, how "
        "fast it follows, the finish and the play exactly. In likely mixtures of them the travel "
        f"runs out in {of_100(result.as_a_set.share_of_draws)} of 100{taken(result)}"
        f"{elsewise(result)}."
    )


def cited(result: PlaceResult) -> Iterator[tuple[str, str, str]]:
    """Every figure used, by what it is for: (what, source, mark)."""
    yield from cited_for(result.piece, TABLES_USED | _beyond(result))


def cited_for(piece: Piece, tables_used: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    """Every figure used for a piece, and those of some tables: (what, source, mark)."""
    for mark in sorted(set(piece.wood.marks.values())):
        yield f"movement of {piece.wood.name}", piece.wood.source, mark
    for face, finish in (("show", piece.show_face), ("hidden", piece.hidden_face)):
        if finish.kind != "none":
            yield f"finish of the {face} face", finish.source, finish.mark
    kinds = {one.kind for one in piece.fastenings}
    sizes = load_table("fastening_sizes")
    used = [str(key).split(".")[0] in kinds for key in sizes.index]
    tables = {
        "geometry of the fastenings": load_table("fastening_kinds").loc[sorted(kinds)],
        "sizes of the fastenings": sizes.loc[used],
    }
    for what, table in tables.items():
        for source, mark in zip(table["source"], table["mark"], strict=True):
            yield what, str(source), str(mark)
    yield from cited_tables(tables_used)


def _beyond(result: PlaceResult) -> dict[str, str]:
    """Tables used for what was not read, or for a long record."""
    tables = {}
    if result.projection is not None:
        tables["room air from outdoor air"] = "house_figures"
    if result.projection is not None and result.projection.house is not None:
        tables["kinds of house"] = "indoor_classes"
    if result.what_ifs is not None:
        tables["what-ifs"] = "what_ifs"
        tables["days of a what-if"] = "what_if_figures"
        if any(one.outdoors is not None for one in result.what_ifs.rows):
            tables["room air from outdoor air"] = "house_figures"
        if any(_is_worked_back(one) for one in result.what_ifs.rows):
            tables["usual air outdoors"] = "usual_outdoors"
    if result.cup is not None:
        tables["cup that eyes and fastenings forgive"] = "cup_limits"
    if result.climate is not None:
        tables["season and short fluctuations"] = "climate_band"
    return tables


def _is_worked_back(one: WhatIfRow) -> bool:
    return one.outdoors is not None and not one.outdoors.known_from.was_read


def charts(result: PlaceResult, say: Say) -> tuple[Chart, ...]:
    """Give the charts of a picture file: width above moisture, on one time axis."""
    return width_chart(result, say), moisture_chart(result, say)
