"""The [work_days] table of a site: how many volunteers come, who leads them, on which days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from orchardcal.sites.toml_table import TomlTable

# Nobody works alone (common practice, no source). The Baltimore Orchard Project ("Orchard
# Stewards Program: Volunteers", 2017) asks groups of more than ten to be arranged beforehand.
USUAL_SMALLEST, USUAL_LARGEST = 2, 10
# The landscape lab's guide "Organization of Volunteer Days" (CO Land Lab, Engagement Activities)
# has one crew leader per three to eight volunteers, fewer for skilled work; five lies between.
LEADER_RANGE = (3, 8)
USUAL_PER_LEADER = 5
MOST_PEOPLE = 500
WEEKDAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@dataclass(frozen=True)
class WorkDaySettings:
    """How work days with volunteers are held at one site.

    smallest, largest: volunteers on a day, leaders not counted; a smallest above the largest is
    kept, for `work_day_doubts` to ask about, and the largest holds. leaders: how many there are,
    None if not said. minors: whether some volunteers are under 18. weekdays: 0 is Monday. pinned:
    days to hold one on; banned: days never to, which holds where a day is both.
    """

    smallest: int = USUAL_SMALLEST
    largest: int = USUAL_LARGEST
    volunteers_per_leader: int = USUAL_PER_LEADER
    leaders: int | None = None
    minors: bool = False
    weekdays: frozenset[int] = frozenset(range(7))
    pinned: tuple[date, ...] = ()
    banned: tuple[date, ...] = ()

    @property
    def most_people(self) -> int:
        """The largest group that the leaders there are can lead."""
        if self.leaders is None:
            return self.largest
        return min(self.largest, self.leaders * self.volunteers_per_leader)


def work_day_settings(
    table: TomlTable, weekdays: frozenset[int], visit_weekdays: frozenset[int]
) -> WorkDaySettings:
    """What the [work_days] table says.

    weekdays: those it names, the visit weekdays where it names none.
    """
    _check_weekdays(table, weekdays, visit_weekdays)
    largest = table.whole("largest", 1, MOST_PEOPLE, 0)
    smallest = table.whole("smallest", 1, MOST_PEOPLE, min(USUAL_SMALLEST, largest or MOST_PEOPLE))
    largest = largest or max(USUAL_LARGEST, smallest)
    per_leader = table.whole("volunteers_per_leader", 1, MOST_PEOPLE, USUAL_PER_LEADER)
    settings = WorkDaySettings(
        smallest=smallest,
        largest=largest,
        volunteers_per_leader=per_leader,
        leaders=_leaders(table, min(smallest, largest), per_leader),
        minors=table.flag("minors", False),
        weekdays=weekdays,
        pinned=_days(table, "pinned"),
        banned=_days(table, "banned"),
    )
    table.refuse_unknown_keys()
    return settings


def _check_weekdays(
    table: TomlTable, weekdays: frozenset[int], visit_weekdays: frozenset[int]
) -> None:
    if table.values.get("weekdays") in ([], ""):
        table.wrong(
            "weekdays",
            "weekdays leaves no day of the week for volunteers",
            'Write those they can come on: weekdays = ["sat"]; or leave the line out.',
        )
    outside = sorted(weekdays - visit_weekdays)
    if outside:
        names = ", ".join(WEEKDAY_NAMES[day] for day in outside)
        table.wrong(
            "weekdays",
            f"weekdays holds {names}, when the site is not visited",
            "Add it to weekdays under [visits] as well, or take it out here.",
        )


def _leaders(table: TomlTable, smallest: int, per_leader: int) -> int | None:
    if "leaders" not in table:
        table.raw("leaders")
        return None
    if table.values["leaders"] == 0 and table.values["leaders"] is not False:
        table.raw("leaders")
        table.wrong(
            "leaders",
            "leaders is 0, so nobody would lead the volunteers",
            "Write how many leaders there are: leaders = 2; or leave the line out.",
        )
        return None
    leaders = table.whole("leaders", 1, MOST_PEOPLE, 0) or None
    if leaders is not None and leaders * per_leader < smallest:
        table.wrong(
            "leaders",
            f"leaders is {leaders}, too few for the smallest group of {smallest}",
            f"One leader takes {per_leader} volunteers: write leaders ="
            f" {-(-smallest // per_leader)}, or a smaller group.",
        )
        return None
    return leaders


def _days(table: TomlTable, key: str) -> tuple[date, ...]:
    """A list of days, with or without quotation marks, in order and once each."""
    value = table.raw(key)
    if value is None:
        return ()
    example = f"Write days in brackets: {key} = [2027-01-16, 2027-01-23]."
    if not isinstance(value, list):
        table.wrong(key, f'{key} is "{value}", no list of days', example)
        return ()
    found = set()
    for one in value:
        day = _day(one)
        if day is None:
            table.wrong(key, f'{key} holds "{one}", which is no day', example)
        else:
            found.add(day)
    return tuple(sorted(found))


def _day(value: object) -> date | None:
    if isinstance(value, str):
        try:
            return date.fromisoformat(value)
        except ValueError:
            return None
    return value if isinstance(value, date) and not isinstance(value, datetime) else None
