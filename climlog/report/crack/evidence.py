"""Causes of a crack and what speaks for and against each -> words. Numbers come from the record."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from climlog.analysis.crack import causes
from climlog.analysis.crack.result import (
    Cause,
    CauseKey,
    CauseVerdict,
    CrackResult,
    Evidence,
    Fact,
    LogStands,
)
from climlog.limits import SMALLEST_LENGTH_MM
from climlog.report.phrases import day_text
from climlog.units import length_text

NAMES = {
    CauseKey.HELD: "Held while it shrank",
    CauseKey.SET: "Crushed while it swelled, then too narrow",
    CauseKey.ENDS: "Ends or faces dried fast",
    CauseKey.WRONG_MOISTURE: "Fixed too damp or too dry",
    CauseKey.ONE_FACE: "One face faster than the other",
    CauseKey.WET_STOCK: "Stock that was still drying",
    CauseKey.LOCAL: "Heat or sun at the piece",
    CauseKey.UNSEEN: "Glue, water, a knock, the grain",
}
SHAPES = {
    CauseVerdict.SUFFICIENT: "sufficient",
    CauseVerdict.POSSIBLE: "possible",
    CauseVerdict.RULED_OUT: "ruled-out",
}
NO_SIGN = "No sign of it was reported, and the log has nothing to say of it."
STRONG = 2
HARDLY_MM = 0.2
PCT = 100.0


@dataclass(frozen=True)
class CauseRow:
    """One cause as a row: what is left of it, how often, and its evidence as (way, words)."""

    name: str
    verdict: str
    shape: str
    share: str
    evidence: tuple[tuple[str, str], ...]


def cause_rows(result: CrackResult, units: str) -> tuple[CauseRow, ...]:
    """Put every cause into words, the best supported first."""
    return tuple(_row(one, result, units) for one in result.causes)


def _row(cause: Cause, result: CrackResult, units: str) -> CauseRow:
    said = tuple(
        ("against" if one.weight < 0 else "for", evidence_text(one, units))
        for one in cause.evidence
    )
    return CauseRow(
        NAMES[cause.key],
        verdict_text(cause, result),
        SHAPES[cause.verdict],
        share_text(cause),
        said or (("", NO_SIGN),),
    )


def verdict_text(cause: Cause, result: CrackResult) -> str:
    """Say how the log leaves a cause."""
    if result.window.stands != LogStands.INSIDE:
        return "possible; this log cannot test it"
    if cause.key in causes.BLIND_TO and cause.verdict != CauseVerdict.SUFFICIENT:
        return "possible; a log cannot see it"
    return {
        CauseVerdict.SUFFICIENT: "sufficient",
        CauseVerdict.POSSIBLE: "possible",
        CauseVerdict.RULED_OUT: "ruled out by the log",
    }[cause.verdict]


def share_text(cause: Cause) -> str:
    """Say in how many likely cases it would have been enough."""
    if cause.share_of_draws is None:
        return "not known"
    return f"{cause.share_of_draws * PCT:.0f} of 100"


def evidence_text(one: Evidence, units: str) -> str:
    """Say one piece of evidence; a sign is told in the table's own words."""
    if one.key == Fact.SIGN:
        strong = " (strong)" if abs(one.weight) >= STRONG else ""
        return f"Reported: {one.says}{strong}."
    return SENTENCES[one.key](_Told(one, units))


@dataclass(frozen=True)
class _Told:
    """A piece of evidence with its figures ready to be put into a sentence."""

    evidence: Evidence
    units: str

    @property
    def day(self) -> str:
        return day_text(self.evidence.on) if self.evidence.on is not None else "no day"

    @property
    def figures(self) -> Mapping[str, float]:
        return self.evidence.figures

    def size(self, name: str) -> str:
        length_mm = self.figures[name]
        if abs(length_mm) < HARDLY_MM:
            return "nothing" if abs(length_mm) < SMALLEST_LENGTH_MM else "hardly anything"
        return length_text(length_mm, self.units)

    def points(self, name: str) -> str:
        return f"{abs(self.figures[name]):.1f} points"

    def moisture(self, name: str) -> str:
        return f"{self.figures[name]:.1f} %"

    def days(self, name: str) -> str:
        return f"{self.figures[name]:.0f} days"

    def strain(self, name: str = "strain") -> str:
        return f"{self.figures[name] * PCT:.2f} %"

    def of_100(self, name: str) -> str:
        return f"{self.figures[name] * PCT:.0f} of 100 cases"


def _fixed(told: _Told, way: str) -> str:
    return (
        f"Fixed at {told.moisture('fixed_pct')}, {way} the {told.moisture('place_middle_pct')} "
        f"that this air holds on average. Fixed in balance with it, the limit would have been "
        f"passed in {told.of_100('share_in_balance')}; as it was fixed, in "
        f"{told.of_100('share_as_fixed')}."
    )


def _faces(told: _Told) -> str:
    hollow = "show" if told.figures["show_face_hollow"] else "hidden"
    if math.isnan(told.figures["cup_high_mm"]):
        depth = "and roll up past half a circle"
    else:
        depth = f"by {told.size('cup_low_mm')} to {told.size('cup_high_mm')}"
    return (
        f"The faces are not alike: left free, the top would be hollow on its {hollow} face "
        f"{depth} about {told.day}; held flat, "
        f"that stretches the drier face by {told.strain()}."
    )


SENTENCES: dict[str, Callable[[_Told], str]] = {
    "travel_ran_out": lambda t: (
        f"From {t.day} it was held: between its fastenings it wanted to be up to "
        f"{t.size('needs_mm')} narrower than when it was fixed, and they give "
        f"{t.size('has_mm')}."
    ),
    "travel_left": lambda t: (
        f"Up to that day it needed {t.size('needs_mm')} of shrinking between its fastenings, and "
        f"they give {t.size('has_mm')}: the travel did not run out."
    ),
    "past_failure": lambda t: (
        f"From {t.day} the wood was stretched past {t.strain()}, where sound wood can fail."
    ),
    "past_yield": lambda t: (
        f"From {t.day} the wood was stretched past {t.strain()}, where old checks and weak glue "
        "lines can open; sound wood stands more."
    ),
    "below_yield": lambda t: (
        f"The stretch stayed at {t.strain()} or less, under the 0.4 % at which wood, paint and "
        "glue begin to give."
    ),
    "rising": lambda t: (
        f"Over the days in which it may have come the board grew damper, by "
        f"{t.points('change_pct')} to {t.moisture('board_pct')}."
    ),
    "falling": lambda t: (
        f"Over the days in which it may have come the board dried by {t.points('change_pct')} to "
        f"{t.moisture('board_pct')}."
    ),
    "size_fits": lambda t: (
        f"The width fits: a gap of {t.size('gap_mm')} was reported, {t.size('low_mm')} to "
        f"{t.size('high_mm')} is what it could gather."
    ),
    "size_wider": lambda t: (
        f"The gap of {t.size('gap_mm')} is wider than this explains ({t.size('high_mm')} at most): "
        "ask about wet stock, a wider held width, or damage."
    ),
    "size_narrower": lambda t: (
        f"The gap of {t.size('gap_mm')} is narrower than the {t.size('low_mm')} and more that it "
        "could have gathered, as where fastenings give way a little or only a weak line opens."
    ),
    "swelling_blocked": lambda t: (
        f"From {t.day} its swelling was stopped: it wanted {t.size('needs_mm')} and had "
        f"{t.size('has_mm')}. Unless it bowed or its fastenings gave way, cells crushed by that "
        f"make it about {t.size('set_mm')} narrower for good."
    ),
    "swelling_hardly_blocked": lambda t: (
        f"Swelling was stopped from {t.day}, where it wanted {t.size('needs_mm')} and had "
        f"{t.size('has_mm')}: too little to crush the wood."
    ),
    "swelling_free": lambda t: (
        f"Swelling needed {t.size('needs_mm')} and had {t.size('has_mm')}: nothing was crushed."
    ),
    "ends_drier": lambda t: (
        f"About {t.day} bare end grain was {t.points('below_mean_pct')} drier than the board, a "
        f"stretch of {t.strain()} at the ends."
    ),
    "face_drier": lambda t: (
        f"About {t.day} a face was {t.points('below_mean_pct')} drier than the board, a stretch of "
        f"{t.strain()} at the surface."
    ),
    "steep_fall": lambda t: (
        f"About {t.day} the humidity fell by {t.points('fall_rh_pct')} within three days and "
        "stayed down for a week."
    ),
    "no_steep_fall": lambda t: (
        f"No fall of humidity within three days was larger than {t.points('fall_rh_pct')} and "
        "stayed."
    ),
    "fixed_wetter": lambda t: _fixed(t, "wetter than"),
    "fixed_drier": lambda t: _fixed(t, "drier than"),
    "fixed_in_balance": lambda t: _fixed(t, "within a point of"),
    "faces_apart": _faces,
    "cup_opposite": lambda t: (
        "The cup reported is the other way round: the faces as given would make the "
        f"{'show' if t.figures['show_face_hollow'] else 'hidden'} face the hollow one. Ask about "
        "rings, water, or what lay on it."
    ),
    "rings_cup_too": lambda t: (
        f"The rings alone would cup each flat-sawn board by about {t.size('ring_cup_mm')}, hollow "
        f"on its {'bark' if t.figures['drying'] else 'heart'} side: look whether every board cups "
        "its own way."
    ),
    "faces_alike": lambda t: "Both faces let moisture through alike.",
    "still_wet": lambda t: (
        f"Fixed at {t.moisture('fixed_pct')}, wetter than the dampest {t.days('damp_days')} of "
        f"this log would hold ({t.moisture('place_wettest_pct')}); about {t.points('left_pct')} of "
        f"that was still there {t.figures['days_since_fixed']:.0f} days on."
    ),
    "dry": lambda t: (
        f"Fixed at {t.moisture('fixed_pct')}; the dampest {t.days('damp_days')} of this log hold "
        f"{t.moisture('place_wettest_pct')}. A board like this makes 63 % of a change in "
        f"{t.figures['days_to_63_pct']:.0f} days, and {t.figures['days_since_fixed']:.0f} had "
        "passed."
    ),
    "thick_stock": lambda t: (
        f"At {t.size('thickness_mm')} a moisture meter reads the shell; the core may have been "
        "several points wetter."
    ),
    "measured_narrower": lambda t: (
        f"On {t.day} it measured {length_text(-t.figures['off_by_mm'], t.units)} narrower than the "
        "log explains: it has lost more moisture than the air asked for."
    ),
    "warmer_spot": lambda t: (
        f"If the piece stood {t.figures['warmer_c']:.0f} °C warmer than the sensor in those days, "
        f"the limit would be passed in {t.of_100('share_warmer')}; as logged, in "
        f"{t.of_100('share_as_logged')}."
    ),
}
