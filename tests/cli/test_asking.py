"""At a terminal what is open is asked there and then, and the answer told for next time."""

import os
import re
import subprocess
import sys
import tomllib

import pytest

from climlog.cli import asking
from climlog.sheets.quick import QuickPiece
from climlog.sheets.sheet import Sheet
from climlog.tables import load_table
from tests.places import SAMPLES

TERMINAL = pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of POSIX")
QUICK = ("--wood", "cherry", "--width", "20 in", "--thickness", "3/4 in", "--fastening", "clip")


def at_a_terminal(folder, answers, *words):
    """Run place at a terminal, with answers typed in advance; give what it showed there."""
    import pty

    typed, terminal = pty.openpty()
    os.write(typed, "".join(f"{one}\n" for one in answers).encode())
    done = subprocess.run(
        [sys.executable, "-m", "climlog", "place", str(SAMPLES / "shop.csv"), *words,
         "--out", str(folder / "out")],
        stdin=terminal, stderr=terminal, stdout=subprocess.PIPE, check=False,
        env={**os.environ, "PYTHONPATH": str(SAMPLES.parent), "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    shown = os.read(typed, 1_000_000).decode()
    os.close(terminal)
    os.close(typed)
    assert done.returncode == 0, shown
    return shown, done.stdout.decode()


@TERMINAL
def test_the_layout_is_asked_for_with_numbers_and_told_as_an_option(tmp_path):
    saved = tmp_path / "s.toml"
    shown, said = at_a_terminal(tmp_path, ["77", "1"], *QUICK, "--save-sheet", str(saved))
    assert "1  apron: four legs" in shown
    assert "no rail is called" in shown
    assert "Next time: --layout apron" in shown
    assert "On which rails" not in said
    assert tomllib.loads(saved.read_text(encoding="utf-8"))["base"] == {"layout": "apron"}


@TERMINAL
def test_own_rails_lead_to_the_questions_that_they_need(tmp_path):
    shown, _ = at_a_terminal(tmp_path, ["along the grain", "4", "1/8 in"], *QUICK)
    for expected in ("--rails along", "--count 4", '--gap "1/8 in"'):
        assert f"Next time: {expected}" in shown


@TERMINAL
def test_a_sheet_is_told_the_line_to_add(tmp_path):
    sheet = tmp_path / "top.toml"
    sheet.write_text(
        '[piece]\nwood = "cherry"\nwidth = "20 in"\nthickness = "3/4 in"\n'
        '[[fastening]]\nkind = "slot"\nrail = "along"\ncount = 3\n',
        encoding="utf-8",
    )
    shown, _ = at_a_terminal(tmp_path, ["3/4 in"], "--piece", str(sheet))
    line = 'rails_along_grain = { thickness = "3/4 in" } under [base]'
    assert f"Next time: {line}" in shown


@pytest.mark.parametrize("kind", sorted(load_table("fastening_kinds").index))
def test_following_what_the_questions_say_leaves_none_open(kind):
    given = {"wood": "cherry", "width": "20 in", "thickness": "3/4 in", "fastening": kind}
    for _ in range(5):
        undecided = QuickPiece(**given).piece().undecided
        if not undecided:
            break
        option, value = re.search(r"Add --([a-z-]+) (.+?);", undecided[0]).groups()
        said = value.strip('"')
        given[option.replace("-", "_")] = int(said) if said.isdigit() else said
    assert undecided == ()


def test_away_from_a_terminal_nothing_is_asked(tmp_path):
    path = tmp_path / "top.toml"
    path.write_text(
        '[piece]\nwood = "cherry"\nwidth = "20 in"\nthickness = "3/4 in"\n'
        '[[fastening]]\nkind = "clip"\n',
        encoding="utf-8",
    )
    read = asking.settled(Sheet.of_file(path))
    assert [one.key for one in read.open] == ["rail", "count"]
    assert len(read.piece.undecided) == 2
