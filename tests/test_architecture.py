"""The architecture holds: one-way imports, small modules, side effects in the commands only."""

from __future__ import annotations

import ast
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = "orchardcal"
FREE = {"season", "errors", "care", "forms", "sentence"}  # anyone may import these five
STAGES = {
    "sites": set[str](),
    "species": set[str](),
    "climate": set[str](),
    "journal": set[str](),
    "windows": {"sites", "species", "climate"},
    "plan": {"sites", "species", "windows", "journal"},
    "outputs": {"sites", "species", "windows", "journal", "plan"},
    "pipeline": {"sites", "species", "climate", "windows", "journal", "plan"},
}
EVERYTHING = {"commands", "__main__"}  # may import all of the package

LONGEST_MODULE = 400
MEDIAN_MODULE = 120
EMPTY_NAMES = {"utils", "util", "helpers", "helper", "common", "misc", "tools", "shared", "base"}
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", PACKAGE, "tests", "demo_sites"}

CLOCK = {
    ("date", "today"),
    ("datetime", "today"),
    ("datetime", "now"),
    ("datetime", "utcnow"),
    ("time", "time"),
    ("time", "monotonic"),
    ("time", "localtime"),
    ("time", "gmtime"),
    ("time", "sleep"),
}
SURROUNDINGS = {("os", "environ"), ("os", "getenv"), ("sys", "exit"), ("sys", "argv")}
CHANCE = {("uuid", "uuid1"), ("uuid", "uuid4"), ("os", "urandom"), ("random", "seed")}
WRITING = {"write_text", "write_bytes", "mkdir", "unlink", "touch", "rmdir", "symlink_to"}
MOVING = {("os", name) for name in ("replace", "rename", "remove", "makedirs", "mkdir", "unlink")}
OUTSIDE_WORLD = {
    "click",
    "ftplib",
    "http",
    "imaplib",
    "random",
    "secrets",
    "shutil",
    "smtplib",
    "socket",
    "socketserver",
    "subprocess",
    "tempfile",
    "urllib.request",
}


@pytest.fixture(scope="module")
def modules(repository: Path, own_files: tuple[Path, ...]) -> dict[str, ast.Module]:
    """Every module of the package as a syntax tree, by its dotted name."""
    return {
        _dotted(path): ast.parse((repository / path).read_text(encoding="utf-8"))
        for path in own_files
        if path.parts[0] == PACKAGE and path.suffix == ".py"
    }


def test_imports_run_one_way(modules: dict[str, ast.Module]) -> None:
    wrong = [
        f"{module} imports {imported}"
        for module, tree in modules.items()
        for imported in _own_imports(module, tree, modules)
        if not _may_import(_stage(module), _stage(imported))
    ]
    assert wrong == []


def test_every_module_belongs_to_a_known_stage(modules: dict[str, ast.Module]) -> None:
    known = FREE | set(STAGES) | EVERYTHING | {""}
    assert sorted(module for module in modules if _stage(module) not in known) == []


def test_no_import_cycles(modules: dict[str, ast.Module]) -> None:
    graph = {name: set(_own_imports(name, tree, modules)) for name, tree in modules.items()}
    assert _cycle(graph) == []


def test_modules_are_small(repository: Path, own_files: tuple[Path, ...]) -> None:
    lines = {
        path: len((repository / path).read_text(encoding="utf-8").splitlines())
        for path in own_files
        if path.parts[0] == PACKAGE and path.suffix == ".py"
    }
    too_long = {str(path): count for path, count in lines.items() if count > LONGEST_MODULE}
    assert too_long == {}
    with_content = [count for path, count in lines.items() if path.name != "__init__.py"]
    assert statistics.median(with_content) <= MEDIAN_MODULE


def test_modules_are_named_for_what_they_hold(own_files: tuple[Path, ...]) -> None:
    python = [path for path in own_files if path.suffix == ".py"]
    empty = [path for path in python if EMPTY_NAMES & {path.stem, *path.parts[:-1]}]
    assert empty == []


def test_every_module_opens_with_its_purpose(modules: dict[str, ast.Module]) -> None:
    without = [name for name, tree in modules.items() if not ast.get_docstring(tree)]
    assert without == []
    unfinished = [
        name
        for name, tree in modules.items()
        if not (ast.get_docstring(tree) or "").splitlines()[0].endswith(".")
    ]
    assert unfinished == []


def test_side_effects_live_in_the_commands(modules: dict[str, ast.Module]) -> None:
    found = [
        f"{module}:{line}: {what}"
        for module, tree in modules.items()
        if _stage(module) not in EVERYTHING
        for line, what in _side_effects(tree)
    ]
    assert found == []


def test_only_the_journal_opens_a_database(modules: dict[str, ast.Module]) -> None:
    users = {
        _stage(module)
        for module, tree in modules.items()
        if any(name.split(".")[0] == "sqlite3" for _, name in _imports(module, tree))
    }
    assert users <= {"journal"}


def test_print_is_never_used(modules: dict[str, ast.Module]) -> None:
    found = [
        f"{module}:{node.lineno}"
        for module, tree in modules.items()
        if _stage(module) not in EVERYTHING
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in {"print", "input"}
    ]
    assert found == []


def test_top_level_holds_only_what_it_should(own_files: tuple[Path, ...]) -> None:
    tops = {path.parts[0] for path in own_files}
    assert sorted(top for top in tops - TOP_LEVEL if not top.startswith(".")) == []


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("from datetime import date\nday = date.today()", "date.today"),
        ("import datetime as dt\nday = dt.datetime.now()", "datetime.now"),
        ("open('a', 'w')", "open for writing"),
        ("path.open(mode='ab')", "open for writing"),
        ("gzip.open(path, 'wt')", "open for writing"),
        ("path.write_text('a')", "write_text"),
        ("import os\nos.environ['HOME']", "os.environ"),
        ("import sys\nsys.exit(1)", "sys.exit"),
        ("from urllib.request import urlopen", "import of urllib.request"),
        ("import numpy as np\nnp.random.default_rng()", "random numbers without a seed"),
        ("raise SystemExit(2)", "SystemExit"),
    ],
)
def test_the_search_for_side_effects_finds_them(source: str, expected: str) -> None:
    assert expected in [what for _, what in _side_effects(ast.parse(source))]


@pytest.mark.parametrize(
    "source",
    [
        "open('notes')",
        "path.open()",
        "'a-b'.replace('-', ' ')",
        "np.random.default_rng(7)",
        "day.time()",
    ],
)
def test_the_search_for_side_effects_leaves_the_rest_alone(source: str) -> None:
    assert list(_side_effects(ast.parse(source))) == []


def _dotted(path: Path) -> str:
    parts = path.with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _stage(module: str) -> str:
    """The folder, or the module beside the folders, that a dotted name belongs to."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


def _may_import(importer: str, imported: str) -> bool:
    if importer in EVERYTHING or imported in FREE | {"", importer}:
        return True
    return imported in STAGES.get(importer, set())


def _imports(module: str, tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and dotted name of everything imported, relative imports spelled out."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                above = module.split(".")[: -node.level]
                base = ".".join([*above, base] if base else above)
            yield node.lineno, base
            yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)


def _own_imports(module: str, tree: ast.Module, modules: dict[str, ast.Module]) -> list[str]:
    return [name for _, name in _imports(module, tree) if name in modules and name != module]


def _cycle(graph: dict[str, set[str]]) -> list[str]:
    """One cycle of the graph as a list of names, or an empty list."""
    finished: set[str] = set()

    def walk(name: str, trail: list[str]) -> list[str]:
        if name in trail:
            return [*trail[trail.index(name) :], name]
        if name in finished:
            return []
        for imported in sorted(graph[name] - {PACKAGE}):
            if found := walk(imported, [*trail, name]):
                return found
        finished.add(name)
        return []

    for name in sorted(graph):
        if found := walk(name, []):
            return found
    return []


def _side_effects(tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Line and name of each use of the clock, the disk, the network, chance or the process."""
    for line, name in _imports("", tree):
        if name in OUTSIDE_WORLD or name.split(".")[0] in OUTSIDE_WORLD:
            yield line, f"import of {name}"
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            pair = (_last_name(node.value), node.attr)
            if pair in CLOCK | SURROUNDINGS | CHANCE | MOVING:
                yield node.lineno, ".".join(pair)
        elif isinstance(node, ast.Name) and node.id == "SystemExit":
            yield node.lineno, node.id
        elif isinstance(node, ast.Call):
            called = _last_name(node.func)
            if called == "open" and _mode(node) & set("wax+"):
                yield node.lineno, "open for writing"
            elif called in WRITING and isinstance(node.func, ast.Attribute):
                yield node.lineno, called
            elif called == "default_rng" and not node.args and not node.keywords:
                yield node.lineno, "random numbers without a seed"


def _last_name(node: ast.expr) -> str:
    if isinstance(node, ast.Attribute):
        return node.attr
    return node.id if isinstance(node, ast.Name) else ""


def _mode(call: ast.Call) -> set[str]:
    """The letters of the mode an open() is given, as a function or a method; none for reading."""
    given = [word.value for word in call.keywords if word.arg == "mode"] + call.args[:2]
    texts = [node.value for node in given if isinstance(node, ast.Constant)]
    modes = [text for text in texts if isinstance(text, str) and set(text) <= set("rwaxbt+")]
    return set("".join(modes))
