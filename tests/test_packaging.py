"""What is handed on is whole: the wheel, the sdist with its own tests, the licence, the version."""

import contextlib
import email
import os
import re
import tarfile
import tomllib
import zipfile

import flit_core.buildapi
import pytest
from hypothesis import settings

import climlog
from tests.places import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
TOP = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
CACHES = {"__pycache__", ".hypothesis", ".pytest_cache", ".mypy_cache", ".ruff_cache"}


def files_in(*folders):
    return {
        path.relative_to(ROOT).as_posix()
        for folder in folders
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and not CACHES.intersection(path.parts)
    }


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    with contextlib.chdir(ROOT):
        wheel = flit_core.buildapi.build_wheel(str(folder))
        sdist = flit_core.buildapi.build_sdist(str(folder))
    with zipfile.ZipFile(folder / wheel) as archive:
        in_wheel = {name: archive.read(name) for name in archive.namelist()}
    with tarfile.open(folder / sdist) as archive:
        in_sdist = {name.partition("/")[2] for name in archive.getnames()}
    return in_wheel, in_sdist


def test_the_wheel_is_the_package_with_every_table_template_and_the_licence(built):
    in_wheel, _ = built
    ours = {name for name in in_wheel if ".dist-info/" not in name}
    assert ours == files_in("climlog")
    assert {"climlog/py.typed", "climlog/tables/woods.csv"} <= ours
    licence = (ROOT / "LICENSE").read_bytes()
    assert in_wheel[f"climlog-{climlog.__version__}.dist-info/licenses/LICENSE"] == licence


def test_the_sdist_has_all_that_its_own_tests_and_checks_need(built):
    _, in_sdist = built
    kept = files_in("climlog", "tests", "sample_logs", ".ci")
    assert TOP | kept <= in_sdist
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    linked = re.findall(r"\]\((?!http)([^)\s]+)\)", readme)
    assert {"reports/make_examples.py", *linked} <= in_sdist
    assert not any(CACHES.intersection(name.split("/")) for name in in_sdist)


def test_the_metadata_names_the_project_and_nobody_and_nothing_else(built):
    in_wheel, _ = built
    told = email.message_from_bytes(in_wheel[f"climlog-{climlog.__version__}.dist-info/METADATA"])
    assert told["Author"] == "climlog"
    assert told["License-Expression"] == "MIT"
    assert told["Project-URL"] is None
    assert told["Home-page"] is None
    assert "Typing :: Typed" in told.get_all("Classifier")
    assert f"### {climlog.__version__}\n" in told.get_payload()


def test_every_library_has_a_lowest_version_that_the_checks_can_pin():
    for one in (*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]):
        name, mark, version = one.partition(">=")
        assert mark, one
        assert name.strip() == name
        assert version[0].isdigit()
        assert "," not in version


def test_random_tests_draw_the_same_examples_where_ci_is_set():
    assert settings().derandomize is bool(os.environ.get("CI"))
