"""The fast half of the tests with the lowest versions declared, run from the unpacked sdist."""

import re
from pathlib import Path

from fresh import (
    OLDEST,
    PROJECT,
    environment,
    fast_half,
    pythons,
    say,
    source_distribution,
    temporary,
)


def lowest() -> list[str]:
    """Turn every "name>=version" of the project and its test extra into "name==version"."""
    declared = PROJECT["project"]
    wanted = declared["dependencies"] + declared["optional-dependencies"]["test"]
    return [re.sub(r">=", "==", one) for one in wanted]


def main() -> None:
    """Run on the oldest Python allowed: newer ones have no builds of libraries that old."""
    oldest = pythons()[0]
    if oldest.version != OLDEST:
        say(f"Left out: the lowest versions are built for Python {'.'.join(map(str, OLDEST))},")
        say(f"and the oldest here is {oldest.name} ({oldest.path}).")
        return
    with temporary() as folder:
        source = source_distribution(folder)
        bounds = Path(folder / "lowest.txt")
        bounds.write_text("\n".join(lowest()), encoding="utf-8")
        say(f"The fast half of the tests, on {oldest.name} with {', '.join(lowest())}")
        made = environment(oldest.path, folder / "lowest")
        fast_half(made, source, "-c", bounds)


if __name__ == "__main__":
    main()
