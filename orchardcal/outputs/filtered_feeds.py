"""Feeds that hold part of the staff's: one care, one crew, some sites, one person's sites."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.journal.published import WINDOW, Published
from orchardcal.outputs.event_text import STAFF
from orchardcal.outputs.feed import Feed, feed_bytes, tzids_in, years_of
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import say
from orchardcal.sites.feed_settings import FeedSettings

FOLDER = "feeds"


def filtered_feeds(
    rows: Sequence[Published], settings: Sequence[FeedSettings], plan: Plan, speech: Speech
) -> dict[str, bytes]:
    """Every feed the programme asks for by its path, "feeds/<name>.ics".

    An event has the UID and the very bytes it has in the staff's feed, so that a reader of both
    has it once. A cancelled one keeps its care and site, and so stays where it was.
    """
    shown = [row for row in rows if row.shown]
    leads = {site.site: site.lead for site in plan.sites}
    zones = {site.site: site.timezone for site in plan.sites}
    years = years_of(shown, plan)
    written = {}
    for feed in settings:
        own = [row for row in shown if STAFF in row.audiences and _passes(row, feed, leads)]
        sites = [site for site in leads if _site_passes(site, feed, leads)]
        tzids = {zones[site] for site in sites} | tzids_in(own) or set(zones.values())
        name = f"{plan.name}: {feed.title or feed.name}"
        text = say("Care of the fruit trees, day by day: {name}", name=name)
        frame = Feed(name, speech.sentence(text))
        written[f"{FOLDER}/{feed.name}.ics"] = feed_bytes(frame, own, tzids, years)
    return written


def _passes(row: Published, feed: FeedSettings, leads: dict[str, str]) -> bool:
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
