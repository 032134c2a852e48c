"""What several tests need of the repository itself: its root and the files that belong to it."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
LEFT_BY_TOOLS = {"__pycache__", "build", "dist", "node_modules", "out", "demo_out"}


@pytest.fixture(scope="session", autouse=True)
def _no_kept_results(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Every test plans by itself and leaves the user's cache alone; so do programs tests start."""
    no_folder = tmp_path_factory.mktemp("cache") / "no_folder"
    no_folder.write_text("a file where results would be kept")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(no_folder))
        yield


@pytest.fixture(scope="session")
def repository() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def own_files() -> tuple[Path, ...]:
    """Every file of the project, tracked or about to be, relative to the root.

    Git says which; in an unpacked source archive, everything but what tools leave behind.
    """
    if (ROOT / ".git").exists():
        listed = subprocess.run(
            ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
            cwd=ROOT,
            check=True,
            capture_output=True,
        ).stdout.decode()
        paths = {Path(name) for name in listed.split("\0") if name}
    else:
        paths = {path.relative_to(ROOT) for path in ROOT.rglob("*")}
        paths = {path for path in paths if not _left_by_a_tool(path)}
    return tuple(sorted(path for path in paths if (ROOT / path).is_file()))


def _left_by_a_tool(path: Path) -> bool:
    hidden = path.parts[0].startswith(".") and path.parts[0] not in {".ci", ".gitignore"}
    return hidden or any(part in LEFT_BY_TOOLS or part.endswith(".egg-info") for part in path.parts)
