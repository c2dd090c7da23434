"""The shape of the package: imports point down only, and `climlog --help` starts light."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import climlog

PACKAGE = Path(climlog.__file__).parent
RANK = {
    "errors": 0,
    "told": 0,
    "arguments": 1,
    "limits": 1,
    "units": 1,
    "tables": 2,
    "model": 3,
    "importer": 4,
    "sheets": 4,
}
RANK |= {"analysis": 5, "report": 6, "desk": 7, "cli": 8}
STRANGERS = [{"importer", "sheets"}, {"limits", "units"}]
LOOKUPS = {"board", "woods", "finishes", "movement", "psychrometrics"}
"""What the two readers may use of the model: its records and its lookups."""
HEAVY = ("numpy", "pandas", "scipy", "matplotlib", "jinja2", "flask", "werkzeug", "waitress")
LONGEST_MODULE, LONGEST_FUNCTION = 600, 40
ROOTS_OWN = {"__init__", "__main__"}
FILES = sorted(
    path for path in PACKAGE.rglob("*.py") if path.parent != PACKAGE or path.stem not in ROOTS_OWN
)
"""Everything but the root's own two files: a module that RANK does not know has no place."""
MAY_USE_THE_ROOT = {"cli", "desk", "report"}
"""For its version alone: a room that imported the public names would close a circle."""
INNER = sorted(
    path
    for path in PACKAGE.rglob("__init__.py")
    if path.parent != PACKAGE and path.parent.name not in ("tables", "cli")
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
    assert layer in RANK, f"{path}: {layer} has no place among the layers"
    for line, module in imports_of(path):
        parts = module.split(".")
        if module == "climlog":
            assert layer in MAY_USE_THE_ROOT, f"{path}:{line}: {layer} imports the root"
        if parts[0] != "climlog" or len(parts) < 2:
            continue
        assert RANK[parts[1]] <= RANK[layer], f"{path}:{line}: {layer} imports {module}"
        if parts[1] != layer:
            assert {parts[1], layer} not in STRANGERS, f"{path}:{line}: {layer} imports {module}"
        if layer in ("importer", "sheets") and parts[1] == "model":
            assert parts[2] in LOOKUPS, f"{path}:{line}: {layer} imports {module}"


def test_only_the_desk_imports_a_server():
    servers = {"flask", "werkzeug", "waitress"}
    users = {
        p for p in PACKAGE.rglob("*.py") for _, m in imports_of(p) if m.split(".")[0] in servers
    }
    assert users
    assert all(path.parent.name == "desk" for path in users)


def test_only_the_commands_import_click():
    users = {path for path in PACKAGE.rglob("*.py") for _, m in imports_of(path) if m == "click"}
    assert users
    assert all(path.parent.name == "cli" for path in users)


@pytest.mark.parametrize("path", INNER, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_inner_package_files_hold_a_docstring_only(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree)
    assert len(tree.body) == 1


def module_of(path: Path) -> str:
    parts = ("climlog", *path.relative_to(PACKAGE).with_suffix("").parts)
    return ".".join(parts).removesuffix(".__init__")


def arrows_of(path: Path, known: set[str]) -> set[str]:
    """Modules of ours that a file imports anywhere: type-only and inner imports included."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            of_names = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {name if name in known else str(node.module) for name in of_names}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return (found & known) - {module_of(path)}


def circles_among(arrows: dict[str, set[str]]) -> list[list[str]]:
    """Groups of modules that reach each other: what never runs out of arrows, either way."""
    left = {name: set(to) for name, to in arrows.items()}
    while True:
        taken = set().union(*left.values()) if left else set()
        ends = {name for name, to in left.items() if not to & left.keys() or name not in taken}
        if not ends:
            return [sorted(left)] if left else []
        left = {name: to - ends for name, to in left.items() if name not in ends}


def test_no_import_runs_in_a_circle():
    known = {module_of(path) for path in PACKAGE.rglob("*.py")}
    arrows = {
        module_of(path): arrows_of(path, known)
        for path in PACKAGE.rglob("*.py")
        if path != PACKAGE / "__init__.py"
    }
    assert circles_among(arrows) == []


def test_a_circle_would_be_seen():
    assert circles_among({"a": {"b"}, "b": {"c"}, "c": {"b"}, "d": set()}) == [["b", "c"]]


def test_folders_import_each_other_one_way_only():
    known = {module_of(path) for path in PACKAGE.rglob("*.py")}
    folders: dict[str, set[str]] = {}
    for path in PACKAGE.rglob("*.py"):
        if path.parent == PACKAGE:
            continue
        here = module_of(path.parent / "__init__.py")
        to = {module_of_folder(name, known) for name in arrows_of(path, known)}
        folders.setdefault(here, set()).update(
            name for name in to if name != here and not is_kin(name, here)
        )
    assert circles_among(folders) == []


def module_of_folder(name: str, known: set[str]) -> str:
    is_folder = any(other.startswith(f"{name}.") for other in known)
    return name if is_folder else name.rpartition(".")[0]


def is_kin(one: str, other: str) -> bool:
    """Whether one folder lies in the other: its files may use each other's."""
    return f"{one}.".startswith(f"{other}.") or f"{other}.".startswith(f"{one}.")


@pytest.mark.parametrize(
    "arguments", [["--help"], ["place", "--help"], ["desk", "--help"], ["--version"]]
)
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


def sizes_of(folder: Path) -> dict[str, int]:
    return {
        path.relative_to(folder).as_posix(): len(path.read_text(encoding="utf-8").splitlines())
        for path in folder.rglob("*.py")
    }


def test_no_module_grows_past_600_lines():
    sizes = sizes_of(PACKAGE)
    assert {name: size for name, size in sizes.items() if size > LONGEST_MODULE} == {}


def code_lines_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from `def` to the end, the docstring left out."""
    says = function.body[0]
    is_said = isinstance(says, ast.Expr) and isinstance(says.value, ast.Constant)
    told = says.end_lineno - says.lineno + 1 if is_said else 0
    return function.end_lineno - function.lineno + 1 - told


def functions_of(text: str) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef)
    return [node for node in ast.walk(ast.parse(text)) if isinstance(node, kinds)]


def test_no_function_grows_past_40_lines_of_code():
    long = {
        f"{path.relative_to(PACKAGE).as_posix()} {one.name}": code_lines_of(one)
        for path in PACKAGE.rglob("*.py")
        for one in functions_of(path.read_text(encoding="utf-8"))
        if code_lines_of(one) > LONGEST_FUNCTION
    }
    assert long == {}


def test_lines_of_a_function_are_counted_without_its_docstring():
    text = 'def short(a,\n    b):\n    """Say.\n\n    More.\n    """\n    return a\n'
    assert [code_lines_of(one) for one in functions_of(text)] == [3]


def test_sizes_are_told_by_path(tmp_path):
    for folder, lines in (("a", 3), ("b", 7)):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "same.py").write_text("x = 1\n" * lines, encoding="utf-8")
    assert sizes_of(tmp_path) == {"a/same.py": 3, "b/same.py": 7}


SAMPLES = PACKAGE.parent / "sample_logs"
JOBS = {
    "crack": ["ferry_house_dining_room.csv", "--piece", "crack_held_top.toml"],
    "room": ["drying_room.csv", "--stock", "stock.toml"],
}


@pytest.mark.parametrize("job", JOBS)
def test_a_job_runs_without_the_statistics_and_signal_libraries(job):
    script = (
        "import sys\n"
        "from climlog.cli import main\n"
        f"try: main([{job!r}, *{JOBS[job]!r}, '--json', '-'])\n"
        "except SystemExit as end: assert end.code in (0, None)\n"
        "away = ('scipy.stats', 'scipy.signal', 'flask', 'werkzeug', 'waitress')\n"
        "print([name for name in away if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=SAMPLES, capture_output=True, text=True, check=True, encoding="utf-8",
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"
