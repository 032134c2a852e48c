"""The staff's crews: the [crews.KEY] tables of programme.toml."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from orchardcal.errors import Spot, known
from orchardcal.season import Span
from orchardcal.sites.toml_table import TomlTable
from orchardcal.sites.weekdays import MON_TO_FRI, weekdays

PRUNING, SPRAYING, LADDER = "pruning", "spraying", "ladder"
SKILLS = (PRUNING, SPRAYING, LADDER)
# Spraying must be said: it takes a licence in many places (US: 40 CFR 171; from memory).
USUAL_SKILLS = frozenset({PRUNING, LADDER})
# common practice, no source: an eight-hour day less loading, breaks and washing up; what a van
# with two people reaches and visits in it
USUAL_PEOPLE, USUAL_HOURS, USUAL_REACH_KM, USUAL_VISITS = 2, 6.0, 60, 4
MOST_PEOPLE, MOST_HOURS, MOST_VISITS = 500, 14.0, 50
FARTHEST_KM = 20_015  # half way round the Earth
FARTHEST_LATITUDE_DEG = 66.0  # as for sites
KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*")
HOME = "Write home = [44.08, -103.23]: latitude, then longitude; south and west are negative."
DAYS_OFF = 'Write days_off = [2026-11-27, "2026-12-21 to 2027-01-03"].'


@dataclass(frozen=True)
class CrewSettings:
    """A crew of the staff and the hours it has.

    latitude_deg, longitude_deg: its home base. spot: its table. people: how many go together;
    0 is a crew without anybody. weekdays: 0 is Monday; empty is a crew without days.
    minutes_a_day: paid time away from base for each of them, driving included. skills: of SKILLS.
    reach_km: great circle; sites further away are not gone to unless named in `sites`. sites: keys
    of those it goes to, () for all within reach. days_off: in order; public holidays are not among
    them.
    """

    key: str
    name: str
    latitude_deg: float
    longitude_deg: float
    spot: Spot
    people: int = USUAL_PEOPLE
    weekdays: frozenset[int] = MON_TO_FRI
    minutes_a_day: int = round(60 * USUAL_HOURS)
    skills: frozenset[str] = USUAL_SKILLS
    reach_km: int = USUAL_REACH_KM
    sites: tuple[str, ...] = ()
    days_off: tuple[Span, ...] = ()
    visits_a_day: int = USUAL_VISITS


def crew_settings(table: TomlTable, site_keys: Collection[str]) -> tuple[CrewSettings, ...]:
    """Every [crews.KEY] of the programme, in the order written.

    A crew without days, people or hours is kept, for whoever plans to say so: it is no mistake of
    writing. A crew whose home cannot be read is left out, and is a problem.
    """
    crews = table.table("crews")
    if crews is None:
        return ()
    loose = [key for key, value in crews.values.items() if not isinstance(value, dict)]
    if loose:
        crews.wrong(
            loose[0],
            f"[crews] itself holds {', '.join(loose)}",
            "Each crew is a table of its own: write [crews.north] above its name and home.",
        )
    found = [_crew(crews, key, site_keys) for key in crews.values if key not in loose]
    return tuple(crew for crew in found if crew is not None)


def _crew(crews: TomlTable, key: str, site_keys: Collection[str]) -> CrewSettings | None:
    crew = crews.table(key)
    if crew is None:
        return None
    if not KEY.fullmatch(key):
        crew.wrong(
            "",
            f'the crew\'s key "{key}" holds more than letters a-z, digits, - and _',
            'Write a short key, as [crews.north], and what people call the crew as name = "…".',
        )
    home = _home(crew)
    hours_a_day = crew.number("hours_a_day", 0, MOST_HOURS)
    settings = CrewSettings(
        key=key,
        name=crew.text("name", key, required='Write name = "Crew North".', lines=False),
        latitude_deg=home[0] if home else 0.0,
        longitude_deg=home[1] if home else 0.0,
        spot=crew.spot(),
        people=crew.whole("people", 0, MOST_PEOPLE, USUAL_PEOPLE),
        weekdays=_weekdays(crew),
        minutes_a_day=round(60 * (USUAL_HOURS if hours_a_day is None else hours_a_day)),
        skills=frozenset(_names(crew, "skills", SKILLS, tuple(USUAL_SKILLS))),
        reach_km=crew.whole("reach_km", 0, FARTHEST_KM, USUAL_REACH_KM),
        sites=_names(crew, "sites", site_keys, ()),
        days_off=_days_off(crew),
        visits_a_day=crew.whole("visits_a_day", 1, MOST_VISITS, USUAL_VISITS),
    )
    crew.refuse_unknown_keys()
    return settings if home else None


def _home(crew: TomlTable) -> tuple[float, float] | None:
    """Latitude and longitude, or None after a problem."""
    value = crew.raw("home")
    if value is None:
        crew.wrong("", "home is missing", HOME)
        return None
    numbers = [
        float(one)
        for one in (value if isinstance(value, list) else ())
        if isinstance(one, int | float) and not isinstance(one, bool)
    ]
    if not isinstance(value, list) or len(value) != 2 or len(numbers) != 2:
        said = f'"{value}"' if isinstance(value, str) else value
        crew.wrong("home", f"home is {said}, not two numbers", HOME)
        return None
    latitude, longitude = numbers
    if _on_earth(latitude, longitude):
        return latitude, longitude
    swapped = f"Exchange them: home = [{longitude:g}, {latitude:g}]. Latitude stands first."
    crew.wrong(
        "home",
        f"home is [{latitude:g}, {longitude:g}], which is no place with orchards",
        swapped if _on_earth(longitude, latitude) else HOME,
    )
    return None


def _on_earth(latitude: float, longitude: float) -> bool:
    return abs(latitude) <= FARTHEST_LATITUDE_DEG and abs(longitude) <= 180


def _weekdays(crew: TomlTable) -> frozenset[int]:
    written = crew.raw("weekdays")
    if written == [] or (isinstance(written, str) and not written.strip()):
        return frozenset()
    return weekdays(crew, "weekdays", MON_TO_FRI)


def _names(
    crew: TomlTable, key: str, choices: Collection[str], usual: tuple[str, ...]
) -> tuple[str, ...]:
    """A list of names, each of which must be among the choices; once each."""
    value = crew.raw(key)
    if value is None:
        return usual
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        example = min(choices, default="…")
        crew.wrong(
            key, f"{key} is no list of names", f'Write them in brackets: {key} = ["{example}"].'
        )
        return usual
    for one in value:
        if one not in choices:
            crew.wrong(key, f'{key} holds "{one}"', known(key, one, choices))
    return tuple(dict.fromkeys(one for one in value if one in choices))


def _days_off(crew: TomlTable) -> tuple[Span, ...]:
    value = crew.raw("days_off")
    if value is None:
        return ()
    if not isinstance(value, list):
        crew.wrong("days_off", f'days_off is "{value}", no list', DAYS_OFF)
        return ()
    return tuple(sorted({span for span in (_span(crew, one) for one in value) if span}))


def _span(crew: TomlTable, written: object) -> Span | None:
    """A day, or "first to last", or None after a problem."""
    if isinstance(written, date) and not isinstance(written, datetime):
        return Span(written, written)
    try:
        parts = re.split(r"\s+to\s+|\s*[–/]\s*", str(written).strip())
        days = [date.fromisoformat(part) for part in parts]
    except ValueError:
        days = []
    if len(days) not in (1, 2):
        crew.wrong("days_off", f'days_off holds "{written}", which is no day', DAYS_OFF)
        return None
    if days[-1] < days[0]:
        crew.wrong("days_off", f'days_off "{written}" ends before it begins', "Exchange the two.")
        return None
    return Span(days[0], days[-1])
