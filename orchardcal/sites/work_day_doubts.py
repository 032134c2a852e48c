"""What is odd about work days with volunteers but no mistake of writing: asked, and planned on."""

from __future__ import annotations

from collections.abc import Iterator

from orchardcal.errors import Problem
from orchardcal.sites.site import Programme, Site


def work_day_doubts(programme: Programme) -> tuple[Problem, ...]:
    """Each doubt with its site.toml and what to write, site by site."""
    return tuple(doubt for site in programme.sites for doubt in _of_site(site))


def _of_site(site: Site) -> Iterator[Problem]:
    settings = site.work_days
    if settings is None:
        return
    if settings.smallest > settings.largest:
        yield Problem(
            site.spot,
            f"the smallest group of volunteers ({settings.smallest}) is above the largest"
            f" ({settings.largest}), so {settings.largest} are planned for",
            f"Exchange them: smallest = {settings.largest} and largest = {settings.smallest}.",
        )
    both = sorted({*settings.pinned} & {*settings.banned})
    if both:
        yield Problem(
            site.spot,
            f"{', '.join(map(str, both))} is both pinned and banned, so no work is planned on it",
            "Take it out of one of the two lists.",
        )
