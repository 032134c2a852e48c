"""Builds the mails that are due, writes them as files, or sends them: never twice, never lost."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from datetime import time as clock_time
from pathlib import Path

import click

from orchardcal.commands.mail_letters import Letters, Office
from orchardcal.commands.mail_password import password
from orchardcal.commands.mail_sending import Clock, Outcome, not_sent, sent
from orchardcal.commands.mail_server import TAKEN, MailServer
from orchardcal.commands.programme import Loaded, load
from orchardcal.commands.progress import progress_of
from orchardcal.commands.recording import day_given, now, today
from orchardcal.commands.writing import write_all
from orchardcal.errors import BadFiles, NothingToPlan, NotSent, Problem, Spot
from orchardcal.journal.mail_ledger import (
    CLAIMED,
    REFUSED,
    SENT,
    UNKNOWN,
    MailLedger,
    MailRow,
    sole_sender,
)
from orchardcal.journal.published import WINDOW, Published
from orchardcal.journal.store import STORE_NAME, Store
from orchardcal.outputs.feed import published
from orchardcal.outputs.speech import Speech
from orchardcal.pipeline import plan_programme, steps
from orchardcal.plan.plan import Plan
from orchardcal.sites.site import Programme

Told = Callable[[Outcome], None]

OUTBOX = "outbox"
LISTED_DAYS = 60  # a mail that perhaps did not arrive is listed for so long
FILE_CLOCK = clock_time(7)  # UTC, in the Date of mails written as files: the same bytes every time


@dataclass(frozen=True)
class Run:
    """What the user asked for."""

    folder: Path
    as_of: date
    harvest_year: int | None
    outbox: Path
    retry_unknown: bool
    retry_refused: bool


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.option("--as-of", type=day_given, help="The day the mails are for; today.")
@click.option(
    "--season",
    "harvest_year",
    type=click.IntRange(1900, 2200),
    help="The season by its harvest year, if the feeds were written with one.",
)
@click.option(
    "--outbox",
    type=click.Path(path_type=Path),
    help="Where to write the mails as files; FOLDER/outbox.",
)
@click.option("--send", is_flag=True, help="Send them by the mail server of [mail].")
@click.option("--retry-unknown", is_flag=True, help="Send again what perhaps did not arrive.")
@click.option("--retry-refused", is_flag=True, help="Send again what the server refused for good.")
def remind(
    folder: Path,
    as_of: date | None,
    harvest_year: int | None,
    outbox: Path | None,
    send: bool,
    retry_unknown: bool,
    retry_refused: bool,
) -> None:
    """Mail site leads what is due: visits ahead, changed dates, work not ticked off.

    Without --send the mails are only written as files, and nothing is recorded. With --send each
    goes out once, however often this runs. Run `orchardcal season` before it: a mail says what
    the calendars say.

    \b
    Example:
      orchardcal remind demo_sites --as-of 2026-12-20 --outbox outbox
    """
    run = Run(
        folder,
        as_of or today(),
        harvest_year,
        outbox or folder / OUTBOX,
        retry_unknown,
        retry_refused,
    )
    loaded = load(folder)
    if not (folder / STORE_NAME).exists():
        raise NothingToPlan(_season_first(run, "No calendar has been written yet."))
    if send:
        _send(run, loaded)
    else:
        _write(run, loaded)


def _write(run: Run, loaded: Loaded) -> None:
    """Every mail due as a file, and who would get what."""
    with Store.open(run.folder / STORE_NAME, create=False) as store:
        written = datetime.combine(run.as_of, FILE_CLOCK, UTC)
        office = _office(run, loaded, store, written)
        mails = _asked_again(run, MailLedger(store).rows())
    letters = office.letters(mails)
    would_go = [MailRow(ready.mail, SENT, "", "") for ready in letters.ready]
    digest = office.digest((*mails, *would_go), letters.passed_over)
    ready = [*letters.ready, *([digest] if digest is not None else [])]
    files = {f"{run.as_of}-{one.mail.person}-{one.mail.key[:8]}.eml": one.message for one in ready}
    if files:
        write_all(run.outbox, files)
    for one in ready:
        click.echo(f"{one.name}: {one.mail.subject}")
    _say_passed_over(letters)
    _list_unknown(mails, loaded.programme, run)
    if files:
        click.echo(f"{len(files)} mails written to {run.outbox}; nothing was sent.")
    else:
        click.echo("Nothing to say today.")


def _send(run: Run, loaded: Loaded) -> None:
    """Every mail due by the server, the coordinator's last."""
    settings = loaded.programme.mail
    if not settings.server:
        what, instead = "no mail server is named", 'Write [mail] with server = "smtp.example.org".'
        raise BadFiles([Problem(Spot("programme.toml"), what, instead)])
    secret = password(settings, run.folder)
    clock = Clock(now, time.sleep)
    with sole_sender(run.folder), Store.open(run.folder / STORE_NAME) as store:
        ledger = MailLedger(store)
        ledger.close_unfinished(clock.now())
        office = _office(run, loaded, store, datetime.now(UTC).replace(microsecond=0))
        for state, asked in ((UNKNOWN, run.retry_unknown), (REFUSED, run.retry_refused)):
            if asked:
                ledger.allow_again(state, clock.now())
        letters = office.letters(ledger.rows())
        outcomes: list[Outcome] = []
        try:
            with MailServer(settings, secret) as server:
                if letters.ready:
                    with _progress(len(letters.ready)) as told:
                        sent(
                            letters.ready,
                            server,
                            office.bounces,
                            ledger,
                            settings.per_minute,
                            clock,
                            _both(outcomes.append, told),
                        )
                digest = office.digest(ledger.rows(), letters.passed_over)
                if digest is not None:
                    if outcomes:
                        clock.wait(60 / settings.per_minute)
                    sent(
                        [digest],
                        server,
                        office.bounces,
                        ledger,
                        settings.per_minute,
                        clock,
                        outcomes.append,
                    )
        finally:
            _say_sent(outcomes)
            _say_passed_over(letters)
        _list_unknown(ledger.rows(), loaded.programme, run)
    failed = not_sent(outcomes)
    if failed:
        raise NotSent(failed)
    if not outcomes:
        click.echo("Nothing to say today.")


def _office(run: Run, loaded: Loaded, store: Store, written: datetime) -> Office:
    """The letters of what the feeds hold; NothingToPlan if the plan says something else by now."""
    rows = store.published()
    with progress_of(steps(loaded.programme), "Planning") as progress:
        plan = plan_programme(
            loaded.programme,
            loaded.weather,
            loaded.rules,
            store.entries(),
            rows,
            run.harvest_year,
            run.as_of,
            progress,
        )
    if not any(row.shown for row in rows):
        raise NothingToPlan(_season_first(run, "No calendar has been written yet."))
    count = _unpublished(plan, rows, loaded.programme)
    if count:
        what = f"{count} dates have changed since the calendars were written."
        raise NothingToPlan(_season_first(run, what))
    return Office(loaded.programme, plan, loaded.rules, rows, written)


def _unpublished(plan: Plan, rows: Sequence[Published], programme: Programme) -> int:
    """How many dated events the feeds would hold otherwise if they were written now."""
    before = {row.uid: row for row in rows}
    known = published(plan, rows, Speech(programme.language, programme.units))
    return sum(
        row.status != WINDOW
        and (row.live or (row.uid in before and before[row.uid].live))
        and (row.uid not in before or before[row.uid].fingerprint != row.fingerprint)
        for row in known
        if row.shown
    )


def _season_first(run: Run, what: str) -> str:
    season = f" --season {run.harvest_year}" if run.harvest_year is not None else ""
    return (
        f"{what}\n    A mail says what the calendars say. Write them first: orchardcal season"
        f" {run.folder} --out OUT --as-of {run.as_of}{season}"
    )


def _asked_again(run: Run, mails: Sequence[MailRow]) -> tuple[MailRow, ...]:
    """The ledger as it would be after what the user allows to go out again."""
    again = {
        *((UNKNOWN, CLAIMED) if run.retry_unknown else ()),
        *((REFUSED,) if run.retry_refused else ()),
    }
    return tuple(replace(row, state="again") if row.state in again else row for row in mails)


def _say_sent(outcomes: Sequence[Outcome]) -> None:
    for one in outcomes:
        if one.answer is not None and one.answer.outcome == TAKEN:
            click.echo(f"Sent to {one.ready.name}: {one.ready.mail.subject}")


def _say_passed_over(letters: Letters) -> None:
    for one in letters.passed_over:
        click.echo(f"No mail to {one.name} ({one.why}): {one.subject}", err=True)


def _list_unknown(mails: Sequence[MailRow], programme: Programme, run: Run) -> None:
    """Mails that perhaps did not arrive, by name: only a person can find out."""
    recent = run.as_of - timedelta(days=LISTED_DAYS)
    for row in mails:
        if row.state in (UNKNOWN, CLAIMED) and row.mail.as_of >= recent:
            person = programme.people.get(row.mail.person)
            name = person.name if person is not None else row.mail.person
            click.echo(
                f"Perhaps not arrived: {name}, {row.mail.subject} ({row.mail.key[:8]}). Ask, then"
                f" send it again if need be: orchardcal remind {run.folder} --send"
                " --retry-unknown",
                err=True,
            )


def _both(first: Told, second: Told) -> Told:
    def told(outcome: Outcome) -> None:
        first(outcome)
        second(outcome)

    return told


@contextmanager
def _progress(mails: int) -> Iterator[Told]:
    """A progress bar where a person looks on; silent when piped."""
    if not sys.stderr.isatty():
        yield lambda outcome: None
        return
    with click.progressbar(length=mails, label="Sending", file=sys.stderr) as bar:
        yield lambda outcome: bar.update(1)
