"""Options at random: an answer or one clean line, and no file hurt.

tests/benchmarks/hostile.py runs the same with any seed and any number.
"""

import random

import pytest
from click.testing import CliRunner

from climlog.cli import main
from climlog.sheets.blank import blank_sheet
from tests.cli import hostile_options
from tests.sheets.hostile import SHEETS

CASES = 60
ROWS = "Time,Temp (C),RH (%)\n" + "".join(
    f"2025-01-{day:02} {hour:02}:00,20.{hour % 10},4{day % 10}\n"
    for day in range(1, 29)
    for hour in range(0, 24, 6)
)


ROUND = """
[round]
name = "Hall"
[[place]]
name = "Hall"
logs = "room.csv"
pieces = "piece.toml"
"""


def files_in(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def one_case(rng, folder):
    """Run one command in a fresh folder; give its words and what is wrong, or None."""
    made = {"LOG": "room.csv", "SHEET": "piece.toml", "STOCK": "stock.toml", "ROUND": "round.toml"}
    for name, text in (
        ("room.csv", ROWS), ("piece.toml", SHEETS[0]), ("stock.toml", blank_sheet("stock")),
        ("round.toml", ROUND),
    ):  # fmt: skip
        (folder / name).write_text(text, encoding="utf-8")
    words = [made.get(word, word) for word in hostile_options.drawn(rng)]
    before = files_in(folder)
    run = CliRunner().invoke(main, words)
    after = files_in(folder)
    kept = all(after.get(name) == content for name, content in before.items())
    done = run.exit_code == 0 or "no letter is written" in run.stderr  # All but the letter is.
    kept = kept and (done or after.keys() == before.keys())
    return words, hostile_options.wrong_with(words, run, kept)


def test_options_at_random_give_an_answer_or_one_clean_line_and_hurt_no_file(tmp_path, monkeypatch):
    rng = random.Random(17)
    for number in range(CASES):
        folder = tmp_path / str(number)
        folder.mkdir()
        monkeypatch.chdir(folder)
        words, wrong = one_case(rng, folder)
        assert wrong is None, words


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--heating", "900 C"), "more than 45 °C"),
        (("--what-if", "shut up, 0001-01-01, 1 day"), "less than 1900"),
        (("--humidifier", "140 %"), "more than 100 %"),
    ],
)
def test_nonsense_beyond_the_log_is_refused_by_name(tmp_path, words, says):
    (tmp_path / "room.csv").write_text(ROWS, encoding="utf-8")
    sheet = tmp_path / "piece.toml"
    sheet.write_text(SHEETS[0], encoding="utf-8")
    log = str(tmp_path / "room.csv")
    run = CliRunner().invoke(main, ["place", log, "--piece", str(sheet), "--outdoor", log, *words])
    assert run.exit_code == 1
    assert says in run.stderr
