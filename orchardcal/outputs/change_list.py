"""What moved, was added or fell away since subscribers last looked, as a short list."""

from __future__ import annotations

from collections.abc import Sequence

from orchardcal.care import TITLES
from orchardcal.journal.published import Change
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from orchardcal.sentence import Sentence, Words, say

MOST = 40


def change_list(found: Sequence[Change], plan: Plan, speech: Speech) -> str:
    """The changes of dated jobs, one line each; windows are only counted. "" for none."""
    names = {site.site: site.name for site in plan.sites}
    dated = [change for change in found if not change.window]
    windows = len(found) - len(dated)
    if not found or all(change.kind == "added" for change in found):
        return ""
    lines = ["Changes since the last time:"]
    moved = {job.uid: job.moved for job in plan.jobs}
    lines += [
        f"  {names.get(one.site, one.site)}: {speech.sentence(told(one, moved.get(one.uid)))}"
        for one in dated[:MOST]
    ]
    if len(dated) > MOST:
        lines.append(f"  and {len(dated) - MOST} more")
    if windows:
        lines.append(f"  and {windows} windows")
    return "\n".join(lines) + "\n"


def told(change: Change, because: Sentence | None = None) -> Sentence:
    """One change of a job as a sentence, with the reason for a move where it is known."""
    care = Words(TITLES[change.care.partition("/")[0]])
    if change.kind == "moved" and change.old_day and change.new_day:
        if change.old_day == change.new_day:
            return say("{care}: changed, still {new}.", care=care, new=change.new_day)
        if because is not None:
            return say(
                "{care}: moved from {old} to {new}: {because}.",
                care=care,
                old=change.old_day,
                new=change.new_day,
                because=because,
            )
        return say(
            "{care}: moved from {old} to {new}.",
            care=care,
            old=change.old_day,
            new=change.new_day,
        )
    if change.kind == "added" and change.new_day:
        return say("{care}: new, on {new}.", care=care, new=change.new_day)
    return say("{care}: no longer planned.", care=care)
