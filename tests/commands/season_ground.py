"""A programme of two demo sites, run until its published rows rest, to run again after an edit."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner

from orchardcal.commands import orchardcal
from orchardcal.journal.store import STORE_NAME, Store

AS_OF = "2026-11-25"
SITES = ("tamarsh", "huon-reach")


@dataclass(frozen=True)
class Ground:
    """A programme of two sites, run until its published rows rest, what was written and kept."""

    folder: Path
    pristine: Path
    out: Path
    cache: Path
    kept: Path
    written: dict[str, bytes]

    def restore(self) -> None:
        """The folder and what subscribers last saw, as they were after the second run."""
        shutil.rmtree(self.folder)
        shutil.copytree(self.pristine, self.folder)
        shutil.rmtree(self.out, ignore_errors=True)

    def restore_kept(self) -> None:
        shutil.rmtree(self.cache, ignore_errors=True)
        shutil.copytree(self.kept, self.cache)

    def run(self, *more: str, as_of: str = AS_OF) -> dict[str, bytes]:
        """All that a run writes and says, by its path."""
        words = ["season", str(self.folder), "--out", str(self.out), "--as-of", as_of, *more]
        ran = CliRunner().invoke(orchardcal, words)
        assert ran.exit_code == 0, ran.output
        files = {
            path.relative_to(self.out).as_posix(): path.read_bytes()
            for path in self.out.rglob("*")
            if path.is_file()
        }
        with Store.open(self.folder / STORE_NAME, create=False) as store:
            published = repr(store.published()).encode()
        return {**files, "said": ran.output.encode(), "published": published}

    def results(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.cache.rglob("*") if path.is_file()}


def replaced(path: str, old: str, new: str) -> Callable[[Path], None]:
    def edit(folder: Path) -> None:
        text = (folder / path).read_text(encoding="utf-8")
        assert old in text
        (folder / path).write_text(text.replace(old, new, 1), encoding="utf-8")

    return edit
