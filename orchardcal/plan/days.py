"""The days one site's task may fall on, and which single rule keeps each other day out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from orchardcal import care as cares
from orchardcal.plan.recorded import Recorded
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import against_volunteers, settings_for
from orchardcal.season import Span
from orchardcal.sentence import Sentence, say
from orchardcal.sites.free_days import closed_days, pupil_days
from orchardcal.sites.site import Site
from orchardcal.windows.near_days import NearDays
from orchardcal.windows.site_light import sunrise_to_sunset

REENTRY_DAYS = 1  # children stay out until dry and a day at least: trade default, the label decides
SHORTEST_VISIT_H = 1.0
WARM_ENOUGH = 0.1  # paint and oil: share of seasons that suit, below which a day is no candidate
WEATHER_BOUND = (cares.WHITEWASH_PAINTING, cares.DORMANT_OIL_SPRAY)
LIGHT_MARGIN = timedelta(minutes=30)


@dataclass(frozen=True)
class DayList:
    """Free days, and for every other day of the span the rules that keep it out."""

    free: tuple[date, ...]
    kept_out: dict[date, tuple[str, ...]]
    names: dict[date, str]  # of closures and holidays


class SiteDays:
    """The calendar, the journal and the forecast of one site over a span, read once."""

    def __init__(
        self,
        site: Site,
        span: Span,
        as_of: date,
        known: Recorded,
        near: NearDays | None = None,
    ) -> None:
        self.site = site
        self.known = known
        self._hours: dict[date, tuple[time, time] | None] = {}
        self.near = near
        self.as_of = as_of
        self.closed = closed_days(site, span)
        self.pupils = pupil_days(site, span)

    def open(self, day: date, care: str) -> bool:
        """Whether a visit may be made at all: ahead, on one of the weekdays, not closed."""
        return (
            day > self.as_of
            and day.weekday() in self.site.weekdays
            and day not in self.closed
            and not any(against_volunteers(self.site, care, day))
        )

    def work_hours(self, day: date) -> tuple[time, time] | None:
        """From when to when people may work: site hours in daylight; None if too short."""
        if day not in self._hours:
            self._hours[day] = self._hours_in_light(day)
        return self._hours[day]

    def _hours_in_light(self, day: date) -> tuple[time, time] | None:
        site = self.site
        light = sunrise_to_sunset(site, day)
        if light is None:
            return None
        up = datetime.combine(day, light[0]) + LIGHT_MARGIN
        down = datetime.combine(day, light[1]) - LIGHT_MARGIN
        begin = max(site.opens, _next_quarter(up).time())
        end = min(site.closes, down.time())
        hours = (datetime.combine(day, end) - datetime.combine(day, begin)).total_seconds() / 3600
        return (begin, end) if hours >= SHORTEST_VISIT_H else None

    def days_for(self, task: Task) -> DayList:
        """The task's span split into free days and days kept out, with every rule against each."""
        free, kept_out, names = [], {}, {}
        for day in task.span.days():
            against = tuple(self._against(task, day))
            if against:
                kept_out[day] = against
                if day in self.closed:
                    names[day] = self.closed[day]
            else:
                free.append(day)
        return DayList(tuple(free), kept_out, names)

    def _against(self, task: Task, day: date) -> Iterable[str]:
        if day < self.as_of or (day == self.as_of and task.previous_day != day):
            yield "past"
        if day.weekday() not in self.site.weekdays:
            yield "weekday"
        if day in self.closed:
            yield "closed"
        yield from against_volunteers(self.site, task.care, day)
        if task.noticed is not None and day not in task.noticed:
            yield "notice"
        if task.care == cares.DORMANT_OIL_SPRAY and self._pupils_near(day):
            yield "pupils"
        if task.care in WEATHER_BOUND and task.suits(day) < WARM_ENOUGH:
            yield "weather"
        if self.work_hours(day) is None:
            yield "dark"

    def _pupils_near(self, day: date) -> bool:
        return any(day + timedelta(days=ahead) in self.pupils for ahead in range(REENTRY_DAYS + 1))


def nearest_change(task: Task, days: DayList) -> Sentence | None:
    """The day nearest to the task's best one that a single rule keeps out, and that rule."""
    single = [day for day, against in days.kept_out.items() if len(against) == 1]
    single = [day for day in single if days.kept_out[day][0] in CHANGES and task.suits(day) > 0]
    if not single:
        return None
    day = min(single, key=lambda day: (abs((day - task.target).days), day))
    (rule,) = days.kept_out[day]
    return say(CHANGES[rule], day=day, name=days.names.get(day, ""))


CHANGES = {
    "weekday": "{day} would do, if that weekday were allowed at this site.",
    "closed": '{day} would do, if "{name}" could be set aside for it.',
    "pupils": "{day} would do, if pupils were away that day and the next.",
    "dark": "{day} would do, if the site's hours lay in daylight.",
    "notice": "{day} would do, if notice of the spraying were given long enough before it.",
    "volunteers": "{day} would do, if volunteers could come on that weekday.",
    "banned": "{day} would do, if it were not banned for work days.",
}


def funnel(task: Task, days: DayList, site: Site) -> Sentence:
    """How many days of the window each rule left over, rule after rule."""
    if settings_for(site, task.care) is not None:
        return _funnel_of_volunteers(task, days)
    counts = _left(task, days, "past notice", "weekday", "closed", "pupils", "weather dark")
    return say(
        "Of {total} days in the window {ahead} are still ahead, {weekday} of these fall on the"
        " site's weekdays, {open} of these are open, on {alone} of these no pupils are about, and"
        " {free} of these have weather and light for it.",
        total=len(task.span),
        ahead=counts[0],
        weekday=counts[1],
        open=counts[2],
        alone=counts[3],
        free=counts[4],
    )


def _funnel_of_volunteers(task: Task, days: DayList) -> Sentence:
    """The same where volunteers do the work."""
    counts = _left(task, days, "past", "weekday", "closed", "volunteers", "banned", "weather dark")
    return say(
        "Of {total} days in the window {ahead} are still ahead, {weekday} of these fall on the"
        " site's weekdays, {open} of these are open, on {able} of these volunteers can come,"
        " {allowed} of these are not banned for work days, and {free} of these have weather and"
        " light for it.",
        total=len(task.span),
        ahead=counts[0],
        weekday=counts[1],
        open=counts[2],
        able=counts[3],
        allowed=counts[4],
        free=counts[5],
    )


def _left(task: Task, days: DayList, *filters: str) -> list[int]:
    """The days left after each filter, which holds one rule or several."""
    left = list(task.span.days())
    counts = []
    for rules in filters:
        left = [day for day in left if not {*rules.split()} & {*days.kept_out.get(day, ())}]
        counts.append(len(left))
    return counts


def _next_quarter(moment: datetime) -> datetime:
    """The next full quarter of an hour."""
    extra = (15 - moment.minute % 15) % 15 or (
        15 if moment.second and moment.minute % 15 == 0 else 0
    )
    return (moment + timedelta(minutes=extra)).replace(second=0, microsecond=0)
