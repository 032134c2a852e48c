"""What one person is to be told as of a day: work ahead, dates that changed, work not ticked off.

Each thing is told once. It is told anew when its date, hours, trees, steps, tools or cautions
change; when only the reasons were counted anew, it is not.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from orchardcal import care as cares
from orchardcal.journal.mail_ledger import CLAIMED, REFUSED, SENT, UNKNOWN, MailItem, MailRow
from orchardcal.journal.published import Published
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import DONE, OVERDUE, PLANNED, Job
from orchardcal.plan.work_day_wording import INVITATION_DAYS, LAST_CALL_DAYS, SAVE_THE_DATE_DAYS

AHEAD, MOVED, FELL_AWAY, NOT_TICKED = "ahead", "moved", "fell away", "not ticked"
LOOK_BACK_DAYS = 60  # work not ticked off is asked for so long; after that a plan is made without

PERHAPS_TOLD = (SENT, UNKNOWN, CLAIMED)
SETTLED = (*PERHAPS_TOLD, REFUSED)

# Days before the work, in steps: volunteers hear of a work day when its page says they should, and
# the day before; the rest is common practice, no source: paint and tools have to be bought, a
# notice has to be printed.
USUAL_DAYS = (7, 1)
DAYS_BEFORE = {
    cares.DORMANT_PRUNING: (21, 7, 1),
    cares.IN_LEAF_PRUNING: (21, 7, 1),
    cares.WHITEWASH_PAINTING: (21, 7, 1),
    cares.DORMANT_OIL_SPRAY: (14, 7, 1),
    cares.DEFERRED_CUT: (14, 1),
    cares.WORK_DAY: (SAVE_THE_DATE_DAYS, INVITATION_DAYS, LAST_CALL_DAYS, 1),
}
ASK_AGAIN_DAYS = 14  # work not ticked off is brought up again so often, not at each new date
QUIET_DAYS = 2  # the next step comes no sooner after the one before
DATED_ALWAYS = (cares.DORMANT_OIL_SPRAY, cares.SPRAY_NOTICE)  # others must know these dates
DATE_ALONE_DAYS = 10  # work further away than this only asks to keep the day free


@dataclass(frozen=True)
class Due:
    """One thing to tell. care: its key. site: where. day: when (None once it fell away).

    job: None where the plan no longer holds it. row: what the feeds hold of it. old_day: the day
    told before. days_left: to its day, where that made it due.
    """

    kind: str
    item: MailItem
    site: str
    care: str
    day: date | None
    job: Job | None = None
    row: Published | None = None
    old_day: date | None = None
    days_left: int | None = None

    @property
    def save_the_date(self) -> bool:
        return self.days_left is not None and self.days_left > DATE_ALONE_DAYS


def gist(job: Job) -> str:
    """A digest of what a reader must do about a job; its reasons are not in it."""
    speech = Speech("en", "metric")
    said = [
        speech.sentence(sentence)
        for part in ((job.title,), job.do, job.bring, job.then, job.cautions)
        for sentence in part
    ]
    content = [job.uid, job.day.isoformat(), f"{job.start} {job.end}", *job.plantings, *said]
    return hashlib.sha256("\x1f".join(content).encode()).hexdigest()[:16]


def step_of(days_left: int, days_before: Iterable[int]) -> int | None:
    """The step that is due so many days before: the smallest that has been reached, or None.

    >>> [step_of(days, (21, 7, 1)) for days in (30, 21, 8, 7, 2, 1, 0)]
    [None, 21, 21, 7, 7, 1, 1]
    """
    reached = [step for step in days_before if days_left <= step]
    return min(reached) if reached and days_left >= 0 else None


def due(
    jobs: Sequence[Job],
    rows: Mapping[str, Published],
    told: Sequence[MailRow],
    as_of: date,
    days_before: Mapping[str, Sequence[int]],
) -> tuple[Due, ...]:
    """What to tell one person. jobs: theirs. rows: published events by UID.

    told: the mails of this kind to them, without those refused by an address they no longer have.
    days_before: the steps of each care.
    """
    known, last_day, last_told = _known(told), _last_days(told), _last_told(told)
    steps = _steps_of_visits(jobs, days_before)
    found: list[Due] = []
    for job in jobs:
        row = rows.get(job.uid)
        if row is None or job.state == DONE:
            continue
        left, old_day = (job.day - as_of).days, last_day.get(job.uid)
        missed = job.missed or job.day
        if job.state == OVERDUE or (job.missed is not None and missed < as_of):
            turn = (as_of - missed).days // ASK_AGAIN_DAYS
            key = f"{job.uid}:{NOT_TICKED}:{missed}:{turn}"
            found.append(_due(NOT_TICKED, key, job, row, old_day, left))
            if job.care not in DATED_ALWAYS:
                continue
        version = f"{job.uid}:{gist(job)}"
        if old_day is not None and old_day != job.day:
            found.append(_due(MOVED, f"{version}:{MOVED}", job, row, old_day))
        step = step_of(left, steps[job.site, job.day])
        if step is not None and not _just_told(last_told.get(version), left, as_of):
            found.append(_due(AHEAD, f"{version}:{step}", job, row, None, left))
    planned = {job.uid for job in jobs}
    for uid, day in last_day.items():
        row = rows.get(uid)
        if uid not in planned and day >= as_of and row is not None and row.status != DONE:
            item = MailItem(f"{uid}:{row.sequence}:{FELL_AWAY}", uid, None)
            care = row.care.partition("/")[0]
            found.append(Due(FELL_AWAY, item, row.site, care, None, None, row, day))
    return tuple(one for one in found if one.item.key not in known)


def never_ticked(
    rows: Iterable[Published], planned: set[str], sites: set[str], as_of: date
) -> tuple[Due, ...]:
    """Past work of these sites that nobody ticked off and that the plan no longer holds."""
    found = []
    for row in rows:
        past = timedelta(0) < as_of - row.last <= timedelta(days=LOOK_BACK_DAYS)
        open_still = row.status in (PLANNED, OVERDUE) and row.uid not in planned
        care = row.care.partition("/")[0]
        if past and open_still and row.site in sites and care != cares.SPRAY_NOTICE:
            item = MailItem(f"{row.uid}:{row.sequence}:{NOT_TICKED}", row.uid, row.last)
            found.append(Due(NOT_TICKED, item, row.site, care, row.last, None, row))
    return tuple(found)


def not_yet_told(found: Iterable[Due], told: Sequence[MailRow]) -> tuple[Due, ...]:
    """Those of them whose item stands in no mail that was sent or may have been."""
    known = _known(told)
    return tuple(one for one in found if one.item.key not in known)


def _just_told(last: date | None, days_left: int, as_of: date) -> bool:
    """Whether the work was told as it is so lately that the next step would only repeat it."""
    if last is None:
        return False
    return days_left == 0 or as_of - last <= timedelta(days=QUIET_DAYS)


def _due(
    kind: str, key: str, job: Job, row: Published, old_day: date | None, left: int | None = None
) -> Due:
    item = MailItem(key, job.uid, job.day)
    return Due(kind, item, job.site, job.care, job.day, job, row, old_day, left)


def _steps_of_visits(
    jobs: Iterable[Job], days_before: Mapping[str, Sequence[int]]
) -> dict[tuple[str, date], set[int]]:
    """The steps of each visit: those of all its cares, so that it is told as a whole."""
    found: dict[tuple[str, date], set[int]] = {}
    for job in jobs:
        if job.state != DONE:
            steps = days_before.get(job.care, USUAL_DAYS)
            found.setdefault((job.site, job.day), set()).update(steps)
    return found


def _known(told: Sequence[MailRow]) -> set[str]:
    """Items that were told, may have been, or that the server refuses."""
    return {item.key for row in told if row.state in SETTLED for item in row.mail.items}


def _last_told(told: Sequence[MailRow]) -> dict[str, date]:
    """When each event was last told as it is, by UID and gist."""
    return {
        item.key.rpartition(":")[0]: row.mail.as_of
        for row in told
        if row.state in PERHAPS_TOLD
        for item in row.mail.items
    }


def _last_days(told: Sequence[MailRow]) -> dict[str, date]:
    """The day last told of each event still counted on; one told to have fallen away is not."""
    found: dict[str, date] = {}
    for row in told:
        if row.state in PERHAPS_TOLD:
            for item in row.mail.items:
                if item.uid and item.day is not None:
                    found[item.uid] = item.day
                elif item.uid:
                    found.pop(item.uid, None)
    return found
