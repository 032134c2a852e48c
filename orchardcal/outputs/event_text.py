"""What each event of a plan says, in the reader's words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from orchardcal.care import (
    DEFERRED_CUT,
    DORMANCY_CHECK,
    DORMANT_OIL_SPRAY,
    DORMANT_PRUNING,
    IN_LEAF_PRUNING,
    LOOK_AT_CUTS,
    OIL_SCOUTING,
    SPRAY_NOTICE,
    TITLES,
    WHITEWASH_PAINTING,
    WORK_DAY,
)
from orchardcal.journal.published import WINDOW, EventText, Relation
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, PLANNED, CareWindow, Job, Plan, SitePlan
from orchardcal.season import Span
from orchardcal.sentence import Hours, Sentence, Words, say

STAFF, VOLUNTEERS = "staff", "volunteers"
WINDOW_CATEGORY = Words("Window")

# CSS Color Module Level 3 names, as RFC 7986 5.9 asks.
COLORS = {
    DORMANCY_CHECK: "slategray",
    DORMANT_PRUNING: "sienna",
    IN_LEAF_PRUNING: "olivedrab",
    WHITEWASH_PAINTING: "tan",
    OIL_SCOUTING: "goldenrod",
    DORMANT_OIL_SPRAY: "darkorange",
    SPRAY_NOTICE: "crimson",
    DEFERRED_CUT: "mediumpurple",
    LOOK_AT_CUTS: "teal",
    WORK_DAY: "royalblue",
}


def event_texts(plan: Plan, speech: Speech) -> list[EventText]:
    """Every job and every window of the plan, site by site."""
    return [
        text for site in plan.sites for text in site_texts(site, site_url(plan, site.site), speech)
    ]


def site_texts(site: SitePlan, url: str, speech: Speech) -> tuple[EventText, ...]:
    """Every job and every window of one site. url: where its feed will be found, or ""."""
    followers = _followers(site.jobs)
    jobs = (_of_job(job, site, url, followers[job.uid], speech) for job in site.jobs)
    windows = (_of_window(window, site, url, speech) for window in site.windows)
    return (*jobs, *windows)


def site_audience(site: str) -> str:
    """The name of a site's own feed, without its ending."""
    return f"sites/{site}"


def site_url(plan: Plan, site: str) -> str:
    """Where the site's feed will be found, "" if that is not known."""
    return f"{plan.base_url.rstrip('/')}/{site_audience(site)}.ics" if plan.base_url else ""


def _of_job(
    job: Job, site: SitePlan, url: str, followers: Sequence[Relation], speech: Speech
) -> EventText:
    title = speech.sentence(job.title)
    summary = speech.sentence(_summary(title, site, job.state))
    depends_on = [Relation("DEPENDS-ON", before.uid) for before in job.befores]
    audiences = [STAFF, site_audience(site.site)]
    if job.open_to_volunteers:
        audiences.append(VOLUNTEERS)
    return EventText(
        uid=job.uid,
        site=job.site,
        care=job.slot,
        season=job.season,
        plantings=job.plantings,
        status=job.state,
        audiences=tuple(audiences),
        first=job.day,
        last=job.day,
        starts=job.start,
        ends=job.end,
        timezone=site.timezone,
        summary=summary,
        description=_job_description(job, speech),
        location=_location(site),
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        categories=(speech.words(TITLES[job.care]),),
        url=url,
        color=COLORS[job.care],
        alarm=_alarm(job, site, title, speech) if job.state == PLANNED else "",
        relations=(*followers, *depends_on),
        missed=job.missed,
        planned=job.planned or job.day,
        odds=job.odds,
        crew=job.crew,
    )


def _of_window(window: CareWindow, site: SitePlan, url: str, speech: Speech) -> EventText:
    title = speech.sentence(window.title)
    summary = speech.sentence(_summary(title, site))
    return EventText(
        uid=window.uid,
        site=window.site,
        care=window.slot or window.care,
        season=window.season,
        plantings=window.plantings,
        status=WINDOW,
        audiences=(STAFF, site_audience(site.site)),
        first=window.span.first,
        last=window.span.last,
        starts=None,
        ends=None,
        timezone=site.timezone,
        summary=summary,
        description=_window_description(window, speech),
        location=_location(site),
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        categories=(speech.words(TITLES[window.care]), speech.value(WINDOW_CATEGORY)),
        url=url,
        color=COLORS[window.care],
    )


def _summary(title: str, site: SitePlan, state: str = PLANNED) -> Sentence:
    if state == DONE:
        return say("Done: {title} – {site}", title=title, site=site.name)
    if state == OVERDUE:
        return say("Overdue: {title} – {site}", title=title, site=site.name)
    return say("{title} – {site}", title=title, site=site.name)


def _job_description(job: Job, speech: Speech) -> str:
    size = (
        say("{count} tree.", plural="{count} trees.", count=job.trees),
        say("{count} person.", plural="{count} people.", count=job.people),
        say("{work} of work in all.", work=Hours(job.minutes / 60)),
    )
    span = say("May be done from {first} to {last}.", first=job.window.first, last=job.window.last)
    opening = [" ".join(speech.sentence(each) for each in size), speech.sentence(span)]
    sections = [
        (say("Why now"), job.why),
        (say("Do"), job.do),
        (say("Bring"), job.bring),
        (say("After"), job.then),
        (say("Take care"), job.cautions),
    ]
    return _described(opening, sections, speech)


def _window_description(window: CareWindow, speech: Speech) -> str:
    span = say(
        "May be done from {first} to {last}.", first=window.span.first, last=window.span.last
    )
    sections = [(say("Why now"), window.why), (say("Day by day"), tuple(_odds(window)))]
    return _described([speech.sentence(span)], sections, speech)


def _described(
    opening: list[str], sections: list[tuple[Sentence, tuple[Sentence, ...]]], speech: Speech
) -> str:
    """An opening, then each section that has anything to say: a heading and its lines."""
    parts = ["\n".join(opening)]
    for heading, sentences in sections:
        if sentences:
            lines = [f"- {speech.sentence(sentence)}" for sentence in sentences]
            parts.append("\n".join([speech.sentence(heading), *lines]))
    return "\n\n".join(parts)


def _odds(window: CareWindow) -> Iterator[Sentence]:
    """The window's odds in runs of days alike, as seasons out of ten."""
    for span, tenths in _runs(window):
        if len(span) == 1:
            yield say(
                "{day}: weather fit for it in about {tenths} of 10 seasons.",
                day=span.first,
                tenths=tenths,
            )
        else:
            yield say(
                "{first} to {last}: weather fit for it in about {tenths} of 10 seasons.",
                first=span.first,
                last=span.last,
                tenths=tenths,
            )


def _runs(window: CareWindow) -> Iterator[tuple[Span, int]]:
    tenths = [round(share * 10) for share in window.day_odds or ()]
    first: date = window.span.first
    for number, tenth in enumerate(tenths):
        last = window.span.first + timedelta(days=number)
        if number + 1 == len(tenths) or tenths[number + 1] != tenth:
            yield Span(first, last), tenth
            first = last + timedelta(days=1)


def _alarm(job: Job, site: SitePlan, title: str, speech: Speech) -> str:
    tomorrow = say(
        "Tomorrow at {start}: {title} – {site}", start=job.start, title=title, site=site.name
    )
    return speech.sentence(tomorrow)


def _location(site: SitePlan) -> str:
    if not site.where or site.where == site.name:
        return site.name
    return site.where if site.where.startswith(site.name) else f"{site.name}, {site.where}"


def _followers(jobs: Sequence[Job]) -> dict[str, list[Relation]]:
    """For each job the links to those that wait for it, which RFC 9253 6.2 puts on the first."""
    found: dict[str, list[Relation]] = defaultdict(list)
    for job in jobs:
        for before in job.befores:
            found[before.uid].append(Relation("FINISHTOSTART", job.uid, before.gap_h))
    return defaultdict(
        list, {uid: sorted(links, key=lambda link: link.uid) for uid, links in found.items()}
    )
