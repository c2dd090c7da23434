"""The care card of one side that goes to the client: help with numbers, never a warranty."""

import math
from collections.abc import Sequence
from datetime import date

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Verdict, of_100
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.model.board import Piece
from climlog.model.finishes import measured_kind
from climlog.report.document import (
    Blanks,
    Block,
    Card,
    Columns,
    Lines,
    Paragraph,
    Part,
    Picture,
    Tone,
)
from climlog.report.drawing.sketch import Sketch
from climlog.report.phrases import Say, joined, sentence
from climlog.report.place.fastenings import TOP, noun_of
from climlog.report.place.taken import likely
from climlog.report.place.year import basis_words
from climlog.report.provenance import face_text
from climlog.tables import load_table, load_text, load_texts
from climlog.units import celsius_from_fahrenheit, fahrenheit_from_celsius

NARROWEST_RANGE = 5.0
"""No humidifier holds a band of fewer points."""
STEPS_ON_CARD = (1, 2, 3)
"""Rows of winter_humidity.csv that fit on a card: frosts that most places know."""
COOL_C, WARM_C = 16.0, 24.0
GAP_TO_TELL_MM = 1.0
AWAY_MM = 1000.0
MONTHS = 12
FILMED = "filmed"
NO_FINISH = "none"
FLOOR = "floor"
LYING = (TOP, FLOOR)
"""What has a face above and one below."""
FAULTS = {
    TOP: "is loose or wobbles",
    FLOOR: "lifts, or sounds hollow",
    "panel": "rattles or sits askew",
    "door": "sticks, or no longer latches",
    "drawer front": "sticks",
    "drawer bottom": "sags or rattles",
}
BLANKS = ("Maker", "Telephone", "Piece number", "Finish renewed with")


def care_card(result: PlaceResult, say: Say) -> Card:
    """Write the card; the cold that the place sees in an ordinary winter weighs in if known."""
    stop = _stop(result)
    notes = (Paragraph(stop, Tone.NOTE),) if stop else ()
    return Card(
        key="card",
        title="Care card for the client",
        note="Prints on a page of its own, half a sheet; fill in the lines by hand.",
        name=result.piece.name,
        half_sheet=True,
        blocks=(
            Paragraph(_what(result)),
            *notes,
            Columns(
                (
                    (Picture(Sketch("sketch", "The grain lengthways, its movement across")),),
                    (Paragraph(_move(result, say), Tone.STRONG),),
                )
            ),
            *_parts(result, say),
            Columns(tuple((Part(name, (Lines(lines),)),) for name, lines in _signs(result, say))),
            Blanks(BLANKS),
            Paragraph(load_text("card.no_promise"), Tone.SMALL),
        ),
    )


def _what(result: PlaceResult) -> str:
    piece, start = result.piece, result.start
    fixed = ""
    if start.day_is_given:
        fixed = f" Fixed down {start.fixed_on:%B %Y} at {start.fixed_pct:.1f} % moisture."
    return (
        f"{sentence(piece.wood_called)}, {piece.cut}; {_finish(piece)}.{fixed} Worked out for the "
        "air of the room it is made for."
    )


def _finish(piece: Piece) -> str:
    """Name the finish of both faces, as this kind of piece has them."""
    front, behind = ("above", "below") if noun_of(piece) in LYING else ("in front", "behind")
    show, hidden = face_text(piece.show_face), face_text(piece.hidden_face)
    if show == hidden:
        return f"{'' if piece.show_face.kind == NO_FINISH else 'finish '}{show} on both faces"
    return f"finish {show} {front}, {hidden} {behind}".removeprefix(
        "finish " if piece.show_face.kind == NO_FINISH else ""
    )


def _parts(result: PlaceResult, say: Say) -> tuple[Block, ...]:
    away = say.size(AWAY_MM) if not say.is_inch else "3 ft"
    noun = noun_of(result.piece)
    room = (keep_text(result, say), _windows(result, say), load_text("card.gauge"))
    is_top = noun == TOP
    under = load_text("card.underneath" if is_top else "card.edges").format(noun=noun)
    cleaning = [load_text("card.cleaning"), _finish_care(result)]
    if is_top:
        cleaning.insert(1, load_text("card.coasters"))
    heat = load_text("card.heat" if is_top else "card.heat_fixed").format(away=away)
    parts = [
        Part("The room", tuple(Paragraph(one) for one in room)),
        Part("Heat, sun, water", (Paragraph(heat),)),
        Part("Cleaning", (Paragraph(" ".join(cleaning)),)),
        Part("Underneath" if is_top else "Its edges", (Paragraph(under),)),
    ]
    if noun != FLOOR:
        how = "flat, leaves and drawers with it," if is_top else "flat"
        moving = (load_text("card.moving"), load_text("card.storing").format(how=how))
        parts.append(Part("Moving or storing", tuple(Paragraph(one) for one in moving)))
    return tuple(parts)


def _finish_care(result: PlaceResult) -> str:
    """Say how its finish is kept; of all that forms no film the table knows how."""
    kind = result.piece.show_face.kind
    if kind == NO_FINISH:
        return load_text("card.bare")
    care = load_table("finish_care")["care"]
    return load_text(f"card.{care.get(measured_kind(kind), FILMED)}")


def _stop(result: PlaceResult) -> str:
    """Say why the card should not be handed over yet; empty where nothing is against it."""
    judged = result.as_a_set
    if judged.verdict is Verdict.RUNS_OUT:
        return (
            "For the maker: not to be handed over yet. In this air it runs out of room to move; "
            "change how it is held first."
        )
    if judged.verdict is Verdict.CLOSE:
        return (
            "For the maker: not to be handed over yet. It runs out of room to move in "
            f"{of_100(judged.share_of_draws)} {likely(result)}; give it more first."
        )
    if judged.verdict is Verdict.NOT_KNOWN:
        return "For the maker: not to be handed over yet. Whether it has room to move is not known."
    if result.projection is not None:
        return (
            f"For the maker: the year is {basis_words(result)}. Hand it over when a winter and a "
            "summer have been read."
        )
    return ""


def _move(result: PlaceResult, say: Say) -> str:
    narrowest, widest = result.extremes.narrowest, result.extremes.widest
    parts = [
        f"up to {say.change(one.change_mm)}, most about {one.on:%B}"
        for one in (narrowest, widest)
        if (one.change_mm < 0) == (one is narrowest) and abs(one.change_mm) > SMALLEST_LENGTH_MM
    ]
    if not parts:
        return "It will hardly move; its length stays the same."
    return f"It will move across the grain: {'; '.join(parts)}. Its length stays the same."


def humidity_range(result: PlaceResult) -> tuple[float, float] | None:
    """Humidity to ask for: what is acceptable, what the piece stands, what windows stand. [% RH].

    Returns
    -------
    (float, float) or None
        None where no range wide enough to hold is left.
    """
    wanted = load_table("client_air")["value"]
    stands_low, stands_high = math.ceil(result.safe_rh_pct[0]), math.floor(result.safe_rh_pct[1])
    low, high = max(wanted["accept_low"], stands_low), min(wanted["accept_high"], stands_high)
    if result.outdoor_low_c is not None:
        ceiling = humidity_ceiling(result.outdoor_low_c)
        low = min(low, max(stands_low, ceiling - NARROWEST_RANGE))
    return (float(low), float(high)) if high - low >= NARROWEST_RANGE else None


def humidity_ceiling(outdoor_c: float) -> float:
    """Highest indoor humidity before double-glazed windows run wet, at 21 °C indoors. [% RH].

    Parameters
    ----------
    outdoor_c : float
        [°C]

    Returns
    -------
    float
        The printed step that the temperature lies in; above the steps, the mildest one.
    """
    steps = load_table("winter_humidity")
    within = steps.loc[steps["outdoor_from_f"] <= fahrenheit_from_celsius(outdoor_c), "most_rh_pct"]
    return float(within.max() if len(within) else steps["most_rh_pct"].min())


def keep_text(result: PlaceResult, say: Say) -> str:
    """Say between which humidities to keep it, and in which season this place needs help for it."""
    span = humidity_range(result)
    if span is None:
        return load_text("card.little_room")
    keep = (
        f"Keep it between {span[0]:.0f} and {span[1]:.0f} % humidity, {say.temp(COOL_C)} to "
        f"{say.temp(WARM_C)}; let it drift slowly."
    )
    return " ".join((keep, *season_lines(result, span)))


def season_lines(result: PlaceResult, span: tuple[float, float]) -> tuple[str, ...]:
    """Name the months whose air leaves the range by itself, with what brings it back."""
    if not result.is_full_year:
        return (load_text("card.seasons_unknown"),)
    by_month = result.lived.by_month_rh_pct
    dry = {month: rh for month, rh in by_month if rh < span[0]}
    damp = {month: rh for month, rh in by_month if rh > span[1]}
    lines = []
    if dry:
        lines.append(
            load_text("card.dry_season").format(
                months=sentence(months_text(tuple(dry))), rh=min(dry.values())
            )
        )
    if damp:
        lines.append(
            load_text("card.damp_season").format(
                months=sentence(months_text(tuple(damp))), rh=max(damp.values())
            )
        )
    return tuple(lines) or (load_text("card.keeps_itself"),)


def _windows(result: PlaceResult, say: Say) -> str:
    """Say how far windows allow humidity in frost, and what then gives way."""
    if result.outdoor_low_c is not None:
        ceiling = humidity_ceiling(result.outdoor_low_c)
        span = humidity_range(result)
        said = f"In your coldest weeks hold no more than {ceiling:.0f} %, or windows run wet."
        if span is None or span[0] <= ceiling:
            return said
        return f"{said} {load_text('card.windows_first').format(low=span[0])}"
    steps = load_table("winter_humidity").iloc[list(STEPS_ON_CARD)]
    said = ", ".join(
        f"{row['most_rh_pct']:.0f} % at "
        f"{say.temp(celsius_from_fahrenheit(float(row['outdoor_to_f'])))} outside"
        for _, row in steps.iterrows()
    )
    return f"In frost, dry windows come first: no more than {said}."


def months_text(months: Sequence[int]) -> str:
    """Name months of the calendar, runs shortened, across the turn of the year too.

    Examples
    --------
    >>> months_text((1, 2, 7, 12)), months_text((5, 6))
    ('July and December to February', 'May and June')
    """
    known = set(months)
    if len(known) == MONTHS:
        return "all year"
    named = []
    for begin in sorted(one for one in known if (one - 2) % MONTHS + 1 not in known):
        run = [begin]
        while run[-1] % MONTHS + 1 in known:
            run.append(run[-1] % MONTHS + 1)
        names = [f"{date(2000, month, 1):%B}" for month in run]
        named += names if len(run) <= 2 else [f"{names[0]} to {names[-1]}"]
    return joined(named)


def _signs(result: PlaceResult, say: Say) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """List what is normal, what to send a photo of, when to call."""
    needs = result.as_a_set.needs
    until = "in the damp season"
    if result.is_full_year:
        until = f"by {result.extremes.widest.on:%B}"
    edges = load_text("card.proud_edges")
    if any(one.kind == "breadboard" for one in result.piece.fastenings):
        step = say.length(max(needs.swell_mm, needs.shrink_mm) / 2)
        edges = f"a step at the board ends, up to {step}, that comes and goes"
    noun = noun_of(result.piece)
    if noun == FLOOR:
        edges = load_text("card.open_joints")
    said = {"gap": say.length(GAP_TO_TELL_MM), "noun": noun, "fault": FAULTS.get(noun, FAULTS[TOP])}
    return (
        ("Normal", (f"gaps that close {until}", edges)),
        ("Send a photo", tuple(one.format(**said) for one in load_texts("card.photo"))),
        ("Call", tuple(one.format(**said) for one in load_texts("card.call"))),
    )
