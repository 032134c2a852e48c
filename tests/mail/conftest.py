"""A mail server with a certificate of its own authority, and a programme that sends through it."""

from __future__ import annotations

import shutil
import ssl
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import trustme

from orchardcal.pipeline import plan_programme
from orchardcal.plan.plan import Plan
from orchardcal.sites.mail_settings import PASSWORD_VARIABLE
from orchardcal.sites.site import Programme
from tests.commands.reminding_folder import Reminding, make_folder
from tests.mail.post_office import SECRET, PostOffice, free_port, mail_table

PLANS: dict[str, Plan] = {}


@pytest.fixture(scope="session")
def authority(tmp_path_factory: pytest.TempPathFactory) -> tuple[trustme.CA, Path]:
    """A certificate authority and its certificate as a file."""
    made = trustme.CA()
    path = tmp_path_factory.mktemp("authority") / "authority.pem"
    made.cert_pem.write_to_path(str(path))
    return made, path


@pytest.fixture
def post_office(
    authority: tuple[trustme.CA, Path], monkeypatch: pytest.MonkeyPatch
) -> Iterator[PostOffice]:
    """A server that asks for STARTTLS and a login; this process trusts its authority."""
    made, path = authority
    monkeypatch.setenv("SSL_CERT_FILE", str(path))
    monkeypatch.setenv(PASSWORD_VARIABLE, SECRET)
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    made.issue_cert("127.0.0.1", "localhost").configure_cert(context)
    office = PostOffice(context, free_port())
    office.start()
    yield office
    office.stop()


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented programme with its calendars written once."""
    folder = make_folder(tmp_path_factory.mktemp("written"))
    said = folder.season()
    assert said.code == 0, said.err
    return folder.path


@pytest.fixture(autouse=True)
def planned_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same sites, journal and day are planned once for all tests: planning takes a second."""

    def plan(
        programme: Programme, weather: object, rules: object, entries: object, *rest: Any
    ) -> Plan:
        published, harvest_year, as_of = rest[:3]
        known = [(row.uid, row.sequence) for row in published]
        key = repr((programme.sites, entries, known, harvest_year, as_of))
        if key not in PLANS:
            PLANS[key] = plan_programme(programme, weather, rules, entries, *rest)  # type: ignore[arg-type]
        return PLANS[key]

    monkeypatch.setattr("orchardcal.commands.remind.plan_programme", plan)


@pytest.fixture
def reminding(written: Path, tmp_path: Path, post_office: PostOffice) -> Callable[..., Reminding]:
    """A copy of it with a [mail] table that names the server. extra: more lines of the table."""

    def made(extra: str = "", replaced: tuple[str, str] = ("", "")) -> Reminding:
        path = tmp_path / "programme"
        if not path.exists():
            shutil.copytree(written, path)
        text = (written / "programme.toml").read_text(encoding="utf-8").replace(*replaced)
        table = mail_table(post_office.port, extra)
        (path / "programme.toml").write_text(text + table, encoding="utf-8")
        return Reminding(path)

    return made
