"""Compiled templates are kept as Python keeps its modules, and nothing hangs on what is kept."""

import sys

import pytest
from jinja2 import Environment, FileSystemLoader

from climlog.report import bytecode


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Give a folder of one template, in a Python that keeps code beside its sources."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    (tmp_path / "page.j2").write_text("Hello {{ name }}", encoding="utf-8")
    return tmp_path


def rendered(folder):
    made = Environment(
        loader=FileSystemLoader(folder), bytecode_cache=bytecode.BesideTemplates(), autoescape=True
    )
    return made.get_template("page.j2").render(name="maker")


def kept(folder):
    return list((folder / "__pycache__").glob("*"))


def test_a_template_is_compiled_once(folder, monkeypatch):
    assert rendered(folder) == "Hello maker"
    (one,) = kept(folder)
    monkeypatch.setattr(Environment, "compile", lambda *_, **__: pytest.fail("compiled again"))
    assert rendered(folder) == "Hello maker"
    assert kept(folder) == [one]


def test_a_changed_template_is_compiled_anew(folder):
    rendered(folder)
    (folder / "page.j2").write_text("Goodbye {{ name }}", encoding="utf-8")
    assert rendered(folder) == "Goodbye maker"


def test_another_release_of_jinja_compiles_anew(folder, monkeypatch):
    rendered(folder)
    (one,) = kept(folder)
    before = one.read_bytes()
    monkeypatch.setattr(bytecode, "_release", lambda: "another")
    assert rendered(folder) == "Hello maker"
    assert one.read_bytes() != before


@pytest.mark.parametrize("content", [b"", b"j2", b"nonsense" * 40])
def test_what_is_damaged_counts_as_none(folder, content):
    rendered(folder)
    (one,) = kept(folder)
    one.write_bytes(content)
    assert rendered(folder) == "Hello maker"


def test_code_that_is_cut_short_counts_as_none(folder):
    rendered(folder)
    (one,) = kept(folder)
    whole = one.read_bytes()
    for length in range(0, len(whole), 7):
        one.write_bytes(whole[:length])
        assert rendered(folder) == "Hello maker"


def test_nothing_is_kept_where_python_keeps_nothing(folder, monkeypatch):
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert rendered(folder) == "Hello maker"
    assert not kept(folder)


def test_a_folder_that_takes_nothing_does_not_stop_the_page(folder):
    (folder / "__pycache__").write_text("in the way", encoding="utf-8")
    assert rendered(folder) == "Hello maker"
