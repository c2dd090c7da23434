"""The fast half of the tests on every other Python found, run from the unpacked sdist."""

import subprocess
import sys

from fresh import environment, fast_half, pythons, say, source_distribution, temporary


def main() -> None:
    """Go through the other Pythons; one that pyproject.toml does not promise may be left out."""
    others = [one for one in pythons() if one.version != sys.version_info[:2]]
    if not others:
        say("No other Python from 3.11 up on this machine: nothing more to run.")
        return
    with temporary() as folder:
        source = source_distribution(folder)
        for one in others:
            say(f"The fast half of the tests, on {one.name} ({one.path})")
            made = environment(one.path, folder / one.name)
            if not one.promised:
                try:
                    made.install("--only-binary=numpy,pandas,scipy", ".[test]", where=source)
                except subprocess.CalledProcessError:
                    say(f"Left out: {one.name} is newer than the libraries can be had for.")
                    continue
            fast_half(made, source)


if __name__ == "__main__":
    main()
