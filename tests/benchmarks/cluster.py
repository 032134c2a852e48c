"""The season's files made by sites planned on a Dask cluster, and in this process alone."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from click.testing import CliRunner

from orchardcal.commands import orchardcal
from orchardcal.journal.store import STORE_NAME


def season_files(folder: Path, scratch: Path, day: Sequence[str], *more: str) -> dict[str, bytes]:
    """Every file the season command writes, planned anew by this process, with a new journal."""
    out = scratch / "out"
    for journal in folder.glob(f"{STORE_NAME}*"):
        journal.unlink()
    here = ("--out", str(out), "--processes", "1", "--afresh")
    arguments = ["season", str(folder), *here, *day, *more]
    ran = CliRunner().invoke(orchardcal, arguments, catch_exceptions=False)
    assert ran.exit_code == 0, ran.output
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


def season_files_on_a_cluster(
    folder: Path, scratch: Path, day: Sequence[str], workers: int
) -> dict[str, bytes]:
    """The same with each site planned by a worker of a local cluster, through its address."""
    from distributed import LocalCluster

    with LocalCluster(  # type: ignore[no-untyped-call]
        n_workers=workers, threads_per_worker=1, dashboard_address=None, local_directory=scratch
    ) as cluster:
        return season_files(folder, scratch, day, "--cluster", cluster.scheduler_address)
