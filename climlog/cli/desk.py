"""climlog desk: the page on this machine."""

from dataclasses import dataclass

import click

from climlog.cli.help import PlainCommand, examples
from climlog.cli.options import option, takes


@dataclass(frozen=True)
class DeskOptions:
    """How the desk was started."""

    port: int
    opens: bool


@click.command(
    "desk",
    cls=PlainCommand,
    epilog=examples("climlog desk", "climlog desk --no-open --port 8123"),
)
@option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="NUMBER",
    help="Port of its address; left out, one that is free.",
)
@option("--open/--no-open", "opens", default=True, help="Open the page in the browser.")
@takes(DeskOptions)
def command(asked: DeskOptions) -> None:
    """Open a page on this machine: drop the log, draw the piece, read the answer.

    Nothing leaves this machine, and nothing is written but what you save. Ctrl-C ends it.
    """
    from climlog.cli.console import say
    from climlog.cli.settings import read_settings
    from climlog.desk.serve import serve

    def started(address: str) -> None:
        say(f"The desk is open at {address}")
        say("Ctrl-C ends it; what was dropped on it goes with it.")
        if asked.opens:
            import webbrowser

            webbrowser.open(address)

    serve(asked.port, started, read_settings())
