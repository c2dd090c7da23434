"""A piece has a history: made in one air, delivered, lived in another; and days that do not fit."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climlog.analysis.crack.crack import analyse_crack
from climlog.analysis.crack.places import Lived, asked_of
from climlog.analysis.crack.result import HowKnown, LogStands, Where
from climlog.errors import UnusableInputError
from climlog.importer.faults.climate import outdoor_flags
from climlog.importer.log import Flag, FlagKind
from climlog.importer.weather import LOGGER, Weather
from climlog.model.indoor import house_named
from climlog.sheets.crack import Seen
from tests.analysis.made import fastening, made_log, oak_top, steady_log

MADE, DELIVERED, SEEN = date(2025, 3, 1), date(2025, 6, 1), date(2025, 9, 1)
TOP = oak_top(fastening("screw", 300.0), fastening("screw", -300.0), fixed_on=MADE)
SHOP = steady_log(120, rh_pct=45.0, start="2025-02-15")
ROOM = steady_log(120, rh_pct=60.0, start="2025-05-20")


def outdoors(first="2025-01-01", days=400):
    hours = np.arange(days * 24)
    season = np.cos(2 * np.pi * (hours / 24 - 20) / 365)
    log = made_log(10.0 - 9.0 * season, 75.0 + 8.0 * season, first)
    return Weather(log, LOGGER, typical=False)


def stays(log, made_in, lived, piece=TOP, seen_on=SEEN):
    asked, found = asked_of(piece, log, made_in, "metric", lived, seen_on)
    return asked.ahead, [(one.where, one.first, one.last, one.how) for one in found]


def test_the_shop_stands_before_the_delivery_and_the_room_after_it():
    ahead, found = stays(ROOM, SHOP, Lived(DELIVERED))
    assert found == [
        (Where.MADE, MADE, date(2025, 5, 31), HowKnown.READ),
        (Where.LIVED, DELIVERED, SEEN, HowKnown.READ),
    ]
    before = ahead.air.times < np.datetime64(DELIVERED)
    assert set(ahead.air.rh_pct[before].tolist()) == {45.0}
    # A room that was logged before the piece came there lends it no day.
    after = ahead.air.rh_pct[~before]
    assert set(after[np.isfinite(after)].tolist()) == {60.0}
    assert ahead.air.times[0].date() == MADE


def test_the_shop_is_no_part_of_the_year_of_the_place():
    ahead, _ = stays(ROOM, SHOP, Lived(DELIVERED))
    assert ahead.record.times.size == ROOM.times.size
    assert not ahead.coverage.is_whole


def test_a_coarser_shop_log_is_laid_onto_the_steps_of_the_room():
    six_hourly = made_log(np.full(480, 20.0), np.full(480, 45.0), "2025-02-15", 360.0)
    ahead, found = stays(ROOM, six_hourly, Lived(DELIVERED))
    assert np.isfinite(ahead.air.emc_pct[ahead.air.times < np.datetime64(SEEN)]).all()
    assert found[0][3] is HowKnown.READ


def test_without_a_log_the_air_is_worked_out_from_outdoors_and_said_to_be():
    lived = Lived(DELIVERED, outdoors(), house_named("iso13788-class-2"))
    result = analyse_crack(TOP, None, Seen(SEEN), SHOP, lived=lived)
    assert [one.how for one in result.stays] == [HowKnown.READ, HowKnown.WORKED_OUT]
    assert result.window.stands is LogStands.INSIDE
    assert result.log is None


def test_days_before_a_late_log_are_worked_out_and_its_own_are_read():
    late = steady_log(60, rh_pct=50.0, start="2025-07-15")
    lived = Lived(DELIVERED, outdoors(), house_named("iso13788-class-2"))
    _, found = stays(late, SHOP, lived)
    assert found[1:] == [
        (Where.LIVED, DELIVERED, date(2025, 7, 14), HowKnown.WORKED_OUT),
        (Where.LIVED, date(2025, 7, 15), SEEN, HowKnown.READ),
    ]


def test_a_log_begun_after_the_crack_tells_nothing_of_it_even_behind_a_shop():
    late = steady_log(60, rh_pct=50.0, start="2025-10-15")
    result = analyse_crack(TOP, late, Seen(SEEN), SHOP, lived=Lived(DELIVERED))
    assert result.window.stands is LogStands.BEGINS_AFTER


def test_a_dry_house_after_a_damp_shop_stretches_a_held_top_and_the_shop_alone_does_not():
    damp, dry = steady_log(120, 65.0, start="2025-02-15"), steady_log(120, 25.0, start="2025-05-20")
    piece = replace(TOP, moisture_when_fixed_pct=11.5)
    both = analyse_crack(piece, dry, Seen(SEEN), damp, lived=Lived(DELIVERED))
    assert both.held_since is not None
    assert both.held_since.date() >= DELIVERED


@pytest.mark.parametrize(
    ("piece", "log", "made_in", "lived", "seen_on", "says"),
    [
        (TOP, ROOM, SHOP, Lived(date(2025, 2, 1)), SEEN, "--delivered 2025-02-01 is before it was"),
        (TOP, ROOM, SHOP, Lived(DELIVERED), date(2025, 5, 1), "before --delivered 2025"),
        (TOP, ROOM, SHOP, Lived(), date(2025, 2, 1), "before it was fixed"),
        (TOP, steady_log(30), SHOP, Lived(DELIVERED), SEEN, "ends on 2025-01-30, before made top"),
        (TOP, ROOM, steady_log(10, start="2024-11-01"), Lived(DELIVERED), SEEN, "holds nothing of"),
        (TOP, None, SHOP, Lived(DELIVERED), SEEN, "nothing tells the air where it lived"),
        # A crack a few days after a move says nothing where the weeks before are not known.
        (
            TOP,
            ROOM,
            steady_log(30, rh_pct=45.0, start="2025-02-15"),
            Lived(DELIVERED),
            date(2025, 6, 5),
            "from 2025-03-17 to 2025-05-31, too short .* or leave --made-in out",
        ),
        (
            TOP,
            steady_log(60, rh_pct=60.0, start="2025-08-25"),
            SHOP,
            Lived(DELIVERED),
            SEEN,
            "from 2025-06-01 to 2025-08-24, too short .* or add --outdoor FILE",
        ),
    ],
)
def test_days_and_logs_that_do_not_reach_are_refused_in_one_line(
    piece, log, made_in, lived, seen_on, says
):
    with pytest.raises(UnusableInputError, match=says) as refused:
        analyse_crack(piece, log, Seen(seen_on), made_in, lived=lived)
    assert "\n" not in str(refused.value)


def test_days_long_before_the_crack_may_be_open_behind_a_shop():
    short_shop = steady_log(30, rh_pct=45.0, start="2025-02-15")
    found = analyse_crack(TOP, ROOM, Seen(SEEN), short_shop, lived=Lived(DELIVERED))
    assert found.window.stands == LogStands.INSIDE


def test_air_of_outdoors_is_refused_as_a_room_with_the_option_that_uses_it():
    hours = np.arange(60 * 24)
    temp_c = -2.0 + 9.0 * np.sin(2 * np.pi * hours / 24)
    rh_pct = 75.0 - 24.0 * np.sin(2 * np.pi * hours / 24)
    wild = made_log(temp_c, rh_pct, "2025-06-01")
    flags = outdoor_flags(wild.times.as_unit("ns").asi8, temp_c, rh_pct, 3.6e12)
    assert [one.kind for one in flags] == [FlagKind.OUTDOOR_AIR]
    wild = replace(wild, flags=flags)
    with pytest.raises(UnusableInputError, match=r"outdoor air.*--outdoor made.csv --house"):
        analyse_crack(TOP, wild, Seen(SEEN))
    with pytest.raises(UnusableInputError, match=r"--made-in made.csv: this looks like outdoor"):
        analyse_crack(TOP, ROOM, Seen(SEEN), wild)


def test_another_flag_of_a_log_is_no_reason_to_refuse_it():
    flag = Flag(FlagKind.STUCK, ROOM.first, ROOM.last, 5, "stuck")
    result = analyse_crack(TOP, replace(ROOM, flags=(flag,)), Seen(SEEN))
    assert result.log is not None
