"""A programme folder as the coordinator wrote it: every problem of every file, or a Programme."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from orchardcal.errors import Problems, Spot
from orchardcal.sites.crew_settings import crew_settings
from orchardcal.sites.feed_settings import feed_settings
from orchardcal.sites.forecast import FORECAST_FILE, Forecast, read_forecast
from orchardcal.sites.hourly import HourlyRecord, read_hourly
from orchardcal.sites.mail_settings import address_problem, mail_settings
from orchardcal.sites.place import place_problem
from orchardcal.sites.rate_settings import rate_settings
from orchardcal.sites.reader import Reader, read_anew
from orchardcal.sites.record import DailyRecord, read_record
from orchardcal.sites.record_climate import RecordMeans, check_climate, record_means
from orchardcal.sites.site import Person, Programme, RecordGiven, Site
from orchardcal.sites.site_file import SITE_FILE, TREES_FILE, SiteContext, read_site
from orchardcal.sites.task_settings import task_settings
from orchardcal.sites.toml_table import TomlTable, toml_table
from orchardcal.sites.trees import KnownSpecies, plain

PROGRAMME_FILE = "programme.toml"
UNITS = ("metric", "us")
Records = dict[Path, tuple[DailyRecord, RecordMeans]]  # those read, by their real paths
KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")


def read_programme(
    folder: Path,
    known_species: Collection[str],
    known_stages: Mapping[str, Collection[str]],
    *,
    today: date | None = None,
) -> Programme:
    """A whole programme folder; raises BadFiles with all of its problems, records included.

    known_species: species keys, or a mapping from every accepted name to its key. known_stages:
    the bud stages of each key. today: planting years and bud stages after it are problems.
    """
    problems = Problems()
    programme, _ = programme_and_weather(folder, known_species, known_stages, today, problems)
    problems.raise_if_any()
    assert programme is not None
    return programme


@dataclass(frozen=True)
class WeatherRead:
    """What the files of a site's weather say, None where it has no such file."""

    record: DailyRecord | None
    hours: HourlyRecord | None
    forecast: Forecast | None


def programme_and_weather(
    folder: Path,
    known_species: Collection[str],
    known_stages: Mapping[str, Collection[str]],
    today: date | None,
    problems: Problems,
    reader: Reader = read_anew,
) -> tuple[Programme | None, dict[str, WeatherRead]]:
    """The programme and the weather of its sites by site key, as far as they can be read.

    reader: reads the files of the sites, or has them already.
    """
    if not folder.is_dir():
        what = "is not a folder" if folder.exists() else "does not exist"
        problems.add(
            Spot(str(folder)), what, "Name the programme folder, or make one: orchardcal start."
        )
        return None, {}
    table = toml_table(
        folder / PROGRAMME_FILE,
        PROGRAMME_FILE,
        problems,
        "Write its name in it, or make a programme folder: orchardcal start FOLDER.",
    )
    if table is None:
        return None, {}
    language, units = _language(table, "en"), table.choice("units", UNITS, "metric")
    people = _people(table, language, units)
    coordinator = table.text("coordinator", lines=False)
    if coordinator and coordinator not in people:
        table.wrong(
            "coordinator",
            f'coordinator is "{coordinator}", nobody under [people]',
            f"Write [people.{coordinator}] with name and email, or the key of one.",
        )
    context = SiteContext(
        folder=folder,
        people=tuple(people),
        usual_lead=coordinator if coordinator in people else "",
        usual_place=_usual_place(table),
        species=KnownSpecies(_names(known_species), known_stages),
        today=today,
    )
    name = table.text("name", required='Write name = "Hill Valley Orchards".', lines=False)
    base_url = _base_url(table)
    mail, tasks = mail_settings(table, people), task_settings(table)
    sites, weather = _sites(context, problems, reader)
    folders = sorted(path.parent.name for path in folder.glob(f"*/{SITE_FILE}"))
    crews, rates = crew_settings(table, folders), rate_settings(table)
    feeds = feed_settings(table, people, folders, [crew.key for crew in crews])
    table.refuse_unknown_keys()
    programme = Programme(
        name=name,
        folder=folder,
        language=language,
        units=units,
        people=people,
        coordinator=coordinator,
        base_url=base_url,
        sites=sites,
        species_files=species_files(folder),
        mail=mail,
        tasks=tasks,
        feeds=feeds,
        crews=crews,
        rates=rates,
    )
    return programme, weather


def species_files(folder: Path) -> tuple[Path, ...]:
    """The programme's own species files, in the order of their names."""
    return tuple(sorted(folder.glob("species/*.toml")))


def _names(known_species: Collection[str]) -> dict[str, str]:
    if isinstance(known_species, Mapping):
        return {plain(name): key for name, key in known_species.items()}
    return {plain(key): key for key in known_species}


def _people(table: TomlTable, language: str, units: str) -> dict[str, Person]:
    found: dict[str, Person] = {}
    people = table.table("people")
    for key in people.values if people is not None else ():
        person = people.table(key) if people is not None else None
        if person is None:
            continue
        email = person.text("email", lines=False)
        problem = address_problem(email, key) if email else None
        if problem is not None:
            person.wrong("email", *problem)
        found[key] = Person(
            key=key,
            name=person.text("name", key, required=f'Write name = "{key}".', lines=False),
            email=email,
            language=_language(person, language),
            units=person.choice("units", UNITS, units),
            mail=person.flag("mail", True),
        )
        person.refuse_unknown_keys()
    return found


def _language(table: TomlTable, usual: str) -> str:
    value = table.text("language", usual, lines=False)
    if not re.fullmatch(r"[a-z]{2,3}([-_][A-Za-z0-9]{2,8})*", value):
        table.wrong("language", f'language is "{value}"', 'Write its code: "en", "es" or "pt_BR".')
        return "en"
    return value


def _base_url(table: TomlTable) -> str:
    value = table.text("base_url", lines=False)
    if value and not re.fullmatch(r"https?://[^\s\"<>]+", value):
        table.wrong(
            "base_url",
            f'base_url is "{value}"',
            'Write where the feeds will be found: "https://example.org/orchards".',
        )
        return ""
    return value.rstrip("/")


def _usual_place(table: TomlTable) -> tuple[str, str]:
    defaults = table.table("site_defaults")
    if defaults is None:
        return "", ""
    country = defaults.text("country", lines=False)
    subdivision = defaults.text("subdivision", lines=False)
    defaults.refuse_unknown_keys()
    wrong = place_problem(country, subdivision)
    if wrong is not None:
        key = "subdivision" if wrong[0].startswith("subdivision") else "country"
        defaults.wrong(key, *wrong)
        return "", ""
    return country, subdivision


def _sites(
    context: SiteContext, problems: Problems, reader: Reader
) -> tuple[tuple[Site, ...], dict[str, WeatherRead]]:
    sites: list[Site] = []
    weather: dict[str, WeatherRead] = {}
    records: Records = {}
    keys = _site_keys(context.folder, problems)
    for key in keys:
        site = _site(key, context, problems, reader)
        if site is not None:
            sites.append(site)
            weather[key] = _weather(site, context.folder / key, problems, reader, records)
    if not keys:
        problems.add(
            Spot(PROGRAMME_FILE),
            "no sub-folder beside it holds a site.toml",
            "Make a folder for each site with site.toml and trees.csv, or: orchardcal start.",
        )
    return tuple(sites), weather


def _site(key: str, context: SiteContext, problems: Problems, reader: Reader) -> Site | None:
    files = (context.folder / key / SITE_FILE, context.folder / key / TREES_FILE)
    return reader(
        Site, lambda found: read_site(key, context, found), files, (key, context), problems
    )


def _weather(
    site: Site, folder: Path, problems: Problems, reader: Reader, records: Records
) -> WeatherRead:
    record, hours, forecast = None, None, None
    if isinstance(site.climate, RecordGiven):
        record = _record(site, site.climate.path, problems, reader, records)
    if site.hourly is not None:
        path, shown_as = site.hourly, f"{site.key}/{site.hourly.name}"
        hours = reader(
            HourlyRecord, lambda found: read_hourly(path, found, shown_as), (path,), (), problems
        )
    if (folder / FORECAST_FILE).exists():
        forecast = read_forecast(folder / FORECAST_FILE, problems, f"{site.key}/{FORECAST_FILE}")
    return WeatherRead(record, hours, forecast)


def _record(
    site: Site, path: Path, problems: Problems, reader: Reader, records: Records
) -> DailyRecord | None:
    """A site's record, read once however many sites share it, and checked against each."""
    shown_as = f"{site.key}/{path.name}"
    where = path.resolve()
    if where not in records:
        read = reader(
            DailyRecord, lambda found: read_record(path, found, shown_as), (path,), (), problems
        )
        if read is None:
            return None
        means = reader(RecordMeans, lambda found: record_means(read), (path,), (), problems)
        assert means is not None
        records[where] = read, means
    record, means = records[where]
    check_climate(means, site.latitude_deg, shown_as, problems)
    return record


def _site_keys(folder: Path, problems: Problems) -> list[str]:
    """Names of the site folders in order; one with trees but no site.toml is a problem."""
    keys = []
    for path in sorted(path for path in folder.iterdir() if path.is_dir()):
        if not (path / SITE_FILE).exists():
            if (path / TREES_FILE).exists():
                problems.add(
                    Spot(path.name),
                    "holds trees.csv but no site.toml",
                    "Write its site.toml; orchardcal start writes an example.",
                )
            continue
        if not KEY.fullmatch(path.name):
            easy = re.sub(r"[^a-z0-9]+", "-", path.name.lower()).strip("-") or "hill-school"
            problems.add(
                Spot(path.name),
                "this folder's name holds more than letters a-z, digits, - and _",
                f"Its name becomes part of web addresses: rename it to {easy}.",
            )
        keys.append(path.name)
    return keys
