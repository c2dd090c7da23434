"""The shape of the package: imports point down only, and `climlog --help` starts light."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import climlog

PACKAGE = Path(climlog.__file__).parent
LAYERS = ("errors", "limits", "units", "tables", "model", "importer", "analysis", "report", "cli")
RANK = {"errors": 0, "limits": 1, "units": 1, "tables": 2, "model": 3, "importer": 4}
RANK |= {"analysis": 5, "report": 6, "cli": 7}
IMPORTER_MAY_USE = {"board", "woods", "finishes", "movement", "psychrometrics"}
HEAVY = ("numpy", "pandas", "scipy", "matplotlib", "jinja2")
FILES = sorted(
    path for path in PACKAGE.rglob("*.py") if path.parent != PACKAGE or path.stem in RANK
)


def imports_of(path: Path) -> list[tuple[int, str]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative import"
            assert all(alias.name != "*" for alias in node.names), f"{path}: star import"
            found.append((node.lineno, node.module or ""))
        elif isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_imports_point_down_only(path):
    layer = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
    for line, module in imports_of(path):
        parts = module.split(".")
        if parts[0] != "climlog" or len(parts) < 2:
            continue
        assert RANK[parts[1]] <= RANK[layer], f"{path}:{line}: {layer} imports {module}"
        if layer == "importer" and parts[1] == "model":
            assert parts[2] in IMPORTER_MAY_USE, f"{path}:{line}: importer imports {module}"


def test_only_the_commands_import_click():
    users = {path for path in PACKAGE.rglob("*.py") for _, m in imports_of(path) if m == "click"}
    assert users
    assert all(path.parent.name == "cli" for path in users)


@pytest.mark.parametrize("folder", ["importer", "model", "analysis", "report"])
def test_inner_package_files_hold_a_docstring_only(folder):
    tree = ast.parse((PACKAGE / folder / "__init__.py").read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    assert len(tree.body) == 1


@pytest.mark.parametrize("arguments", [["--help"], ["place", "--help"], ["--version"]])
def test_help_starts_without_the_heavy_libraries(arguments):
    script = (
        "import sys\n"
        "from climlog.cli import main\n"
        f"try: main({arguments!r})\n"
        "except SystemExit as end: assert end.code == 0\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_no_module_grows_past_400_lines():
    sizes = {p.name: len(p.read_text(encoding="utf-8").splitlines()) for p in PACKAGE.rglob("*.py")}
    assert {name: size for name, size in sizes.items() if size > 400} == {}
