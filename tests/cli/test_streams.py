"""Streams that are full or closed and disks that are full: one line, where it can be said."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.places import SAMPLES

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="streams of POSIX")
WORDS = ("place", SAMPLES / "shop.csv", "--piece", SAMPLES / "held_top.toml", "--out")


def climlog(redirection, folder, *words):
    line = " ".join(f"'{one}'" for one in (sys.executable, "-m", "climlog", *WORDS, folder, *words))
    return subprocess.run(
        ["sh", "-c", f"{line} {redirection}"], capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent)}, encoding="utf-8",
    )  # fmt: skip


def test_a_full_screen_is_told_and_the_page_is_there(tmp_path):
    done = climlog("> /dev/full", tmp_path)
    assert done.returncode == 1
    assert done.stderr == (
        "climlog: the answer could not be printed: No space left on device; make room there, or "
        "write to another disk\n"
    )
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize("redirection", [">&-", "2>&-", ">&- 2>&-", "2> /dev/full"])
def test_a_closed_stream_stops_nothing(tmp_path, redirection):
    done = climlog(redirection, tmp_path)
    assert done.returncode == 0
    assert "Traceback" not in done.stdout + done.stderr
    assert [one.suffix for one in tmp_path.iterdir()] == [".html"]


def test_a_reader_that_leaves_early_makes_no_traceback(tmp_path):
    done = climlog("--full | head -1", tmp_path)
    assert "Traceback" not in done.stderr
    assert done.stdout.count("\n") == 1


@pytest.mark.skipif(not Path("/proc/self/limits").exists(), reason="needs a limit on file sizes")
def test_a_file_that_cannot_be_written_whole_leaves_none_at_all(tmp_path):
    """A limit of 8 kB on a file stands for a full disk: the page is longer."""
    numbers = tmp_path / "n.json"
    words = " ".join(f"'{one}'" for one in (*WORDS, tmp_path / "out", "--json", numbers))
    script = (
        "import resource, signal, sys\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))\n"
        "from climlog.cli import main\n"
        "main(sys.argv[1:], prog_name='climlog')\n"
    )
    done = subprocess.run(
        ["sh", "-c", f"'{sys.executable}' -c \"$0\" {words}", script],
        capture_output=True, text=True, check=False, encoding="utf-8",
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent)},
    )  # fmt: skip
    assert done.returncode == 1, done.stderr
    assert "cannot be written (File too large)" in done.stderr
    assert done.stderr.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
