"""Where tests find the project, its samples and its own data."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "sample_logs"
DATA = ROOT / "tests" / "data"
