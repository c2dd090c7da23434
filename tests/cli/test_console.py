"""Terminal manners: poor consoles, progress, quiet, completion, `python -m climlog`."""

import io
import json
import os
import subprocess
import sys

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.cli.console import (
    Progress,
    is_terminal,
    shows_everything,
    spell_what_cannot_be_shown,
)
from tests.places import SAMPLES

ROOM = SAMPLES / "ferry_house_dining_room.csv"


def console(encoding):
    return io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors="strict", newline="")


def shown(stream):
    stream.flush()
    return stream.buffer.getvalue().decode(stream.encoding)


@pytest.mark.parametrize("encoding", ["cp437", "cp1252", "cp850", "ascii"])
def test_a_console_without_a_character_shows_a_plain_one(encoding):
    stream = console(encoding)
    with pytest.raises(UnicodeEncodeError):
        console(encoding).write("swelling \N{MINUS SIGN}3 mm")
    spell_what_cannot_be_shown(stream)
    stream.write("swelling \N{MINUS SIGN}3 mm, MgCl\N{SUBSCRIPT TWO}, \u5e8a")
    assert shown(stream) == "swelling -3 mm, MgCl2, ?"


def test_what_a_console_has_is_left_alone():
    stream = console("cp437")
    spell_what_cannot_be_shown(stream)
    stream.write("20 °C, Gästetisch")
    assert shown(stream) == "20 °C, Gästetisch"


def test_streams_that_are_no_console_are_let_be():
    spell_what_cannot_be_shown(io.StringIO())
    lenient = io.TextIOWrapper(io.BytesIO(), encoding="cp437", errors="backslashreplace")
    spell_what_cannot_be_shown(lenient)
    assert lenient.errors == "backslashreplace"
    assert not shows_everything(lenient)
    assert shows_everything(console("utf-8"))
    assert shows_everything(console("UTF-8-SIG"))


def python(*arguments, encoding="utf-8", **more):
    """Run Python with its output in an encoding, as Windows does in a pipe."""
    environment = {**os.environ, "PYTHONIOENCODING": f"{encoding}:strict", **more}
    return subprocess.run(
        [sys.executable, *map(str, arguments)], capture_output=True, env=environment, check=False
    )


@pytest.mark.slow
def test_every_command_prints_on_an_old_console(tmp_path):
    sheet = tmp_path / "床.toml"
    text = (SAMPLES / "dining_table.toml").read_text(encoding="utf-8")
    sheet.write_text(text.replace("Ferry House", "Ferry-hűset 床 \N{MINUS SIGN}"), encoding="utf-8")
    out = tmp_path / "ø床"
    for arguments in (
        ("--help",),
        ("salt", "--at", "20 C", "--jar", "MgCl₂=35"),
        ("salt", "--at", "20 C", "--jar", "床=35"),
        ("place", ROOM, "--piece", sheet, "--out", out),
        ("place", ROOM, "--piece", tmp_path / "missing 床.toml"),
    ):
        done = python("-m", "climlog", *arguments, encoding="cp437")
        assert b"Traceback" not in done.stderr, done.stderr.decode("cp437")
        assert done.returncode == (1 if "床=35" in arguments or len(arguments) == 4 else 0)
        assert done.stdout or done.stderr


def test_numbers_stay_whole_on_an_old_console(tmp_path):
    log = tmp_path / "床.csv"
    log.write_bytes(ROOM.read_bytes())
    done = python("-m", "climlog", "look", log, "--json", "-", encoding="cp437")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout.decode("cp437"))["logs"][0]["file"] == "床.csv"


def test_python_m_climlog_is_the_command():
    done = python("-m", "climlog", "--version")
    assert done.returncode == 0
    assert done.stdout.startswith(b"python -m climlog, version ")


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_shell_gets_its_completion_script(shell):
    code = "from climlog.cli import main; main(prog_name='climlog')"
    done = python("-c", code, _CLIMLOG_COMPLETE=f"{shell}_source")
    if shell == "bash" and b"Shell completion is not supported" in done.stderr:
        pytest.skip("needs bash 4.4")
    assert done.returncode == 0, done.stderr
    assert b"_CLIMLOG_COMPLETE" in done.stdout


def test_completion_knows_the_commands_and_their_options():
    code = "from climlog.cli import main; main(prog_name='climlog')"
    for words, index, expected in (
        ("climlog sa", "1", b"salt"),
        ("climlog salt --a", "2", b"--at"),
    ):
        done = python(
            "-c", code, _CLIMLOG_COMPLETE="bash_complete", COMP_WORDS=words, COMP_CWORD=index
        )
        assert expected in done.stdout


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_work_is_told_on_one_line_that_goes_away():
    terminal = Terminal()
    with Progress("reading the log", terminal) as progress:
        progress.say("following 3 pieces")
        progress.say("done")
    text = terminal.getvalue()
    assert text.startswith("\rclimlog: reading the log ...")
    assert "\rclimlog: following 3 pieces ..." in text
    last = text.split("\r")[-2]
    assert last == " " * len("climlog: following 3 pieces ...")


def test_nothing_is_told_into_a_pipe_or_when_quiet():
    terminal, pipe = Terminal(), io.StringIO()
    with Progress("reading", terminal, quiet=True) as progress:
        progress.say("following")
    with Progress("reading", pipe) as progress:
        progress.say("following")
    assert terminal.getvalue() == pipe.getvalue() == ""


def fail_while_working(stream):
    with Progress("reading", stream):
        raise ValueError("no")


def test_an_error_also_takes_the_line_away():
    terminal = Terminal()
    with pytest.raises(ValueError, match="no"):
        fail_while_working(terminal)
    assert terminal.getvalue().endswith("\r")


def test_a_closed_error_stream_is_nobody():
    closed = io.StringIO()
    closed.close()
    with Progress("reading", closed):
        pass
    assert not is_terminal(None)


ESCAPES = "\x1b]0;owned\x07 \u202egnp.exe \x9b31m"


def test_nothing_from_a_file_is_obeyed_by_a_terminal(tmp_path):
    sheet = tmp_path / "table.toml"
    text = (SAMPLES / "held_top.toml").read_text(encoding="utf-8")
    name = json.dumps("Top " + ESCAPES)
    sheet.write_text(text.replace('"Ferry House side table"', name), encoding="utf-8")
    assert name in sheet.read_text(encoding="utf-8")
    log = tmp_path / "log.csv"
    rows = (SAMPLES / "shop.csv").read_text(encoding="utf-8").splitlines()
    titles = rows[0].split(",")
    titles[-1] += " " + ESCAPES
    log.write_text("\n".join([",".join(titles), *rows[1:]]), encoding="utf-8")
    for words in (
        ("look", log),
        ("look", log, "--json", "-"),
        ("place", log, "--piece", sheet, "--out", tmp_path),
        ("place", log, "--piece", sheet, "--json", "-"),
        ("look", log, "--sensor", ESCAPES),
        ("place", log, "--wood", ESCAPES, "--width", ESCAPES, "--thickness", ESCAPES),
    ):
        run = CliRunner().invoke(main, [str(one) for one in words])
        for shown_text in (run.stdout, run.stderr):
            assert not set("\x1b\x07\x9b\u202e") & set(shown_text), words


def test_a_message_repeats_at_most_60_characters_of_an_input(tmp_path):
    run = CliRunner().invoke(
        main,
        ["place", str(ROOM), "--wood", "x" * 5000, "--width", "9" * 80 + " miles",
         "--thickness", "1 in", "--out", str(tmp_path)],
    )  # fmt: skip
    assert run.exit_code == 1
    assert "x" * 61 not in run.stderr
    assert "9" * 61 not in run.stderr
    assert len(run.stderr) < 600


@pytest.mark.parametrize(
    "words",
    [
        ("z" * 300,),
        ("--" + "z" * 300,),
        ("place", "a.csv", "--units", "z" * 300 + ESCAPES),
        ("place", "a.csv", "--piece", "z" * 300),
        ("look", "z" * 300),
        ("look", "/" + "z" * 200 + "/room.csv"),
        ("place", "a.csv", "--piece", "t.toml", "--json", "z" * 300),
        ("place", "a.csv", "--piece", "t.toml", "--out", "z" * 300),
        ("sheet", "piece", "--out", "z" * 300),
    ],
)
def test_a_name_of_300_letters_is_one_short_line(words):
    run = CliRunner().invoke(main, list(words))
    assert run.exit_code in (1, 2)
    assert "z" * 61 not in run.stderr
    assert "\x1b" not in run.stderr
    assert run.exit_code == 2 or run.stderr.count("\n") == 1


def test_quiet_prints_only_where_the_page_is(tmp_path):
    sheet = SAMPLES / "dining_table.toml"
    result = CliRunner().invoke(
        main, ["place", str(ROOM), "--piece", str(sheet), "--out", str(tmp_path), "--quiet"]
    )
    assert result.exit_code == 0, result.output
    (line,) = result.stdout.splitlines()
    assert line.startswith("Page: ")
    assert result.stderr == ""
