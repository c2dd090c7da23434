"""What salt jars tell about a sensor: the document, and what is said beside its numbers."""

from collections.abc import Sequence

from climlog.model.salts import Correction, FixedPoint, SaltCheck, limit
from climlog.report.document import Answer, Block, Document, Facts, Lines, Section, Sign
from climlog.report.json import Sentences
from climlog.report.phrases import Say, sentence
from climlog.report.shape import Shape
from climlog.tables import load_table, load_text, load_texts

GAIN_PLACES, OFFSET_PLACES = 4, 2
CORRECTED, RIGHT, ODD = (
    Sign("corrected", Shape.HOLDS),
    Sign("right", Shape.HOLDS),
    Sign("odd", Shape.CLOSE),
)
NOT_READ = Sign("not read yet", Shape.NONE)


def document(check: SaltCheck, say: Say) -> Document:
    """Say what jars should read, and the correction where a sensor was read in them."""
    points, correction = check.points, check.correction
    jars = tuple(f"{_point_text(one)}." for one in points)
    readings: tuple[Block, ...] = ()
    trust: tuple[Block, ...] = ()
    if correction is not None:
        jars = _jar_lines(correction)
        readings, trust = (Lines(_reading_lines(correction)),), (Lines(_trust_lines(correction)),)
    return Document(
        job="salt",
        subject="salt jars",
        question="Does this sensor read right?",
        answer=_answer(check, say),
        pictures=(),
        facts=Facts(()),
        sections=(
            Section("jars", "The jars", (Lines(jars),)),
            Section("readings", "What its readings mean", readings),
            Section("trust", "How far to trust it", trust),
            Section(
                "how",
                "How to make and wait for a jar",
                (Lines((*load_texts("salt.how_to"), wait_line())),),
            ),
            Section("mind", "Mind", (Lines(tuple(cautions(points))),)),
            Section("sources", "Sources", (Lines(tuple(_sources(points))),)),
        ),
    )


def _answer(check: SaltCheck, say: Say) -> Answer:
    points, correction = check.points, check.correction
    wash = load_texts("salt.hygiene")[0]
    if correction is None:
        return Answer(
            NOT_READ,
            f"Air over wet salt at {_at(points, say)} reads, give or take what stands behind it:",
            set=tuple(_point_text(one) for one in points),
            do=(*load_texts("salt.how_to")[:1], wash),
            not_known=("What this sensor shows over one of them: --jar SALT=READING.",),
        )
    warnings = warnings_of(correction)
    return Answer(
        ODD if warnings else RIGHT if _is_right(correction) else CORRECTED,
        _headline(correction, say),
        set=(f"With this sensor's logs: {options_of(correction)}",),
        do=(*warnings[:1], wash, " ".join(_cares(points))),
        not_known=(load_text("salt.one_jar"),) if len(correction.points) == 1 else (),
    )


def _at(points: Sequence[FixedPoint], say: Say) -> str:
    return say.temp(points[0].temp_c)


def _point_text(point: FixedPoint) -> str:
    return (
        f"{point.salt.name} ({point.salt.formula}): {point.rh_pct:.1f} %, give or take "
        f"{point.doubt_pct:.1f}"
    )


def _is_right(correction: Correction) -> bool:
    is_one = len(correction.points) == 1
    return is_one and abs(correction.offset_pct) < 10**-OFFSET_PLACES / 2


def _headline(correction: Correction, say: Say) -> str:
    at, off = _at(correction.points, say), correction.offset_pct
    if _is_right(correction):
        return f"At {at} the sensor reads right over {correction.points[0].salt.name}."
    if len(correction.points) == 1:
        word, sign = ("low", "add") if off > 0 else ("high", "take off")
        return f"The sensor reads {abs(off):.1f} points {word} at {at}: {sign} {abs(off):.1f}."
    sign = "+" if off >= 0 else "-"
    return (
        f"At {at}, true humidity = {correction.gain:.{GAIN_PLACES}f} x reading {sign} "
        f"{abs(off):.{OFFSET_PLACES}f}."
    )


def _jar_lines(correction: Correction) -> tuple[str, ...]:
    return tuple(
        f"{_point_text(point)}; the sensor showed {jar.reading_pct:g} %."
        for point, jar in zip(correction.points, correction.jars, strict=True)
    )


def options_of(correction: Correction) -> str:
    """Write the correction as options of place, look, room and crack."""
    offset = f"--rh-offset {correction.offset_pct:.{OFFSET_PLACES}f}"
    if len(correction.points) == 1:
        return offset
    return f"--rh-gain {correction.gain:.{GAIN_PLACES}f} {offset}"


def _reading_lines(correction: Correction) -> tuple[str, ...]:
    return tuple(
        f"It shows {one.reading_pct:.0f} %: the air has {one.corrected_rh_pct:.1f} %, "
        f"give or take {one.doubt_pct:.1f}."
        for one in correction.readings
    )


def _trust_lines(correction: Correction) -> tuple[str, ...]:
    low, high = correction.trusted_rh_pct
    one_jar = (load_text("salt.one_jar"),) if len(correction.points) == 1 else ()
    within = f"From {low:.0f} to {high:.0f} % of true humidity, no further."
    return (*warnings_of(correction), within, *one_jar, load_text("salt.trust"))


def warnings_of(correction: Correction) -> list[str]:
    """Say what is suspicious about the readings."""
    found = (("salt.odd", correction.is_odd), ("salt.close_jars", correction.is_badly_spread))
    return [load_text(key) for key, is_so in found if is_so]


def wait_line() -> str:
    """Say how long to wait."""
    times = {
        name: limit(name)
        for name in ("wait_still_low", "wait_still_high", "wait_small", "wait_bulky")
    }
    return load_text("salt.wait").format(**times)


def cautions(points: Sequence[FixedPoint]) -> list[str]:
    """Say what to mind with these salts."""
    return [*load_texts("salt.hygiene"), *_cares(points)]


def _cares(points: Sequence[FixedPoint]) -> list[str]:
    return [f"{sentence(point.salt.name)}: {point.salt.care}." for point in points]


def _sources(points: Sequence[FixedPoint]) -> list[str]:
    full = load_table("sources")["source"]
    return [f"{full[key]}." for key in dict.fromkeys(point.source for point in points)]


def sentences(check: SaltCheck, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {
        SaltCheck: lambda one: {
            "wait": {
                "still_air_hours": [limit("wait_still_low"), limit("wait_still_high")],
                "stirred_small_minutes": limit("wait_small"),
                "stirred_bulky_minutes": limit("wait_bulky"),
            },
            "cautions": cautions(one.points),
            "sources": _sources(one.points),
        },
        Correction: lambda one: {"options": options_of(one), "warnings": warnings_of(one)},
    }
