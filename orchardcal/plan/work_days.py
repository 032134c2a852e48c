"""The work days of a site: its volunteers' jobs gathered by day, and what each day needs."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime, timedelta

from orchardcal.care import TITLES
from orchardcal.plan.days import SiteDays
from orchardcal.plan.plan import Job
from orchardcal.plan.rain_day import rain_day
from orchardcal.plan.task import Task
from orchardcal.plan.volunteers import AROUND_MIN, DAY_MIN, leaders_for, settings_for
from orchardcal.plan.work_day import WorkDay
from orchardcal.plan.work_day_wording import (
    announcements,
    leaders_counted,
    lesson,
    run_sheet,
    safety,
    tools,
)
from orchardcal.sentence import Hours, Sentence, Words, say
from orchardcal.sites.site import Planting
from orchardcal.sites.work_day_settings import WorkDaySettings


def work_days(
    made: Sequence[Job], joined: Sequence[tuple[Task, date]], calendar: SiteDays, last: date
) -> tuple[WorkDay, ...]:
    """Every day on which volunteers are invited, and every pinned day still ahead.

    made: the site's jobs. joined: the tasks they were made from, with their days. last: the last
    day of the seasons planned.
    """
    settings = calendar.site.work_days
    if settings is None:
        return ()
    tasks, days = [task for task, _ in joined], [day for _, day in joined]
    own = [at for at, task in enumerate(tasks) if settings_for(calendar.site, task.care)]
    busy = {days[at] for at in own}
    found = []
    for day in sorted(busy):
        jobs = [job for job in made if job.open_to_volunteers and job.day == day]
        on_day = [at for at in own if days[at] == day]
        rain = rain_day(on_day, tasks, days, calendar, busy)
        plantings = {one for at in on_day for one in tasks[at].plantings}
        found.append(_work_day(day, jobs, plantings, calendar, rain))
    for day in settings.pinned:
        if day not in busy and calendar.as_of < day <= last:
            found.append(_without_work(day, settings, calendar, [joined[at] for at in own]))
    return tuple(sorted(found, key=lambda one: one.day))


def _work_day(
    day: date,
    jobs: Sequence[Job],
    plantings: Collection[Planting],
    calendar: SiteDays,
    rain: tuple[date | None, Sentence | None],
) -> WorkDay:
    site, people = calendar.site, jobs[0].people
    settings = site.work_days or WorkDaySettings()
    leaders = leaders_for(people, settings)
    minutes = sum(job.minutes for job in jobs)
    lasts = datetime.combine(day, jobs[-1].end) - datetime.combine(day, jobs[0].start)
    fit_min = people * (int(lasts.total_seconds() // 60) - AROUND_MIN)
    return WorkDay(
        site=site.key,
        day=day,
        start=jobs[0].start,
        end=jobs[-1].end,
        jobs=tuple(job.uid for job in jobs),
        trees=sum(planting.count for planting in plantings),
        minutes=minutes,
        fit_minutes=min(minutes, fit_min),
        people=people,
        leaders=leaders,
        pinned=day in settings.pinned,
        rain_day=rain[0],
        rain_why=rain[1],
        announcements=announcements(day),
        run_sheet=run_sheet(day, jobs),
        tools=tools(jobs, people, leaders),
        cautions=tuple(
            dict.fromkeys((*safety(site), *(one for job in jobs for one in job.cautions)))
        ),
        lesson=lesson(site, jobs),
        notes=tuple(_notes(day, minutes, fit_min, people, settings)),
    )


def _notes(
    day: date, minutes: int, fit_min: int, people: int, settings: WorkDaySettings
) -> Iterable[Sentence]:
    if day in settings.pinned:
        yield say("The coordinator pinned this day.")
    if settings.smallest > settings.largest:
        yield say(
            "The smallest group ({smallest}) is above the largest ({largest}), which holds:"
            " exchange them in site.toml.",
            smallest=settings.smallest,
            largest=settings.largest,
        )
    if fit_min < minutes:
        yield say(
            "Only {fit} of {all} of work fit into this day with {count} volunteer: plan a second"
            " day or a larger group.",
            plural="Only {fit} of {all} of work fit into this day with {count} volunteers: plan a"
            " second day or a larger group.",
            fit=Hours(fit_min / 60),
            all=Hours(minutes / 60),
            count=people,
        )
        if people == settings.most_people < settings.largest and settings.leaders is not None:
            yield say(
                "The group is held to {count} volunteer, as {leaders} can lead no more.",
                plural="The group is held to {count} volunteers, as {leaders} can lead no more.",
                count=people,
                leaders=leaders_counted(settings.leaders),
            )


def _without_work(
    day: date,
    settings: WorkDaySettings,
    calendar: SiteDays,
    tasks: Sequence[tuple[Task, date]],
) -> WorkDay:
    """A pinned day that no work falls on: kept, and flagged with the reason."""
    site = calendar.site
    hours = calendar.work_hours(day) or (site.opens, site.closes)
    begin = datetime.combine(day, hours[0])
    end = min(begin + timedelta(minutes=DAY_MIN), datetime.combine(day, hours[1]))
    people = min(settings.smallest, settings.most_people)
    return WorkDay(
        site=site.key,
        day=day,
        start=begin.time(),
        end=end.time(),
        jobs=(),
        trees=0,
        minutes=0,
        fit_minutes=0,
        people=people,
        leaders=leaders_for(people, settings),
        pinned=True,
        rain_day=None,
        rain_why=say("No rain date: no work stands on this day."),
        announcements=announcements(day),
        run_sheet=(),
        tools=(),
        cautions=safety(site),
        lesson=(),
        notes=(say("The coordinator pinned this day."), _why_without(day, calendar, tasks)),
    )


def _why_without(day: date, calendar: SiteDays, tasks: Sequence[tuple[Task, date]]) -> Sentence:
    """Why no work stands on a pinned day, and what is nearest."""
    settings = calendar.site.work_days
    if settings is not None and day in settings.banned:
        return say("No work is planned on it: it is banned as well; take it out of one list.")
    if day in calendar.closed:
        return say(
            'No work can be done on it: the site is closed then ("{name}").',
            name=calendar.closed[day],
        )
    if day.weekday() not in calendar.site.weekdays:
        return say("No work can be done on it: the site is not visited on that weekday.")
    if calendar.work_hours(day) is None:
        return say("No work can be done on it: there is too little daylight.")
    if not tasks:
        return say("No work can be done on it: nothing for volunteers is left in this season.")
    task, planned = min(
        tasks,
        key=lambda pair: (
            max((pair[0].span.first - day).days, (day - pair[0].span.last).days, 0),
            abs((pair[1] - day).days),
            pair[1],
        ),
    )
    care = Words(TITLES[task.care])
    if day in task.span:
        return say(
            "No work stands on it: {care} ({trees}) has its place on {day}.",
            care=care,
            trees=", ".join(task.ids),
            day=planned,
        )
    return say(
        "No work for volunteers may be done on it: it lies outside every window; the nearest is"
        " {care}, from {first} to {last}.",
        care=care,
        first=task.span.first,
        last=task.span.last,
    )
