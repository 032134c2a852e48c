"""A planner that also has what is said of each site's plan, from earlier runs where it can."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from orchardcal.commands.planners import SitePlanner
from orchardcal.journal.published import EventText
from orchardcal.outputs.event_text import site_texts, site_url
from orchardcal.outputs.plan_csv import site_rows
from orchardcal.outputs.plan_json import site_json
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan

T = TypeVar("T")


class SpeakingPlanner(SitePlanner):
    """Each is known by the key of the plan it is said of, which is made of all that plan is."""

    def texts(self, site: SitePlan, url: str, speech: Speech) -> tuple[EventText, ...]:
        """The site's events in words, as `site_texts` words them, their fingerprints with them."""

        def worded() -> tuple[EventText, ...]:
            texts = site_texts(site, url, speech)
            for text in texts:
                _ = text.fingerprint  # kept with the text once it is known
            return texts

        return self._said("texts", site, (url, speech.language, speech.units), tuple, worded)

    def keys_of_texts(self, plan: Plan, speech: Speech) -> dict[str, str]:
        """By site the key of all that its texts are made from, where its plan came from here."""
        found = {}
        for site in plan.sites:
            if key := self.key_of(site):
                given = (key, site_url(plan, site.site), speech.language, speech.units)
                found[site.site] = self.kept.key("published", given)
        return found

    def json(self, site: SitePlan, speech: Speech) -> str:
        """The site's part of the plan as JSON."""
        given = (speech.language, speech.units)
        return self._said("JSON", site, given, str, lambda: site_json(site, speech))

    def rows(self, site: SitePlan, speech: Speech) -> str:
        """The site's rows of the plan's table."""
        given = (speech.language, speech.units)
        return self._said("rows", site, given, str, lambda: site_rows(site, speech))

    def _said(
        self, work: str, site: SitePlan, given: object, kind: type[T], say: Callable[[], T]
    ) -> T:
        """A plan that did not come from here has no key: what is said of it is not kept."""
        key = self.key_of(site)
        return self.kept.found_or_made(work, (key, given), kind, say) if key else say()
