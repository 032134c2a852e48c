"""A plan and what was published of it -> one iCalendar feed for each audience."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache, cached_property
from typing import Generic, Protocol, TypeVar

from icalendar import Calendar
from icalendar.prop import vDuration

from orchardcal.journal.published import Published, aged, revised
from orchardcal.outputs.event import EventWriter
from orchardcal.outputs.event_text import STAFF, VOLUNTEERS, event_texts, site_audience
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


def published(plan: Plan, previous: Sequence[Published], speech: Speech) -> tuple[Published, ...]:
    """What the feeds hold after this plan, given what they held before it.

    Events of seasons that this plan does not cover stay as they are until they are old.
    """
    covered = {(site.site, season) for site in plan.sites for season in site.seasons}
    sites = {site.site for site in plan.sites}
    ours: list[Published] = []
    others: list[Published] = []
    for row in previous:
        if (row.site, row.season) in covered or row.site not in sites:
            ours.append(row)
        elif (older := aged(row, plan.as_of)) is not None:
            others.append(older)
    now = revised(ours, event_texts(plan, speech), plan.as_of, EventWriter(speech))
    return tuple(sorted([*now, *others], key=in_order)) if others else now


def in_order(row: ShownRow) -> tuple[date, str, str]:
    """By day, site and UID: the order of events in a feed."""
    return row.first, row.site, row.uid


class ShownRow(Protocol):
    """What feeds must know of a published event that they hold: see `Published`."""

    @property
    def uid(self) -> str: ...
    @property
    def site(self) -> str: ...
    @property
    def care(self) -> str: ...
    @property
    def first(self) -> date: ...
    @property
    def last(self) -> date: ...
    @property
    def status(self) -> str: ...
    @property
    def revised(self) -> str: ...
    @property
    def audiences(self) -> tuple[str, ...]: ...
    @property
    def crew(self) -> str: ...


R = TypeVar("R", bound=ShownRow)
R_contra = TypeVar("R_contra", bound=ShownRow, contravariant=True)


class Vevents(Protocol[R_contra]):
    """Where the bytes of published events are."""

    def bytes_of(self, rows: Iterable[R_contra]) -> Iterator[bytes]:
        """The VEVENTs of rows one after another, in pieces of any length."""

    def size(self, rows: Iterable[R_contra]) -> int:
        """How many bytes these are."""

    def tzids(self, site: str) -> Collection[str]:
        """The time zones that a site's events name."""


class VeventsInRows:
    """Rows that hold their own bytes."""

    def __init__(self, rows: Iterable[Published]) -> None:
        self._tzids: dict[str, set[str]] = {}
        for row in rows:
            self._tzids.setdefault(row.site, set()).update(tzids_in([row]))

    def bytes_of(self, rows: Iterable[Published]) -> Iterator[bytes]:
        return (row.vevent for row in rows)

    def size(self, rows: Iterable[Published]) -> int:
        return sum(len(row.vevent) for row in rows)

    def tzids(self, site: str) -> Collection[str]:
        return self._tzids.get(site, ())


@dataclass(frozen=True)
class FeedFile(Generic[R]):
    """A feed on its way to disk: its frame, and the rows whose events stand in it as published."""

    path: str
    head: bytes
    rows: Sequence[R]
    vevents: Vevents[R]

    def __iter__(self) -> Iterator[bytes]:
        yield self.head
        yield from self.vevents.bytes_of(self.rows)
        yield _END

    @cached_property
    def size(self) -> int:
        """How many bytes it has."""
        return len(self.head) + self.vevents.size(self.rows) + len(_END)

    def __bytes__(self) -> bytes:
        return b"".join(self)

    @property
    def warning(self) -> str:
        """What the user should know of a feed too big for some readers; "" of others."""
        if self.size <= WARN_BYTES and len(self.rows) <= WARN_EVENTS:
            return ""
        return (
            f"{self.path} holds {len(self.rows)} events in {self.size // 1000} kB; some calendar"
            f" services take no more than {WARN_EVENTS} events or 1000 kB. Subscribe to the feeds"
            " of single sites instead."
        )


def feeds(plan: Plan, rows: Sequence[Published], speech: Speech) -> dict[str, bytes]:
    """Every feed by its path, from rows that hold their bytes.

    "staff.ics", "volunteers.ics", "sites/<site>.ics".
    """
    shown = [row for row in rows if row.shown]
    vevents = VeventsInRows(shown)
    own = (site_feed(site, plan.as_of, shown, speech, vevents) for site in plan.sites)
    return {f.path: bytes(f) for f in (*feed_files(plan, shown, speech, vevents), *own)}


def feed_files(
    plan: Plan, shown: Sequence[R], speech: Speech, vevents: Vevents[R]
) -> Iterator[FeedFile[R]]:
    """The feeds of staff and volunteers, and those of sites that are in the plan no more.

    shown: the rows that any feed shows, in order. A site that left the programme keeps its feed
    while there is something to show in it. The bytes of an event are taken as published; only the
    frame around them is written here.
    """
    zones = {site.timezone for site in plan.sites}
    years = years_of(shown, plan.as_of)
    of_audience: dict[str, list[R]] = {}
    for row in shown:
        for audience in row.audiences:
            of_audience.setdefault(audience, []).append(row)
    here = {site_audience(site.site) for site in plan.sites}
    volunteers = speech.sentence(say("{programme}: volunteers", programme=plan.name))
    names = {STAFF: plan.name, VOLUNTEERS: volunteers}
    names |= {site_audience(row.site): row.site for row in shown}
    for audience, name in names.items():
        own = of_audience.get(audience, [])
        if audience not in here and (own or audience in (STAFF, VOLUNTEERS)):
            tzids = named_in(own, vevents) | (zones if audience == STAFF or not own else set())
            yield feed_file(audience, named(name, speech), own, tzids or zones, years, vevents)


def site_feed(
    site: SitePlan, as_of: date, shown: Iterable[R], speech: Speech, vevents: Vevents[R]
) -> FeedFile[R]:
    """The feed of one site, whatever other sites there are."""
    audience = site_audience(site.site)
    own = [row for row in shown if audience in row.audiences]
    tzids = {site.timezone} | named_in(own, vevents)
    feed = named(site.name, speech)
    return feed_file(audience, feed, own, tzids, years_of(own, as_of), vevents)


def named(name: str, speech: Speech) -> Feed:
    """How a feed of that name is described."""
    text = say("Care of the fruit trees, day by day: {name}", name=name)
    return Feed(name, speech.sentence(text))


def years_of(rows: Sequence[ShownRow], as_of: date) -> range:
    """The years whose clock changes a feed must tell."""
    return covering(
        min((row.first for row in rows), default=as_of),
        max((row.last for row in rows), default=as_of),
    )


def feed_file(
    name: str,
    feed: Feed,
    rows: Sequence[R],
    tzids: Iterable[str],
    years: range,
    vevents: Vevents[R],
) -> FeedFile[R]:
    """One calendar with these events as published, and the rules of the zones they may name."""
    zones = [vtimezone(tzid, years).vtimezone for tzid in sorted(tzids)]
    return FeedFile(f"{name}.ics", b"".join([_head(feed, rows), *zones]), rows, vevents)


def zone_warnings(shown: Sequence[R], as_of: date, vevents: Vevents[R]) -> tuple[str, ...]:
    """What the user should know of unusual time zones in the feeds."""
    years = years_of(shown, as_of)
    warnings = {vtimezone(tzid, years).warning for tzid in named_in(shown, vevents)}
    return tuple(sorted(warnings - {""}))


def named_in(rows: Iterable[R], vevents: Vevents[R]) -> set[str]:
    """The time zones that the events of these rows' sites name."""
    return {tzid for site in {row.site for row in rows} for tzid in vevents.tzids(site)}


def _head(feed: Feed, rows: Sequence[ShownRow]) -> bytes:
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
        last = datetime.fromisoformat(max(row.revised for row in rows))
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
