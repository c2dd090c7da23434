"""The `climlog` command: a group that loads each command only when it is asked for.

A ClimlogError becomes one line on stderr and exit status 1; wrong usage exits with 2; anything
else is our own bug and keeps its traceback.
"""

import gc
import importlib
import os
import re
import sys
from pathlib import Path
from typing import IO, Any

import click

from climlog import __version__
from climlog.cli.console import give_up_on, is_terminal, spell_what_cannot_be_shown
from climlog.cli.help import examples, write_commands, write_examples
from climlog.cli.settings import read_settings, settings_path
from climlog.errors import ClimlogError, SeveralFaultsError, cleaned, shown, shown_path
from climlog.tables import nearest

QUOTED = re.compile(r'"[^"]*"')
LONGEST_QUOTED = 62
UNBROKEN = re.compile(r"\S{61,}")
SELDOM = 50_000
"""Objects made before the memory is searched for circles. A command lives for seconds and makes
next to none, but imports many objects: searching as often as Python does took it 0.1 s."""
SETTINGS = "settings"
HELP_ASKED = "climlog.help_asked"
"""Of a command whose help is asked no settings are read: it is how a broken file is mended."""
COMMANDS = ("desk", "look", "place", "room", "crack", "round", "salt", "sheet", "tables", SETTINGS)


class InputCannotBeUsedError(click.ClickException):
    """One clear line for a person, exit status 1."""

    exit_code = 1

    def show(self, file: IO[Any] | None = None) -> None:
        """Print the line on stderr."""
        click.echo(f"climlog: {self.message}", err=True, file=file)


def told(error: ClimlogError) -> str:
    """Write an error for people: one line, or at a terminal a line each of several faults.

    Whatever was quoted from a file is cut and cleaned here once more, whoever wrote the message.
    """
    if isinstance(error, SeveralFaultsError) and is_terminal(sys.stderr):
        head = str(error).partition(": (1) ")[0]
        return "\n  ".join([_line(f"{head}:"), *(_line(one) for one in error.faults)])
    return _line(str(error))


def _line(message: str) -> str:
    line = " ".join(cleaned(message).split())
    return UNBROKEN.sub(_cut, QUOTED.sub(_cut_quoted, line))


def _cut_quoted(found: re.Match[str]) -> str:
    """Cut what stands in quotes where it is long; a mark that closed one opens no other."""
    text = found[0]
    return f'"{shown(text[1:-1])}"' if len(text) > LONGEST_QUOTED else text


def _plain(error: click.UsageError) -> click.UsageError:
    """Clean and cut what wrong usage repeats; a lack of any words is answered with the help."""
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        return error
    if isinstance(error, click.NoSuchOption) and error.ctx is not None:
        named = [name for one in error.ctx.command.params for name in one.opts]
        long = [name for name in named if name.startswith("--")]
        near = nearest(long, error.option_name, "--help lists all")
        return click.UsageError(
            f"no option is called {_line(error.option_name)}; {near}", error.ctx
        )
    return click.UsageError(_line(error.format_message()), error.ctx)


def _cut(found: re.Match[str]) -> str:
    """Cut a word; of a path keep the end, which names the file."""
    word = found[0]
    return shown_path(word) if "/" in word or "\\" in word else shown(word)


class LazyGroup(click.Group):
    """Commands found by name in climlog.cli.NAME, as `command`."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names, in the order a maker meets them."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import one command."""
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"climlog.cli.{cmd_name}")
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands, no line cut short."""
        write_commands(self, ctx, formatter)

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the examples, and where the settings are kept."""
        write_examples(self.epilog or "", formatter)
        path = settings_path()
        made = "" if path.exists() else " (not made yet)"
        formatter.write_paragraph()
        formatter.write_text(f"Settings: {path}{made}; climlog settings --help")

    def main(self, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401
        """Start, help and usage errors included, with streams that no character stops.

        A closed stderr gets something to write into: numpy 2.0 takes it for granted.
        """
        gc.set_threshold(SELDOM)
        if sys.stderr is None:
            sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
        spell_what_cannot_be_shown(sys.stdout, sys.stderr)
        if any(name.endswith("_COMPLETE") for name in os.environ):
            importlib.import_module("climlog.cli.shells")
        return super().main(*args, **kwargs)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; of one that is misspelt, name the nearest."""
        if args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(f'no command is called "{args[0]}"; {nearest(COMMANDS, args[0])}')
        return super().resolve_command(ctx, args)

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,  # noqa: ANN401
    ) -> click.Context:
        """Read the words before the command; what is wrong with them is cleaned and cut."""
        try:
            return super().make_context(info_name, args, parent, **extra)
        except click.UsageError as error:
            raise _plain(error) from error

    def invoke(self, ctx: click.Context) -> Any:  # noqa: ANN401
        """Run a command; turn our own errors into one line."""
        ctx.meta[HELP_ASKED] = not set(ctx.help_option_names).isdisjoint(ctx.args)
        try:
            return super().invoke(ctx)
        except click.UsageError as error:
            raise _plain(error) from error
        except ClimlogError as error:
            raise InputCannotBeUsedError(told(error)) from error
        except BrokenPipeError:
            raise
        except OSError as error:
            from climlog.report.files import room_for

            what = "the answer could not be printed"
            if error.filename:
                what = shown_path(error.filename)
            else:
                give_up_on(sys.stdout)
            reason = f"{shown(error.strerror or error)}{room_for(error)}"
            raise InputCannotBeUsedError(f"{what}: {reason}") from error


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog=examples(
        ("climlog look LOG", "what is in this log?"),
        ("climlog place LOG --piece SHEET", "will this piece be safe in this room?"),
        ("climlog crack LOG --piece SHEET", "why did this top crack?"),
        ("climlog COMMAND --help", "options and examples"),
    ),
)
@click.version_option(__version__, "--version", "-V")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Tell what the air in a hygrometer log does to solid wood.

    Give it the log of a room and a sheet of the piece; it says how far the wood will move, whether
    its fastenings let it, and what to change.
    """
    if ctx.invoked_subcommand != SETTINGS and not ctx.meta.get(HELP_ASKED):
        settings = read_settings()
        names = {"units": "units", "maker": "maker_name", "client": "client_name"}
        given = {names[name]: value for name, value in settings.items()}
        ctx.default_map = dict.fromkeys(COMMANDS, given)
