"""Which sites are a crew's, and how far they lie from its home."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.distance import km_between
from orchardcal.sites.site import Programme, Site


def km_to_site(crew: CrewSettings, site: Site) -> float:
    """From the crew's home to the site along the great circle."""
    return km_between(crew, site)


def goes_to(crew: CrewSettings, site: Site) -> bool:
    """Whether a site is the crew's: named by it or, where it names none, within its reach."""
    return site.key in crew.sites if crew.sites else km_to_site(crew, site) <= crew.reach_km


def sharing_crews(programme: Programme, site: Site) -> Sequence[Site]:
    """The sites whose work competes with a site's for crews, itself among them, in their order.

    Those its crews go to, those that the crews of these go to, and so on.
    """
    of_crews = [
        {one.key for one in programme.sites if goes_to(crew, one)} for crew in programme.crews
    ]
    theirs = {site.key}
    for _ in of_crews:  # each turn adds a crew, or changes nothing
        theirs = theirs.union(*(keys for keys in of_crews if keys & theirs))
    return [one for one in programme.sites if one.key in theirs]
