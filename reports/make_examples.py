"""Make the example pages and pictures of this folder again from sample_logs.

python reports/make_examples.py

The pictures of the room and crack pages are screenshots, made only where a browser is found.
"""

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


def main() -> None:
    """Run the three jobs, then picture the first screens."""
    for job in JOBS:
        command = [sys.executable, "-m", "climlog", *map(str, job), "--out", str(HERE)]
        subprocess.run([*command, "--replace", "--quiet"], check=True)
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


if __name__ == "__main__":
    main()
