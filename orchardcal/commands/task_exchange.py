"""One site's work and a calendar server brought in step: handing out, and reading back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from orchardcal.care import TITLES
from orchardcal.commands.calendar_server import CalendarServer, ChangedThere, Held
from orchardcal.journal.cuts import put_off
from orchardcal.journal.entries import DONE, MOVED, SEEN, Entry
from orchardcal.journal.in_words import day_in_words
from orchardcal.journal.published import Published
from orchardcal.journal.saying import current
from orchardcal.journal.store import Store
from orchardcal.journal.task_book import TaskBook, TaskCopy
from orchardcal.outputs.caldav_tasks import TASK, Resource, is_work, resources
from orchardcal.outputs.task_answers import Exchange, heard
from orchardcal.outputs.task_reading import Said, Unreadable, said

UNREAD = "changed in a calendar and not read yet; left as it is there. Run orchardcal tasks --pull"


@dataclass
class Outcome:
    """What an exchange did with one site."""

    written: int = 0
    removed: int = 0
    unchanged: int = 0
    entries: list[Entry] = field(default_factory=list)
    told: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class SiteTasks:
    """A site, its part of what was published, and where the server keeps it."""

    key: str
    timezone: str
    rows: Sequence[Published]
    address: str

    def at(self, file_name: str) -> str:
        return f"{self.address.rstrip('/')}/{file_name}"


def hand_out(site: SiteTasks, store: Store, server: CalendarServer) -> Outcome:
    """Writes what is new or changed on our side; nothing anybody changed there is overwritten."""
    book = TaskBook(store)
    copies = book.copies(site.key)
    there = server.etags(site.address)
    outcome = Outcome()
    wanted = resources(site.rows, {uid: copy.body for uid, copy in copies.items()})
    for resource in wanted:
        copy, etag = copies.get(resource.uid), there.get(resource.file_name, "")
        if copy is not None and etag and etag != copy.etag:
            outcome.told.append(f"{_named(resource, site)}: {UNREAD}")
        elif copy is not None and etag and copy.fingerprint == resource.fingerprint:
            outcome.unchanged += 1
        else:
            if copy is not None and not etag:
                outcome.told.append(f"{_named(resource, site)}: deleted in a calendar; put back")
            _write(resource, copy, etag, site, book, server, outcome)
    for uid in sorted(set(copies) - {one.uid for one in wanted}):
        _remove(copies[uid], there, book, server, outcome)
    return outcome


def _write(
    resource: Resource,
    copy: TaskCopy | None,
    etag: str,
    site: SiteTasks,
    book: TaskBook,
    server: CalendarServer,
    outcome: Outcome,
) -> None:
    address = site.at(resource.file_name)
    kept = TaskCopy(
        resource.uid,
        resource.of_uid,
        resource.site,
        resource.kind,
        address,
        "",
        resource.body,
        resource.fingerprint,
        copy.entries if copy is not None else (),
    )
    if copy is None and etag:  # written by us, but the store does not know: a new store, or a crash
        book.keep([replace(kept, fingerprint="")])
        outcome.told.append(f"{_named(resource, site)}: {UNREAD}")
        return
    try:
        tag = server.write(address, resource.body, etag)
    except ChangedThere:
        outcome.told.append(f"{_named(resource, site)}: {UNREAD}")
        return
    if not tag:  # the server keeps it in other words (RFC 4791 5.3.4): see in which
        held = server.read(address)
        if held is not None:
            kept = replace(kept, body=held.body)
            tag = held.etag
    book.keep([replace(kept, etag=tag)])
    outcome.written += 1


def _remove(
    copy: TaskCopy,
    there: dict[str, str],
    book: TaskBook,
    server: CalendarServer,
    outcome: Outcome,
) -> None:
    """Takes away what is out of the feeds by age, unless somebody has just changed it."""
    etag = there.get(f"{copy.uid}.ics", "")
    if etag and etag != copy.etag:
        outcome.told.append(f"{copy.site}, old work: {UNREAD}")
        return
    try:
        if etag:
            server.remove(copy.address, etag)
    except ChangedThere:
        outcome.told.append(f"{copy.site}, old work: {UNREAD}")
        return
    book.forget(copy.uid)
    outcome.removed += 1


def read_back(
    site: SiteTasks, store: Store, server: CalendarServer, as_of: date, recorded: str
) -> Outcome:
    """Reads what changed there since the last exchange into the journal.

    An entry is written before its copy is remembered, under an id made from the change itself:
    where the program ends in between, the next reading finds the entry there.
    """
    book = TaskBook(store)
    there = server.etags(site.address)
    outcome = Outcome()
    rows = {row.uid: row for row in site.rows}
    copies = book.copies(site.key)
    ours = {one.uid: one for one in resources(site.rows, {u: c.body for u, c in copies.items()})}
    for copy in sorted(copies.values(), key=lambda one: (one.kind != TASK, one.uid)):
        etag = there.get(f"{copy.uid}.ics", "")
        if etag and etag == copy.etag:
            outcome.unchanged += 1
            continue
        held = server.read(copy.address) if etag else None
        row = rows.get(copy.of_uid)
        if held is not None and row is not None:
            seen = ChangedCopy(copy, held, row, ours.get(copy.uid))
            book.keep([_listened(seen, site, store, as_of, recorded, outcome)])
        elif held is not None:
            outcome.told.append(f"{site.key}: changed there, but the work is no longer known here")
            book.keep([replace(copy, etag=held.etag, body=held.body)])
        elif row is not None and is_work(row) and copy.etag:
            what = "task" if copy.kind == TASK else "event"
            outcome.told.append(
                f"{_work(row)} ({what}): deleted in a calendar; the work stays and is put back by"
                " the next --push"
            )
            book.keep([replace(copy, etag="", fingerprint="")])
    return outcome


@dataclass(frozen=True)
class ChangedCopy:
    """A copy that changed there, what is there now, and our side of it; ours: None if no work."""

    copy: TaskCopy
    held: Held
    row: Published
    ours: Resource | None


def _listened(
    seen: ChangedCopy, site: SiteTasks, store: Store, as_of: date, recorded: str, outcome: Outcome
) -> TaskCopy:
    """The copy as it is to be remembered, once what it says is in the journal."""
    copy, held = seen.copy, seen.held
    try:
        now = said(held.body, copy.kind, copy.uid, site.timezone)
        before = said(copy.body, copy.kind, copy.uid, site.timezone)
    except Unreadable as trouble:
        outcome.told.append(f"{_work(seen.row)}: passed over there: {trouble}; written anew")
        readable = seen.ours.body if seen.ours is not None else copy.body
        return replace(copy, etag=held.etag, body=readable, fingerprint="")
    entries = store.entries(site.key)
    exchange = Exchange(
        copy,
        held.etag,
        before,
        now,
        seen.row,
        _planned_day(seen.row, copy, seen.ours, before),
        {cut.reference: cut.care for cut in put_off(entries)},
        {one.id for one in current(entries)},
    )
    found = heard(exchange, as_of, recorded)
    known = {one.id for one in entries}
    new = [one for one in found.entries if one.id not in known and not _same(one, entries)]
    store.add(new)
    outcome.entries += new
    outcome.told += found.told
    ticked = [one.id for one in found.entries if one.kind in (DONE, SEEN)]
    return replace(
        copy,
        etag=held.etag,
        body=held.body,
        fingerprint="" if found.again else copy.fingerprint,
        entries=tuple(dict.fromkeys([*copy.entries, *ticked])),
    )


def _planned_day(
    row: Published, copy: TaskCopy, ours: Resource | None, before: Said
) -> date | None:
    """The day of our side where it was changed since it was last written there."""
    changed = ours is not None and copy.fingerprint not in ("", ours.fingerprint)
    return row.first if changed and row.first != before.starts_on else None


def _same(entry: Entry, entries: Sequence[Entry]) -> bool:
    """Whether the same was just recorded: an event and its task moved to one day."""
    return any(
        (one.kind, one.care, one.plantings, one.until, one.season, one.seen)
        == (entry.kind, entry.care, entry.plantings, entry.until, entry.season, entry.seen)
        for one in current(entries)
        if one.kind == entry.kind == MOVED
    )


def _named(resource: Resource, site: SiteTasks) -> str:
    row = next(row for row in site.rows if row.uid == resource.of_uid)
    return f"{_work(row)} ({'task' if resource.kind == TASK else 'event'})"


def _work(row: Published) -> str:
    """The work in a few words, as told at the terminal."""
    care = TITLES[row.care.partition("/")[0]].lower()
    return f"{row.site}, {care} {day_in_words(row.first)}"
