"""What the checks share: fresh environments, a copy of the project, the Pythons of this machine.

Needs nothing but Python itself, and writes nothing outside a temporary folder.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
OLDEST = tuple(map(int, PROJECT["project"]["requires-python"].removeprefix(">=").split(".")))
NO_PART_OF_IT = shutil.ignore_patterns(
    ".git", ".venv*", "__pycache__", ".*_cache", ".hypothesis", "*.egg-info", "build", "dist"
)
BIN, EXE = ("Scripts", ".exe") if os.name == "nt" else ("bin", "")
ASK = (
    "import ensurepip, json, platform, sys;"
    "print(json.dumps([sys.version_info[:2], sys.version_info[3] == 'final', sys.abiflags,"
    " platform.python_implementation()]))"
)
"""What is asked of a Python; one without ensurepip cannot make an environment with pip."""


class StepFailed(SystemExit):
    """A step that did not pass; uncaught, it ends the check with one line."""


@dataclass(frozen=True)
class Python:
    """A Python of this machine.

    Parameters
    ----------
    path : Path
    version : tuple of int
        Major and minor.
    """

    path: Path
    version: tuple[int, int]

    @property
    def name(self) -> str:
        """Its version as people write it."""
        return "Python " + ".".join(map(str, self.version))

    @property
    def promised(self) -> bool:
        """Whether pyproject.toml says that climlog runs on it."""
        mark = f"Programming Language :: Python :: {self.name.removeprefix('Python ')}"
        return mark in PROJECT["project"]["classifiers"]


@dataclass(frozen=True)
class Environment:
    """A virtual environment that goes with the temporary folder.

    Parameters
    ----------
    folder : Path
    account : Path or None
        File that takes all that its tools print; None for the terminal.
    """

    folder: Path
    account: Path | None = None

    def run(self, tool: str, *arguments: str | Path, where: Path) -> None:
        """Run a tool of this environment in a folder; StepFailed if it does not pass."""
        command = [str(self.folder / BIN / f"{tool}{EXE}"), *map(str, arguments)]
        with self.account.open("ab") if self.account else nullcontext() as told:
            say(" ".join([tool, *command[1:]]), told)
            out = {"stdout": told, "stderr": told}
            done = subprocess.run(command, check=False, cwd=where, env=surroundings(), **out)
        if done.returncode:
            raise StepFailed(f"failed ({done.returncode}): {' '.join([tool, *command[1:]])}")

    def install(self, *what: str | Path, where: Path) -> None:
        """Install packages with pip."""
        quiet = ("-q", "--disable-pip-version-check")
        self.run("python", "-m", "pip", "install", *quiet, *what, where=where)


def say(text: str, told: BinaryIO | None = None) -> None:
    """Tell at once what is being done."""
    to = told or sys.stdout.buffer
    to.write(f"{text}\n".encode(sys.stdout.encoding or "utf-8", "replace"))
    to.flush()


def surroundings() -> dict[str, str]:
    """Copy the environment variables: no other packages, and the same random examples each time."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    return kept | {
        "CI": os.environ.get("CI") or "1",
        "PYTHONNOUSERSITE": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }


@contextmanager
def temporary() -> Iterator[Path]:
    """Make a folder that goes with all that is in it."""
    with tempfile.TemporaryDirectory(prefix="climlog-", ignore_cleanup_errors=True) as folder:
        yield Path(folder).resolve()


def environment(python: Path, folder: Path, account: Path | None = None) -> Environment:
    """Make a virtual environment with a Python."""
    subprocess.run([python, "-m", "venv", folder], check=True, env=surroundings())
    return Environment(folder, account)


def copied(folder: Path) -> Path:
    """Copy the project as it stands, without what git leaves out."""
    return Path(shutil.copytree(ROOT, folder / "climlog", ignore=NO_PART_OF_IT))


def source_distribution(folder: Path) -> Path:
    """Build the sdist from a copy and unpack it."""
    builder = environment(Path(sys.executable), folder / "builder")
    builder.install(*PROJECT["build-system"]["requires"], where=folder)
    build = f"import {PROJECT['build-system']['build-backend']} as b; b.build_sdist(r'{folder}')"
    builder.run("python", "-c", build, where=copied(folder))
    (packed,) = folder.glob("*.tar.gz")
    with tarfile.open(packed) as archive:
        archive.extractall(folder / "unpacked", filter="data")
    return next((folder / "unpacked").iterdir())


def fast_half(found: Environment, source: Path, *constraints: str | Path) -> None:
    """Install the sdist with its test extra and run the tests that are not marked slow."""
    found.install(*constraints, ".[test]", where=source)
    found.run("python", "-m", "pytest", "-q", "-m", "not slow", where=source)


def pythons() -> list[Python]:
    """Find one CPython of every version from the oldest allowed up, this one among them."""
    here = Python(Path(sys.executable), sys.version_info[:2])
    found = {here.version: here}
    for path in dict.fromkeys(_candidates()):
        asked = _asked(path)
        if asked is not None:
            found.setdefault(asked.version, asked)
    return [found[version] for version in sorted(found)]


def _candidates() -> Iterator[Path]:
    """Name files that may be Pythons: on the path, pyenv's, and those Windows' launcher knows."""
    for folder in filter(None, os.environ.get("PATH", "").split(os.pathsep)):
        for path in sorted(Path(folder).glob(f"python3*{EXE}")):
            if re.fullmatch(r"python3(\.\d+)?", path.name.removesuffix(EXE)):
                yield path
    pyenv = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv") / "versions"
    yield from sorted(pyenv.glob("*/bin/python"))
    if launcher := shutil.which("py"):
        listed = subprocess.run([launcher, "-0p"], capture_output=True, text=True, check=False)
        yield from (Path(line.split()[-1]) for line in listed.stdout.splitlines() if line.strip())


def _asked(path: Path) -> Python | None:
    """Ask a Python what it is; None for one that does not run, is too old, or is no usual build."""
    try:
        got = subprocess.run(
            [path, "-c", ASK], capture_output=True, text=True, timeout=60, check=True
        )
    except (OSError, subprocess.SubprocessError):
        return None  # a pyenv shim with no version chosen, a broken link, no ensurepip
    version, final, flags, kind = json.loads(got.stdout)
    usual = final and not flags and kind == "CPython"
    return Python(path, tuple(version)) if usual and tuple(version) >= OLDEST else None
