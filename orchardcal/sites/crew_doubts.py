"""What is odd about a programme's crews but no mistake: asked about, and planned as it stands."""

from __future__ import annotations

from collections.abc import Iterator

from orchardcal.errors import Problem
from orchardcal.sites.crew_reach import goes_to, km_to_site
from orchardcal.sites.crew_settings import FARTHEST_LATITUDE_DEG, CrewSettings
from orchardcal.sites.distance import great_circle_km
from orchardcal.sites.site import Programme, Site

FIRST = 10  # told in full where many sites are alike
FAR_KM = 300  # common practice, no source: no crew drives there and back in a day and works too


def crew_doubts(programme: Programme) -> tuple[Problem, ...]:
    """Each doubt with its line in programme.toml and what to write, in the order of the lines."""
    doubts = [*_same_names(programme.crews), *_sites_without_crew(programme)]
    for crew in programme.crews:
        doubts += [*_without_hours(crew), *_far_sites(crew, programme.sites)]
        doubts += _without_sites(crew, programme.sites)
    return tuple(sorted(doubts, key=lambda one: (one.spot.path, one.spot.line or 0, one.what)))


def _without_hours(crew: CrewSettings) -> Iterator[Problem]:
    missing = [
        (not crew.weekdays, "works on no day of the week", 'weekdays = "mon-fri"'),
        (crew.people == 0, "has no people", "people = 2"),
        (crew.minutes_a_day == 0, "has no hours in a day", "hours_a_day = 6"),
    ]
    for is_missing, what, example in missing:
        if is_missing:
            yield Problem(
                crew.spot,
                f'crew "{crew.name}" {what}, so no work is given to it',
                f"Write {example}, or take [crews.{crew.key}] out.",
            )


def _far_sites(crew: CrewSettings, sites: tuple[Site, ...]) -> Iterator[Problem]:
    named = set(crew.sites)
    for site in sites:
        if site.key in named and (km := km_to_site(crew, site)) > FAR_KM:
            yield Problem(
                crew.spot,
                f'crew "{crew.name}" goes to {site.key}, {km:.0f} km from its home',
                "Is it the right crew? If so, leave it; else take the site out of its sites, or"
                " correct its home.",
            )


def _without_sites(crew: CrewSettings, sites: tuple[Site, ...]) -> Iterator[Problem]:
    if not sites or any(goes_to(crew, site) for site in sites):
        return
    nearest = min(sites, key=lambda site: km_to_site(crew, site))
    yield Problem(
        crew.spot,
        f'crew "{crew.name}" has no site within reach_km = {crew.reach_km}: the nearest,'
        f" {nearest.key}, is {km_to_site(crew, nearest):.0f} km away",
        _remedy(crew, nearest),
    )


def _remedy(crew: CrewSettings, nearest: Site) -> str:
    latitude, longitude = crew.longitude_deg, crew.latitude_deg  # were they written exchanged?
    if abs(latitude) <= FARTHEST_LATITUDE_DEG:
        km = great_circle_km(latitude, longitude, nearest.latitude_deg, nearest.longitude_deg)
        if km <= crew.reach_km:
            return (
                f"Exchange the numbers of home: [{latitude:g}, {longitude:g}] is {km:.0f} km away."
                " Latitude stands first."
            )
    return f'Correct its home, write a larger reach_km, or name sites = ["{nearest.key}"].'


def _same_names(crews: tuple[CrewSettings, ...]) -> Iterator[Problem]:
    seen: dict[str, CrewSettings] = {}
    for crew in crews:
        first = seen.setdefault(crew.name.casefold(), crew)
        if first is not crew:
            yield Problem(
                crew.spot,
                f'crews "{first.key}" and "{crew.key}" are both called "{crew.name}"',
                "Give each a name of its own, so that nobody takes one's days for the other's.",
            )


def _sites_without_crew(programme: Programme) -> Iterator[Problem]:
    """One doubt for all of them, with the one nearest to a crew."""
    pairs = [
        (min((km_to_site(crew, site), crew.name) for crew in programme.crews), site)
        for site in programme.sites
        if programme.crews and not any(goes_to(crew, site) for crew in programme.crews)
    ]
    if not pairs:
        return
    (km, name), nearest = min(pairs, key=lambda pair: (pair[0], pair[1].key))
    keys = [site.key for _, site in pairs]
    more = f" and {len(keys) - FIRST} more" if len(keys) > FIRST else ""
    yield Problem(
        nearest.spot,
        f"no crew goes to {', '.join(keys[:FIRST])}{more}; the nearest is {nearest.key},"
        f' {km:.0f} km from the home of "{name}"',
        "They are planned as sites whose own people do the work; if a crew should go, add them to"
        " its sites or write a larger reach_km.",
    )
