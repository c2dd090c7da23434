"""Every row of a file once; what is drawn together of several files; changes over hours.

No published figure is needed for the accounts: the files are made. Limits of the changes and their
sources: climlog/tables/quality_limits.csv.
"""

from datetime import timedelta

import numpy as np
import pytest

from climlog.analysis.look import analyse_look
from climlog.errors import UnusableInputError
from climlog.importer.faults.quality import faults_and_doubts
from climlog.importer.log import FlagKind
from climlog.importer.options import ImportOptions, for_file
from climlog.importer.read import read_file, read_log
from tests.importer.faults.test_faults import air as quiet
from tests.importer.made_logs import ISO, air, iso, lines

ROOM, CELLAR, WINTER = air("room"), air("cellar"), air("winter")
HEAD = "Time,Temp (°C),RH (%)\n"


def write(folder, name, text):
    path = folder / name
    path.write_text(text, encoding="utf-8", newline="")
    return path


def kinds(log):
    return [flag.kind for flag in log.flags]


def test_a_row_that_one_room_uses_is_used_whatever_the_others_lack(tmp_path):
    rows = [
        f"{iso(a)},{'' if n < 40 else b.temp_c},{b.rh_pct}"
        for n, (a, b) in enumerate(zip(ROOM, CELLAR, strict=True))
    ]
    path = write(
        tmp_path, "rooms.csv", "Time,Hall T,Hall RH,Cellar T,Cellar RH\n" + "\n".join(rows)
    )
    hall, cellar = read_file(path)
    assert hall.account == cellar.account
    assert (hall.account.rows_read, hall.account.rows_used) == (160, 160)
    assert cellar.rows_left_out == {"temperature missing": 40}


def test_indoor_air_is_taken_where_all_else_is_outdoors(tmp_path):
    rows = lines(
        lambda p: f"{iso(p[0])},{p[1].temp_c},{p[1].rh_pct}", zip(ROOM, WINTER, strict=True)
    )
    head = "Time,Indoor T,Indoor RH,Outdoor T,Outdoor RH\n"
    log = read_log([write(tmp_path, "both.csv", head + rows)])
    np.testing.assert_allclose(log.temp_c, [one.temp_c for one in ROOM])
    assert any(guess.what == "sensor" for guess in log.guesses)


def test_files_with_unlike_titles_and_no_common_hours_are_joined_with_a_word(tmp_path):
    first = write(tmp_path, "hall.csv", HEAD + lines(iso, ROOM[:80]))
    second = write(tmp_path, "attic.csv", "Time,Attic T,Attic RH\n" + lines(iso, CELLAR[90:]))
    log = read_log([first, second])
    (flag,) = [flag for flag in log.flags if flag.kind == FlagKind.JOINED]
    assert "2 kinds of titles" in flag.says
    assert "share no hours" in flag.says
    assert log.account.rows_read == 150


def test_downloads_of_one_logger_are_joined_without_a_fault(tmp_path):
    first = write(tmp_path, "a.csv", HEAD + lines(iso, ROOM[:80]))
    second = write(tmp_path, "b.csv", HEAD + lines(iso, ROOM[80:]))
    assert FlagKind.JOINED not in kinds(read_log([first, second]))


def test_files_that_state_other_offsets_are_brought_to_one(tmp_path):
    first = write(
        tmp_path, "a.csv", HEAD + lines(lambda o: iso(o).replace(",", "+01:00,", 1), ROOM[:80])
    )
    utc = [type(o)(o.at - timedelta(hours=1), o.temp_c, o.rh_pct) for o in ROOM[80:]]
    second = write(tmp_path, "b.csv", HEAD + lines(lambda o: iso(o).replace(",", "Z,", 1), utc))
    log = read_log([first, second])
    assert [str(one) for one in log.times] == [f"{one.at:{ISO}}" for one in ROOM]


def test_notes_in_a_folder_are_passed_over_and_told(tmp_path):
    write(tmp_path, "a.csv", HEAD + lines(iso, ROOM))
    write(tmp_path, "notes.txt", "on the shelf by the window\n")
    log = read_log([tmp_path])
    assert [g.value for g in log.guesses if g.what == "files passed over"] == ["notes.txt"]
    assert analyse_look([tmp_path]).passed_over == ("notes.txt",)
    with pytest.raises(UnusableInputError, match="no line holds readings"):
        read_log([tmp_path / "notes.txt"])


def test_no_clock_change_is_seen_in_a_log_that_states_its_offset(tmp_path):
    # European Union: last Sunday of March, 02:00 forward to 03:00 (Directive 2000/84/EC).
    spring = air("room", rows=120, start=ROOM[0].at.replace(month=3, day=30, hour=12))
    kept = [one for one in spring if not (one.at.day == 31 and one.at.hour == 2)]
    local = read_log([write(tmp_path, "a.csv", HEAD + lines(iso, kept))])
    utc = read_log(
        [write(tmp_path, "b.csv", HEAD + lines(lambda o: iso(o).replace(",", "Z,", 1), kept))]
    )
    assert FlagKind.CLOCK_FORWARD in kinds(local)
    assert FlagKind.CLOCK_FORWARD not in kinds(utc)
    assert len(utc.gaps) == 1


@pytest.mark.parametrize(("fall", "hours", "found"), [(15.5, 6, True), (14.5, 6, False)])
def test_a_moved_logger_is_seen_though_each_step_is_small(fall, hours, found):
    # WMO-No. 305: at most 15 °C in six hours; here a minute apart, 0.04 °C a step.
    wall, _, rh_pct = quiet(hours=48, step_hours=1 / 60)
    ramp = np.interp(np.arange(wall.size) / 60, [20, 20 + hours], [0.0, -fall])
    flags, _ = faults_and_doubts(wall, np.full(wall.size, 20.0) + ramp, rh_pct)
    assert (FlagKind.QUICK_CHANGE in [flag.kind for flag in flags]) == found


@pytest.mark.parametrize(("fall", "found"), [(22.0, True), (15.0, False)])
def test_a_fast_fall_of_humidity_is_seen_in_a_log_of_minutes(fall, found):
    wall, temp_c, rh_pct = quiet(hours=48, step_hours=1 / 60)
    ramp = np.interp(np.arange(wall.size) / 60, [20, 20.9], [0.0, -fall])
    flags, _ = faults_and_doubts(wall, temp_c, rh_pct * 0 + 55 + ramp)
    assert any("humidity from" in flag.says for flag in flags) == found


def test_ranges_leave_out_spikes_and_stuck_readings(tmp_path):
    rows = [iso(one) for one in ROOM]
    rows[70] = f"{ROOM[70].at:{ISO}},{ROOM[70].temp_c},93.0"
    path = write(tmp_path, "room.csv", HEAD + "\n".join(rows))
    (sensor,) = analyse_look(path).logs[0].sensors
    assert sensor.log.rh_pct.max() == 93.0
    assert sensor.rh_pct.high < 60


def test_an_option_for_one_file_leaves_the_others_alone():
    how = ImportOptions(
        for_files=(for_file("a.csv: temp-unit F"), for_file("a.csv: rh-offset 1.5"))
    )
    assert how.of("a.csv").temp_unit == "F"
    assert how.of("a.csv").rh_offset == 1.5
    assert how.of("b.csv").temp_unit is None
