"""All that is said and written of one site alone, made where its plan is made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from orchardcal.journal.published import Change, Published, changes, touched_sites
from orchardcal.outputs.feed import FeedFile, VeventsInRows, published, site_feed
from orchardcal.outputs.listing import site_listing
from orchardcal.outputs.page.facts import Closed, SiteFacts
from orchardcal.outputs.page.pages import pages_of_site
from orchardcal.outputs.plan_csv import site_rows
from orchardcal.outputs.plan_json import site_json
from orchardcal.outputs.speech import Speech
from orchardcal.outputs.work_days_csv import WorkDayRow, site_work_days
from orchardcal.plan.plan import Plan, SitePlan


@dataclass(frozen=True)
class Telling:
    """How sites are told of.

    head: the plan without its sites. to_files: whether files will be written. as_json: whether the
    terminal shows JSON in place of a table.
    """

    head: Plan
    to_files: bool
    as_json: bool = False

    @property
    def speech(self) -> Speech:
        """Of files, in the programme's language."""
        return Speech(self.head.language, self.head.units)

    @property
    def terminal(self) -> Speech:
        return Speech("en", self.head.units)


@dataclass(frozen=True)
class FilesTold:
    """A site's part of what is written.

    own: its feed and pages, each by its path. warning: of its feed, "" if there is none.
    """

    json: str
    csv_rows: str
    work_days: tuple[WorkDayRow, ...]
    own: tuple[tuple[str, bytes], ...]
    warning: str


@dataclass(frozen=True)
class SiteTold:
    """A site's part of all that a plan becomes.

    glance: its plan without reasons and steps, which is what pages and tables of many sites show.
    closed: when it is closed. rests: whether the feeds hold of it just what they held before, else
    rows: what they hold now. changes: what a subscriber will notice. printed: for the terminal.
    files: None where none are written.
    """

    glance: SitePlan
    closed: tuple[Closed, ...]
    rests: bool
    rows: tuple[Published, ...]
    changes: tuple[Change, ...]
    printed: str
    files: FilesTold | None


def site_told(
    site: SitePlan, facts: SiteFacts | None, before: Sequence[Published], telling: Telling
) -> SiteTold:
    """A site's part of all that a plan becomes.

    facts: what its page shows beside the plan, where files are written. before: what subscribers
    last saw of this site.
    """
    rows = published(replace(telling.head, sites=(site,)), before, telling.speech)
    rests = not touched_sites(before, rows)
    return SiteTold(
        glance=at_a_glance(site),
        closed=() if facts is None else facts.closed,
        rests=rests,
        rows=() if rests else rows,
        changes=changes(before, rows),
        printed=_printed(site, telling),
        files=None if facts is None else _files(site, rows, facts, telling),
    )


def at_a_glance(site: SitePlan) -> SitePlan:
    """A site's plan without reasons, steps and odds of days: a twentieth of its size."""
    return replace(
        site,
        jobs=tuple(
            replace(job, why=(), do=(), bring=(), then=(), cautions=()) for job in site.jobs
        ),
        windows=tuple(replace(window, why=(), day_odds=None) for window in site.windows),
        not_placed=tuple(replace(entry, why=(), nearest=None) for entry in site.not_placed),
        notes=(),
        work_days=tuple(
            replace(one, run_sheet=(), tools=(), cautions=(), lesson=(), notes=())
            for one in site.work_days
        ),
    )


def _printed(site: SitePlan, telling: Telling) -> str:
    if telling.as_json:
        return site_json(site, telling.terminal)
    return site_listing(site, telling.head.crews, telling.terminal)


def own_feed(site: SitePlan, rows: Sequence[Published], telling: Telling) -> FeedFile[Published]:
    """The site's feed."""
    shown = [row for row in rows if row.shown]
    return site_feed(site, telling.head.as_of, shown, telling.speech, VeventsInRows(shown))


def _files(
    site: SitePlan, rows: Sequence[Published], facts: SiteFacts, telling: Telling
) -> FilesTold:
    speech, feed = telling.speech, own_feed(site, rows, telling)
    pages = pages_of_site(telling.head, site, facts, speech)
    return FilesTold(
        json=site_json(site, speech),
        csv_rows=site_rows(site, speech),
        work_days=site_work_days(site, speech),
        own=((feed.path, bytes(feed)), *pages),
        warning=feed.warning,
    )
