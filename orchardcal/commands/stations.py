"""The command that splits a file with many weather stations into a record for each."""

from __future__ import annotations

import gc
import re
from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from orchardcal.commands.progress import progress_of
from orchardcal.commands.weather import column_names, column_option, tell_disagreements
from orchardcal.commands.writing import write_all
from orchardcal.errors import Problems, Spot
from orchardcal.sites.many_stations import records_of_stations
from orchardcal.sites.record import DailyRecord, read_record
from orchardcal.sites.record_joining import joined, record_text

FOLDER_NAME = "stations"
PER_CENT = 100


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path))
@column_option
def stations(folder: Path, file: Path, columns: Sequence[str]) -> None:
    r"""Make or extend the daily record of every station in FILE, in FOLDER/stations.

    FILE is a CSV with a row for each day of each station: station, day, low_c, high_c and rain_mm
    (or low_f, high_f, rain_in); other columns are left aside. Any number of sites may plan by the
    record of one station. Days that disagree with a record are listed and nothing is written.

    \b
    Examples:
      orchardcal stations my_orchards national.csv
      orchardcal stations my_orchards export.csv --column station=NAME --column day=DATE \
        --column low_c=TMIN --column high_c=TMAX --column rain_mm=PRCP
    """
    # A million rows all stay: the search for cycles among them would take longer than reading.
    gc.disable()
    problems = Problems()
    if not folder.is_dir():
        problems.add(Spot(str(folder)), "is not a folder", "Name the programme folder.")
    names = column_names(columns, problems)
    problems.raise_if_any()
    with progress_of(PER_CENT, "Reading") as progress:
        shown = 0

        def at(share: float) -> None:
            nonlocal shown
            progress(int(share * PER_CENT) - shown)
            shown = int(share * PER_CENT)

        found = records_of_stations(file, str(file), names, problems, at)
    problems.raise_if_any()
    assert found is not None
    names_of_files = _file_names(found.records, file, problems)
    problems.raise_if_any()
    place = folder / FOLDER_NAME
    files, lines = {}, []
    for station, new in found.records.items():
        name = names_of_files[station]
        text, told = _extended(place / name, new, file, problems)
        files[name] = text.encode()
        lines.append(f"  {name}  {told}")
    problems.raise_if_any()
    write_all(place, files)
    click.echo(f"{len(files)} stations of {file} in {place}:")
    click.echo("\n".join(lines))
    if found.without:
        click.echo(f"Left out, without any low or high: {', '.join(found.without)}.")
    if files:
        example = f"../{FOLDER_NAME}/{next(iter(files))}"
        click.echo(f'A site plans by one with record = "{example}" under [climate] in site.toml.')


def _file_names(
    records: Mapping[str, DailyRecord], file: Path, problems: Problems
) -> dict[str, str]:
    """Each station's file, named for it; two that would share one are a problem."""
    names = {station: _file_name(station) for station in records}
    of_name: dict[str, str] = {}
    for station, name in names.items():
        if name in of_name:
            problems.add(
                Spot(str(file)),
                f'stations "{of_name[name]}" and "{station}" would both be {name}',
                "Give them names that differ in letters or digits.",
            )
        of_name[name] = station
    return names


def _file_name(station: str) -> str:
    """
    >>> _file_name("Jindo (Hill)"), _file_name("USC00391234"), _file_name("..")
    ('jindo-hill.csv', 'usc00391234.csv', 'station.csv')
    """
    return (re.sub(r"\W+", "-", station.casefold()).strip("-") or "station") + ".csv"


def _extended(path: Path, new: DailyRecord, file: Path, problems: Problems) -> tuple[str, str]:
    """The text of a station's record with the new days, and what is told of it."""
    shown_as = f"{FOLDER_NAME}/{path.name}"
    text = record_text(new)
    if path.is_file() and path.read_bytes() == text.encode():
        return text, f"nothing new, {new.first_day} to {new.last_day}"
    old = read_record(path, problems, shown_as) if path.exists() else None
    both = joined(old, new)
    tell_disagreements(both, shown_as, file, problems)
    record = both.record
    rain = "with rain" if record.has_rain else "without rain"
    days = "day" if both.added_days == 1 else "days"
    added = f"{both.added_days} {days} added, " if old is not None else ""
    if old is not None:
        text = record_text(record)
    return text, f"{added}{record.first_day} to {record.last_day}, {rain}"
