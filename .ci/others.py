"""The fast half of the tests on every other Python found, run from the unpacked sdist.

Two Pythons at once; what each prints is told when it is done.
"""

import shutil
import sys
from concurrent.futures import ThreadPoolExecutor
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

AT_ONCE = 2


def main() -> None:
    """Go through all other Pythons, then fail if it failed on one."""
    others = [one for one in pythons() if one.version != sys.version_info[:2]]
    if not others:
        say("No other Python from 3.11 up on this machine: nothing more to run.")
        return
    with temporary() as folder:
        source = source_distribution(folder)

        def run(one: Python) -> bool:
            own = folder / one.name
            account = own / "told.txt"
            failure = ""
            try:
                run_on(one, Path(shutil.copytree(source, own / "source")), own / "venv", account)
            except StepFailed as failed:
                failure = str(failed)
            printed = account.read_text(encoding="utf-8", errors="replace")
            say(f"The fast half of the tests, on {one.name} ({one.path})\n{printed}{failure}")
            return not failure

        with ThreadPoolExecutor(AT_ONCE) as pool:
            passed = list(pool.map(run, others))
        failed = [one.name for one, fine in zip(others, passed, strict=True) if not fine]
    if failed:
        sys.exit(f"failed on {', '.join(failed)}")


def run_on(one: Python, source: Path, folder: Path, account: Path) -> None:
    """Run on one; a Python that pyproject.toml does not promise may lack the libraries yet."""
    made = environment(one.path, folder, account)
    if not one.promised:
        try:
            made.install("--only-binary=numpy,pandas,scipy", ".[test]", where=source)
        except StepFailed:
            with account.open("ab") as told:
                say(f"Left out: {one.name} is newer than the libraries can be had for.", told)
            return
    fast_half(made, source)


if __name__ == "__main__":
    main()
