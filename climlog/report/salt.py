"""What salt jars tell about a sensor, as text and as numbers for JSON."""

from collections.abc import Sequence

from climlog.model.salts import Correction, FixedPoint, SaltCheck, limit
from climlog.report.json import Sentences
from climlog.report.phrases import Say, temp_text
from climlog.report.terminal import bullets, section, wrapped
from climlog.tables import load_table

GAIN_PLACES, OFFSET_PLACES = 4, 2
HOW_TO = (
    "Wet the salt with a little clean water to a damp slurry, like wet sand: crystals must still "
    "be lying there at the end. A clear solution reads too high, dry salt anything.",
    "Put it in an open dish in a jar, box or bag that seals, with the sensor above it, not "
    "touching the salt and not under drips. Close it with as little room air as will do.",
    "Let jar, salt and sensor stand together at a steady temperature, out of sun and hands: at "
    "75 % a sensor that is 1 °C (2 °F) warmer than the salt reads 4 to 5 points low.",
)
HYGIENE = (
    "Nothing from the jar is food any more: label it, keep it away from kitchen, children and "
    "animals, do not use the dish for food again, and wash your hands.",
    "Brine and its fine spray rust saw tables, planes, screws and the sensor's own board. Keep "
    "jars off cast iron and tools, wipe spills with fresh water and dry at once.",
)
TRUST = (
    "It corrects this sensor as it is now. Check again every half year or year, and after glue, "
    "solvent or damp has been near it."
)
ODD = (
    "This is more than a sound sensor in a settled jar should need. Check that the salt is damp "
    "but not dissolved, that the jar is tight and had its time, and read again; if it stays, "
    "replace the sensor rather than correct it."
)
CLOSE_JARS = (
    "The two jars lie close together, so a small slip in either makes a large one far from them. "
    "Table salt and magnesium chloride make the better pair."
)
ONE_JAR = (
    "One jar tells the error near its own humidity only. Rooms where furniture lives are drier: "
    "a second jar, of magnesium chloride (about 33 %), shows whether the same correction holds "
    "there."
)
MEMORY_WAIT = " (that figure from memory)"


def salt_text(points: Sequence[FixedPoint], correction: Correction | None, units: str) -> str:
    """Say what jars should read, and the correction where a sensor was read in them.

    Parameters
    ----------
    points : sequence of FixedPoint
        The jars read, or all that could be made.
    correction : Correction or None
        None where nothing was read yet.
    units : {"inch", "metric"}
        Which unit of temperature stands first.
    """
    lines: list[str] = []
    if correction is None:
        lines += [wrapped(f"What the air over wet salt reads at {_at(points, units)}:"), ""]
        lines += section("", [_point_line(point) for point in points])
    else:
        lines += [wrapped(_headline(correction, units)), ""]
        lines += section("", _jar_lines(correction))
        lines += section("Give these options with this sensor's logs", [options_of(correction)])
        lines += section("What its readings mean", _reading_lines(correction))
        lines += section("How far to trust it", _trust_lines(correction))
    lines += section("How to make and wait for a jar", (*HOW_TO, wait_line()))
    lines += section("Mind", cautions(points))
    lines += ["Sources:", *bullets(_sources(points))]
    return "\n".join(lines)


def _at(points: Sequence[FixedPoint], units: str) -> str:
    return temp_text(points[0].temp_c, units)


def _point_line(point: FixedPoint) -> str:
    return (
        f"{point.salt.name} ({point.salt.formula}): {point.rh_pct:.1f} %, give or take "
        f"{point.doubt_pct:.1f}"
    )


def _headline(correction: Correction, units: str) -> str:
    at = _at(correction.points, units)
    if len(correction.points) == 1:
        off = correction.offset_pct
        if abs(off) < 10**-OFFSET_PLACES / 2:
            return f"At {at} the sensor reads right over {correction.points[0].salt.name}."
        word = "low" if off > 0 else "high"
        sign = "add" if off > 0 else "take off"
        return f"The sensor reads {abs(off):.1f} points {word} at {at}: {sign} {abs(off):.1f}."
    sign = "+" if correction.offset_pct >= 0 else "-"
    return (
        f"At {at}, true humidity = {correction.gain:.{GAIN_PLACES}f} x reading {sign} "
        f"{abs(correction.offset_pct):.{OFFSET_PLACES}f}."
    )


def _jar_lines(correction: Correction) -> list[str]:
    return [
        f"{_point_line(point)}; the sensor showed {jar.reading_pct:g} %."
        for point, jar in zip(correction.points, correction.jars, strict=True)
    ]


def options_of(correction: Correction) -> str:
    """Write the correction as options of place, look, room and crack."""
    offset = f"--rh-offset {correction.offset_pct:.{OFFSET_PLACES}f}"
    if len(correction.points) == 1:
        return offset
    return f"--rh-gain {correction.gain:.{GAIN_PLACES}f} {offset}"


def _reading_lines(correction: Correction) -> list[str]:
    return [
        f"It shows {one.reading_pct:.0f} %: the air has {one.corrected_rh_pct:.1f} %, "
        f"give or take {one.doubt_pct:.1f}."
        for one in correction.readings
    ]


def _trust_lines(correction: Correction) -> list[str]:
    low, high = correction.trusted_rh_pct
    lines = [f"From {low:.0f} to {high:.0f} % of true humidity, no further.", TRUST]
    if len(correction.points) == 1:
        lines.insert(1, ONE_JAR)
    return warnings_of(correction) + lines


def warnings_of(correction: Correction) -> list[str]:
    """Say what is suspicious about the readings."""
    return [ODD] * correction.is_odd + [CLOSE_JARS] * correction.is_badly_spread


def wait_line() -> str:
    """Say how long to wait."""
    return (
        f"Wait until the reading has stood still for an hour. In still air that takes "
        f"{limit('wait_still_low'):.0f} to {limit('wait_still_high'):.0f} hours{MEMORY_WAIT}; in a "
        f"small box whose air is stirred {limit('wait_small'):.0f} minutes for a bare sensor, "
        f"{limit('wait_bulky'):.0f} for a bulky instrument."
    )


def cautions(points: Sequence[FixedPoint]) -> list[str]:
    """Say what to mind with these salts."""
    cares = [f"{point.salt.name.capitalize()}: {point.salt.care}." for point in points]
    return [*HYGIENE, *cares]


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
