"""Ctrl-C leaves nothing half done."""

import os
import signal
import subprocess
import sys
import time

import pytest

from tests.places import SAMPLES


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C cannot be sent to one process there")
def test_ctrl_c_leaves_no_page_no_numbers_and_no_draft(tmp_path):
    out = tmp_path / "out"
    sheets = ["--piece", SAMPLES / "held_top.toml"] * 60
    words = ["place", SAMPLES / "shop.csv", *sheets, "--out", out, "--json", out / "n.json"]
    running = subprocess.Popen(
        [sys.executable, "-m", "climlog", *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent)},
    )  # fmt: skip
    time.sleep(4.0)
    assert running.poll() is None, "done before it could be interrupted"
    running.send_signal(signal.SIGINT)
    printed, told = running.communicate(timeout=60)
    assert running.returncode == 1, told
    assert told.decode().strip() == "Aborted!"
    assert printed == b""
    assert not out.exists()
