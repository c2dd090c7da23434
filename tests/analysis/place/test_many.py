"""Many pieces, shared out or not: the same results, in order; errors and Ctrl-C leave no mess."""

import os
import signal
import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
import pytest

from climlog.analysis.place import many
from climlog.analysis.place.many import analyse_many, pays
from climlog.analysis.place.place import analyse_place
from climlog.errors import UnusableInputError
from climlog.report.place.numbers import place_numbers
from tests.analysis.made import fastening, oak_top, steady_log
from tests.places import SAMPLES


def tops(count):
    return [
        oak_top(
            fastening("screw"), fastening("slot", 300 + 10 * i), name=f"top {i}",
            thickness_mm=18.0 + i,
        )
        for i in range(count)
    ]  # fmt: skip


@pytest.fixture
def shared_out(monkeypatch):
    """Share out after two pieces, however little there is to do."""
    monkeypatch.setattr(many, "START_COST_S", 0.0)


def test_shared_out_the_results_are_the_same_and_in_order(shared_out):
    logs = [steady_log(60, rh_pct=40.0), steady_log(60, rh_pct=60.0)]
    pieces = tops(3)
    told = []
    results = analyse_many(pieces, logs, workers=2, on_done=lambda *at: told.append(at))
    assert told == [(done, 6) for done in range(1, 7)]
    for log, row in zip(logs, results, strict=True):
        for piece, result in zip(pieces, row, strict=True):
            alone = analyse_place(piece, log)
            assert result.log is log
            assert result.piece == piece
            assert place_numbers([result], "metric") == place_numbers([alone], "metric")
            np.testing.assert_array_equal(result.course.strain, alone.course.strain)
            np.testing.assert_array_equal(result.band.width_mm, alone.band.width_mm)


def test_the_error_of_a_piece_reaches_the_caller_as_it_is(shared_out):
    log = steady_log(60)
    unknown = replace(tops(1)[0], name="a riddle", moisture_when_fixed_pct=None)
    unknown = replace(unknown, fixed_on=log.times[0].date().replace(year=2020))
    with pytest.raises(UnusableInputError, match="a riddle"):
        analyse_many([*tops(2), unknown, *tops(2)], [log], workers=2)


def test_no_pieces_or_logs_give_nothing():
    assert analyse_many([], [steady_log(60)]) == ((),)
    assert analyse_many(tops(1), []) == ()


def test_little_work_stays_in_one_process(monkeypatch):
    def fail(*_):
        raise AssertionError("started helpers")

    monkeypatch.setattr(many, "_shared_out", fail)
    assert len(analyse_many(tops(2), [steady_log(60)], workers=2)[0]) == 2


def test_helpers_are_started_only_where_they_save_more_than_they_cost():
    # By hand: 100 pieces of 0.2 s are 20 s; two cores save 10 s. Ten such pieces save 1 s.
    assert pays(0.2, 100, 2)
    assert not pays(0.2, 10, 2)
    assert not pays(10.0, 100, 1)


INTERRUPTED = """
import sys
from pathlib import Path
from climlog.analysis.place import many
from climlog.cli import main

many.START_COST_S = 0.0
begin = many._ctrl_c_held

class Begun:
    def __enter__(self):
        self.held = begin()
        self.held.__enter__()

    def __exit__(self, *error):
        Path(sys.argv[1]).touch()
        self.held.__exit__(*error)

many._ctrl_c_held = Begun
if __name__ == "__main__":
    main(sys.argv[2:], prog_name="climlog")
"""


@pytest.mark.parametrize("wait_s", [0.0, 2.5], ids=["as they start", "as they work"])
@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C cannot be sent to one process there")
def test_ctrl_c_leaves_no_page_no_draft_and_no_helper(tmp_path, wait_s):
    script, out, begun = (tmp_path / name for name in ("run.py", "out", "begun"))
    script.write_text(INTERRUPTED, encoding="utf-8")
    sheets = ["--piece", SAMPLES / "held_top.toml"] * 60
    arguments = ["place", SAMPLES / "shop.csv", *sheets, "--out", out]
    running = subprocess.Popen(
        [sys.executable, *map(str, (script, begun, *arguments, "--json", out / "n.json"))],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent)},
    )  # fmt: skip
    while not begun.exists():
        assert running.poll() is None, running.stderr.read()
        time.sleep(0.02)
    time.sleep(wait_s)
    os.killpg(running.pid, signal.SIGINT)
    # Helpers hold the same pipes, so this returns only once the last of them is gone.
    printed, told = running.communicate(timeout=60)
    assert running.returncode == 1, told
    assert told.decode().strip() == "Aborted!"
    assert printed == b""
    assert not out.exists()
