"""Feeds that hold part of the staff's: one care, one crew, some sites, one person's sites."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from orchardcal.journal.published import WINDOW
from orchardcal.outputs.event_text import STAFF
from orchardcal.outputs.feed import (
    FeedFile,
    R,
    ShownRow,
    Vevents,
    feed_file,
    named,
    named_in,
    years_of,
)
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sites.feed_settings import FeedSettings

FOLDER = "feeds"


def filtered_feeds(
    shown: Sequence[R],
    settings: Sequence[FeedSettings],
    plan: Plan,
    speech: Speech,
    vevents: Vevents[R],
) -> Iterator[FeedFile[R]]:
    """Every feed the programme asks for, at "feeds/<name>.ics".

    An event has the UID and the very bytes it has in the staff's feed, so that a reader of both
    has it once. A cancelled one keeps its care and site, and so stays where it was. shown: the rows
    that any feed shows, in order.
    """
    leads = {site.site: site.lead for site in plan.sites}
    zones = {site.site: site.timezone for site in plan.sites}
    years = years_of(shown, plan.as_of)
    for feed in settings:
        own = [row for row in shown if STAFF in row.audiences and _passes(row, feed, leads)]
        sites = [site for site in leads if _site_passes(site, feed, leads)]
        tzids = {zones[site] for site in sites} | named_in(own, vevents) or set(zones.values())
        name = f"{plan.name}: {feed.title or feed.name}"
        frame = named(name, speech)
        yield feed_file(f"{FOLDER}/{feed.name}", frame, own, tzids, years, vevents)


def _passes(row: ShownRow, feed: FeedSettings, leads: dict[str, str]) -> bool:
    care = row.care.partition("/")[0]
    window = row.status == WINDOW
    return (
        (not feed.cares or care in feed.cares)
        and (not feed.crew or row.crew == feed.crew)
        and _site_passes(row.site, feed, leads)
        and (feed.windows or not window)
    )


def _site_passes(site: str, feed: FeedSettings, leads: dict[str, str]) -> bool:
    return (not feed.sites or site in feed.sites) and (
        not feed.lead or leads.get(site) == feed.lead
    )
