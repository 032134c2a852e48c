"""A small programme folder to change in one place at a time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from orchardcal.errors import Problems
from orchardcal.sites.reading import read_programme
from orchardcal.sites.record import DailyRecord, read_record
from orchardcal.sites.site import Programme, Site
from tests.sites.elder_lane import PROGRAMME, SITE, SPECIES, STAGES, TREES

ReadSite = Callable[..., Site]
ReadText = Callable[[str | bytes], tuple[DailyRecord | None, Problems]]


@pytest.fixture
def read_programme_of(tmp_path: Path) -> Callable[..., Programme]:
    """Reads a programme of one site, elder-lane, from the texts given; others are usual."""

    def read(
        site: str = SITE, trees: str | bytes = TREES, programme: str = PROGRAMME, name: str = "E"
    ) -> Programme:
        folder = tmp_path / "elder-lane"
        folder.mkdir(exist_ok=True)
        (tmp_path / "programme.toml").write_text(f'name = "{name}"\n{programme}', "utf-8")
        (folder / "site.toml").write_text(f'name = "Elder Lane"\n{site}', "utf-8")
        raw = trees if isinstance(trees, bytes) else trees.encode()
        (folder / "trees.csv").write_bytes(raw)
        return read_programme(tmp_path, SPECIES, STAGES, today=date(2026, 11, 25))

    return read


@pytest.fixture
def read_site_of(read_programme_of: Callable[..., Programme]) -> ReadSite:
    def read(**texts: str | bytes) -> Site:
        return read_programme_of(**texts).sites[0]

    return read


@pytest.fixture
def read_record_of(tmp_path: Path) -> ReadText:
    """Reads a record from its text; returns it and the problems."""

    def read(text: str | bytes) -> tuple[DailyRecord | None, Problems]:
        path = tmp_path / "record.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        problems = Problems()
        return read_record(path, problems, "record.csv"), problems

    return read
