"""The parts of all sites gathered into what is written of the programme as a whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import chain

from orchardcal.commands.laid_aside import LaidAside, LaidRows, Place
from orchardcal.commands.writing import Content
from orchardcal.journal.published import Change, Published, changes, in_order_of_days
from orchardcal.outputs.feed import feed_files, in_order, published, zone_warnings
from orchardcal.outputs.filtered_feeds import filtered_feeds
from orchardcal.outputs.load_csv import load_csv
from orchardcal.outputs.page.facts import Closed
from orchardcal.outputs.page.pages import pages_of_all
from orchardcal.outputs.plan_csv import plan_csv_of
from orchardcal.outputs.plan_json import plan_json_of
from orchardcal.outputs.site_told import SiteTold, Telling
from orchardcal.outputs.supplies_csv import supplies_csv
from orchardcal.outputs.work_days_csv import WorkDayRow, work_days_csv_of
from orchardcal.plan.plan import Plan, SitePlan
from orchardcal.sites.feed_settings import FeedSettings

HELD_BYTES = 1_000_000  # a feed up to this size is made whole, a longer one event by event


class Gathered:
    """What is said and written of a programme, site by site and then as a whole.

    Of each site only its plan at a glance stays in memory; words and events are laid aside.
    resting: the sites of which feeds hold just what they held before. warnings: of the feeds, once
    they are written. order: the keys of all sites. own_feeds: those the programme asks for beside
    the usual ones.
    """

    def __init__(
        self,
        order: Sequence[str],
        own_feeds: Sequence[FeedSettings],
        telling: Telling,
        aside: LaidAside,
    ) -> None:
        self.telling = telling
        self.resting: set[str] = set()
        self.warnings: tuple[str, ...] = ()
        self._order = order
        self._own_feeds = own_feeds
        self._aside = aside
        self._rows = LaidRows(aside)
        self._glances: dict[str, SitePlan] = {}
        self._closed: dict[str, Sequence[Closed]] = {}
        self._printed: dict[str, Place] = {}
        self._json: dict[str, Place] = {}
        self._csv: dict[str, Place] = {}
        self._work_days: list[WorkDayRow] = []
        self._changes: list[Change] = []
        self._large: list[str] = []

    def close(self) -> None:
        """What was laid aside is gone."""
        self._aside.close()

    def take(self, told: SiteTold, before: Sequence[Published]) -> Iterator[tuple[str, bytes]]:
        """Takes a site's part, and gives its own files on.

        before: what subscribers last saw of it.
        """
        site = told.glance.site
        self._glances[site] = told.glance
        self._closed[site] = told.closed
        self._changes.extend(told.changes)
        self._printed[site] = self._aside.add(told.printed.encode())
        if told.rests:
            self.resting.add(site)
        self._rows.add(before if told.rests else told.rows, told.rests)
        if told.files is None:
            return
        self._json[site] = self._aside.add(told.files.json.encode())
        self._csv[site] = self._aside.add(told.files.csv_rows.encode())
        self._work_days.extend(told.files.work_days)
        self._large += [told.files.warning] if told.files.warning else []
        yield from told.files.own

    def take_rows_of_others(self, before: Sequence[Published]) -> None:
        """Takes what was published of a site that left the programme, as it is now."""
        rows = published(self.telling.head, before, self.telling.speech)
        self._changes.extend(changes(before, rows))
        self._rows.add(rows, rest=False)

    @cached_property
    def plan(self) -> Plan:
        """The plan at a glance, once every site is taken."""
        sites = tuple(self._glances[site] for site in self._order)
        return replace(self.telling.head, sites=sites)

    @property
    def changes(self) -> tuple[Change, ...]:
        """What subscribers will notice, in the order of days."""
        return in_order_of_days(self._changes)

    @property
    def rows(self) -> Iterator[Published]:
        """What the feeds hold now of the sites that do not rest."""
        return self._rows.whole()

    @property
    def printed(self) -> Iterator[str]:
        """What the terminal is told of each site."""
        return self._pieces(self._printed)

    def feeds(self) -> Iterator[tuple[str, Content]]:
        """Every feed of several sites by its path, once every site is taken."""
        plan, speech = self.plan, self.telling.speech
        shown = sorted(self._rows.shown, key=in_order)
        own = filtered_feeds(shown, self._own_feeds, plan, speech, self._rows)
        for feed in chain(feed_files(plan, shown, speech, self._rows), own):
            yield feed.path, bytes(feed) if feed.size < HELD_BYTES else feed
            self._large += [feed.warning] if feed.warning else []
        self.warnings = (*sorted(self._large), *zone_warnings(shown, plan.as_of, self._rows))

    def tables_and_pages(self) -> Iterator[tuple[str, Content]]:
        """Every other file of the programme as a whole, likewise."""
        plan, speech = self.plan, self.telling.speech
        yield "plan.json", plan_json_of(plan, self._pieces(self._json))
        yield "plan.csv", plan_csv_of(self._pieces(self._csv))
        yield "work_days.csv", work_days_csv_of(self._work_days)
        yield "load.csv", load_csv(plan)
        yield "supplies.csv", supplies_csv(plan, speech)
        yield from pages_of_all(plan, self._closed, speech)

    def _pieces(self, places: dict[str, Place]) -> Iterator[str]:
        return (self._aside.piece(places[site.site]).decode() for site in self.plan.sites)
