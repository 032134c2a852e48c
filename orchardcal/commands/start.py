"""The command that writes a new programme folder, from flags or from answers at a terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from orchardcal.commands.writing import write_all
from orchardcal.errors import BadFiles, Problem, Problems, Spot, known
from orchardcal.sites.calendar_given import month_day
from orchardcal.sites.place import place_problem, timezone_at
from orchardcal.sites.starting import FreezeDates, NewProgramme, easy_name, new_files
from orchardcal.sites.text_file import control_sign
from orchardcal.species.reading import key_named, species_names

LATITUDE, LONGITUDE = click.FloatRange(-66, 66), click.FloatRange(-180, 180)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--name", help="The programme's name.")
@click.option("--coordinator", default="", help="The coordinator's name.")
@click.option("--email", default="", help="The coordinator's mail address.")
@click.option("--units", type=click.Choice(["metric", "us"]), default="metric", show_default=True)
@click.option("--site", "site_name", help="The first site's name.")
@click.option("--latitude", type=LATITUDE, help="Degrees, south negative.")
@click.option("--longitude", type=LONGITUDE, help="Degrees, west negative.")
@click.option("--country", default="", help="Two letters, as US; for its public holidays.")
@click.option("--subdivision", default="", help="State or region, as SD.")
@click.option("--pupils/--no-pupils", default=True, help="Are pupils on the ground?  [yes]")
@click.option("--species", multiple=True, help="A species that grows there; once for each.")
@click.option("--last-freeze", default="", help="Mean last freeze in spring, as 04-20.")
@click.option("--first-freeze", default="", help="Mean first freeze in autumn, as 10-15.")
@click.option("--chill", type=click.FloatRange(0, 200), help="Mean winter chill portions.")
def start(
    folder: Path,
    name: str | None,
    coordinator: str,
    email: str,
    units: str,
    site_name: str | None,
    latitude: float | None,
    longitude: float | None,
    country: str,
    subdivision: str,
    pupils: bool,
    species: Sequence[str],
    last_freeze: str,
    first_freeze: str,
    chill: float | None,
) -> None:
    r"""Make a new programme folder with one site, ready to fill in and check.

    At a terminal it asks for what no flag says. It never writes over anything.

    \b
    Example:
      orchardcal start my_orchards --name "Hill Valley Orchards" --site "Hill School" \
        --latitude 44.02 --longitude -103.4 --country US --subdivision SD \
        --species apple --species pear --last-freeze 05-08 --first-freeze 09-28 --chill 75
    """
    _refuse_existing(folder)
    if sys.stdin.isatty():
        name = name or click.prompt("Name of the programme")
        coordinator = coordinator or click.prompt("Who coordinates it")
        site_name = site_name or click.prompt("Name of the first site")
        latitude = _asked(latitude, "Its latitude, degrees, south negative", LATITUDE)
        longitude = _asked(longitude, "Its longitude, degrees, west negative", LONGITUDE)
        country = country or _blank_or("Country, two letters, as US (empty: no public holidays)")
        species = species or _blank_or("Species that grow there, with commas").split(",")
        last_freeze = last_freeze or _blank_or("Mean last freeze, as 04-20 (empty: not known)")
        if last_freeze:
            first_freeze = first_freeze or click.prompt("Mean first freeze, as 10-15")
            chill = _asked(chill, "Mean winter chill portions", click.FloatRange(0, 200))
    problems = Problems()
    needed = {"--name": name, "--site": site_name, "--latitude": latitude, "--longitude": longitude}
    for flag, value in needed.items():
        if value is None:
            problems.add(Spot(flag), "is missing", "Give it, or run start at a terminal.")
    texts = {"--name": name or "", "--site": site_name or "", "--coordinator": coordinator}
    for flag, text in texts.items():
        if sign := control_sign(text) or ("U+000A" if "\n" in text else ""):
            problems.add(Spot(flag), f"holds the control character {sign}", "Write plain text.")
    wrong = place_problem(country, subdivision)
    if wrong is not None:
        problems.add(Spot("--country"), *wrong)
    keys = _species_keys(species, problems)
    freeze = _freeze_dates(last_freeze, first_freeze, chill, problems)
    problems.raise_if_any()
    assert name is not None
    assert site_name is not None
    assert latitude is not None
    assert longitude is not None
    timezone = timezone_at(latitude, longitude)
    given = NewProgramme(
        name=name,
        coordinator=coordinator or "Coordinator",
        email=email,
        units=units,
        site_name=site_name,
        latitude_deg=latitude,
        longitude_deg=longitude,
        timezone=timezone,
        country=country,
        subdivision=subdivision,
        pupils=pupils,
        species=keys,
        freeze=freeze,
    )
    files = new_files(given)
    for path in files:
        _refuse_existing(folder / path)
    write_all(folder, files)
    click.echo(_next_steps(folder, given, list(files)))


def _refuse_existing(path: Path) -> None:
    if path.name == "" or not path.exists():
        return
    if path.is_dir() and not (path / "programme.toml").exists():
        return
    taken = path / "programme.toml" if path.is_dir() else path
    raise BadFiles(
        [
            Problem(
                Spot(str(taken)),
                "is there already; nothing was written",
                "Name another folder, or edit the files in this one.",
            )
        ]
    )


def _asked(value: float | None, question: str, kind: click.FloatRange) -> float:
    return value if value is not None else float(click.prompt(question, type=kind))


def _blank_or(question: str) -> str:
    answer: str = click.prompt(question, default="", show_default=False)
    return answer.strip()


def _species_keys(given: Sequence[str], problems: Problems) -> list[str]:
    names = species_names()
    keys = []
    for name in (name.strip() for name in given):
        if not name:
            continue
        key = key_named(name, names)
        if key is None:
            problems.add(
                Spot("--species"),
                f'"{name}" has no rules',
                known("species", easy_name(name).replace("-", "_"), set(names.values())),
            )
        else:
            keys.append(key)
    return keys


def _freeze_dates(
    last: str, first: str, portions: float | None, problems: Problems
) -> FreezeDates | None:
    if not last and not first and portions is None:
        return None
    for flag, text, example in (
        ("--last-freeze", last, "04-20"),
        ("--first-freeze", first, "10-15"),
    ):
        if month_day(text) is None:
            problems.add(Spot(flag), f'is "{text}"', f"Write {example}, month first.")
    if portions is None:
        problems.add(Spot("--chill"), "is missing", "Freeze dates go with the winter's chill.")
        return None
    return FreezeDates(last, first, portions)


def _next_steps(folder: Path, given: NewProgramme, files: Sequence[str]) -> str:
    lines = [f"Written: {', '.join(f'{folder / path}' for path in files)}."]
    if given.freeze is None:
        lines.append(f"Still to fill in: [climate] in {folder / files[1]}.")
    if given.species:
        lines.append(f"Complete the rows of {folder / files[2]}: cultivar, count, year planted.")
    else:
        lines.append(f"Still to fill in: a row for each tree in {folder / files[2]}.")
    if given.pupils:
        lines.append(f"Change the terms in {folder / files[1]} to the school's own.")
    lines.append(f"Then: orchardcal check {folder}")
    return "\n".join(lines)
