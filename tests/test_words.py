"""One spelling for each idea of the project, and no word that has no business in it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = "orchardcal"
# Written in halves, so that this file passes its own test.
FOREIGN = tuple(
    re.compile("".join(halves), re.IGNORECASE)
    for halves in (
        (r"(^|[^a-z.\w])/(wo", r"rk|fa", r"rm|ro", r"ot|ho", r"me)/"),
        (r"(^|[^a-z.\w])/t", r"mp\b"),
        ("tran", "script"),
        ("seed ", "document"),
        ("coding ", "agent"),
        ("sub", "agent"),
        ("language ", "model"),
        (r"\bcl", r"aude\b"),
        ("anth", "ropic"),
        ("open", "ai\\b"),
        ("chat", "gpt"),
        (r"\bL", r"LM\b"),
        (r"\biss", r"ue #?\d"),
        (r"\bth(is|e) iss", r"ue\b"),
        (r"\bth(is|e|e lead's) se", r"ssion\b"),
        (r"\bsha", r"red/"),
        ("py", r"pi\.org"),
        ("python", r"hosted\.org"),
        ("npm", r"js\.(org|com)"),
        ("deb", r"\.debian\.org"),
    )
)
TWINS = {
    "campus": "site",
    "chore": "care",
    "parcel": "planting or site",
    "phenology": "stage",
    "phenophase": "stage",
    "postpone": "defer",
    "postponed": "deferred",
    "postponement": "deferred",
    "snooze": "defer",
    "tardy": "deferred",
    "varieties": "cultivars",
    "variety": "cultivar",
}
WITHOUT_UNIT = {
    "altitude",
    "chill_hours",
    "degrees",
    "diameter",
    "elevation",
    "hourly_temperature",
    "lat",
    "latitude",
    "lon",
    "longitude",
    "precipitation",
    "temp",
    "temperature",
    "temperatures",
    "temps",
    "tmax",
    "tmean",
    "tmin",
}
BINARY = {".gz", ".png", ".jpg", ".sqlite", ".ico", ".woff2"}


def test_no_foreign_word_in_any_file(repository: Path, own_files: tuple[Path, ...]) -> None:
    found = [
        f"{path}:{number}: {line.strip()[:80]}"
        for path, number, line in _lines(repository, own_files)
        if any(pattern.search(line) for pattern in FOREIGN)
    ]
    assert found == []


def test_no_foreign_word_in_any_file_name(own_files: tuple[Path, ...]) -> None:
    found = [path for path in own_files if any(word.search(str(path)) for word in FOREIGN)]
    assert found == []


@pytest.mark.parametrize(
    "line",
    [
        "see /t" + "mp/notes",
        'open("/wo' + 'rk/main")',
        "the tran" + "scripts",
        "as iss" + "ue 12 asks",
        "as sha" + "red/models.md says",
    ],
)
def test_the_search_for_foreign_words_finds_them(line: str) -> None:
    assert any(pattern.search(line) for pattern in FOREIGN)


@pytest.mark.parametrize(
    "line",
    [
        "https://example.org/work/plan",
        "the permit was issued",
        "temperature",
        "PT1H",
        "User-Agent",
        "a notice is issued 72 h before",
        "networks and frameworks/parts",
    ],
)
def test_the_search_for_foreign_words_leaves_the_rest_alone(line: str) -> None:
    assert not any(pattern.search(line) for pattern in FOREIGN)


def test_documents_that_are_named_exist(repository: Path, own_files: tuple[Path, ...]) -> None:
    there = {path.name for path in own_files}
    named = re.compile(r"\b[\w-]+\.md\b")
    missing = [
        f"{path}:{number}: {name}"
        for path, number, line in _lines(repository, own_files)
        if path.suffix in {".py", ".md", ".toml", ".sh"}
        for name in named.findall(line)
        if name not in there and name not in {"README.md", "DEVELOPERS.md"}
    ]
    assert [line for line in missing if not line.startswith("tests/test_words.py")] == []


def test_one_word_for_each_idea(repository: Path, own_files: tuple[Path, ...]) -> None:
    found = [
        f"{path}:{line}: {name} (the project's word is {TWINS[part]})"
        for path, line, name in _names(repository, own_files)
        for part in _parts(name)
        if part in TWINS
    ]
    assert found == []


def test_quantities_carry_their_unit(repository: Path, own_files: tuple[Path, ...]) -> None:
    """What others see: fields, and arguments of public functions but for a command's options."""
    found = [
        f"{path}:{line}: {name}"
        for path, line, name in _seen_by_others(repository, own_files)
        if name in WITHOUT_UNIT and path.parts[1] != "commands"
    ]
    assert found == []


def _lines(repository: Path, own_files: tuple[Path, ...]) -> Iterator[tuple[Path, int, str]]:
    for path in own_files:
        if path.suffix not in BINARY:
            text = (repository / path).read_bytes().decode("utf-8", errors="replace")
            yield from ((path, number, line) for number, line in enumerate(text.splitlines(), 1))


def _nodes(repository: Path, own_files: tuple[Path, ...]) -> Iterator[tuple[Path, ast.AST]]:
    """Every syntax node of the package, with its file."""
    for path in own_files:
        if path.parts[0] == PACKAGE and path.suffix == ".py":
            tree = ast.parse((repository / path).read_text(encoding="utf-8"))
            yield from ((path, node) for node in ast.walk(tree))


def _names(repository: Path, own_files: tuple[Path, ...]) -> Iterator[tuple[Path, int, str]]:
    """Every name the package gives: classes, functions, arguments, fields, variables."""
    for path, node in _nodes(repository, own_files):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            yield path, node.lineno, node.name
        elif isinstance(node, ast.arg):
            yield path, node.lineno, node.arg
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield path, node.lineno, node.id


def _seen_by_others(
    repository: Path, own_files: tuple[Path, ...]
) -> Iterator[tuple[Path, int, str]]:
    for path, node in _nodes(repository, own_files):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield path, node.lineno, node.target.id
        elif isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            arguments = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            yield from ((path, argument.lineno, argument.arg) for argument in arguments)


def _parts(name: str) -> list[str]:
    """The words of a name, whether joined by underscores or by capitals.

    >>> _parts("_LastFreeze_of_site")
    ['last', 'freeze', 'of', 'site']
    """
    return re.sub(r"(?<=[a-z0-9])(?=[A-Z])", "_", name).strip("_").lower().split("_")
