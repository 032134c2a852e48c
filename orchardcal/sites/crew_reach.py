"""Which sites are a crew's, and how far they lie from its home."""

from __future__ import annotations

from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.distance import great_circle_km
from orchardcal.sites.site import Site


def km_to_site(crew: CrewSettings, site: Site) -> float:
    """From the crew's home to the site along the great circle."""
    return great_circle_km(
        crew.latitude_deg, crew.longitude_deg, site.latitude_deg, site.longitude_deg
    )


def goes_to(crew: CrewSettings, site: Site) -> bool:
    """Whether a site is the crew's: named by it or, where it names none, within its reach."""
    return site.key in crew.sites if crew.sites else km_to_site(crew, site) <= crew.reach_km
