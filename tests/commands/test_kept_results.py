"""Kept results: whole files of the user's own, found by all they were made from, within bounds."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from orchardcal.commands.kept_results import KeptResults, made_by
from tests.commands.season_ground import Ground

# Run under several hash seeds: the digest of all that the sites' plans are made from.
PRINT_DIGEST = """
import sys
from datetime import date, timedelta
from itertools import cycle
from pathlib import Path
from orchardcal.commands.content_digest import content_digest
from orchardcal.commands.programme import load
from orchardcal.pipeline import Given, works_with_seasons
from orchardcal.outputs.page.site_facts import site_facts
from orchardcal.plan.site_plan import site_plan_of
loaded = load(Path(sys.argv[1]))
of_day = (lambda site: (), None, date(2026, 11, 25))
given = Given(loaded.programme, loaded.weather, loaded.rules, (), *of_day)
inputs = [*given.inputs(loaded.programme.sites)]
((work, seasons),) = works_with_seasons(inputs[1:2])
facts = site_facts(seasons)
assert facts.pupil_days, "a set whose order follows the hash seed"
print(content_digest(inputs), content_digest((site_plan_of(work), facts)))
"""


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX owners and permissions")
def test_what_others_may_have_written_is_not_read(tmp_path: Path) -> None:
    kept = KeptResults(tmp_path / "results")
    kept.keep("key", "result")
    path = tmp_path / "results" / "key"
    assert (path.stat().st_mode & 0o777, path.parent.stat().st_mode & 0o777) == (0o600, 0o700)
    assert kept.found("key", str) == "result"
    path.chmod(0o666)
    assert kept.found("key", str) is None
    path.chmod(0o600)
    path.parent.chmod(0o777)
    assert KeptResults(tmp_path / "results").found("key", str) is None


@pytest.mark.skipif(sys.platform == "win32", reason="POSIX owners and permissions")
def test_another_users_file_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = KeptResults(tmp_path / "results")
    kept.keep("key", "result")
    other = os.geteuid() + 1
    monkeypatch.setattr(os, "geteuid", lambda: other)
    assert kept.found("key", str) is None
    assert KeptResults(tmp_path / "results").key("work", ()) == ""


def test_every_file_of_the_package_counts(tmp_path: Path) -> None:
    (tmp_path / "locale").mkdir()
    (tmp_path / "rules.toml").write_text("portions = 40")
    first = made_by(tmp_path)
    assert made_by(tmp_path) == first
    (tmp_path / "__pycache__").mkdir()
    (tmp_path / "__pycache__" / "plan.cpython-311.pyc").write_bytes(b"compiled")
    assert made_by(tmp_path) == first
    (tmp_path / "rules.toml").write_text("portions = 41")
    second = made_by(tmp_path)
    (tmp_path / "locale" / "es.po").write_text("")
    assert len({first, second, made_by(tmp_path)}) == 3


def test_many_writers_of_one_result(tmp_path: Path) -> None:
    def kept_and_found(number: int) -> object:
        kept = KeptResults(tmp_path / "results")
        kept.keep("key", b"x" * 100_000)
        found = kept.found("key", bytes)
        kept.tidy(most_bytes=50_000 * (number % 2))
        return found

    with ThreadPoolExecutor(8) as pool:
        assert set(pool.map(kept_and_found, range(24))) <= {None, b"x" * 100_000}


def test_the_results_used_longest_ago_leave_first(tmp_path: Path) -> None:
    kept = KeptResults(tmp_path / "results")
    for at, key in enumerate("abc"):
        kept.keep(key, b"x" * 1000)
        os.utime(tmp_path / "results" / key, (at, at))
    assert kept.found("a", bytes)  # now used last
    kept.tidy(most_bytes=2500)
    assert sorted(path.name for path in (tmp_path / "results").iterdir()) == ["a", "c"]


def test_the_digest_is_the_same_under_any_hash_seed(twice_run: Ground) -> None:
    said = set()
    for seed in ("1", "2"):
        ran = subprocess.run(
            [sys.executable, "-c", PRINT_DIGEST, str(twice_run.pristine)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        )
        said.add(ran.stdout)
    assert len(said) == 1
