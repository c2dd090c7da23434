"""The fast half of the tests on every other Python found, run from the unpacked sdist."""

import sys
from pathlib import Path

from fresh import (
    Python,
    StepFailed,
    environment,
    fast_half,
    pythons,
    say,
    source_distribution,
    temporary,
)


def main() -> None:
    """Go through all other Pythons, then fail if it failed on one."""
    others = [one for one in pythons() if one.version != sys.version_info[:2]]
    if not others:
        say("No other Python from 3.11 up on this machine: nothing more to run.")
        return
    failed = []
    with temporary() as folder:
        source = source_distribution(folder)
        for one in others:
            say(f"The fast half of the tests, on {one.name} ({one.path})")
            try:
                run_on(one, source, folder / one.name)
            except StepFailed as failure:
                say(str(failure))
                failed.append(one.name)
    if failed:
        sys.exit(f"failed on {', '.join(failed)}")


def run_on(one: Python, source: Path, folder: Path) -> None:
    """Run on one; a Python that pyproject.toml does not promise may lack the libraries yet."""
    made = environment(one.path, folder)
    if not one.promised:
        try:
            made.install("--only-binary=numpy,pandas,scipy", ".[test]", where=source)
        except StepFailed:
            say(f"Left out: {one.name} is newer than the libraries can be had for.")
            return
    fast_half(made, source)


if __name__ == "__main__":
    main()
