"""Sites planned by the workers of a cluster: the very files that this process alone writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.cluster import season_files, season_files_on_a_cluster
from tests.benchmarks.invented_programme import write_programme

pytestmark = pytest.mark.slow
DAY = ("--as-of", "2026-11-25", "--season", "2027")


def test_a_dask_cluster_makes_the_same_files(tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    programme = tmp_path / "programme"
    write_programme(programme, 20)
    theirs = season_files_on_a_cluster(programme, tmp_path / "cluster", DAY, 2)
    assert "staff.ics" in theirs
    assert len([name for name in theirs if name.startswith("sites/")]) == 40
    assert theirs == season_files(programme, tmp_path / "alone", DAY)
