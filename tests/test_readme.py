"""The README is true: its commands run, and what it prints of their output is what they print."""

import itertools
import re
import shlex

import pytest
from click.testing import CliRunner

from climlog.cli import main
from tests.places import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```\n(.*?)^```", README, re.DOTALL | re.MULTILINE)
SHOWN = [
    (command.strip(), output)
    for command, output in itertools.pairwise(BLOCKS)
    if command.startswith("climlog ") and not output.startswith("climlog ")
]


def plain(text):
    """Join wrapped lines, which depend on the width of the terminal."""
    return " ".join(text.split())


def test_the_three_jobs_are_shown():
    assert [command.split()[1] for command, _ in SHOWN] == ["place", "room", "crack"]


def odds_of(text):
    """Every share of 100 cases that a text tells, in its order."""
    return re.findall(r"\d+(?= of 100)", plain(text))


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[row[0].split()[1] for row in SHOWN])
def test_the_answer_shown_is_the_answer_given(command, shown, tmp_path, monkeypatch):
    # The verdict with its day and the odds, not every word: python reports/make_examples.py writes
    # the rest of them afresh.
    monkeypatch.chdir(ROOT)
    result = CliRunner().invoke(main, [*shlex.split(command)[1:], "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    clause = plain(shown).split(":")[0]
    assert plain(result.stdout).startswith(clause)
    assert odds_of(shown)
    assert odds_of(shown) == odds_of(result.stdout)[: len(odds_of(shown))]


def test_what_the_readme_links_to_is_there():
    for link in re.findall(r"\]\((?!http)([^)\s]+)\)", README):
        assert (ROOT / link).exists(), link
