"""The care card of one side that goes to the client: help with numbers, never a warranty."""

import math
from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from climlog.analysis.place.result import PlaceResult
from climlog.analysis.place.verdict import Verdict
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.phrases import days_text, sentence, temp_text
from climlog.report.place.year import basis_words
from climlog.report.provenance import face_text
from climlog.tables import load_table
from climlog.units import celsius_from_fahrenheit, fahrenheit_from_celsius, length_text

NARROWEST_RANGE = 5.0
ROUNDED_TO = 1.0
STEPS_ON_CARD = (1, 2, 3)
COOL_C, WARM_C = 16.0, 24.0


@dataclass(frozen=True)
class CareCard:
    """The card in blocks, each a heading and its lines.

    Attributes
    ----------
    stop : str
        Why the card should not be handed over yet; empty where nothing is against it.
    move : str
        How far it moves and when, for the sketch.
    signs : (heading, lines) pairs
        What is normal, what to watch, when to call.
    """

    name: str
    what: str
    stop: str
    move: str
    blocks: tuple[tuple[str, tuple[str, ...]], ...]
    signs: tuple[tuple[str, tuple[str, ...]], ...]


def care_card(result: PlaceResult, units: str, outdoor_low_c: float | None = None) -> CareCard:
    """Write the card.

    Parameters
    ----------
    result : PlaceResult
    units : {"inch", "metric"}
    outdoor_low_c : float, optional
        Cold that the place sees in an ordinary winter; without it the card gives the usual steps.
        [°C]
    """
    piece, start = result.piece, result.start
    return CareCard(
        name=piece.name,
        what=f"{sentence(piece.wood.name)}, {piece.cut}; finish {face_text(piece.show_face)} "
        f"above, {face_text(piece.hidden_face)} below. Fixed down {start.fixed_on:%B %Y} at "
        f"{start.fixed_pct:.1f} % moisture; worked out for the air of the room it is made for.",
        stop=_stop(result),
        move=_move(result, units),
        blocks=(
            ("The room", (*_range(result, units, outdoor_low_c), _months(result))),
            ("Heat, sun, water", _places(units)),
            ("Cleaning", (
                "Soft cloth, barely damp, then dry. Coasters and trivets; wipe spills at once; no "
                "plastic or rubber left lying on it. Do not rub oil in to feed it.",
            )),
            ("Underneath", (
                "The fastenings let the top slide, and must. Do not tighten them, add brackets, or "
                "screw anything else to the top.",
            )),
            ("Moving or storing", (
                "Blankets, plastic for the journey only; then leave it wrapped a week or two in a "
                "middle room, away from heat.",
                "Store flat in a lived-in room, leaves and drawers with it; not in an attic, "
                "basement, garage or container.",
            )),
        ),
        signs=_signs(result, units),
    )  # fmt: skip


def _stop(result: PlaceResult) -> str:
    if result.as_a_set.verdict == Verdict.RUNS_OUT:
        return (
            "For the maker: not to be handed over yet. In this air the fastenings run out of "
            "travel; change them first."
        )
    if result.projection is not None:
        return (
            f"For the maker: the year is {basis_words(result)}. Hand it over when a winter and a "
            "summer have been read."
        )
    if not result.is_full_year:
        return (
            f"For the maker: worked out from {days_text(result.log_days)} of readings. Hand it "
            "over when a year, or both its extremes, are known."
        )
    return ""


def _move(result: PlaceResult, units: str) -> str:
    moved_mm, times = result.width_mm - result.piece.width_mm, result.course.times
    low, high = int(np.nanargmin(moved_mm)), int(np.nanargmax(moved_mm))
    parts = []
    if moved_mm[low] < -SMALLEST_LENGTH_MM:
        size = length_text(-float(moved_mm[low]), units)
        parts.append(f"up to {size} narrower, most about {times[low]:%B}")
    if moved_mm[high] > SMALLEST_LENGTH_MM:
        size = length_text(float(moved_mm[high]), units)
        parts.append(f"up to {size} wider, most about {times[high]:%B}")
    if not parts:
        return "It will hardly move; its length stays the same."
    return f"It will move across the grain: {'; '.join(parts)}. Its length stays the same."


def humidity_range(
    result: PlaceResult, outdoor_low_c: float | None = None
) -> tuple[float, float] | None:
    """Humidity to ask for: what is acceptable, what the piece stands, what windows stand. [% RH].

    Returns
    -------
    (float, float) or None
        None where no range wide enough to hold is left.
    """
    wanted = load_table("client_air")["value"]
    low = max(wanted["accept_low"], math.ceil(result.safe_rh_pct[0] / ROUNDED_TO) * ROUNDED_TO)
    high = min(wanted["accept_high"], math.floor(result.safe_rh_pct[1] / ROUNDED_TO) * ROUNDED_TO)
    if outdoor_low_c is not None:
        ceiling = humidity_ceiling(outdoor_low_c)
        stands = math.ceil(result.safe_rh_pct[0] / ROUNDED_TO) * ROUNDED_TO
        low = min(low, max(stands, ceiling - NARROWEST_RANGE))
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


def _range(result: PlaceResult, units: str, outdoor_low_c: float | None) -> tuple[str, ...]:
    span = humidity_range(result, outdoor_low_c)
    between = f"{temp_text(COOL_C, units)} to {temp_text(WARM_C, units)}"
    if span is None:
        keep = "Keep to the range your maker gives you; this piece has little room to spare."
    else:
        keep = (
            f"Keep it between {span[0]:.0f} and {span[1]:.0f} % humidity, {between}; let it drift "
            "slowly."
        )
    gauge = "A gauge at table height, away from vents and sun, tells you."
    if outdoor_low_c is None:
        steps = load_table("winter_humidity")
        said = [
            f"{row['most_rh_pct']:.0f} % at "
            f"{temp_text(celsius_from_fahrenheit(float(row['outdoor_to_f'])), units)} outside"
            for _, row in steps.iloc[list(STEPS_ON_CARD)].iterrows()
        ]
        frost = f"In frost, dry windows come first: no more than {', '.join(said)}."
    else:
        frost = (
            f"In your coldest weeks hold no more than {humidity_ceiling(outdoor_low_c):.0f} %, or "
            "windows run wet."
        )
    return keep, frost, gauge


def _months(result: PlaceResult) -> str:
    if not result.is_full_year:
        return "Driest and dampest months are not known yet."
    months = result.air.times.month
    monthly = pd.Series(result.air.rh_pct).groupby(months).mean()
    months_of = monthly.index.to_numpy()
    dry, damp = (
        date(2000, month, 1)
        for month in (int(months_of[monthly.argmin()]), int(months_of[monthly.argmax()]))
    )
    return f"Watch it in {dry:%B} (driest) and {damp:%B} (dampest)."


def _places(units: str) -> tuple[str, ...]:
    away = "3 ft (1 m)" if units == "inch" else "1 m (3 ft)"
    return (
        f"Stand it {away} from radiators, stoves and vents, out of steady sun; raise floor heating "
        "slowly in autumn.",
    )


def _signs(result: PlaceResult, units: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    gap = length_text(1.0, units)
    needs = result.as_a_set.needs
    widest = result.course.times[int(np.nanargmax(result.width_mm))]
    until = f"by {widest:%B}" if result.is_full_year else "in the damp season"
    normal = [
        f"gaps that close {until}",
        "edges that stand a little proud or short with the season",
    ]
    if any(one.kind == "breadboard" for one in result.piece.fastenings):
        step = length_text(max(needs.swell_mm, needs.shrink_mm) / 2, units)
        normal[1] = f"a step at the board ends, up to {step}, that comes and goes"
    return (
        ("Normal", tuple(normal)),
        ("Send a photo", (f"a gap over {gap}", "a hairline at an end; a top going hollow")),
        ("Call", ("a split; a loose top; a wobble", "mould, wet or a musty smell")),
    )
