"""Make the example pages and pictures of this folder, and the answers in README, from sample_logs.

python reports/make_examples.py

The pictures of the room and crack pages are screenshots, made only where a browser is found.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
SAMPLES = HERE.parent / "sample_logs"
HOUSE = SAMPLES / "ferry_house_dining_room.csv"
JOBS = (
    (
        "place", HOUSE, "--piece", SAMPLES / "dining_table.toml",
        "--picture", HERE / "dining-table.png",
    ),
    ("room", SAMPLES / "drying_room.csv", "--stock", SAMPLES / "stock.toml"),
    ("crack", HOUSE, "--piece", SAMPLES / "crack_held_top.toml"),
)  # fmt: skip
SCREENSHOTS = {
    "room-boards-for-the-ferry-house.html": "drying-room.png",
    "crack-ferry-house-hall-table.html": "crack.png",
}
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome", "msedge")
WINDOW = "1280,1100"


README = HERE.parent / "README.md"
SHOWN = re.compile(
    r"^```\n(climlog (?:place|room|crack) [^\n]*)\n```\n\n```\n(.*?)^```\n", re.M | re.S
)
COLUMNS = 100
DAY = "1773619200"
"""The day printed on the examples, 16 March 2026, in seconds: the day after the sample log ends."""
NOBODYS = {"SOURCE_DATE_EPOCH": DAY, "CLIMLOG_SETTINGS": "settings-of-nobody.toml"}


def main() -> None:
    """Run the three jobs, picture the first screens, and show their answers in README."""
    _show_answers()
    for job in JOBS:
        command = [sys.executable, "-m", "climlog", *map(str, job), "--out", str(HERE)]
        own = {**os.environ, **NOBODYS}
        subprocess.run([*command, "--replace", "--quiet"], check=True, env=own)
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if browser is None:
        sys.stderr.write(f"no browser ({', '.join(BROWSERS)}): the screenshots were left\n")
        return
    for page, picture in SCREENSHOTS.items():
        _screenshot(browser, HERE / page, HERE / picture)


def _screenshot(browser: str, page: Path, picture: Path) -> None:
    with tempfile.TemporaryDirectory() as profile:
        subprocess.run(
            [
                browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                "--hide-scrollbars", f"--user-data-dir={profile}", f"--window-size={WINDOW}",
                f"--screenshot={picture.resolve()}", page.resolve().as_uri(),
            ],
            check=True, capture_output=True,
        )  # fmt: skip


def _show_answers() -> None:
    """Put the block that each command shown in README answers with in its place there."""
    text = README.read_text(encoding="utf-8")
    README.write_text(SHOWN.sub(_shown, text), encoding="utf-8", newline="\n")


def _shown(found: re.Match[str]) -> str:
    words = shlex.split(found[1])[1:]
    with tempfile.TemporaryDirectory() as folder:
        done = subprocess.run(
            [sys.executable, "-m", "climlog", *words, "--out", folder],
            cwd=README.parent, check=True, capture_output=True, text=True, encoding="utf-8",
            env={**os.environ, **NOBODYS, "COLUMNS": str(COLUMNS + 1), "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip
    block = done.stdout.split("\n\n")[0]
    return f"```\n{found[1]}\n```\n\n```\n{block}\n...\n```\n"


if __name__ == "__main__":
    main()
