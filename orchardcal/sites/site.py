"""Programme, site and planting: what the coordinator wrote, checked and frozen."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path

from orchardcal.errors import Spot
from orchardcal.season import Span
from orchardcal.sites.crew_settings import CrewSettings
from orchardcal.sites.feed_settings import FeedSettings
from orchardcal.sites.mail_settings import MailSettings
from orchardcal.sites.task_settings import TaskSettings
from orchardcal.sites.work_day_settings import WorkDaySettings

CHILL_MODELS = ("portions", "utah", "positive_utah", "hours_0_72", "hours_below_72")
HEAT_MODELS = ("asymcur", "linear")


@dataclass(frozen=True)
class Person:
    """Someone who gets mail; the address never leaves this class but for the mail's envelope."""

    key: str
    name: str
    email: str = field(repr=False, default="")
    language: str = "en"
    units: str = "metric"  # or "us"
    mail: bool = True  # False after an unsubscribe


@dataclass(frozen=True)
class Amount:
    """An amount of chill or heat and the model that counted it; two models never compare."""

    amount: float
    model: str


@dataclass(frozen=True)
class SeenStage:
    """A bud stage someone saw on a day of a past or the present season."""

    stage: str
    day: date


@dataclass(frozen=True)
class Planting:
    """One tree, or a group alike in species, cultivar, year planted and form.

    id: unique within the site. spot: its line in trees.csv.
    """

    id: str
    species: str
    cultivar: str
    count: int
    planted_year: int | None
    form: str
    trunk_diameter_m: float | None
    height_m: float | None
    chill_need: Amount | None
    heat_need: Amount | None
    seen: tuple[SeenStage, ...]
    near_power_line: bool
    notes: str
    spot: Spot

    def age(self, harvest_year: int) -> int | None:
        """Its year in the ground, 1 in the season after planting; None if unknown."""
        if self.planted_year is None:
            return None
        return max(1, harvest_year - self.planted_year)


@dataclass(frozen=True)
class Closure:
    """A stretch of days, once or again and again.

    span: the stretch itself; with `every_year`, its months and days return each year. With `rule`
    (an RRULE text for dateutil, counted from span.first), a stretch of `rule_days` begins on each
    day of the rule from span.first to span.last.
    """

    name: str
    span: Span
    rule: str = ""
    rule_days: int = 1
    every_year: bool = False


@dataclass(frozen=True)
class RecordGiven:
    """The site's own daily record lies beside site.toml."""

    path: Path


@dataclass(frozen=True)
class NormalsGiven:
    """Twelve monthly means, January first; rain where known."""

    low_c: tuple[float, ...]
    high_c: tuple[float, ...]
    rain_days: tuple[float, ...] | None
    rain_mm: tuple[float, ...] | None


@dataclass(frozen=True)
class FreezeDatesGiven:
    """Mean last and first freeze (0 °C) as (month, day), mean winter chill portions 1 Oct-30 Apr.

    The four extra numbers are mean daily low and high of the coldest and of the hottest month.
    """

    last_freeze: tuple[int, int]
    first_freeze: tuple[int, int]
    chill_portions: float
    coldest_low_c: float | None = None
    coldest_high_c: float | None = None
    hottest_low_c: float | None = None
    hottest_high_c: float | None = None
    first_wet_month: int | None = None


ClimateGiven = RecordGiven | NormalsGiven | FreezeDatesGiven


@dataclass(frozen=True)
class SprayRule:
    """The local rule for spraying on this ground."""

    allowed: bool = True
    notice_h: int = 72  # before spraying, to families and staff
    sign_h_before: int = 24
    sign_h_after: int = 72
    licence_needed: bool = True


@dataclass(frozen=True)
class Site:
    """A place with trees.

    key: its folder name. lead: a key of Programme.people. weekdays: 0 is Monday.
    closures: no visit at all. pupil_terms: pupils are on the ground on their weekdays, so no
    spraying or power work. hourly: an optional file of hourly temperatures. work_days: how those
    with volunteers are held, None where volunteers never come.
    """

    key: str
    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    timezone: str
    where: str
    country: str
    subdivision: str
    lead: str
    weekdays: frozenset[int]
    opens: time
    closes: time
    closures: tuple[Closure, ...]
    pupil_terms: tuple[Closure, ...]
    pupil_weekdays: frozenset[int]
    pupils_take_part: bool
    volunteers: bool
    spray: SprayRule
    climate: ClimateGiven
    hourly: Path | None
    plantings: tuple[Planting, ...]
    spot: Spot
    notes: str = ""
    work_days: WorkDaySettings | None = None


@dataclass(frozen=True)
class Programme:
    """One folder: people, settings and a sub-folder per site.

    feed_name: how the staff calendar is called in people's calendar lists.
    base_url: where the feeds will be found, "" if not yet known. rates: those of RATE_NAMES that
    are given, in points.
    """

    name: str
    folder: Path
    language: str
    units: str
    people: dict[str, Person]
    coordinator: str
    base_url: str
    sites: tuple[Site, ...]
    species_files: tuple[Path, ...] = ()
    mail: MailSettings = field(default_factory=MailSettings)
    tasks: TaskSettings = field(default_factory=TaskSettings)
    feeds: tuple[FeedSettings, ...] = ()
    crews: tuple[CrewSettings, ...] = ()
    rates: dict[str, int] = field(default_factory=dict)

    def site(self, key: str) -> Site:
        return next(site for site in self.sites if site.key == key)
