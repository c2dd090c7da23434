"""The checks find the Pythons of a machine, and leave alone what does not run."""

import importlib.util
import os
import sys

import pytest

from tests.places import ROOT


def loaded(name):
    spec = importlib.util.spec_from_file_location(name, ROOT / ".ci" / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def fresh(monkeypatch):
    monkeypatch.syspath_prepend(str(ROOT / ".ci"))
    yield loaded("fresh")
    for name in ("fresh", "lowest", "whole", "others"):
        sys.modules.pop(name, None)


def pretend(folder, name, says, status=0):
    """Put a program on the path that says what a Python would when asked what it is."""
    folder.mkdir(parents=True, exist_ok=True)
    script = folder / name
    script.write_text(f"#!/bin/sh\necho '{says}'\nexit {status}\n", encoding="utf-8")
    script.chmod(0o755)
    return script


@pytest.mark.skipif(os.name == "nt", reason="pretends by shell scripts")
def test_every_usual_python_is_found_once_and_shims_that_fail_are_not(fresh, tmp_path, monkeypatch):
    path, pyenv = tmp_path / "path", tmp_path / "pyenv"
    monkeypatch.setenv("PATH", str(path))
    monkeypatch.setenv("PYENV_ROOT", str(pyenv))
    by_name = pretend(path, "python3.97", '[[3, 97], true, "", "CPython"]')
    pretend(path, "python3.98", "", status=127)
    pretend(path, "python3.10", '[[3, 10], true, "", "CPython"]')
    pretend(path, "python3.96", '[[3, 96], false, "", "CPython"]')
    pretend(path, "python3.97-config", '[[3, 95], true, "", "CPython"]')
    by_pyenv = pretend(pyenv / "versions/3.98.1/bin", "python", '[[3, 98], true, "", "CPython"]')
    pretend(pyenv / "versions/3.97.1/bin", "python", '[[3, 97], true, "", "CPython"]')
    pretend(pyenv / "versions/3.94.0t/bin", "python", '[[3, 94], true, "t", "CPython"]')
    pretend(pyenv / "versions/other/bin", "python", '[[3, 93], true, "", "PyPy"]')
    found = {one.version: one.path for one in fresh.pythons()}
    assert found.pop(sys.version_info[:2]).samefile(sys.executable)
    assert found == {(3, 97): by_name, (3, 98): by_pyenv}


def test_the_lowest_versions_are_those_declared(fresh):
    pins = loaded("lowest").lowest()
    declared = fresh.PROJECT["project"]["dependencies"]
    assert set(pins) >= {one.replace(">=", "==") for one in declared}
    assert all("==" in pin for pin in pins)


def test_the_readmes_two_commands_are_what_is_run(fresh):
    found = loaded("whole").README_COMMAND.findall((ROOT / "README.md").read_text("utf-8"))
    assert [tool for tool, _ in found] == ["climlog", "python"]
    assert found[1][1] == "-m pytest -q"


def test_a_copy_leaves_out_what_git_leaves_out(fresh, tmp_path):
    copy = fresh.copied(tmp_path)
    assert (copy / "sample_logs" / "stock.toml").exists()
    assert (copy / ".ci" / "run").exists()
    assert not (copy / ".git").exists()
    assert not list(copy.rglob("__pycache__"))
