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
LEFT_OUT = "..."


def plain(text):
    """Join wrapped lines, which depend on the width of the terminal."""
    return " ".join(text.split())


def test_the_three_jobs_are_shown():
    assert [command.split()[1] for command, _ in SHOWN] == ["place", "room", "crack"]


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[row[0].split()[1] for row in SHOWN])
def test_output_is_shown_as_it_is_printed(command, shown, tmp_path, monkeypatch):
    monkeypatch.chdir(ROOT)
    result = CliRunner().invoke(main, [*shlex.split(command)[1:], "--out", str(tmp_path)])
    assert result.exit_code == 0, result.output
    printed = plain(result.stdout)
    for part in shown.split(f"{LEFT_OUT}\n"):
        assert plain(part) in printed


def test_what_the_readme_links_to_is_there():
    for link in re.findall(r"\]\((?!http)([^)\s]+)\)", README):
        assert (ROOT / link).exists(), link
