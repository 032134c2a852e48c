"""The files of a new programme, with remarks that say what may be written where."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from orchardcal.season import is_southern

PROGRAMME = """\
# {name}: read by orchardcal. Lines that begin with # are remarks.
name = {name_text}
language = "en"             # of calendars and mail
units = "{units}"           # "metric" or "us" (°F, inches, gallons)
coordinator = "{coordinator_key}"
# base_url = "https://example.org/orchards"   # where the calendars will be found

[site_defaults]             # for sites that do not say otherwise
{country_line}
{subdivision_line}

[people.{coordinator_key}]
name = {coordinator_text}
{email_line}
# language = "es"           # their own, where it differs
# mail = false              # no mail to this person
"""

SITE = """\
name = {name_text}
# where = "Orchard behind the gym, gate on the east side"
latitude = {latitude:g}
longitude = {longitude:g}
timezone = "{timezone}"     # found from the coordinates
# elevation_m = 1020        # or elevation_ft
# lead = "{coordinator_key}"              # a key of [people] in programme.toml

[visits]                    # when people may work
weekdays = "mon-fri"        # or ["tue", "thu"]
hours = "08:30-16:00"
volunteers = false          # true: work of this site also goes to the volunteers' calendar

# Days without any visit, as many tables as needed:
# [[closure]]
# name = "Winter break"
# first = 2026-12-21
# last = 2027-01-03
# [[closure]]
# name = "Staff day"
# rule = "FREQ=MONTHLY;BYDAY=1FR"   # the first Friday of each month (RFC 5545)

{pupils}
[spray]                     # the rule for spraying on this ground; ask your district
allowed = true
notice_hours = 72
licence_needed = true

[climate]
{climate}"""

NO_PUPILS = """\
[pupils]                    # no spraying or power work while pupils are about
on_site = false
"""

PUPILS = """\
[pupils]                    # no spraying or power work while pupils are about
take_part = false           # true: pupils help with hand tools
weekdays = "mon-fri"

[[pupils.term]]             # change these to the school's own terms
name = "First term"
every_year = "{first}"

[[pupils.term]]
name = "Second term"
every_year = "{second}"
"""
NORTHERN_TERMS = ("08-15 to 12-22", "01-04 to 06-15")
SOUTHERN_TERMS = ("01-25 to 06-30", "07-15 to 12-20")

FREEZE_DATES = """\
last_freeze = "{last}"       # mean date of the last freeze in spring
first_freeze = "{first}"      # mean date of the first freeze in autumn
chill_portions = {portions:g}         # mean winter chill, Dynamic model
# Better: add the mean low and high of the coldest and the hottest month (or ..._f):
# coldest_low_c = -4.5
# coldest_high_c = 4
# hottest_low_c = 16
# hottest_high_c = 31
# Best: record = "record.csv" instead of all these; see orchardcal weather --help
"""

CLIMATE_TO_FILL_IN = """\
# One of these three is needed; take away its #.
# 1. The best: daily lows and highs, 3 years or more, 20 if you can; see orchardcal weather --help
# record = "record.csv"
# 2. Monthly means, January first (or low_f, high_f), and rain if known:
# low_c = [-3, -2, 1, 5, 9, 14, 17, 16, 12, 6, 1, -2]
# high_c = [4, 6, 11, 16, 21, 26, 30, 29, 24, 17, 10, 5]
# rain_days = [8, 8, 9, 9, 10, 9, 7, 7, 7, 8, 8, 8]     # days of 1 mm (0.04 in) or more
# rain_mm = [50, 48, 60, 70, 85, 80, 60, 60, 65, 70, 65, 55]   # or rain_in
# 3. Mean last and first freeze, and mean winter chill (Dynamic model):
# last_freeze = "04-20"
# first_freeze = "10-15"
# chill_portions = 60
"""


@dataclass(frozen=True)
class FreezeDates:
    last: str
    first: str
    portions: float


@dataclass(frozen=True)
class NewProgramme:
    """What a coordinator has said of a new programme and its first site."""

    name: str
    coordinator: str
    email: str
    units: str
    site_name: str
    latitude_deg: float
    longitude_deg: float
    timezone: str
    country: str
    subdivision: str
    pupils: bool
    species: Sequence[str]
    freeze: FreezeDates | None


def new_files(given: NewProgramme) -> dict[str, bytes]:
    """Each file's path below the folder, with "/", and its bytes."""
    site = easy_name(given.site_name) or "site-1"
    coordinator = easy_name(given.coordinator) or "coordinator"
    programme = PROGRAMME.format(
        name=" ".join(given.name.split()),
        name_text=_quoted(given.name),
        units=given.units,
        coordinator_key=coordinator,
        coordinator_text=_quoted(given.coordinator),
        email_line=f"email = {_quoted(given.email)}" if given.email else '# email = "…"',
        country_line=_optional("country", given.country, "US"),
        subdivision_line=_optional("subdivision", given.subdivision, "SD"),
    )
    terms = SOUTHERN_TERMS if is_southern(given.latitude_deg) else NORTHERN_TERMS
    freeze = given.freeze
    site_text = SITE.format(
        name_text=_quoted(given.site_name),
        latitude=given.latitude_deg,
        longitude=given.longitude_deg,
        timezone=given.timezone,
        coordinator_key=coordinator,
        pupils=PUPILS.format(first=terms[0], second=terms[1]) if given.pupils else NO_PUPILS,
        climate=CLIMATE_TO_FILL_IN
        if freeze is None
        else FREEZE_DATES.format(last=freeze.last, first=freeze.first, portions=freeze.portions),
    )
    rows = [f"A-{place:02},{species},,1,,,,," for place, species in enumerate(given.species, 1)]
    header = "id,species,cultivar,count,planted,form,seen,power_line,notes"
    return {
        "programme.toml": programme.encode(),
        f"{site}/site.toml": site_text.encode(),
        f"{site}/trees.csv": ("\n".join([header, *rows]) + "\n").encode(),
    }


def easy_name(name: str) -> str:
    """A name for a folder or key: plain letters, digits and hyphens, "" if none are left.

    >>> easy_name("École du Lac"), easy_name("果樹園")
    ('ecole-du-lac', '')
    """
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", letters.lower()).strip("-")


def _quoted(text: str) -> str:
    """A text as TOML writes it; JSON's escapes are TOML's."""
    return json.dumps(text, ensure_ascii=False)


def _optional(key: str, value: str, example: str) -> str:
    if value:
        return f"{key} = {_quoted(value)}"
    return f'# {key} = "{example}"   # its public holidays are then kept free'
