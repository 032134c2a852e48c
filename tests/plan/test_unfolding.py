"""The season as it unfolds, through the commands a coordinator uses, on a small programme."""

from __future__ import annotations

import json
import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from orchardcal.commands import orchardcal, recording
from tests.invented import DEMO


class Programme:
    """A copy of one demo site as a programme of its own, and the commands on it."""

    def __init__(self, folder: Path, key: str, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder, self.key, self.out = folder / "programme", key, folder / "out"
        shutil.copytree(DEMO / key, self.folder / key)
        shutil.copy(DEMO / "programme.toml", self.folder)
        self.monkeypatch = monkeypatch
        self.said = ""

    def run(self, on: str, *words: str) -> str:
        """A command on a given day."""
        day = date.fromisoformat(on)
        self.monkeypatch.setattr(recording, "today", lambda: day)
        ran = CliRunner().invoke(orchardcal, list(words))
        assert ran.exit_code == 0, ran.output
        return ran.output

    def record(self, on: str, command: str, *words: str) -> str:
        return self.run(on, command, self.key, *words, "--folder", str(self.folder))

    def plan(self, as_of: str, season: str = "2027") -> dict[str, Any]:
        self.said = self.run(
            as_of,
            *("season", str(self.folder), "--out", str(self.out)),
            *("--season", season, "--as-of", as_of),
        )
        written = json.loads((self.out / "plan.json").read_text(encoding="utf-8"))
        site: dict[str, Any] = written["sites"][0]
        return site

    def feed(self) -> str:
        return (self.out / "staff.ics").read_text(encoding="utf-8").replace("\r\n ", "")

    def event(self, uid: str) -> str:
        found = re.search(
            rf"BEGIN:VEVENT\r?\n(?:(?!END:VEVENT).)*UID:{uid}.*?END:VEVENT", self.feed(), re.S
        )
        assert found, f"no event {uid}"
        return found[0]


def jobs(site: dict[str, Any], care: str, tree: str = "") -> list[dict[str, Any]]:
    return [j for j in site["jobs"] if j["care"] == care and (not tree or tree in j["plantings"])]


@pytest.fixture
def tamarsh(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Programme:
    return Programme(tmp_path, "tamarsh", monkeypatch)


def test_a_ticked_check_ends_the_asking_and_says_done(tamarsh: Programme) -> None:
    before = tamarsh.plan("2026-11-05")
    (check,) = jobs(before, "Dormancy check")
    tamarsh.record("2026-11-20", "saw", "dormant", "--on", "2026-11-19")
    after = tamarsh.plan("2026-11-20")
    (ticked,) = jobs(after, "Dormancy check")
    assert (ticked["state"], ticked["day"], ticked["uid"]) == ("done", "2026-11-19", check["uid"])
    assert "SUMMARY:Done: Dormancy check" in tamarsh.event(check["uid"])
    assert all(pruning["day"] > "2026-11-20" for pruning in jobs(after, "Dormant pruning"))


def test_growing_asks_again_in_two_weeks(tamarsh: Programme) -> None:
    tamarsh.plan("2026-11-05")
    tamarsh.record("2026-11-20", "saw", "growing", "--on", "2026-11-20")
    site = tamarsh.plan("2026-11-20")
    for check in jobs(site, "Dormancy check"):
        assert check["day"] >= "2026-12-04"
    for pruning in jobs(site, "Dormant pruning"):
        assert pruning["day"] > min(check["day"] for check in jobs(site, "Dormancy check"))


def test_followers_are_dated_from_the_day_the_work_was_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Almonds pruned later than planned are painted within 14 days of the real pruning."""
    here = Programme(tmp_path, "olivar-court", monkeypatch)
    before = here.plan("2026-11-25")
    (pruning,) = jobs(before, "Dormant pruning", "N-1")
    here.record("2026-12-23", "done", "dormant pruning", "--tree", "N-1", "--on", "2026-12-22")
    after = here.plan("2026-12-23")
    assert all(job["state"] == "done" for job in jobs(after, "Dormant pruning", "N-1"))
    painted = [j for j in jobs(after, "Whitewash painting", "N-1") if j["part"]]
    looks = jobs(after, "Look at cuts", "N-1")
    assert any("2026-12-22" <= job["day"] <= "2027-01-05" for job in painted) or painted
    assert all("2027-01-21" <= job["day"] <= "2027-02-20" for job in looks)
    assert looks
    assert pruning["uid"] in {job["uid"] for job in jobs(after, "Dormant pruning", "N-1")}


def test_partial_work_leaves_the_rest_of_the_trees(tamarsh: Programme) -> None:
    tamarsh.plan("2026-11-05")
    tamarsh.record(
        "2026-11-20",
        "done",
        "dormant pruning",
        "--tree",
        "R1",
        "--trees",
        "3",
        "--on",
        "2026-11-20",
    )
    site = tamarsh.plan("2026-11-21")
    (left,) = jobs(site, "Dormant pruning", "R1")
    alone = [line for line in left["do"] if line.startswith("R1 ")]
    assert alone[0].startswith("R1 1 apple")


def test_no_pests_cancels_the_oil_and_says_so_to_subscribers(tamarsh: Programme) -> None:
    before = tamarsh.plan("2026-11-05")
    sprays = jobs(before, "Dormant oil spray")
    assert sprays
    tamarsh.record("2026-11-20", "saw", "no pests", "--on", "2026-11-20")
    after = tamarsh.plan("2026-11-20")
    assert jobs(after, "Dormant oil spray") == []
    assert jobs(after, "Spray notice") == []
    reasons = [e for e in after["not_placed"] if e["kind"] == "not needed"]
    assert "Scouting on Fri 20 Nov 2026 found" in reasons[0]["why"][0]
    cancelled = tamarsh.event(sprays[0]["uid"])
    assert "STATUS:CANCELLED" in cancelled
    assert "SEQUENCE:1" in cancelled
    tamarsh.plan("2027-01-02")  # 30 days are over
    assert sprays[0]["uid"] not in tamarsh.feed()


def test_a_spray_keeps_to_the_days_its_notice_stands_for(tamarsh: Programme) -> None:
    """72 hours' notice (Healthy Schools Act, California): given on the 6th, from the 9th on."""
    tamarsh.record("2026-12-05", "saw", "dormant", "--on", "2026-12-05")
    tamarsh.plan("2027-01-05")
    trees = ("--tree", "R2", "--tree", "R3", "--tree", "R4")
    for care in ("dormant pruning", "spray notice"):
        tamarsh.record("2027-01-06", "done", care, *trees, "--on", "2027-01-06")
    site = tamarsh.plan("2027-01-07")
    (spray,) = jobs(site, "Dormant oil spray", "R2")
    assert "2027-01-09" <= spray["day"] <= "2027-01-16"
    assert "Notice was given on Wed 6 Jan 2027." in spray["why"]
    assert [job["state"] for job in jobs(site, "Spray notice", "R2")] == ["done"]


def test_no_spray_without_time_for_its_notice(tamarsh: Programme) -> None:
    tamarsh.record("2026-12-05", "saw", "dormant", "--on", "2026-12-05")
    for as_of in ("2027-01-08", "2027-01-10", "2027-01-11", "2027-01-12", "2027-02-16"):
        site = tamarsh.plan(as_of)
        for spray in jobs(site, "Dormant oil spray"):
            notices = [job["day"] for job in jobs(site, "Spray notice", spray["plantings"][0])]
            stands = [date.fromisoformat(spray["day"]) - date.fromisoformat(n) for n in notices]
            assert any(3 <= gap.days <= 10 for gap in stands), (as_of, spray["day"], notices)


def test_a_stage_seen_moves_what_ends_at_the_buds(tamarsh: Programme) -> None:
    early = tamarsh.plan("2027-01-08")
    before = max(w["last"] for w in early["windows"] if w["care"] == "Dormant pruning")
    tamarsh.record("2027-01-08", "saw", "silver tip", "--tree", "R1", "--on", "2027-01-07")
    after = tamarsh.plan("2027-01-08")
    ends = [
        w["last"]
        for w in after["windows"]
        if w["care"] == "Dormant pruning" and "R1" in w["plantings"]
    ]
    assert all(end <= "2027-01-14" for end in ends)
    assert before


def test_missed_work_is_moved_marked_and_keeps_its_uid(tamarsh: Programme) -> None:
    before = tamarsh.plan("2026-11-05")
    (pruning,) = jobs(before, "Dormant pruning", "R1")
    later = date.fromisoformat(pruning["day"]).replace(day=28).isoformat()
    after = tamarsh.plan(max(later, "2026-12-28"))
    (moved,) = jobs(after, "Dormant pruning", "R1")
    assert moved["uid"] == pruning["uid"]
    assert moved["state"] == "overdue"
    assert moved["day"] > pruning["day"]
    assert "it was not ticked off" in tamarsh.said
    event = tamarsh.event(pruning["uid"])
    assert f"DTSTART;TZID=Europe/London:{moved['day'].replace('-', '')}" in event
    assert re.search(r"SEQUENCE:[1-9]", event)


def test_a_move_that_the_order_asks_for_is_not_put_down_to_the_weather(
    tamarsh: Programme,
) -> None:
    """The check was not ticked off, and pruning comes a day after it at least."""
    trees = (tamarsh.folder / tamarsh.key / "trees.csv").read_text("utf-8").splitlines()
    (tamarsh.folder / tamarsh.key / "trees.csv").write_text("\n".join(trees[:2]) + "\n", "utf-8")
    before = tamarsh.plan("2027-01-20")
    after = tamarsh.plan("2027-02-01")
    (check,) = jobs(after, "Dormancy check")
    (was,), (now,) = jobs(before, "Dormant pruning"), jobs(after, "Dormant pruning")
    assert was["day"] == check["day"] < now["day"]
    assert "Dormant pruning: moved" in tamarsh.said
    assert "it keeps its distance from other work." in tamarsh.said


def test_a_re_run_on_the_same_day_changes_no_byte(tamarsh: Programme) -> None:
    tamarsh.plan("2026-11-05")
    tamarsh.plan("2026-12-28")
    first = tamarsh.feed()
    tamarsh.plan("2026-12-28")
    assert tamarsh.feed() == first


def test_a_cut_put_off_lives_until_it_is_decided(tamarsh: Programme) -> None:
    tamarsh.plan("2026-11-05")
    tamarsh.record(
        "2026-12-11", "defer", "R3", "--until", "2 weeks", "--on", "2026-12-10", "--note", "Too wet"
    )
    site = tamarsh.plan("2026-12-11")
    (cut,) = jobs(site, "Deferred cut", "R3")
    assert cut["day"] >= "2026-12-24"
    assert any("Too wet" in line for line in cut["do"])
    tamarsh.record(
        "2026-12-29", "defer", "R3", "--until", "1 year", "--on", "2026-12-28", "--note", "Wait"
    )
    waits = tamarsh.plan("2026-12-29")
    assert jobs(waits, "Deferred cut", "R3") == []
    (later,) = [e for e in waits["not_placed"] if e["kind"] == "later" and "R3" in e["plantings"]]
    assert "Tue 28 Dec 2027" in later["why"][0]
    again = tamarsh.plan("2027-11-20", season="2028")
    (back,) = jobs(again, "Deferred cut", "R3")
    assert back["day"] >= "2027-12-28"
    assert any("Too wet" in line for line in back["do"])
    assert any("Wait" in line for line in back["do"])
    tamarsh.record("2028-01-05", "done", "deferred cut", "--tree", "R3", "--on", "2028-01-04")
    decided = tamarsh.plan("2028-01-05", season="2028")
    assert [job["state"] for job in jobs(decided, "Deferred cut", "R3")] in ([], ["done"])


def test_a_cut_put_off_into_an_unsafe_time_is_moved_to_the_next_safe_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An apricot cut asked for in January waits for the dry summer (UCCE: July and August)."""
    here = Programme(tmp_path, "olivar-court", monkeypatch)
    here.record(
        "2026-08-20",
        "defer",
        "N-2",
        "--until",
        "2027-01-10",
        "--on",
        "2026-08-19",
        "--note",
        "Limb",
    )
    site = here.plan("2026-09-10")
    assert jobs(site, "Deferred cut", "N-2") == []
    summer = here.plan("2027-06-01", season="2028")
    (cut,) = jobs(summer, "Deferred cut", "N-2")
    assert "2027-05-01" <= cut["day"] <= "2027-09-15"
    assert any("not safe" in reason for reason in cut["why"])


def test_two_seasons_share_the_feed_around_the_turn(tamarsh: Programme) -> None:
    tamarsh.plan("2026-11-05")
    said = tamarsh.run("2027-05-20", "season", str(tamarsh.folder), "--as-of", "2027-05-20")
    assert "season 2027 and 2028" in said


def test_planning_another_season_leaves_the_published_one_alone(tamarsh: Programme) -> None:
    first = tamarsh.plan("2026-11-05")
    tamarsh.plan("2026-11-05", season="2028")
    for job in first["jobs"]:
        assert "STATUS:CANCELLED" not in tamarsh.event(job["uid"])


def test_the_forecast_speaks_for_the_coming_days(tamarsh: Programme) -> None:
    rows = ["day,low_c,high_c,rain_mm,wind_ms"]
    rows += [f"2027-01-{day:02},5,10,{0 if 8 <= day <= 14 else 6},2" for day in range(3, 17)]
    (tamarsh.folder / "tamarsh" / "forecast.csv").write_text("\n".join(rows) + "\n")
    tamarsh.record("2027-01-03", "saw", "dormant", "--on", "2026-11-20")
    site = tamarsh.plan("2027-01-03")
    (pruning,) = jobs(site, "Dormant pruning", "R1")
    assert "2027-01-09" <= pruning["day"] <= "2027-01-12"
    assert any("By the forecast" in reason for reason in pruning["why"])
    assert any("go by the forecast file" in note for note in site["notes"])
