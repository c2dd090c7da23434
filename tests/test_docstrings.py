"""Every public name says what goes in, what comes out, in which unit, and what may fail."""

import dataclasses
import inspect
import re

import pytest

import climlog

PUBLIC = [name for name in climlog.__all__ if not name.startswith("__")]
FUNCTIONS = [name for name in PUBLIC if inspect.isfunction(getattr(climlog, name))]
RECORDS = [name for name in PUBLIC if dataclasses.is_dataclass(getattr(climlog, name))]
NUMBER = re.compile(r"\bfloat\b|ArrayLike|float64|Floats")
PUBLISHED = {"equilibrium_moisture", "strain_across"}
"""Formulas of somebody else's, which name their source."""
CANNOT_FAIL = {"travel_as_a_set"}


def sections_of(name):
    """Heads of a docstring in the form of numpy, each with the text under it."""
    says = inspect.getdoc(getattr(climlog, name)) or ""
    parts = re.split(r"^(\w+)\n-{3,}\n", says, flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def entries_of(text):
    """Each name of a section with all that is said of it: its type, and the lines set in."""
    found = {}
    for block in re.split(r"^(?=\S)", text, flags=re.MULTILINE):
        head, _, rest = block.partition("\n")
        names, _, kind = head.partition(" : ")
        found |= {one.strip(): f"{kind}\n{rest}" for one in names.split(",")}
    return found


def assert_said(whose, part, annotation, said):
    assert part in said, f"{whose}: {part} is not described"
    if NUMBER.search(str(annotation)):
        assert re.search(r"\[.+\]", said[part]), f"{whose}: {part} has no unit"


def test_the_form_is_read_as_it_is_written():
    assert {"temp_c", "rh_pct"} <= entries_of(
        sections_of("equilibrium_moisture")["Parameters"]
    ).keys()
    assert "[%]" in entries_of("a, b : float\n    Share. [%]\nc : int\n")["b"]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_says_what_goes_in_what_comes_out_and_what_may_fail(name):
    found = sections_of(name)
    said = entries_of(found.get("Parameters", ""))
    for one in inspect.signature(getattr(climlog, name)).parameters.values():
        assert_said(name, str(one).partition(":")[0], one.annotation, said)
    assert len(found.get("Returns", "").strip().splitlines()) >= 2, f"{name}: what comes out"
    assert name in CANNOT_FAIL or "Error" in found.get("Raises", ""), f"{name}: what may fail"
    assert name not in PUBLISHED or "[1]" in found.get("References", ""), f"{name}: the source"


@pytest.mark.parametrize("name", RECORDS)
def test_a_record_says_every_field_and_the_unit_of_every_number(name):
    said = entries_of(sections_of(name).get("Attributes", ""))
    for one in dataclasses.fields(getattr(climlog, name)):
        if not one.name.startswith("_"):
            assert_said(name, one.name, one.type, said)


def test_every_public_name_is_one_of_the_two_or_an_error():
    rest = set(PUBLIC) - set(FUNCTIONS) - set(RECORDS)
    assert rest == {"ClimlogError"}
