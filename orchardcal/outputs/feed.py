"""A plan and what was published of it -> one iCalendar feed for each audience."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache

from icalendar import Calendar
from icalendar.prop import vDuration

from orchardcal.journal.published import EventText, Published, aged, revised
from orchardcal.outputs.event import EventWriter
from orchardcal.outputs.event_text import (
    STAFF,
    VOLUNTEERS,
    site_audience,
    site_texts,
    site_url,
)
from orchardcal.outputs.plain_text import plain_text
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.vtimezone import covering, vtimezone
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.sentence import say

PRODID = "-//orchardcal//orchardcal//EN"  # without a version: a release must not change every byte
REFRESH = timedelta(hours=6)
WARN_BYTES, WARN_EVENTS = 900_000, 1_000  # a widely used calendar service stops at 1 MB
_TZID = b"\r\nDTSTART;TZID="
_BEGIN, _END = b"BEGIN:VCALENDAR\r\n", b"END:VCALENDAR\r\n"


@dataclass(frozen=True)
class Feed:
    """How one feed is called and described in people's calendar lists."""

    name: str
    description: str


def published(
    plan: Plan,
    previous: Sequence[Published],
    speech: Speech,
    texts_of: Callable[[SitePlan, str, Speech], Iterable[EventText]] = site_texts,
    standing: Collection[str] = (),
) -> tuple[Published, ...]:
    """What the feeds hold after this plan, given what they held before it.

    Events of seasons that this plan does not cover stay as they are until they are old. texts_of:
    words the events of a site, or has them already. standing: the sites whose rows are known to
    stand as they are, since they were made of this very plan in this speech.
    """
    covered = {(site.site, season) for site in plan.sites for season in site.seasons}
    sites = {site.site for site in plan.sites}
    ours: list[Published] = []
    others: list[Published] = []
    for row in previous:
        if row.site in standing:
            others.append(row)
        elif (row.site, row.season) in covered or row.site not in sites:
            ours.append(row)
        elif (older := aged(row, plan.as_of)) is not None:
            others.append(older)
    texts = [
        text
        for site in plan.sites
        if site.site not in standing
        for text in texts_of(site, site_url(plan, site.site), speech)
    ]
    now = revised(ours, texts, plan.as_of, EventWriter(speech))
    return tuple(sorted([*now, *others], key=_in_order)) if others else now


def _in_order(row: Published) -> tuple[date, str, str]:
    return row.first, row.site, row.uid


def feeds(plan: Plan, rows: Sequence[Published], speech: Speech) -> dict[str, bytes]:
    """Every feed by its path: "staff.ics", "volunteers.ics", "sites/<site>.ics".

    A site that left the programme keeps its feed while there is something to show in it. The
    bytes of an event are taken as published; only the frame around them is written here.
    """
    shown = [row for row in rows if row.shown]
    zones = {site.timezone for site in plan.sites}
    of_site = {site_audience(site.site): {site.timezone} for site in plan.sites} | {STAFF: zones}
    years = years_of(shown, plan)
    of_audience: dict[str, list[Published]] = {}
    for row in shown:
        for audience in row.audiences:
            of_audience.setdefault(audience, []).append(row)
    written = {}
    for audience, feed in _feeds(plan, shown, speech).items():
        own = of_audience.get(audience, [])
        tzids = of_site.get(audience, set()) | tzids_in(own) or zones
        written[f"{audience}.ics"] = feed_bytes(feed, own, tzids, years)
    return written


def years_of(rows: Sequence[Published], plan: Plan) -> range:
    """The years whose clock changes the feeds of a plan must tell."""
    return covering(
        min((row.first for row in rows), default=plan.as_of),
        max((row.last for row in rows), default=plan.as_of),
    )


def feed_bytes(feed: Feed, rows: Sequence[Published], tzids: Iterable[str], years: range) -> bytes:
    """One feed: its frame, its time zones, and its events as published, in the order given."""
    zones = (vtimezone(tzid, years).vtimezone for tzid in sorted(tzids))
    return b"".join([_head(feed, rows), *zones, *(row.vevent for row in rows), _END])


def feed_warnings(written: dict[str, bytes], rows: Sequence[Published]) -> tuple[str, ...]:
    """What the user should know of the feeds: those too big for some readers, unusual zones."""
    found = []
    for path, feed in written.items():
        events = feed.count(b"\r\nBEGIN:VEVENT\r\n")
        if len(feed) > WARN_BYTES or events > WARN_EVENTS:
            found.append(
                f"{path} holds {events} events in {len(feed) // 1000} kB; some calendar services "
                f"take no more than {WARN_EVENTS} events or 1000 kB. Subscribe to the feeds of "
                "single sites instead."
            )
    shown = [row for row in rows if row.shown]
    if shown:
        years = covering(min(row.first for row in shown), max(row.last for row in shown))
        warnings = {vtimezone(tzid, years).warning for tzid in tzids_in(shown)}
        found += sorted(warnings - {""})
    return tuple(found)


def _feeds(plan: Plan, shown: Iterable[Published], speech: Speech) -> dict[str, Feed]:
    """The feeds of the plan by audience, and those that only past sites still need."""

    def named(name: str) -> Feed:
        text = say("Care of the fruit trees, day by day: {name}", name=name)
        return Feed(name, speech.sentence(text))

    volunteers = speech.sentence(say("{programme}: volunteers", programme=plan.name))
    found = {STAFF: named(plan.name), VOLUNTEERS: named(volunteers)}
    for site in plan.sites:
        found[site_audience(site.site)] = named(site.name)
    for row in shown:
        audience = site_audience(row.site)
        if audience in row.audiences and audience not in found:
            found[audience] = named(row.site)
    return found


def _head(feed: Feed, rows: Sequence[Published]) -> bytes:
    """VCALENDAR up to its first component: RFC 5545 3.4, RFC 7986 section 5.

    Without METHOD, so that DTSTAMP means when an event was last revised (RFC 5545 3.8.7.2), and
    without a UID of the calendar, which some readers take for the UID of its one event.
    """
    own = Calendar()
    name, description = plain_text(feed.name), plain_text(feed.description)
    own.add("name", name)
    own.add("x-wr-calname", name)
    own.add("description", description)
    own.add("x-wr-caldesc", description)
    if rows:
        last = max(datetime.fromisoformat(row.revised) for row in rows)
        own.add("last-modified", last.astimezone(UTC))
    own_lines: bytes = own.to_ical().removeprefix(_BEGIN).removesuffix(_END)
    return _head_of_all() + own_lines


@cache
def _head_of_all() -> bytes:
    """The lines that every feed begins with."""
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    refresh = vDuration(REFRESH)
    refresh.params["VALUE"] = "DURATION"  # RFC 7986 5.7 has no default
    calendar.add("refresh-interval", refresh)
    calendar.add("x-published-ttl", vDuration(REFRESH))
    frame: bytes = calendar.to_ical()
    return frame.removesuffix(_END)


def tzids_in(rows: Iterable[Published]) -> set[str]:
    """The time zones that the events name."""
    zones = set()
    for row in rows:
        _, named, rest = row.vevent.partition(_TZID)
        if named:
            zones.add(rest[: rest.index(b":")].decode())
    return zones
