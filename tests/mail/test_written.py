"""What the mails of a planned programme say, to whom, in whose language and units."""

from __future__ import annotations

import gettext
import re
from collections.abc import Callable
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from tests.commands.reminding_folder import PEOPLE, Reminding, make_folder
from tests.mail.conftest import PLANS

Made = Callable[..., Reminding]


def written(folder: Reminding, *arguments: str, **options: str) -> dict[str, EmailMessage]:
    """The mails by the key of the person they are for."""
    box = folder.path / "box"
    said = folder.remind("--outbox", str(box), *arguments, **options)
    assert said.code == 0, said.err
    found = {}
    for path in sorted(box.iterdir()):
        parsed = message_from_bytes(path.read_bytes(), policy=policy.default)
        assert isinstance(parsed, EmailMessage)
        found[path.name.split("-")[3]] = parsed
    return found


def plain(message: EmailMessage) -> str:
    body = message.get_body(("plain",))
    assert body is not None
    return " ".join(body.get_content().split())


def test_each_person_reads_their_own_language_and_units(reminding: Made) -> None:
    """0 and 32 degrees Celsius are 32 and 89.6 Fahrenheit, exactly."""
    folder = reminding("", ('email = "moana@', 'language = "es"\nunits = "us"\nemail = "moana@'))
    week_before = "2027-01-25"
    assert folder.season(week_before).code == 0
    mails = written(folder, as_of=week_before)
    assert "Hola, Moana Reid:" in plain(mails["moana"])
    assert "por debajo de 32 °F y por encima de 89,6 °F" in plain(mails["moana"])
    assert "Poda con hoja" in mails["moana"]["Subject"]
    assert "Hello Ada Lund," in plain(mails["ada"])


def test_spanish_mails_hold_no_english(reminding: Made, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every message asked of the catalogue while the mails are written is in it."""
    missing: set[str] = set()

    class Noted(gettext.NullTranslations):
        def gettext(self, message: str) -> str:
            missing.add(message)
            return message

        def ngettext(self, one: str, many: str, count: int) -> str:
            missing.add(one)
            return one if count == 1 else many

    begin = Speech.__init__

    def watched(self: Speech, language: str = "en", units: str = "metric") -> None:
        begin(self, language, units)
        if language == "es":
            self._messages.add_fallback(Noted())

    people = re.sub(r"(email = )", r'language = "es"\n\1', PEOPLE)
    folder = reminding("", (PEOPLE, people))
    monkeypatch.setattr(Speech, "__init__", watched)
    assert set(written(folder)) == {"ada", "moana", "ines"}
    assert sorted(missing) == []
    spanish = Speech("es")
    for plan in PLANS.values():
        _say_all(plan, spanish)
    assert sorted(missing) == []
    assert len(PLANS) >= 1


def _say_all(plan: Plan, speech: Speech) -> None:
    for site in plan.sites:
        for job in site.jobs:
            for part in ((job.title,), job.why, job.do, job.bring, job.then, job.cautions):
                for sentence in part:
                    speech.sentence(sentence)
        for entry in (*site.windows, *site.not_placed):
            for sentence in entry.why:
                speech.sentence(sentence)
        for note in site.notes:
            speech.sentence(note)


def test_volunteers_hear_of_open_work_only(reminding: Made) -> None:
    """From two months before (City of Eugene NeighborWoods, leader's guide), without names."""
    crew = '[people.crew]\nname = "The crew"\nemail = "crew@orchards.example"\n'
    folder = reminding('volunteers = ["crew"]', (PEOPLE, PEOPLE + crew))
    mails = written(folder)
    text = plain(mails["crew"])
    assert "In-leaf pruning" in text
    assert "Dormancy check" not in text
    assert "Why now" not in text
    assert "Ada Lund" not in text + str(mails["crew"])
    assert "Moana" not in text + str(mails["crew"])


def test_volunteers_hear_when_the_page_of_the_work_day_says(reminding: Made) -> None:
    """Whatever the work: the steps of its own care are for leads."""
    crew = '[people.crew]\nname = "The crew"\nemail = "crew@orchards.example"\n'
    people = (PEOPLE, PEOPLE + crew)
    care = "[mail.days_before]\nin_leaf_pruning = [2]\nwhitewash_painting = [2]\n"
    folder = reminding('volunteers = ["crew"]\n' + care, people)
    assert "The crew" in folder.remind().out
    folder = reminding('volunteers = ["crew"]\n' + care + "work_day = [2]\n", people)
    assert "The crew" not in folder.remind().out


def test_the_steps_before_a_visit_follow_the_settings(reminding: Made) -> None:
    usual = written(reminding())
    assert "moana" in usual
    folder = reminding(
        "[mail.days_before]\nin_leaf_pruning = [2]\nlook_at_cuts = [2]\nwhitewash_painting = [2]"
    )
    said = folder.remind("--outbox", str(folder.path / "other"))
    assert "Moana" not in said.out


def test_a_calendar_not_yet_written(tmp_path: Path) -> None:
    folder = make_folder(tmp_path / "new")
    said = folder.remind()
    assert said.code == 3
    assert "No calendar has been written yet." in said.err
    assert "orchardcal season" in said.err
    assert not (folder.path / "journal.sqlite").exists()


def test_a_programme_nobody_answers_for(reminding: Made) -> None:
    folder = reminding("", ('email = "ines@orchards.example"', ""))
    said = folder.remind()
    assert said.code == 2
    assert "no coordinator with an address" in said.err


def test_an_address_outside_ascii_is_refused_by_name(reminding: Made) -> None:
    folder = reminding("", ("ada@larkfield.example", "adá@larkfield.example"))
    said = folder.remind()
    assert said.code == 2
    assert re.search(r'programme\.toml:\d+: the address of "ada" holds a letter outside', said.err)
    assert "adá@" not in said.err


def test_a_language_without_texts(reminding: Made) -> None:
    folder = reminding("", ('email = "ada@', 'language = "de"\nemail = "ada@'))
    said = folder.remind()
    assert said.code == 2
    assert 'the language of "ada" is "de", which has no texts' in said.err
    assert "Write one of: en, es." in said.err


def test_an_outbox_that_cannot_be_written(reminding: Made) -> None:
    folder = reminding()
    (folder.path / "box").write_text("a file", encoding="utf-8")
    said = folder.remind("--outbox", str(folder.path / "box"))
    assert said.code == 2
    assert "cannot be written" in said.err
