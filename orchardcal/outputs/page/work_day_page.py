"""The page of one work day: who, where, when, run sheet, jobs, tools, and a sheet to sign in on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from urllib.parse import quote

from orchardcal.outputs.page.frame import document, scrolled, section
from orchardcal.outputs.page.lanes import badge
from orchardcal.outputs.page.markup import Markup, isolated, joined, tag
from orchardcal.outputs.page.visits import hours, told
from orchardcal.outputs.page.work_days_told import hours_told
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Job, Plan, SitePlan
from orchardcal.plan.work_day import RunStep, WorkDay
from orchardcal.sentence import Hours, Sentence, Words, say

HOME = "../index.html"
SPARE_ROWS = 2  # for people who come unannounced


def work_day_page(plan: Plan, site: SitePlan, work_day: WorkDay, speech: Speech) -> bytes:
    """The whole page; printed, the sign-in sheet stands on paper of its own."""
    title = say("Work day: {site}, {day}", site=site.name, day=work_day.day)
    back = tag(
        "ul",
        tag("li", tag("a", isolated(plan.name), href=HOME)),
        tag("li", tag("a", isolated(site.name), href=f"../sites/{quote(site.site)}.html")),
    )
    top = [
        tag("nav", back, aria_label=speech.words("Way back")),
        tag("h1", speech.sentence(title)),
        tag("p", joined(_in_a_line(work_day, speech), " · ")),
    ]
    by_uid = {job.uid: job for job in site.jobs}
    jobs = [by_uid[uid] for uid in work_day.jobs]
    main = [
        section(key, speech.value(heading), *content)
        for key, heading, content in _parts(plan, site, work_day, jobs, speech)
        if content
    ]
    main.append(_sign_in(site, work_day, speech))
    return document(plan, speech.sentence(title), top, main, speech, home=HOME)


def _in_a_line(work_day: WorkDay, speech: Speech) -> Iterator[str]:
    yield tag("b", hours_told(work_day, speech))
    volunteers = say(
        "{count} volunteer wanted", plural="{count} volunteers wanted", count=work_day.people
    )
    yield speech.sentence(volunteers)
    leaders = say("{count} leader", plural="{count} leaders", count=work_day.leaders)
    yield speech.sentence(leaders)


def _parts(
    plan: Plan, site: SitePlan, work_day: WorkDay, jobs: Sequence[Job], speech: Speech
) -> Iterator[tuple[str, Words, Sequence[Markup]]]:
    """Key, title and content of each section."""
    trouble = "alert" if not work_day.jobs or not work_day.enough else None
    notes = [tag("p", speech.sentence(one), class_=trouble) for one in work_day.notes]
    yield "when", Words("When and where"), [*notes, _facts(plan, site, work_day, speech)]
    yield "run-sheet", Words("Run sheet"), _run_sheet(work_day, speech)
    yield "safety", Words("Safety talk"), _safety(site, work_day, speech)
    yield "work", Words("The work"), [_job(job, jobs, speech) for job in jobs]
    yield "bring", Words("Bring"), [told(work_day.tools, speech)] if work_day.tools else []
    yield (
        "lesson",
        Words("A short lesson for pupils"),
        [told(work_day.lesson, speech)] if work_day.lesson else [],
    )


def _facts(plan: Plan, site: SitePlan, work_day: WorkDay, speech: Speech) -> Markup:
    rows: list[tuple[str, str]] = [
        (speech.words("Day"), speech.day(work_day.day)),
        (speech.words("Hours"), _clock(work_day, site, speech)),
        (speech.words("Where"), _where(site, speech)),
        (speech.words("Rain date"), _rain_date(work_day, speech)),
    ]
    if work_day.jobs:
        work = say(
            "{count} tree, {work} of work in all",
            plural="{count} trees, {work} of work in all",
            count=work_day.trees,
            work=Hours(work_day.minutes / 60),
        )
        rows.append((speech.words("Work"), speech.sentence(work)))
    for announcement in work_day.announcements:
        when = _by(announcement.day, plan.as_of)
        rows.append((speech.sentence(announcement.what), speech.sentence(when)))
    body = (tag("tr", tag("th", name, scope="row"), tag("td", words)) for name, words in rows)
    caption = tag("caption", speech.words("When and where"), class_="heard")
    return tag("table", caption, tag("tbody", *body))


def _by(day: date, as_of: date) -> Sentence:
    if day < as_of:
        return say("was due by {day}; if it has not gone out, send it now", day=day)
    return say("by {day}", day=day)


def _clock(work_day: WorkDay, site: SitePlan, speech: Speech) -> str:
    zone = speech.sentence(say("clock times of {timezone}", timezone=site.timezone))
    return joined([hours_told(work_day, speech), zone], ", ")


def _where(site: SitePlan, speech: Speech) -> Markup:
    place = say(
        "{latitude}, {longitude}",
        latitude=round(site.latitude_deg, 4),
        longitude=round(site.longitude_deg, 4),
    )
    names = dict.fromkeys(name for name in (site.name, site.where) if name)
    coordinates = tag("bdi", speech.sentence(place), dir="ltr")
    return joined([*(isolated(name) for name in names), coordinates], " · ")


def _rain_date(work_day: WorkDay, speech: Speech) -> str:
    if work_day.rain_day is not None:
        return speech.day(work_day.rain_day)
    return speech.sentence(work_day.rain_why) if work_day.rain_why else "–"


def _run_sheet(work_day: WorkDay, speech: Speech) -> list[Markup]:
    if not work_day.run_sheet:
        return []
    rows = (
        tag(
            "tr",
            tag("th", speech.sentence(_from_to(step)), scope="row", class_="hours"),
            tag("td", isolated(speech.sentence(step.what))),
        )
        for step in work_day.run_sheet
    )
    columns = (speech.words("Hours"), speech.words("What"))
    head = tag("thead", tag("tr", *(tag("th", one, scope="col") for one in columns)))
    title = speech.words("Run sheet")
    caption = tag("caption", title, class_="heard")
    return [tag("table", caption, head, tag("tbody", *rows))]


def _from_to(step: RunStep) -> Sentence:
    return say("{start}–{end}", start=step.start, end=step.end)


def _safety(site: SitePlan, work_day: WorkDay, speech: Speech) -> list[Markup]:
    emergency = say(
        "In an emergency call the local emergency number and say where: {site}, {latitude},"
        " {longitude}. First-aid kit and poison centre's number lie on the sign-in table.",
        site=site.name,
        latitude=round(site.latitude_deg, 4),
        longitude=round(site.longitude_deg, 4),
    )
    return [
        tag("p", speech.sentence(emergency), class_="alert"),
        tag("div", told(work_day.cautions, speech), class_="caution"),
    ]


def _job(job: Job, jobs: Sequence[Job], speech: Speech) -> Markup:
    """A job's steps, and those cautions that do not hold for all of the day: these stand above."""
    own = [one for one in job.cautions if not all(one in each.cautions for each in jobs)]
    heading = tag("h3", badge(job.care, speech), " ", isolated(speech.sentence(job.title)))
    parts = [heading, tag("p", hours(job, speech), class_="size"), told(job.do, speech)]
    if own:
        words = tag("h4", speech.words("Take care"))
        parts.append(tag("div", words, told(own, speech), class_="caution"))
    if job.then:
        parts += [tag("h4", speech.words("After")), told(job.then, speech)]
    return tag("div", *parts, class_="job")


def _sign_in(site: SitePlan, work_day: WorkDay, speech: Speech) -> Markup:
    """A blank row for each volunteer and leader, and a few more."""
    columns = (
        speech.words("No."),
        speech.words("Name"),
        speech.words("Whom to call if something happens"),
        speech.words("Under 18: adult in charge"),
        speech.words("In"),
        speech.words("Out"),
        speech.words("Signature"),
    )
    count = work_day.people + work_day.leaders + SPARE_ROWS
    blank = [tag("td")] * (len(columns) - 1)
    rows = (
        tag("tr", tag("th", str(number), scope="row"), *blank) for number in range(1, count + 1)
    )
    head = tag("thead", tag("tr", *(tag("th", one, scope="col") for one in columns)))
    day = speech.sentence(say("{site}, {day}", site=site.name, day=work_day.day))
    table = tag("table", tag("caption", day), head, tag("tbody", *rows))
    keep = speech.words(
        "By signing I say that I heard the safety talk. This sheet is for the day's leaders alone;"
        " it is destroyed when nobody needs it any more."
    )
    title = speech.words("Sign-in sheet")
    return section("sign-in", title, tag("p", keep), scrolled(day, table), class_="sign-in")
