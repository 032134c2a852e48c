"""Sites planned by the workers of a cluster: the very files that this process alone writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from orchardcal.plan.schedule.territories import CREWS_TOGETHER
from tests.benchmarks.cluster import season_files, season_files_on_a_cluster
from tests.benchmarks.invented_programme import write_programme
from tests.commands.running import run
from tests.invented_city import write_city

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


def test_crews_by_territory_are_put_on_the_same_days_there(tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    programme = tmp_path / "city"
    write_city(programme, 26, crews=CREWS_TOGETHER + 1)
    theirs = season_files_on_a_cluster(programme, tmp_path / "cluster", DAY, 2)
    assert b'"crew": "c012"' in theirs["plan.json"]
    assert theirs == season_files(programme, tmp_path / "alone", DAY)


def test_where_nobody_answers_one_message_says_so(tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    programme = tmp_path / "city"
    write_city(programme, 2)
    said = run("season", str(programme), "--cluster", "tcp://127.0.0.1:9", "--as-of", DAY[1])
    assert said.code == 2
    assert "No Dask scheduler answers at tcp://127.0.0.1:9" in said.err
    assert "Traceback" not in said.err
