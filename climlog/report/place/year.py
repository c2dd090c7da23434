"""Words for time: the days an answer speaks of, a year not read and its doubt, a long record."""

from calendar import month_name
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from climlog.analysis.air.house_fit import COLD_KINDS
from climlog.model.indoor import HouseKind
from climlog.report.phrases import MINUS, Say, days_text, short_day
from climlog.tables import ORDINARY_HOME, load_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from climlog.analysis.air.climate_band import ClimateBand
    from climlog.analysis.air.house_fit import FittedHouse, Line
    from climlog.analysis.air.projection import Projection
    from climlog.analysis.place.result import PlaceResult
    from climlog.model.indoor import HouseClass

PROJECTED = "projected"
F_PER_C = 1.8
COLD_ONES = " or ".join(COLD_KINDS)
MOST_SPANS = 4
MOST_LACKING = 2
A_SEASON_LACKS = timedelta(days=7)
_MONTHS_ONLY = (
    "The outdoors are twelve monthly means: a smooth course that keeps each of them. What the "
    "weather of a day or a week does is not in them; the likely cases let it stray as it did in "
    "measured years elsewhere, and the range is wider for it."
)


def is_as_before(result: "PlaceResult", moment: datetime) -> bool:
    """Whether a moment is told by another day of the record, as it was read."""
    return result.told(moment).is_repeat and not is_projected(result, moment)


def day_told(result: "PlaceResult", moment: datetime, say: Say) -> str:
    """Write a day of the piece's time; of a record gone through again, the day it was read on."""
    if not is_as_before(result, moment):
        return say.day(moment)
    return f"{moment.day} {moment:%B}, as in {result.told(moment).read_on:%Y}"


def span_told(result: "PlaceResult", first: datetime, last: datetime, say: Say) -> str:
    """Write a span of days likewise, the year it was read in once."""
    begin, end = day_told(result, first, say), day_told(result, last, say)
    year = f", as in {result.told(last).read_on:%Y}"
    if begin.endswith(year) and end.endswith(year):
        begin = begin.removesuffix(year)
    return f"{begin} to {end}"


def short_told(result: "PlaceResult", moment: datetime) -> str:
    """Write the same as a picture does."""
    if not is_as_before(result, moment):
        return short_day(moment)
    return f"{moment.day} {moment:%b}, as in {result.told(moment).read_on:%Y}"


def when_text(result: "PlaceResult", moment: datetime, say: Say) -> str:
    """Say when, as sure as it is: on a day that was read, or about one that is foreseen."""
    is_read = not (result.told(moment).is_repeat or is_projected(result, moment))
    return f"{'on' if is_read else 'about'} {day_told(result, moment, say)}"


def within_words(result: "PlaceResult") -> str:
    """Say which time an answer speaks of, for the middle of a sentence; empty for a read year."""
    if result.projection is not None:
        return f" in a year {basis_words(result)}"
    return "" if result.is_full_year else f" in the {days_text(result.coverage.days)} known"


def basis_words(result: "PlaceResult") -> str:
    """Say shortly what a projected year rests on; empty where nothing is projected."""
    year = result.projection
    if year is None:
        return ""
    if year.fit is None:
        return "worked out for a kind of house, not read"
    return f"projected from {days_text(year.days_read)} of readings"


def outdoors_words(year: "Projection") -> str:
    """Name what a year was projected from, with its cold season: that of another place shows."""
    return f"{year.outdoor_name}, coldest in {month_name[year.outdoor.coldest_month]}"


def read_words(result: "PlaceResult") -> str:
    """Say behind the name of the air that it was not all read; empty where it was."""
    if result.projection is None:
        return ""
    return ", projected" if result.log is None else ", read and projected"


def means_words(result: "PlaceResult") -> str:
    """Say over what the readings of the air are averaged."""
    if result.projection is None:
        return "hourly means"
    return "daily means" if result.log is None else "hourly means, daily ones where projected"


def is_projected(result: "PlaceResult", moment: date) -> bool:
    """Whether the air of a moment was projected, not read."""
    step = int(result.air.times.searchsorted(pd.Timestamp(moment), side="right")) - 1
    return bool(result.projected[max(step, 0)])


def lacking_text(result: "PlaceResult", say: Say) -> str:
    """Say which days of the year after the fixing no air is known for; empty where none lack.

    Spans of a week or two are no season: the longest are told.
    """
    lacks = result.coverage.lacks
    long = [one for one in lacks if one.last - one.first >= A_SEASON_LACKS] or list(lacks)
    spans = sorted(long, key=lambda one: one.first - one.last)[:MOST_LACKING]
    return say.listed([f"{one.first.day} {one.first:%B} to {one.last.day} {one.last:%B}" for one in
                       sorted(spans, key=lambda one: one.first)])  # fmt: skip


def months_lacking(result: "PlaceResult") -> str:
    """Say the same by months, for a headline."""
    longest = max(result.coverage.lacks, key=lambda one: one.last - one.first)
    first, last = f"{longest.first:%B}", f"{longest.last:%B}"
    return first if first == last else f"{first} to {last}"


def spans_text(result: "PlaceResult", say: Say) -> str:
    """Say to somebody who cannot see it which parts of a drawing were not read then."""
    named = (
        ("Projected, not read", result.lived.projected),
        ("The record's days again, a year or more on", result.lived.repeated),
    )
    return "".join(f" {name}: {_listed(spans, say)}." for name, spans in named if spans)


def _listed(spans: "Sequence[tuple[datetime, datetime]]", say: Say) -> str:
    parts = [f"{say.day(first)} to {say.day(last)}" for first, last in spans[:MOST_SPANS]]
    more = f" and {len(spans) - MOST_SPANS} more spans" if len(spans) > MOST_SPANS else ""
    return f"{', '.join(parts)}{more}"


def projected_caution(year: "Projection") -> str:
    """Say in the first place that a year is projected, and from what."""
    what = "monthly means" if year.outdoor.is_months else "outdoor air"
    if year.fit is None:
        return (
            f"No reading of this room went into this: the whole year is worked out from the "
            f"{what} of {year.outdoor_name} and a published kind of house. It is an "
            "estimate with a wide range; put a logger in the room before you rely on it."
        )
    return (
        f"Only {days_text(year.days_read)} were read; {days_text(year.days_projected)} are "
        f"projected from the {what} of {year.outdoor_name}, by how this room answered it. "
        "They are marked in the drawings, and their doubt is in every share and range."
    )


def _years_of(year: "Projection") -> str:
    """Name the years of an outdoor file without a day of the readings; empty where it has some."""
    file = year.outdoor
    if year.fit is None or year.fit.by_date or file.first is None or file.last is None:
        return ""
    if file.first <= year.days[0].date() <= file.last:
        return ""
    first, last = file.first.year, file.last.year
    return f"{first}" if first == last else f"{first} to {last}"


def weather_not_met(year: "Projection") -> str:
    """Say that the outdoor file is of another year than the readings; empty where it is not."""
    years = _years_of(year)
    return years and (
        f"The weather of the days read: {year.outdoor_name} is of {years} and counts by its season "
        "alone; one that holds those days would tell more."
    )


def year_asked(year: "Projection") -> str:
    """Say the same in a few words."""
    years = _years_of(year)
    return (
        years
        and f"The weather of those days: {year.outdoor_name} is of {years}; its season counts."
    )


def projection_lines(result: "PlaceResult", say: Say) -> tuple[str, ...]:
    """Say how a year was projected and how well it is known; nothing where all was read."""
    year = result.projection
    if year is None:
        return ()
    lines = [_matched(year, say)]
    if year.fit is not None:
        lines += [*year.fit.switched, _kind(year.fit, say)]
        lines += [_temp_line(year.fit.temp, say), _vapour_line(year.fit.vapour)]
    return (*lines, _doubt(year), load_text("place.projected_days"))


def _matched(year: "Projection", say: Say) -> str:
    if year.fit is None:
        house = "" if year.house is None else house_words(year.house, say)
        return f"{house} {_MONTHS_ONLY}" if year.outdoor.is_months else house
    if year.outdoor.is_months:
        return _MONTHS_ONLY
    other_year = weather_not_met(year)
    if other_year:
        return f"{other_year} The range is wider for it."
    if not year.fit.by_date:
        return (
            "Matched by day of the year: the outdoor dates are not those of the readings, or too "
            "few, so of their weather only the season is known, and the range is wider for it."
        )
    other = ""
    if year.days_of_other_years:
        other = (
            f" For {days_text(year.days_of_other_years)} without an outdoor reading of their own "
            "date the season of the same days of another year stands in, its weather in the doubt."
        )
    return (
        f"Matched by date, on {days_text(year.fit.days_used)} read indoors and outdoors at "
        f"once.{other}"
    )


def heating_not_told(year: "Projection") -> str:
    """Say that a log without cold days tells no heated home from others; empty where it does."""
    if not year.is_heating_open:
        return ""
    return (
        "Whether it is heated in winter: taken for granted, no cold day was read. If it is not, "
        f"give --house {COLD_ONES}."
    )


def heating_asked(year: "Projection") -> str:
    """Say the same in a few words."""
    if not year.is_heating_open:
        return ""
    return f"Heated in winter? If so, give --heating TEMP; if not, --house {COLD_ONES}."


def contradicted(year: "Projection", say: Say) -> str:
    """Say that the log contradicts what was told of the building; empty where it does not.

    It counts as it was told; what does not hold in the kind that the log tells is not held.
    """
    fit = year.fit
    if fit is None:
        return ""
    if fit.nearer:
        return (
            f'Told "{fit.house.name}", and counted so; the log reads more like "{fit.nearer}": '
            f"if it is, give --house {fit.nearer}."
        )
    if fit.heating_told_and_read_c is not None and not fit.told_wrong:
        told, read = (say.temp(one) for one in fit.heating_told_and_read_c)
        return f"Told heated to {told}, and counted so; its cold days were read at {read}."
    if not fit.rivals or not fit.told_wrong:
        return ""
    cold = "stands cold" if fit.stands_cold else "is heated"
    return f'By the log the room {cold}, not "{fit.house.name}": give --house {fit.rivals[0]}.'


def switched_told(year: "Projection") -> tuple[str, ...]:
    """Say that heating was switched within the log, and by which days it goes; empty otherwise."""
    return () if year.fit is None else year.fit.switched


def kind_asked(year: "Projection") -> str:
    """Ask what kind of building it is where the log tells no better; empty where it does."""
    fit = year.fit
    if fit is None or not fit.rivals or fit.told_wrong or fit.nearer:
        return ""
    cold_ones = [f"--house {one}" for one in fit.rivals if one != ORDINARY_HOME]
    ways = " or ".join([*cold_ones, *(["--heating TEMP"] if ORDINARY_HOME in fit.rivals else [])])
    return f'Taken for "{fit.house.name}"; if it is another kind, give {ways}.'


def cooling_asked(year: "Projection") -> str:
    """Ask whether a room whose hot days were not read is cooled; empty where there are none."""
    if year.fit is None or not year.fit.is_cooling_open:
        return ""
    return "Cooled in summer? If so, give --cooling TEMP: no hot day was read."


def _kind(fit: "FittedHouse", say: Say) -> str:
    """Say what kind of building the year starts from, who chose it, and whether the log agrees."""
    name, cold = fit.house.name, "stands cold" if fit.stands_cold else "is heated in the cold"
    if not fit.chosen:
        if not fit.told_wrong:
            return house_words(fit.house, say)
        return (
            f'The log does not agree with the kind of house "{name}": by its temperatures the room '
            f'{cold}. The days not read lean on "{name}" all the same; with --house '
            f"{fit.rivals[0]}, or none, they lean on what was read."
        )
    if fit.stands_cold is None:
        return (
            f'Taken for an ordinary home ("{name}"): without cold days the log does not tell '
            f"whether the room is heated in winter. If it is not, give --house {COLD_ONES}."
        )
    return (
        f'By its temperatures the room {cold}: taken for "{name}", {fit.house.words}. If that is '
        "wrong, name its kind with --house."
    )


def house_words(house: "HouseClass", say: Say) -> str:
    """Name a kind of house, how it is run and where it is from."""
    settings = [
        f"{word} {say.temp(at_c)}"
        for word, at_c in (("heated to", house.heating_c), ("cooled to", house.cooling_c))
        if at_c is not None
    ]
    if house.humidifier_pct is not None:
        settings.append(f"a humidifier holding {house.humidifier_pct:.0f} %")
    run = f"; {', '.join(settings)}" if settings else ""
    known = f'Kind of house "{house.name}": {house.words}{run} ({house.source}, {house.mark}). '
    if house.kind == HouseKind.UNHEATED:
        return (
            f"{known}Its figures rest on the rooms of one building; a shed in the sun is warmer in "
            "summer."
        )
    if house.kind == HouseKind.ROOF_SPACE:
        return f"{known}Its figures rest on the roof spaces of three buildings."
    if house.kind == HouseKind.BARELY_HEATED:
        return f"{known}Its figures rest on two buildings: a store and an old house."
    return (
        f"{known}Such "
        "kinds are made to be safe against damp; a heated house in hard frost is often drier."
    )


def _temp_line(line: "Line", say: Say) -> str:
    return (
        f"Temperature: with {say.temp(line.kink)} outdoors the room is at "
        f"{say.temp(line.level)}; each degree colder outdoors takes it down by "
        f"{_number(line.cool_slope)}, each degree warmer up by {_number(line.warm_slope)}. Days "
        f"depart from that by {_spread(line.scatter, say)}."
    )


def _vapour_line(line: "Line") -> str:
    return (
        f"Vapour: with {line.kink:.0f} Pa outdoors the room holds {line.level:.0f} Pa; of each "
        f"Pa more or less outdoors {_number(line.warm_slope)} come in above that and "
        f"{_number(line.cool_slope)} below. Days depart from that by {line.scatter:.0f} Pa."
    )


def _number(slope: float) -> str:
    return f"{slope:.2f}".replace("-", MINUS)


def _spread(spread_c: float, say: Say) -> str:
    metric, inch = f"{spread_c:.1f} °C", f"{spread_c * F_PER_C:.1f} °F"
    return f"{inch} ({metric})" if say.is_inch else metric


def _doubt(year: "Projection") -> str:
    low, high = year.emc_band_pct[:, year.projected]
    half = float(np.mean(high - low)) / 2.0
    return (
        f"On a projected day humidity is known to {year.rh_sd_pct[year.projected].mean():.0f} "
        f"points in two of three cases, and the moisture it holds wood at to about {half:.1f} % "
        "moisture either way in 90 of 100."
    )


def logger_advice(result: "PlaceResult") -> str | None:
    """Say what would make a projected year sure; None where all was read."""
    if result.projection is None:
        return None
    if result.projection.fit is None:
        return "Put a logger where the piece will stand: a few weeks of readings narrow this most."
    return (
        f"Leave the logger running and do this again: {days_text(result.projection.days_projected)}"
        f" of this year are projected; {log_next(result.projection)}."
    )


def log_next(year: "Projection") -> str:
    """Say which readings would add most, for the end of a sentence."""
    return f"two weeks of readings in {month_name[year.least_known_month]} would add most"


def climate_lines(result: "PlaceResult", say: Say) -> tuple[str, ...]:
    """Describe the place by its season and its fluctuations, and its years where there are some."""
    lines = [] if result.climate is None else list(_band_lines(result.climate))
    years = result.years
    if years is not None:
        for name, one in (("worst", years.worst), ("typical", years.typical)):
            moved = say.length(result.moved_in_mm(one))
            lines.append(
                f"The {name} of {len(years.spans)} years, {say.day(one.first)} to "
                f"{say.day(one.last)}: board moisture {one.low_pct:.1f} to {one.high_pct:.1f} %, "
                f"width from least to most {moved}."
            )
    return tuple(lines)


def _band_lines(band: "ClimateBand") -> tuple[str, ...]:
    low, high = band.season_range_pct
    whole = (
        "The record is long enough for a whole yearly cycle."
        if band.is_full
        else f"A whole cycle takes 13 months of record; these {band.record_days:.0f} days lack "
        "part of it."
    )
    return (
        f"Humidity of the place over {days_text(band.record_days)}: {band.level_pct:.0f} % on "
        f"average; its season, a 30-day mean, ran from {low:.0f} to {high:.0f} %. {whole}",
        f"Short fluctuations: 86 of 100 hours lay between {-band.low_limit_pct:.0f} points "
        f"below and {band.high_limit_pct:.0f} above the season. {load_text('place.fluctuations')}",
    )
