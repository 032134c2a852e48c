"""A city's schools with crews, as a programme folder of any size: nothing in it exists.

A climate for all, a few trees at each school, hours, closures and volunteers that differ; crews
whose homes stand in a row of districts 12 km wide, each with its schools around it.
"""

from __future__ import annotations

from pathlib import Path

from tests.invented import CLIMATES, LATITUDES
from tests.plan.schedule.instances import Draw

SCHOOLS_A_CREW = 20
DISTRICT_KM = 12
KM_A_DEGREE = 111.2
SPECIES = ("apple", "pear_european", "apricot", "sweet_cherry", "peach_nectarine", "plum_european")
FORMS = {"peach_nectarine": "open centre", "apricot": "open centre"}


def write_city(
    folder: Path,
    schools: int,
    crews: int | None = None,
    seed: int = 1,
    climate: str = "dry",
    hours_a_day: float = 6,
) -> None:
    """Writes the programme, the same for the same numbers.

    crews: one for each 20 schools unless said; 0 leaves the [crews] out. climate: of CLIMATES.
    """
    draw = Draw(seed)
    crews = -(-schools // SCHOOLS_A_CREW) if crews is None else crews
    folder.mkdir(parents=True)
    centre_lat, centre_lon = LATITUDES[climate], -120.0
    text = [
        'name = "Invented City Orchards"\ncoordinator = "ada"',
        '[people.ada]\nname = "Ada Invented"\nemail = "ada@example.org"',
    ]
    for crew in range(crews):
        lon = centre_lon + _degrees_east((crew + 0.5) * DISTRICT_KM, centre_lat)
        text.append(
            f'[crews.c{crew:03}]\nname = "Crew {crew + 1}"\nhome = [{centre_lat:.4f}, {lon:.4f}]\n'
            f'people = {2 + crew % 2}\nweekdays = "mon-fri"\nhours_a_day = {hours_a_day}\n'
            f'reach_km = {DISTRICT_KM}\nskills = ["pruning", "ladder", "spraying"]'
        )
    (folder / "programme.toml").write_text("\n".join(text) + "\n", encoding="utf-8")
    for number in range(schools):
        east_km = draw.between(0, 10 * DISTRICT_KM * max(crews, 1)) / 10
        north_km = draw.between(-50, 50) / 10
        lat = centre_lat + north_km / KM_A_DEGREE
        lon = centre_lon + _degrees_east(east_km, centre_lat)
        _write_school(folder / f"school-{number:05}", number, lat, lon, climate, draw)


def _degrees_east(km: float, latitude_deg: float) -> float:
    return km / (KM_A_DEGREE * (1 - (latitude_deg / 90) ** 2 * 0.6))


def _write_school(
    folder: Path, number: int, lat: float, lon: float, climate: str, draw: Draw
) -> None:
    folder.mkdir()
    normals = CLIMATES[climate]
    hours = ("08:00-15:00", "08:30-15:30", "09:00-14:00")[draw.between(0, 2)]
    with_volunteers = draw.between(1, 4) == 1
    off = draw.between(1, 25)
    text = [
        f'name = "School {number}"\nlatitude = {lat:.5f}\nlongitude = {lon:.5f}',
        'timezone = "America/Los_Angeles"\ncountry = "US"\nsubdivision = "CA"',
        f'[visits]\nweekdays = "{"mon-sat" if with_volunteers else "mon-fri"}"\nhours = "{hours}"',
    ]
    if with_volunteers:
        text.append(
            'volunteers = true\n[work_days]\nweekdays = ["sat"]\nsmallest = 3\nlargest = 12'
        )
    text += [
        '[[closure]]\nname = "Winter break"\nfirst = 2026-12-21\nlast = 2027-01-03',
        f'[[closure]]\nname = "Own days"\nfirst = 2027-02-{off:02}\nlast = 2027-02-{off + 2:02}',
        '[pupils]\nweekdays = "mon-fri"',
        '[[pupils.term]]\nname = "Autumn"\nfirst = 2026-08-24\nlast = 2026-12-18',
        '[[pupils.term]]\nname = "Spring"\nfirst = 2027-01-04\nlast = 2027-06-04',
        "[spray]\nnotice_hours = 72" if draw.between(0, 1) else "[spray]\nallowed = false",
        f"[climate]\nlow_c = {list(normals.low_c)}\nhigh_c = {list(normals.high_c)}",
    ]
    if normals.rain_days is not None and normals.rain_mm is not None:
        text.append(f"rain_days = {list(normals.rain_days)}\nrain_mm = {list(normals.rain_mm)}")
    (folder / "site.toml").write_text("\n".join(text) + "\n", encoding="utf-8")
    rows = ["id,species,count,planted,form,height_m"]
    for place in range(draw.between(2, 5)):
        species = SPECIES[draw.between(0, len(SPECIES) - 1)]
        form = FORMS.get(species, "modified leader")
        height = draw.between(15, 40) / 10
        planted = draw.between(2008, 2025)
        rows.append(f"T{place},{species},{draw.between(1, 4)},{planted},{form},{height}")
    (folder / "trees.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
