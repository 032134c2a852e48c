"""The sheet that announces a spraying: what, when, where, and when people may come back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from orchardcal.care import DORMANT_OIL_SPRAY
from orchardcal.outputs.mail_letter import Block
from orchardcal.plan.plan import Job, SitePlan
from orchardcal.sentence import say
from orchardcal.sites.site import SprayRule

PUPILS_OUT_H = 24  # pupils stay out until dry and at least a day; common practice, no source


def sprayings_announced(notice: Job, jobs: Sequence[Job]) -> tuple[Job, ...]:
    """The sprayings that wait for this notice."""
    return tuple(
        job
        for job in jobs
        if job.care == DORMANT_OIL_SPRAY and any(before.uid == notice.uid for before in job.befores)
    )


def notice(spraying: Job, site: SitePlan, rule: SprayRule, contact: str) -> Block:
    """The text to print. contact: a name to ask; product and re-entry time are left to the label.

    What a school's notice and sign must hold differs by state; product, active ingredient,
    registration number, place, day and a contact are what the California Healthy Schools Act
    asks for (Education Code 17612, from memory).
    """
    begins = datetime.combine(spraying.day, spraying.start)
    ends = datetime.combine(spraying.day, spraying.end)
    back = ends + timedelta(hours=PUPILS_OUT_H)
    up, down = (
        begins - timedelta(hours=rule.sign_h_before),
        ends + timedelta(hours=rule.sign_h_after),
    )
    return Block(
        heading=say("NOTICE: SPRAYING OF FRUIT TREES"),
        level=3,
        text=(
            say("{site}, {where}", site=site.name, where=site.where)
            if site.where
            else say("{site}", site=site.name),
            say(
                "On {day} from {start} to {end}, if the weather suits, horticultural oil will be"
                " sprayed on {count} fruit tree here.",
                plural="On {day} from {start} to {end}, if the weather suits, horticultural oil"
                " will be sprayed on {count} fruit trees here.",
                day=spraying.day,
                start=spraying.start,
                end=spraying.end,
                count=spraying.trees,
            ),
            say("Reason: scale or eggs of mites or aphids on the bark."),
            say("Product: ____________________  Active ingredient: ____________________"),
            say("Registration number (from the label): ____________________"),
            say(
                "KEEP OUT until the spray is dry and the re-entry time of the label is over:"
                " ____ hours. Pupils stay out at least until {clock} on {day}.",
                clock=back.time(),
                day=back.date(),
            ),
            say(
                "This sign stays up from {up_clock} on {up} to {down_clock} on {down}.",
                up_clock=up.time(),
                up=up.date(),
                down_clock=down.time(),
                down=down.date(),
            ),
            say("Questions: {contact}", contact=contact)
            if contact
            else say("Questions: ____________________"),
        ),
        to_print=True,
    )
