"""A site's site.toml: where it is, when people may come, and what is known of its climate."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, time
from pathlib import Path

from orchardcal.errors import Problems, known
from orchardcal.sites.calendar_given import closures, hours
from orchardcal.sites.climate_given import ENOUGH, climate_given
from orchardcal.sites.place import place_problem, timezone_at, timezone_problem
from orchardcal.sites.site import Closure, Site, SprayRule
from orchardcal.sites.toml_table import TomlTable, toml_table
from orchardcal.sites.trees import KnownSpecies, plantings
from orchardcal.sites.units import M_PER_FOOT
from orchardcal.sites.weekdays import MON_TO_FRI, weekdays
from orchardcal.sites.work_day_settings import WorkDaySettings, work_day_settings

SITE_FILE, TREES_FILE = "site.toml", "trees.csv"
USUAL_HOURS = (time(8, 30), time(16, 0))
PUPILS = (
    "Spraying and power work need to know. Write on_site = false under [pupils] if none ever "
    'are; else list the terms: [[pupils.term]] with name = "Autumn", first and last.'
)


@dataclass(frozen=True)
class SiteContext:
    """What a site is read against: the folder, its people, what holds for all sites, the day.

    usual_place: country and subdivision where the site names none. usual_lead: a key of people.
    """

    folder: Path
    people: Collection[str]
    usual_lead: str
    usual_place: tuple[str, str]
    species: KnownSpecies
    today: date | None


def read_site(key: str, context: SiteContext, problems: Problems) -> Site | None:
    """One site with its trees; None if too little of it can be read."""
    trees = plantings(
        context.folder / key / TREES_FILE,
        f"{key}/{TREES_FILE}",
        context.species,
        context.today,
        problems,
    )
    table = toml_table(
        context.folder / key / SITE_FILE,
        f"{key}/{SITE_FILE}",
        problems,
        "Write name, latitude, longitude and [climate]; orchardcal start writes an example.",
    )
    if table is None:
        return None
    name = table.text("name", key, required='Write name = "Hill School".', lines=False)
    latitude = table.number("latitude", -66, 66, required="Write latitude = 44.02, south negative.")
    longitude = table.number(
        "longitude", -180, 180, required="Write longitude = -103.4, west negative."
    )
    country, subdivision = _place(table, context)
    site_weekdays, (opens, closes), volunteers = _visits(table)
    work_days = _work_days(table, volunteers, site_weekdays)
    terms, pupil_weekdays, take_part = _pupils(table)
    climate, hourly = None, ""
    climate_table = table.table("climate")
    if climate_table is not None:
        climate = climate_given(climate_table, latitude, context.folder / key)
        hourly = climate_table.text("hourly", lines=False)
    elif "climate" not in table:
        table.wrong("", "has no [climate]; latitude alone does not tell a climate", ENOUGH)
    closed = closures(table.tables("closure"), "closure")
    timezone = _timezone(table, latitude, longitude)
    elevation_m = _elevation_m(table)
    lead = _lead(table, context)
    spray = _spray(table)
    where, notes = table.text("where"), table.text("notes")
    table.refuse_unknown_keys()
    if latitude is None or longitude is None or climate is None:
        return None
    return Site(
        key=key,
        name=name,
        latitude_deg=latitude,
        longitude_deg=longitude,
        elevation_m=elevation_m,
        timezone=timezone,
        where=where,
        country=country,
        subdivision=subdivision,
        lead=lead,
        weekdays=site_weekdays,
        opens=opens,
        closes=closes,
        closures=closed,
        pupil_terms=terms,
        pupil_weekdays=pupil_weekdays,
        pupils_take_part=take_part,
        volunteers=volunteers,
        spray=spray,
        climate=climate,
        hourly=context.folder / key / hourly if hourly else None,
        plantings=trees,
        spot=table.spot(),
        notes=notes,
        work_days=work_days,
    )


def _place(table: TomlTable, context: SiteContext) -> tuple[str, str]:
    usual_country, usual_subdivision = context.usual_place
    country = table.text("country", usual_country, lines=False)
    same = country == usual_country
    subdivision = table.text("subdivision", usual_subdivision if same else "", lines=False)
    wrong = place_problem(country, subdivision)
    if wrong is None:
        return country, subdivision
    key = "subdivision" if wrong[0].startswith("subdivision") else "country"
    table.wrong(key, *wrong)
    return "", ""


def _visits(table: TomlTable) -> tuple[frozenset[int], tuple[time, time], bool]:
    visits = table.table("visits")
    if visits is None:
        return MON_TO_FRI, USUAL_HOURS, False
    found = weekdays(visits, "weekdays", MON_TO_FRI), hours(visits, "hours", USUAL_HOURS)
    volunteers = visits.flag("volunteers", False)
    visits.refuse_unknown_keys()
    return *found, volunteers


def _work_days(
    table: TomlTable, volunteers: bool, visit_weekdays: frozenset[int]
) -> WorkDaySettings | None:
    """How work days are held; as usual where volunteers come and nothing else is said."""
    given = table.table("work_days")
    if not volunteers:
        if given is not None:
            given.wrong(
                "",
                "plans work days where volunteers never come",
                "Write volunteers = true under [visits], or take [work_days] out.",
            )
        return None
    if given is None:
        return WorkDaySettings(weekdays=visit_weekdays)
    return work_day_settings(given, weekdays(given, "weekdays", visit_weekdays), visit_weekdays)


def _pupils(table: TomlTable) -> tuple[tuple[Closure, ...], frozenset[int], bool]:
    """Terms, their weekdays, and whether pupils take part in the work."""
    pupils = table.table("pupils")
    if pupils is None:
        if "pupils" not in table:
            table.wrong("", "does not say whether pupils are on the ground", PUPILS)
        return (), MON_TO_FRI, False
    on_site = pupils.flag("on_site", True)
    take_part = pupils.flag("take_part", False)
    days = weekdays(pupils, "weekdays", MON_TO_FRI)
    terms = closures(pupils.tables("term"), "term")
    pupils.refuse_unknown_keys()
    if on_site and "term" not in pupils:
        pupils.wrong("", "has pupils but no terms", PUPILS)
    if not on_site and ("term" in pupils or take_part):
        pupils.wrong("on_site", "on_site is false, but terms or take_part are given", PUPILS)
    return terms, days, take_part


def _timezone(table: TomlTable, latitude: float | None, longitude: float | None) -> str:
    name = table.text("timezone", lines=False)
    if name:
        wrong = timezone_problem(name)
        if wrong is not None:
            table.wrong("timezone", *wrong)
        return name
    if latitude is None or longitude is None:
        return ""
    return timezone_at(latitude, longitude)


def _elevation_m(table: TomlTable) -> float | None:
    elevation_m = table.number("elevation_m", -450, 6000)
    elevation_ft = table.number("elevation_ft", -1480, 19_700)
    if "elevation_m" in table and "elevation_ft" in table:
        table.wrong("elevation_ft", "gives the elevation in m and in ft", "Keep one of them.")
    return elevation_ft * M_PER_FOOT if elevation_ft is not None else elevation_m


def _lead(table: TomlTable, context: SiteContext) -> str:
    lead = table.text("lead", context.usual_lead, lines=False)
    if lead and lead not in context.people:
        table.wrong(
            "lead",
            f'lead is "{lead}", nobody under [people] in programme.toml',
            known("people", lead, context.people),
        )
    return lead


def _spray(table: TomlTable) -> SprayRule:
    usual = SprayRule()
    spray = table.table("spray")
    if spray is None:
        return usual
    rule = SprayRule(
        allowed=spray.flag("allowed", usual.allowed),
        notice_h=spray.whole("notice_hours", 0, 720, usual.notice_h),
        sign_h_before=spray.whole("sign_hours_before", 0, 720, usual.sign_h_before),
        sign_h_after=spray.whole("sign_hours_after", 0, 720, usual.sign_h_after),
        licence_needed=spray.flag("licence_needed", usual.licence_needed),
    )
    spray.refuse_unknown_keys()
    return rule
