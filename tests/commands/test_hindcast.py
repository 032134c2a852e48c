"""The hindcast command: counts as JSON and as a table; a site without a record is told so."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from orchardcal.commands.hindcast import hindcast
from orchardcal.errors import NothingToPlan

DEMO = Path(__file__).parents[2] / "demo_sites"


def test_every_season_of_the_record_is_judged_in_three_ways() -> None:
    ran = CliRunner().invoke(hindcast, [str(DEMO), "huon-reach", "--json"])
    assert ran.exit_code == 0, ran.output
    found = json.loads(ran.stdout)
    seasons = len(found["seasons"])
    assert len({one["way"] for one in found["verdicts"]}) == 3
    for one in found["verdicts"]:
        assert 0 <= one["right"] <= one["asked"] <= seasons
        low, high = one["interval_80"]
        assert low <= one["right"] / one["asked"] <= high
    for one in found["days_lost"]:
        assert one["seasons"] + one["without_window"] <= seasons


def test_the_table_prints_counts_with_their_interval() -> None:
    ran = CliRunner().invoke(hindcast, [str(DEMO), "huon-reach"])
    assert ran.exit_code == 0, ran.output
    assert " of 12 (" in ran.stdout
    assert "each planned from the others" in ran.stdout


def test_a_site_without_a_record_has_no_past_seasons_to_judge() -> None:
    ran = CliRunner().invoke(hindcast, [str(DEMO), "tamarsh"])
    assert isinstance(ran.exception, NothingToPlan)
    assert "no record of ten whole seasons" in str(ran.exception)
