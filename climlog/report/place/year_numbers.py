"""Projection, what-ifs and the place's own record, ready for JSON."""

from typing import TYPE_CHECKING

from climlog.analysis.place.result import PlaceResult
from climlog.report.json import Numbers, moment, rounded, span
from climlog.report.judgement_numbers import judgement_numbers
from climlog.report.phrases import Say
from climlog.report.place.what_if import event_words
from climlog.report.place.year import climate_lines, projection_lines

if TYPE_CHECKING:
    from climlog.analysis.air.climate_band import ClimateBand, Span
    from climlog.analysis.air.house_fit import Line
    from climlog.analysis.place.result import WhatIfRow
    from climlog.model.indoor import HouseClass


def projection_numbers(result: PlaceResult, say: Say) -> Numbers | None:
    """Say what was projected, from what and how well; null where all was read."""
    year = result.projection
    if year is None:
        return None
    low, high = year.emc_band_pct[:, year.projected]
    return {
        "matched": year.matched,
        "outdoor_file": year.outdoor_name,
        "days_read": year.days_read,
        "days_projected": year.days_projected,
        "days_of_other_years": year.days_of_other_years,
        "projected": [
            {"from": moment(first.to_pydatetime()), "to": moment(last.to_pydatetime())}
            for first, last in result.lived.projected
        ],
        "house": None if year.house is None else _house(year.house),
        "fit": year.fit
        and {
            "days_used": year.fit.days_used,
            "temperature_c": _line(year.fit.temp),
            "vapour_pa": _line(year.fit.vapour),
        },
        "rh_sd_pct": span(year.rh_sd_pct[year.projected]),
        "emc_sd_pct": span(year.emc_sd_pct[year.projected]),
        "emc_half_band_pct": span((high - low) / 2.0),
        "says": list(projection_lines(result, say)),
    }


def _house(house: "HouseClass") -> Numbers:
    return {
        "name": house.name,
        "source": house.source,
        "mark": house.mark,
        "heating_c": house.heating_c,
        "cooling_c": house.cooling_c,
        "humidifier_pct": house.humidifier_pct,
    }


def _line(line: "Line") -> Numbers:
    return {
        "outdoors_at_kink": rounded(line.kink),
        "indoors_at_kink": rounded(line.level),
        "slope_below": rounded(line.cool_slope),
        "slope_above": rounded(line.warm_slope),
        "scatter": rounded(line.scatter),
        "carried_to_next_day": rounded(line.carried),
    }


def what_if_numbers(result: PlaceResult, say: Say) -> list[Numbers]:
    """Give a row for each event; the first, without event, is the place as it is."""
    table = result.what_ifs
    if table is None:
        return []
    return [_event(one, say) for one in (table.as_it_is, *table.rows)]


def _event(one: "WhatIfRow", say: Say) -> Numbers:
    event = one.what_if
    return {
        "kind": None if event is None else event.kind,
        "start": None if event is None else event.start.isoformat(),
        "days": None if event is None else rounded(event.days),
        "temp_c": None if event is None else rounded(event.temp_c),
        "rh_pct": None if event is None else rounded(event.rh_pct),
        "log": None if event is None or event.log is None else event.log.name,
        "usual_air_of_the_table": one.assumed,
        "width_mm": {
            "min": rounded(one.width_mm[0]),
            "min_on": moment(one.narrowest_on),
            "max": rounded(one.width_mm[1]),
            "max_on": moment(one.widest_on),
        },
        **judgement_numbers(one.as_a_set),
        "departure_mm": rounded(one.departure_mm),
        "days_to_come_back": rounded(one.days_to_come_back),
        "says": "" if event is None else event_words(event, one.assumed, say),
    }


def climate_numbers(result: PlaceResult, say: Say) -> Numbers | None:
    """Describe the place's own record; null for a year or less."""
    if result.climate is None and result.years is None:
        return None
    years = result.years
    return {
        "band": None if result.climate is None else _band(result.climate),
        "years": [] if years is None else [_year(one) for one in years.spans],
        "worst_year": None if years is None else _year(years.worst),
        "typical_year": None if years is None else _year(years.typical),
        "says": list(climate_lines(result, say)),
    }


def _band(band: "ClimateBand") -> Numbers:
    low, high = band.season_range_pct
    return {
        "record_days": rounded(band.record_days),
        "covers_a_whole_cycle": band.is_full,
        "level_pct": rounded(band.level_pct),
        "season_pct": {"min": rounded(low), "max": rounded(high)},
        "below_season_pct": rounded(-band.low_limit_pct),
        "above_season_pct": rounded(band.high_limit_pct),
    }


def _year(one: "Span") -> Numbers:
    return {
        "first": moment(one.first.to_pydatetime()),
        "last": moment(one.last.to_pydatetime()),
        "board_pct": {"min": rounded(one.low_pct), "max": rounded(one.high_pct)},
    }
