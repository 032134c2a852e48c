"""The four kinds of work a glance must tell apart: look, prune, paint, spray; and work days."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from orchardcal import care as cares
from orchardcal.outputs.page.markup import Markup, tag
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import SitePlan
from orchardcal.sentence import Words


@dataclass(frozen=True)
class Lane:
    """One kind of work: its key in the style sheet, how it is called, and its cares."""

    key: str
    title: Words
    cares: tuple[str, ...]


LANES = (
    Lane("look", Words("Look"), (cares.DORMANCY_CHECK, cares.OIL_SCOUTING, cares.LOOK_AT_CUTS)),
    Lane(
        "prune",
        Words("Prune"),
        (cares.DORMANT_PRUNING, cares.IN_LEAF_PRUNING, cares.DEFERRED_CUT),
    ),
    Lane("paint", Words("Paint"), (cares.WHITEWASH_PAINTING,)),
    Lane("spray", Words("Spray"), (cares.SPRAY_NOTICE, cares.DORMANT_OIL_SPRAY)),
    Lane("gather", Words("Work day"), (cares.WORK_DAY,)),
)


def lane_of(care: str) -> Lane:
    return next(lane for lane in LANES if care in lane.cares)


def lanes_used(sites: Iterable[SitePlan]) -> tuple[Lane, ...]:
    """The lanes that hold any job or window, in their order."""
    used = {care for site in sites for care in _cares(site)}
    return tuple(lane for lane in LANES if used & set(lane.cares))


def _cares(site: SitePlan) -> Iterator[str]:
    yield from (job.care for job in site.jobs)
    yield from (window.care for window in site.windows)


def badge(care: str, speech: Speech) -> Markup:
    """The lane's name as a small coloured label."""
    lane = lane_of(care)
    return tag("span", speech.value(lane.title), class_=f"badge {lane.key}")
