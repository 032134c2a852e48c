"""An invented programme folder for the recording commands, and how to run them in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from orchardcal.journal.entries import Entry
from orchardcal.journal.store import STORE_NAME, Store
from tests.commands.running import Said, run

TREES = """id,species,cultivar,count,planted,form
A-01,apple,Liberty,1,2024,central leader
A-02,apple,Liberty,3,2020,central leader
B-01,pear,Moonglow,1,2020,central leader
"""


@dataclass(frozen=True)
class Folder:
    """A programme with a northern site, millbrook, and a southern one, karoo."""

    path: Path

    def run(self, command: str, *arguments: str) -> Said:
        return run(command, "--folder", str(self.path), *arguments)

    def entries(self) -> tuple[Entry, ...]:
        with Store.open(self.path / STORE_NAME, create=False) as store:
            return store.entries()


def make_folder(path: Path) -> Folder:
    (path / "programme.toml").write_text('name = "Invented gardens"\n', encoding="utf-8")
    for key, latitude_deg in (("millbrook", 44.02), ("karoo", -32.3)):
        (path / key).mkdir()
        (path / key / "site.toml").write_text(
            f'name = "{key}"\nlatitude = {latitude_deg}\nlongitude = 20.0\n', encoding="utf-8"
        )
        (path / key / "trees.csv").write_text(TREES, encoding="utf-8")
    return Folder(path)
