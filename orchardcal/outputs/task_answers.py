"""What was ticked, moved or written in a calendar -> entries for the journal, by a written rule.

The rule where both sides changed since the last exchange:
- A tick is a fact: it is recorded whatever the plan has changed meanwhile.
- A day moved on both sides: the plan's stands, the day asked for is noted and told.
- Words we wrote are ours: lines added to them are noted, the rest is written again.
- What is deleted or called off in a calendar stays work: it is put back, and told.
- A tick on a look at the trees (dormancy check, oil scouting) is no answer: what was seen must be
  written as a comment ("dormant", "no pests"). Without it the task opens again.
"""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from orchardcal.care import (
    DEFERRED_CUT,
    DORMANCY_CHECK,
    DORMANT_PRUNING,
    OIL_SCOUTING,
    TITLES,
    WORK_DAY,
)
from orchardcal.journal.asked_days import part_key
from orchardcal.journal.entries import (
    DEFERRED,
    DONE,
    DORMANCY_ANSWERS,
    MOVED,
    NOTED,
    PESTS,
    SEEN,
    UNDONE,
    Entry,
    answer_or_pest_named,
)
from orchardcal.journal.in_words import day_in_words
from orchardcal.journal.published import DONE as STATUS_DONE
from orchardcal.journal.published import Published
from orchardcal.journal.task_book import TaskCopy
from orchardcal.outputs.task_reading import Said, added_notes, moved_to

ANSWERS = {DORMANCY_CHECK: DORMANCY_ANSWERS, OIL_SCOUTING: PESTS}


@dataclass(frozen=True)
class Exchange:
    """One event or task on both sides.

    row: the work it is about, as published now. planned_day: where our side has it now, if that
    changed since it was last written there, else None. pruned_from: for each deferred cut the
    pruning it was put off from. held: ids of entries that hold, so can be taken back.
    """

    copy: TaskCopy
    etag: str
    before: Said
    now: Said
    row: Published
    planned_day: date | None
    pruned_from: Mapping[str, str]
    held: Collection[str]


@dataclass(frozen=True)
class Heard:
    """entries: for the journal. told: for the person at the terminal. again: write ours anew."""

    entries: tuple[Entry, ...]
    told: tuple[str, ...]
    again: bool = False


def heard(exchange: Exchange, as_of: date, recorded: str) -> Heard:
    """What one changed event or task means. recorded: this instant, as the journal writes it."""
    say = _Listener(exchange, as_of, recorded)
    before, now = exchange.before, exchange.now
    say.notes = added_notes(before, now)
    if now.ticked and not before.ticked:
        say.ticked()
    elif before.ticked and not now.ticked:
        say.unticked()
    elif not now.ticked:
        day = moved_to(before, now)
        if day is not None:
            say.moved(day)
    if now.called_off and not before.called_off:
        say.tell("was called off in the calendar; the work stays. To skip it: orchardcal skip")
        say.again = True
    say.note_the_rest()
    return Heard(tuple(say.entries), tuple(say.told), say.again)


class _Listener:
    """Gathers what one exchange means."""

    def __init__(self, exchange: Exchange, as_of: date, recorded: str) -> None:
        self._exchange = exchange
        self._row = exchange.row
        self._care = exchange.row.care.partition("/")[0]
        self._part = exchange.row.care.partition("/")[2]
        self._as_of = as_of
        self._recorded = recorded
        self.notes: Sequence[str] = ()
        self.entries: list[Entry] = []
        self.told: list[str] = []
        self.again = False

    def tell(self, what: str) -> None:
        where = f"{self._row.site}, {TITLES[self._care].lower()} {day_in_words(self._row.first)}"
        self.told.append(f"{where}: {what}")

    def ticked(self) -> None:
        """A tick: the work is done on that day, on all its trees."""
        day = self._exchange.now.ticked_on or self._as_of
        if day > self._as_of:
            self.tell(f"ticked for {day_in_words(day)}, a day to come; taken for today")
            day = self._as_of
        if self._row.status == STATUS_DONE:
            self.tell("ticked in the calendar; the journal had it as done already")
        elif self._care in ANSWERS:
            if not self._answered(day):
                choices = ", ".join(ANSWERS[self._care])
                self.tell(
                    "ticked, but not what was seen, so it stays open. Write one of these as a"
                    f" comment: {choices}; or: orchardcal saw {self._row.site} …"
                )
                self.again = True
        elif self._care == WORK_DAY:
            self.tell("a work day is done by its work: tick or record each care done on it")
            self.again = True
        else:
            cut = self._part if self._care == DEFERRED_CUT else ""
            self._enter(DONE, day, note=self._taken_notes(), cut=cut)

    def unticked(self) -> None:
        """A tick taken away: what it recorded is taken back."""
        back = [one for one in self._exchange.copy.entries if one in self._exchange.held]
        if not back:
            self.tell(
                "its tick was taken away in the calendar, but the journal says done by an entry of"
                " its own. To take that back: orchardcal journal --undo ID"
            )
            self.again = True
        for one in back:
            self._enter(UNDONE, self._as_of, note=self._taken_notes(), undoes=one)

    def moved(self, day: date) -> None:
        """Another day asked for."""
        self.again = True  # what the plan makes of it is written there next
        planned = self._exchange.planned_day
        if self._row.status == STATUS_DONE:
            self.tell(f"moved to {day_in_words(day)}, but it is done; the day stays")
        elif planned is not None and planned != day:
            self.tell(
                f"moved to {day_in_words(day)} in the calendar and to {day_in_words(planned)} by"
                " the plan; the plan's day stands, the other is noted"
            )
            self.notes = (f"asked for {day}", *self.notes)
        elif day < self._as_of:
            self.tell(f"moved to {day_in_words(day)}, which is past; if it is done, tick it")
        elif self._care != DEFERRED_CUT:
            part = part_key(self._row.care)
            self._enter(MOVED, self._as_of, note=self._taken_notes(), until=day, seen=part)
        elif day > self._as_of:
            care = self._exchange.pruned_from.get(self._part, DORMANT_PRUNING)
            note = self._taken_notes()
            self._enter(DEFERRED, self._as_of, care, note=note, until=day, cut=self._part)

    def note_the_rest(self) -> None:
        """Comments that went with nothing else: an answer, or a note."""
        if self.notes and not self.entries and self._care in ANSWERS:
            self._answered(self._as_of)
        note = self._taken_notes()
        if note:
            self._enter(NOTED, self._as_of, note=note)

    def _answered(self, day: date) -> bool:
        """Records the first comment that says what was seen, if one does."""
        for note in self.notes:
            answer = answer_or_pest_named(note) or ""
            if answer in ANSWERS[self._care]:
                self.notes = [one for one in self.notes if one != note]
                self._enter(SEEN, day, note=self._taken_notes(), seen=answer)
                return True
        return False

    def _taken_notes(self) -> str:
        """All notes in one text; each is used once."""
        text = "\n".join(self.notes)
        self.notes = ()
        return text

    def _enter(
        self,
        kind: str,
        day: date,
        care: str = "",
        *,
        note: str = "",
        until: date | None = None,
        seen: str = "",
        undoes: str = "",
        cut: str = "",
    ) -> None:
        """An entry whose id is that of this very change, so that reading it twice adds nothing."""
        change = [self._exchange.copy.uid, self._exchange.etag, kind, undoes]
        digest = hashlib.sha256("\x1f".join(change).encode()).hexdigest()
        entry = Entry(
            self._recorded,
            "j" + digest[:11],
            kind,
            self._row.site,
            day,
            care or self._care,
            self._row.plantings,
            self._row.season,
            until=until,
            seen=seen,
            note=note,
            undoes=undoes,
            cut=cut,
        )
        self.entries.append(entry)
