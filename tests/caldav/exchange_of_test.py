"""An invented programme whose published work is exchanged with a calendar server."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from click.testing import CliRunner

from orchardcal.care import DORMANCY_CHECK
from orchardcal.commands import orchardcal
from orchardcal.journal.entries import Entry
from orchardcal.journal.published import Published
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.feed import published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import say
from tests.caldav.servers import PASSWORD, USER
from tests.outputs.invented_plan import AS_OF, LARKFIELD, PLAN, PRUNE

CHECK_UID = "6f1c2a54-7d0b-5b6e-9f0e-0a4a1f7e0009"
CHECK = replace(
    PRUNE, uid=CHECK_UID, care=DORMANCY_CHECK, day=date(2026, 12, 12), title=say("Look at buds")
)
SITE = replace(LARKFIELD, jobs=(*LARKFIELD.jobs, CHECK))
WORK = replace(PLAN, sites=(SITE,))
LATER = date(2027, 1, 12)


@dataclass(frozen=True)
class Exchange:
    """A programme folder and what its commands say."""

    folder: Path

    def publish(self, plan: Plan) -> tuple[Published, ...]:
        """What the season command does with a plan, as far as the store goes."""
        with Store.open(self.folder / STORE_NAME) as store:
            rows = published(plan, store.published(), Speech())
            store.publish(rows)
        return rows

    def tasks(self, *words: str, code: int = 0, as_of: date = LATER) -> str:
        ended = CliRunner().invoke(
            orchardcal, ["tasks", str(self.folder), *words, "--as-of", str(as_of)]
        )
        if ended.exception is not None and not isinstance(ended.exception, SystemExit):
            raise ended.exception
        assert ended.exit_code == code, ended.output
        assert PASSWORD not in ended.output
        return str(ended.output)

    def entries(self) -> tuple[Entry, ...]:
        with Store.open(self.folder / STORE_NAME, create=False) as store:
            return store.entries()


def programme(folder: Path, url: str) -> Exchange:
    (folder / "larkfield").mkdir(parents=True)
    (folder / "larkfield" / "site.toml").write_text('name = "Larkfield School"\n')
    (folder / "programme.toml").write_text(
        f'name = "Two Orchards"\n[tasks]\nurl = "{url}"\nuser = "{USER}"\n'
    )
    return Exchange(folder)


__all__ = ["AS_OF", "CHECK_UID", "LATER", "SITE", "WORK", "Exchange", "programme"]
