"""Help, names that are nearly right, and what Tab completes."""

import pytest
from click.shell_completion import ShellComplete
from click.testing import CliRunner

from climlog.cli import COMMANDS, main
from climlog.cli.help import GOES_ON, REMARK, REST, GroupedCommand, broken_line

WIDE = 80


def run(*arguments, **extra):
    return CliRunner().invoke(main, list(arguments), **extra)


def completed(*words):
    *before, incomplete = words
    complete = ShellComplete(main, {}, "climlog", "_CLIMLOG_COMPLETE")
    return [one.value for one in complete.get_completions(before, incomplete)]


@pytest.mark.parametrize("command", COMMANDS)
def test_no_range_is_an_inequality_and_no_line_is_cut(command):
    said = run(command, "--help").stdout
    assert "<=" not in said
    assert "None" not in said
    assert "..." not in said.replace("[LOG...]", "").replace("LOG...", "").replace("]...", "")
    assert max(map(len, said.splitlines())) <= WIDE


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("words", [(), *((name,) for name in COMMANDS)])
def test_help_fits_the_terminal(words, width):
    said = run(*words, "--help", terminal_width=width).stdout
    assert max(map(len, said.splitlines())) <= width


@pytest.mark.parametrize("name", COMMANDS)
def test_the_lines_of_a_broken_example_typed_as_one_are_the_example(name):
    typed = [line.partition(REMARK)[0] for line in main.get_command(None, name).epilog.splitlines()]
    for whole in typed:
        lines = broken_line(whole, 40)
        assert " ".join(line.strip() for line in lines) == whole
        assert all(line.count('"') % 2 == 0 for line in lines)
    wide = run(name, "--help", terminal_width=200).stdout
    assert all(f"\n  {whole}" in wide for whole in typed)
    assert GOES_ON not in wide
    breaks = any(len(whole) > WIDE - 2 for whole in typed)
    assert (GOES_ON in run(name, "--help", terminal_width=WIDE).stdout) is breaks


def test_the_list_of_commands_tells_each_in_a_whole_sentence():
    said = " ".join(run("--help").stdout.split())
    assert "..." not in said.replace("[ARGS]...", "")
    for name in COMMANDS:
        assert f" {name} " in said


@pytest.mark.parametrize("name", ["place", "room", "crack", "round", "look"])
def test_every_option_stands_under_a_heading(name):
    command = main.get_command(None, name)
    assert isinstance(command, GroupedCommand)
    said = run(name, "--help").stdout
    rest = said.partition(f"{REST}:\n")[2].partition("\n\n")[0]
    assert rest.split()[:2] == ["-h,", "--help"]
    assert len([line for line in rest.splitlines() if line.strip().startswith("-")]) == 1
    assert "\nThe log:\n" in said or name == "round"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("palce",), 'did you mean "place"?'),
        (("place", "--oudoor", "x"), 'did you mean "--outdoor"'),
        (("crack", "--outdor", "x"), 'did you mean "--outdoor"'),
        (("room", "--stokc", "x"), 'did you mean "--stock"?'),
        (("tables", "wod"), "did you mean wood?"),
        (("sheet", "peice"), "did you mean piece?"),
        (("look", "x.csv", "--date-order", "dayfirst"), "did you mean day-first"),
        (("place", "x.csv", "--units", "inches"), "did you mean inch?"),
    ],
)
def test_what_is_nearly_a_name_is_answered_with_the_nearest(words, says):
    result = run(*words)
    assert result.exit_code == 2
    assert says in result.stderr


@pytest.mark.parametrize(
    ("words", "offers"),
    [
        (("place", "--wood", "red"), "red-oak"),
        (("place", "--finish", "dan"), "danish-oil"),
        (("place", "--hidden-finish", "no"), "none"),
        (("place", "--fastening", "fig"), "figure-eight"),
        (("place", "--layout", "bread"), "breadboard-ends"),
        (("place", "--cut", "qu"), "quartersawn"),
        (("place", "--house", "iso"), "iso13788-class-2"),
        (("crack", "--house", "un"), "unheated"),
        (("crack", "--sign", "wh"), "where="),
        (("crack", "--sign", "where=mi"), "where=middle"),
        (("tables", "wood", "europ"), "European-beech"),
        (("tables", "finish", "shel"), "shellac"),
        (("tables", "fastening", "but"), "button"),
        (("pl",), "place"),
    ],
)
def test_tab_completes_what_the_tables_know(words, offers):
    assert offers in completed(*words)


def test_what_tab_offers_is_understood():
    from climlog.model.finishes import finish_named
    from climlog.model.woods import wood_named

    assert {wood_named(one).name for one in completed("place", "--wood", "white-o")} == {
        "white oak"
    }
    for one in completed("place", "--finish", ""):
        assert finish_named(one).kind


def asked_of(shell, monkeypatch, words, at):
    from climlog.cli import shells

    monkeypatch.setenv("COMP_WORDS", "\n".join(words))
    monkeypatch.setenv("COMP_CWORD", str(at))
    complete = getattr(shells, shell)(main, {}, "climlog", "_CLIMLOG_COMPLETE")
    return complete.complete().replace("\n", ",").split("plain,")[1:]


# As each shell hands them over: bash takes an "=" for a word of its own.
@pytest.mark.parametrize(
    ("shell", "words", "at", "offers"),
    [
        ("Bash", ("climlog", "crack", "--sign", "where", "=", "mi"), 5, "middle"),
        ("Bash", ("climlog", "crack", "--sign", "where", "="), 4, "middle"),
        ("Bash", ("climlog", "crack", "--sign", "whe"), 3, "where="),
        ("Bash", ("climlog", "place", "--wood", "=", "red-o"), 4, "red-oak"),
        ("Zsh", ("climlog", "place", "--wood=red-o"), 2, "--wood=red-oak"),
        ("Zsh", ("climlog", "crack", "--sign", "where=mi"), 3, "where=middle"),
        ("Fish", ("climlog", "place", "--wood=red-o"), "--wood=red-o", "--wood=red-oak"),
    ],
)
def test_tab_behind_an_equals_sign_offers_what_goes_there(shell, words, at, offers, monkeypatch):
    first = asked_of(shell, monkeypatch, words, at)[0]
    assert first.strip(",_") == offers


def test_bash_puts_no_blank_behind_a_sign_that_wants_an_answer():
    from climlog.cli.shells import Bash

    assert "== *= ]] && compopt -o nospace" in Bash.source_template
