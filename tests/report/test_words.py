"""What is read aloud has a maker's words: no physics outside the part that names its sources.

Every text in the code of reports, desk and tables is looked at, so no figure of one job has to
come up for a word to be found.
"""

import ast
import re
import tomllib
from itertools import chain
from pathlib import Path

import pytest

import climlog
from climlog.report.html import render
from climlog.report.phrases import Say
from climlog.report.place.document import document as place_document
from climlog.report.room.document import document as room_document
from tests.report.place.test_page import result_of
from tests.report.room.test_document import for_client
from tests.report.room.test_document import result_of as room_of

HOME = Path(climlog.__file__).parent
PHYSICS = re.compile(
    r"hysteresis|sorption|isotherm|permeance|diffusi|quantile|percentile|standard deviation|"
    r"\bmedian|\bsigma|coefficient of|vapour pressure|\bLewis\b|63 %|set-back|Monte Carlo",
    re.IGNORECASE,
)
READ_ALOUD = ("report", "desk", "cli")
KEYS = {"one permeance fits all three days", "one permeance "}
"""Words of a table's row, looked up and never shown."""
PATHS = re.compile(r"[a-z_]+(\.[a-z_]+)+|[a-z0-9_]+")
"""Names of modules, columns and keys."""


def texts_in(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    remarks = {
        id(node.value) for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }  # fmt: skip
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in remarks
        ):
            yield node.value


def shown_texts():
    for path in chain.from_iterable(sorted((HOME / one).rglob("*.py")) for one in READ_ALOUD):
        for text in texts_in(path):
            if not PATHS.fullmatch(text) and text not in KEYS:
                yield path.name, text
    for path in sorted(one for end in ("*.j2", "*.js") for one in HOME.rglob(end)):
        for line in path.read_text(encoding="utf-8").splitlines():
            yield path.name, line
    texts = tomllib.loads((HOME / "tables" / "texts.toml").read_text(encoding="utf-8"))
    for text in says_in(texts):
        yield "texts.toml", text


def says_in(value):
    if isinstance(value, dict):
        yield from (value["says"],) if isinstance(value.get("says"), str) else ()
        yield from chain.from_iterable(says_in(one) for one in value.values())
    elif isinstance(value, list):
        yield from chain.from_iterable(says_in(one) for one in value)


def test_no_text_that_is_shown_has_a_word_of_physics():
    seen = list(shown_texts())
    assert len(seen) > 3000
    assert {"texts.toml", "answer.js", "air.py", "place.py"} <= {name for name, _ in seen}
    assert [(name, text) for name, text in seen if PHYSICS.search(text)] == []


@pytest.mark.parametrize(
    "page",
    [
        lambda: place_document(result_of("dining_table.toml"), Say("inch")),
        lambda: room_document(room_of(), Say("inch")),
        lambda: room_document(for_client(), Say("metric")),
    ],
)
def test_a_page_names_emc_once_as_the_moisture_that_air_holds_wood_at(page):
    text = render(page())
    assert len(re.findall(r"\bEMC\b", text)) == 1
    assert "air holds wood at (EMC)" in text
