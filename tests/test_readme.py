"""README.md and DEVELOPERS.md say what is true: commands exist, output is real, the map is right.

README.md marks two blocks of commands by a comment on the line before the fence,
`<!-- run: main job -->` and `<!-- run: tests -->`, and the output it shows by
`<!-- shows: main job -->`; DEVELOPERS.md has its map between `<!-- map -->` and `<!-- /map -->`.
"""

from __future__ import annotations

import ast
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = "orchardcal"
LEFT_OUT = "…"  # a line of this alone stands for lines of output not shown
COMMAND = re.compile(r"`(?:\.venv/bin/)?orchardcal ([a-z]+)\b")


@pytest.fixture(scope="module")
def readme(repository: Path) -> str:
    path = repository / "README.md"
    assert path.exists(), "README.md is missing"
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def developers(repository: Path) -> str:
    path = repository / "DEVELOPERS.md"
    assert path.exists(), "DEVELOPERS.md is missing"
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def commands() -> tuple[str, ...]:
    """The commands that the program itself lists in its help."""
    lines = _orchardcal("--help").splitlines()
    start = next(number for number, line in enumerate(lines) if line.strip() == "Commands:")
    found = [re.match(r"  ([a-z]+)(?:\s|$)", line) for line in lines[start + 1 :]]
    return tuple(match.group(1) for match in found if match)


@pytest.mark.parametrize("name", ["main job", "tests"])
def test_each_marked_block_stands_there_once(readme: str, name: str) -> None:
    assert len(_blocks(readme, f"run: {name}", "bash")) == 1


def test_setting_up_takes_two_commands(readme: str) -> None:
    commands = [command for command in _commands_of(readme, "main job") if "season" not in command]
    assert 1 <= len(commands) <= 2
    assert any("pip install" in command for command in commands)


def test_the_tests_need_pip_alone(readme: str) -> None:
    commands = _commands_of(readme, "tests")
    assert any("pytest" in command for command in commands)
    assert not any(re.search(r"\b(apt|npm|docker|curl|wget)\b", command) for command in commands)


def test_every_command_of_the_readme_exists(readme: str, commands: tuple[str, ...]) -> None:
    assert set(COMMAND.findall(readme)) - set(commands) == set()


def test_every_command_is_in_the_readme(readme: str, commands: tuple[str, ...]) -> None:
    assert set(commands) - set(COMMAND.findall(readme)) == set()


def test_every_help_says_what_it_does_and_has_an_example(commands: tuple[str, ...]) -> None:
    assert "season" in commands
    for command in commands:
        text = _orchardcal(command, "--help")
        assert re.search(rf"orchardcal {command} \S", text.split("Usage:", 1)[1]), command
        assert "Example" in text, f"the help of {command} has no example"


def test_the_files_that_the_documents_name_exist(
    repository: Path, readme: str, developers: str
) -> None:
    links = re.findall(r"\]\(((?!https?:|mailto:|#)[^)#\s]+)", readme + developers)
    named = re.findall(r"`((?:orchardcal|tests|demo_sites|\.ci)/[\w./-]+)`", readme + developers)
    assert [path for path in {*links, *named} if not (repository / path).exists()] == []


def test_the_output_of_the_main_job_is_real(readme: str, repository: Path, tmp_path: Path) -> None:
    """Runs the main command on a copy of the demo and looks for what README.md shows of it."""
    shown = _blocks(readme, "shows: main job", "(?:text)?")
    assert len(shown) == 1
    command = next(line for line in _commands_of(readme, "main job") if "orchardcal season" in line)
    shutil.copytree(repository / "demo_sites", tmp_path / "demo_sites")
    arguments = shlex.split(command.split("orchardcal season", 1)[1])
    output = _orchardcal("season", *arguments, folder=tmp_path)
    lines = [line.rstrip() for line in output.splitlines()]
    position = 0
    for part in _parts_shown(shown[0]):
        places = [n for n in range(position, len(lines)) if lines[n : n + len(part)] == part]
        assert places, f"the main job does not print\n{chr(10).join(part)}\nbut\n{output}"
        position = places[0] + len(part)


def test_the_map_names_every_module_with_its_purpose(
    developers: str, repository: Path, own_files: tuple[Path, ...]
) -> None:
    between = re.search(r"<!-- map -->\n(.*?)<!-- /map -->", developers, re.DOTALL)
    assert between, "DEVELOPERS.md has no map between <!-- map --> and <!-- /map -->"
    lines = [line for line in between.group(1).splitlines() if line.startswith("    ")]
    pairs = [re.split(r"\s{2,}", line.strip(), maxsplit=1) for line in lines]
    stands = {path: purpose for path, purpose in pairs if path.endswith(".py")}
    expected = {
        path.relative_to(PACKAGE).as_posix(): _purpose(repository / path)
        for path in own_files
        if path.parts[0] == PACKAGE and path.suffix == ".py" and path.name != "__init__.py"
    }
    width = max(map(len, expected)) + 2
    ready = "\n".join(f"    {path:{width}}{said}" for path, said in expected.items())
    assert stands == expected, f"The map of DEVELOPERS.md should hold:\n{ready}"


def _orchardcal(*arguments: str, folder: Path | None = None) -> str:
    ran = subprocess.run(
        [sys.executable, "-m", PACKAGE, *arguments],
        check=False,
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=folder,
        timeout=120,
    )
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


def _blocks(document: str, mark: str, language: str) -> list[str]:
    fenced = rf"^<!-- {mark} -->\n+```{language}\n(.*?)^```$"
    return re.findall(fenced, document, re.DOTALL | re.MULTILINE)


def _commands_of(readme: str, name: str) -> list[str]:
    block = "\n".join(_blocks(readme, f"run: {name}", "bash")).replace("\\\n", " ")
    lines = [line.split(" #")[0].strip() for line in block.splitlines()]
    return [line for line in lines if line and not line.startswith("#")]


def _parts_shown(block: str) -> list[list[str]]:
    """The stretches of lines between those that say something was left out."""
    parts: list[list[str]] = [[]]
    for line in block.splitlines():
        if line.strip() == LEFT_OUT:
            parts.append([])
        else:
            parts[-1].append(line.rstrip())
    return [part for part in parts if part]


def _purpose(path: Path) -> str:
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    return docstring.splitlines()[0] if docstring else ""
