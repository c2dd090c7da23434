"""What every run of the tests shares: how the random ones draw.

Where the environment variable CI is set they draw the same examples every time, so that a red run
there is red for everybody; at a desk they go on looking for new ones.
"""

import os

import pytest
from hypothesis import settings

# No deadline: the first call of many functions imports and reads tables, and CI machines stall.
settings.register_profile("desk", deadline=None)
settings.register_profile("CI", settings.get_profile("desk"), derandomize=True, database=None)
settings.load_profile("CI" if os.environ.get("CI") else "desk")

os.environ["CLIMLOG_SETTINGS"] = "settings-of-nobody.toml"
"""No file of that name: whoever runs the tests has settings of their own."""
os.environ["COLUMNS"] = "100"
"""For fixtures of a whole module, which are made before any test's own."""


@pytest.fixture(autouse=True)
def _terminal_of_one_width(monkeypatch):
    """Wrap lines alike on every machine: test runners hand down widths of their own."""
    monkeypatch.setenv("COLUMNS", "100")
