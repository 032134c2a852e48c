"""The command that adds the days of a weather station to a site's record."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from orchardcal.commands.writing import write_all
from orchardcal.errors import Problems, Spot, known
from orchardcal.sites.ghcn import StationDays
from orchardcal.sites.record import DailyRecord, read_record
from orchardcal.sites.record_joining import Joined, gaps, joined, record_text
from orchardcal.sites.stations import station_days
from orchardcal.sites.toml_table import toml_table

LISTED = 10
column_option = click.option(
    "--column",
    "columns",
    multiple=True,
    metavar="OURS=THEIRS",
    help="A column of another name in FILE, as high_c=temp_max; once for each column.",
)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.argument("site")
@click.argument("file", type=click.Path(path_type=Path))
@column_option
def weather(folder: Path, site: str, file: Path, columns: Sequence[str]) -> None:
    r"""Make or extend the daily record of SITE in FOLDER from a station's FILE.

    FILE is a CSV with the columns day, low_c, high_c and rain_mm (or low_f, high_f, rain_in), or
    a GHCN-Daily file: fixed width (.dly) or CSV with DATE, TMAX, TMIN and PRCP. Days that
    disagree with the record are listed and nothing is written.

    \b
    Examples:
      orchardcal weather my_orchards millbrook USC00391234.dly
      orchardcal weather my_orchards millbrook log.csv --column day=Date \
        --column low_c=Min --column high_c=Max
    """
    problems = Problems()
    key = site.rstrip("/\\")
    path = _record_path(folder, key, problems)
    problems.raise_if_any()
    shown_as = f"{key}/{path.name}"
    old = read_record(path, problems, shown_as) if path.exists() else None
    new = station_days(file, str(file), column_names(columns, problems), problems)
    problems.raise_if_any()
    assert new is not None
    both = joined(old, new.record)
    tell_disagreements(both, shown_as, file, problems)
    problems.raise_if_any()
    write_all(path.parent, {path.name: record_text(both.record).encode()})
    click.echo(_report(shown_as, old, new, both))
    if not _uses_record(folder, key):
        click.echo(f'To plan by it, write record = "{path.name}" under [climate] in site.toml.')


def _record_path(folder: Path, key: str, problems: Problems) -> Path:
    """Where the site's record is or will be; the rest of the folder may still be unfinished."""
    keys = sorted(path.parent.name for path in folder.glob("*/site.toml"))
    if key not in keys:
        problems.add(Spot(str(folder)), f'there is no site "{key}"', known("sites", key, keys))
        return folder
    site = toml_table(folder / key / "site.toml", f"{key}/site.toml", problems, "")
    climate = site.table("climate") if site is not None else None
    name = climate.text("record", "record.csv", lines=False) if climate is not None else ""
    return folder / key / (name or "record.csv")


def _uses_record(folder: Path, key: str) -> bool:
    site = toml_table(folder / key / "site.toml", f"{key}/site.toml", Problems(), "")
    climate = site.table("climate") if site is not None else None
    return climate is not None and "record" in climate


def column_names(columns: Sequence[str], problems: Problems) -> dict[str, str]:
    """Our column -> the file's, from what --column was given."""
    names = {}
    for column in columns:
        ours, equals, theirs = column.partition("=")
        if not equals or not theirs.strip():
            problems.add(Spot("--column"), f'"{column}" names no pair', "Write high_c=temp_max.")
        names[ours.strip()] = theirs.strip()
    return names


def tell_disagreements(both: Joined, shown_as: str, file: Path, problems: Problems) -> None:
    """Adds the first values in which a record and a file disagree, and how many more do."""
    for one in both.disagreements[:LISTED]:
        problems.add(
            Spot(shown_as),
            f"{one.day} has {one.column} {one.had:g}, but {file} has {one.found:g}",
            "Correct the one that is wrong, or take that day out of the file. Nothing was written.",
        )
    more = len(both.disagreements) - LISTED
    if more > 0:
        problems.add(
            Spot(shown_as),
            f"{len(both.disagreements)} values disagree with {file}; {more} are not listed",
            "So many suggest another station, or other units. Nothing was written.",
        )


def _report(shown_as: str, old: DailyRecord | None, new: StationDays, both: Joined) -> str:
    record = both.record
    missing = gaps(record)
    station = f" of station {new.station}" if new.station else ""
    lines = [
        f"{shown_as}: {both.added_days} days{station} added, "
        f"{both.filled} missing values filled{'' if old else '; the record is new'}.",
        f"It now goes from {record.first_day} to {record.last_day}, "
        f"{'with' if record.has_rain else 'without'} rain.",
    ]
    if missing:
        longest = max(missing, key=len)
        lines.append(
            f"Without a low or a high: {sum(map(len, missing))} days in {len(missing)} gaps, the "
            f"longest {len(longest)} days from {longest.first}."
        )
    lines += [f"Left out, {cause}: {count} values." for cause, count in new.left_out]
    return "\n".join(lines)
