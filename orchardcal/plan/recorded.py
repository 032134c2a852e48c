"""What the journal says of one site, as the planner asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from orchardcal.journal.cuts import DeferredCut, put_off
from orchardcal.journal.entries import Entry
from orchardcal.journal.saying import (
    Observed,
    dormancy_answers,
    latest,
    pests_seen,
    stages_seen,
)
from orchardcal.journal.standing import Standing, standings
from orchardcal.season import is_southern
from orchardcal.sites.site import Planting, SeenStage, Site

ASK_AGAIN_DAYS = 14  # after "nearly", "growing" or "not sure", and after an unanswered check


@dataclass(frozen=True)
class Recorded:
    """standings: by (planting, care, harvest year). The rest as the journal tells it, by day."""

    standings: dict[tuple[str, str, int], Standing]
    dormancy: tuple[Observed, ...]
    pests: tuple[Observed, ...]
    stages: tuple[Observed, ...]
    cuts: tuple[DeferredCut, ...]

    def standing(self, planting: Planting, care: str, season: int) -> Standing | None:
        return self.standings.get((planting.id, care, season))

    def closed(self, planting: Planting, care: str, season: int) -> bool:
        """Whether nothing of this care is left to do: done on every tree, or skipped."""
        standing = self.standing(planting, care, season)
        return standing is not None and standing.state in ("done", "skipped")

    def done_day(self, planting: Planting, care: str, season: int) -> date | None:
        """The last day the care was worked on, None if it was not."""
        standing = self.standing(planting, care, season)
        return standing.last_day if standing is not None else None

    def dormant_on(self, planting: Planting, season: int) -> date | None:
        """The day the field check first said dormant, unless a later answer took it back."""
        last = latest(self.dormancy, planting.id, season)
        if last is None or last.seen != "dormant":
            return None
        days = [
            seen.day
            for seen in self.dormancy
            if seen.season == season and seen.seen == "dormant" and seen.covers(planting.id)
        ]
        return days[0]

    def ask_dormancy_from(self, planting: Planting, season: int) -> date | None:
        """The first day to ask again after an answer that was not "dormant"."""
        last = latest(self.dormancy, planting.id, season)
        if last is None or last.seen == "dormant":
            return None
        return last.day + timedelta(days=ASK_AGAIN_DAYS)

    def stage_now(self, planting: Planting, season: int) -> SeenStage | None:
        """The last bud stage seen on the planting in the season."""
        last = latest(self.stages, planting.id, season)
        return None if last is None else SeenStage(last.seen, last.day)

    def stages_before(self, planting: Planting, season: int) -> tuple[SeenStage, ...]:
        """Bud stages seen on the planting in earlier seasons: they date its buds from now on."""
        return tuple(
            SeenStage(seen.seen, seen.day)
            for seen in self.stages
            if seen.season < season and seen.covers(planting.id)
        )

    def unfinished(self, planting: Planting, care: str, season: int) -> Standing | None:
        """The care of a season where it was begun or skipped but not finished on the planting."""
        standing = self.standing(planting, care, season)
        return standing if standing is not None and standing.state != "done" else None

    def pests_on(self, planting: Planting, season: int) -> Observed | None:
        """The last scouting result of the season that covers the planting."""
        return latest(self.pests, planting.id, season)


def recorded(entries: Sequence[Entry], site: Site) -> Recorded:
    """The site's part of the journal."""
    southern = is_southern(site.latitude_deg)
    counts = {planting.id: planting.count for planting in site.plantings}
    return Recorded(
        standings(entries, site.key, counts, southern),
        dormancy_answers(entries, site.key, southern),
        pests_seen(entries, site.key, southern),
        stages_seen(entries, site.key, southern),
        tuple(cut for cut in put_off(entries) if cut.site == site.key),
    )
