"""The sender killed at any moment: no mail goes twice, none is lost, unknown ones are named."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import threading
import time
from collections import Counter
from pathlib import Path

import pytest

from orchardcal.journal.mail_ledger import SENT, UNKNOWN
from tests.commands.reminding_folder import AS_OF, PEOPLE, Reminding, make_folder
from tests.mail.post_office import PostOffice, mail_table

INES = "ines@orchards.example"


@pytest.mark.parametrize(
    ("helpers", "kills"), [(6, 3), pytest.param(199, 30, marks=pytest.mark.slow)]
)
def test_killed_between_and_inside_mails(
    post_office: PostOffice, tmp_path: Path, helpers: int, kills: int
) -> None:
    """SIGKILL, which no program can catch; helpers + their lead get mail, then the coordinator."""
    folder = _many(tmp_path / "programme", helpers, post_office.port)
    chance = random.Random(20270118)
    for _ in range(kills):
        _run_and_kill(folder, post_office, chance.uniform(0.0, 0.25 if kills > 5 else 0.05))
    last = folder.remind("--send")
    assert last.code == 0, last.err

    received = Counter(
        (one.to, one.message["Message-ID"]) for one in post_office.arrived if one.to != INES
    )
    assert max(received.values()) == 1
    readers = {to for to, _ in received}
    unknown = {
        row.mail.person
        for row in folder.mails()
        if row.state == UNKNOWN and row.mail.kind != "digest"
    }
    wanted = {f"h{number}" for number in range(helpers)} | {"moana"}
    reached = {to.partition("@")[0] for to in readers}
    assert wanted - reached <= unknown  # whoever got nothing is among the unknown ones
    assert Counter(to for to, _ in received).most_common(1)[0][1] == 1
    states = Counter(row.state for row in folder.mails() if row.mail.kind != "digest")
    assert states[SENT] + states[UNKNOWN] == len(wanted)
    assert last.err.count("Perhaps not arrived: ") >= len(unknown)
    again = folder.remind("--send")
    assert again.code == 0
    assert Counter(to for to, _ in received) == Counter(
        one.to for one in post_office.arrived if one.to != INES
    )


def _many(path: Path, helpers: int, port: int) -> Reminding:
    """One site, its lead, and so many helpers who each get the work days."""
    people = PEOPLE + "".join(
        f'[people.h{number}]\nname = "Helper {number}"\nemail = "h{number}@crew.example"\n'
        for number in range(helpers)
    )
    keys = ", ".join(f'"h{number}"' for number in range(helpers))
    folder = make_folder(
        path, people, mail_table(port, f"volunteers = [{keys}]"), sites=("kereru",)
    )
    said = folder.season()
    assert said.code == 0, said.err
    return folder


def _run_and_kill(folder: Reminding, office: PostOffice, after_s: float) -> None:
    """Runs the command in a process of its own and kills it so long after its first recipient."""
    begun = threading.Event()
    office.seen = lambda stage: begun.set()
    command = [sys.executable, "-m", "orchardcal", "remind", str(folder.path)]
    process = subprocess.Popen(
        [*command, "--as-of", AS_OF, "--send"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        deadline = time.monotonic() + 60
        while not begun.wait(0.01) and process.poll() is None and time.monotonic() < deadline:
            pass
        time.sleep(after_s)
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
    office.seen = lambda stage: None
    time.sleep(0.02)  # what was on the line is taken in
