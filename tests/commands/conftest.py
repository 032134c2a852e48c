"""The ground on which several modules run seasons again; made once."""

from __future__ import annotations

import shutil

import pytest

from tests.commands.season_ground import SITES, Ground
from tests.invented import DEMO


@pytest.fixture(scope="session")
def twice_run(tmp_path_factory: pytest.TempPathFactory) -> Ground:
    base = tmp_path_factory.mktemp("kept")
    folder, pristine, out = base / "programme", base / "pristine", base / "out"
    ground = Ground(folder, pristine, out, base / "cache", base / "kept", {})
    ground.folder.mkdir()
    shutil.copy(DEMO / "programme.toml", ground.folder)
    for site in SITES:
        shutil.copytree(DEMO / site, ground.folder / site)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CACHE_HOME", str(ground.cache))
        ground.run()
        ground.run()
        shutil.copytree(ground.folder, ground.pristine)
        shutil.rmtree(ground.cache)
        ground.written.update(ground.run("--afresh"))
    shutil.copytree(ground.cache, ground.kept)
    return ground


@pytest.fixture
def ground(twice_run: Ground, monkeypatch: pytest.MonkeyPatch) -> Ground:
    monkeypatch.setenv("XDG_CACHE_HOME", str(twice_run.cache))
    twice_run.restore()
    twice_run.restore_kept()
    return twice_run
