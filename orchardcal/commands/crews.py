"""The command that shows the crews, who they go to, and what is traded for what in their plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import click

from orchardcal.commands.programme import load
from orchardcal.outputs.speech import English, Speech
from orchardcal.plan.schedule import Weights
from orchardcal.season import Span
from orchardcal.sentence import Distance, Hours
from orchardcal.sites.crew_doubts import crew_doubts
from orchardcal.sites.crew_reach import goes_to, km_to_site
from orchardcal.sites.crew_settings import SKILLS, CrewSettings
from orchardcal.sites.site import Programme, Site

INDENT = " " * 4


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
def crews(folder: Path) -> None:
    """Show each crew of FOLDER and the sites it goes to, then the rates of exchange: what the
    schedule gives for what, which of them are set, and how to set one.

    \b
    Example:
      orchardcal crews demo_sites
    """
    programme = load(folder).programme
    speech = Speech("en", programme.units)
    parts = [*(_crew(crew, programme.sites, speech) for crew in programme.crews)]
    parts = parts or [_without_crews()]
    parts.append(_rates(programme))
    doubts = crew_doubts(programme)
    if doubts:
        lines = ["To look at again, though it is no mistake:", *map(str, doubts)]
        parts.append("\n".join(lines))
    click.echo("\n\n".join(parts))


def _without_crews() -> str:
    return (
        "No crews: the days of each site are chosen by themselves.\n"
        "Write in programme.toml, for instance:\n"
        '    [crews.north]\n    name = "Crew North"\n    home = [44.08, -103.23]'
    )


def _crew(crew: CrewSettings, sites: Sequence[Site], speech: Speech) -> str:
    skills = [skill for skill in SKILLS if skill in crew.skills]
    own = sorted((km_to_site(crew, site), site.key) for site in sites if goes_to(crew, site))
    people = "1 person" if crew.people == 1 else f"{crew.people} people"
    visits = "1 visit" if crew.visits_a_day == 1 else f"{crew.visits_a_day} visits"
    lines = [
        f"{crew.name} ({crew.key})",
        f"{INDENT}home {crew.latitude_deg:g}, {crew.longitude_deg:g}",
        f"{INDENT}{people}, {speech.value(Hours(crew.minutes_a_day / 60))} a day,"
        f" {_weekdays(crew)}, at most {visits} a day",
        f"{INDENT}skills: {', '.join(skills) or 'none'}",
    ]
    if crew.days_off:
        lines.append(f"{INDENT}days off: {', '.join(_span(span) for span in crew.days_off)}")
    reach = f"within {speech.value(Distance(crew.reach_km))} of its home"
    which = "named in its sites" if crew.sites else reach
    lines.append(f"{INDENT}goes to {len(own)} of {len(sites)} sites, those {which}:")
    width = max((len(key) for _, key in own), default=0)
    lines += [f"{INDENT * 2}{key:{width}}  {speech.value(Distance(km))}" for km, key in own]
    return "\n".join(lines)


def _weekdays(crew: CrewSettings) -> str:
    names = [English.weekdays[day] for day in sorted(crew.weekdays)]
    return f"on {', '.join(names)}" if names else "on no weekday"


def _span(span: Span) -> str:
    return f"{span.first}" if span.first == span.last else f"{span.first} to {span.last}"


def _rates(programme: Programme) -> str:
    told = Weights(**programme.rates).in_words()
    width = max(len(name) for name, _, _ in told)
    return "\n".join(
        (
            "Rates of exchange, in points; giving up a care stands above all of them:",
            *(_rate(name, words, name in programme.rates, width) for name, _, words in told),
            "To set one, write in programme.toml, for instance:",
            *(f"{INDENT}{line}" for line in _example(programme)),
        )
    )


def _rate(name: str, words: str, is_set: bool, width: int) -> str:
    mark = "  (set in programme.toml)" if is_set else ""
    return f"{INDENT}{name:{width}}  {words}{mark}"


def _example(programme: Programme) -> Iterable[str]:
    points = Weights(**programme.rates).visit
    yield "[rates]"
    yield f"visit = {points + 10}"
