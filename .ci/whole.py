"""Everything on this Python, in a fresh environment and a copy of the project.

Lint, types, the README's main command and the README's own command for the tests.
"""

import re
import shlex
import sys
from pathlib import Path

from fresh import copied, environment, say, temporary

README_COMMAND = re.compile(r"\.venv/bin/(climlog|python) ([^&\n]+)")


def main() -> None:
    """Run the whole; the first thing that fails ends it."""
    with temporary() as folder:
        project = copied(folder)
        say(f"Everything, on {sys.version.split()[0]}")
        made = environment(Path(sys.executable), project / ".venv")
        made.install(".[test,check]", where=project)
        made.run("python", "-m", "ruff", "format", "--check", ".", where=project)
        made.run("python", "-m", "ruff", "check", ".", where=project)
        made.run("python", "-m", "mypy", where=project)
        commands = README_COMMAND.findall((project / "README.md").read_text(encoding="utf-8"))
        before = set((project / "reports").glob("*.html"))
        for tool, arguments in commands:
            made.run(tool, *shlex.split(arguments), where=project)
        if not set((project / "reports").glob("*.html")) - before:
            sys.exit("the README's main command wrote no page")


if __name__ == "__main__":
    main()
