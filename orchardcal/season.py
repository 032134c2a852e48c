"""Seasons, spans and season days; the southern half-year shift lives here alone."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

DAYS = 365  # season days; 29 February is dropped


@dataclass(frozen=True, order=True)
class Span:
    """A stretch of days, closed on both ends, as people say "4 to 9 May"."""

    first: date
    last: date

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError(f"a span cannot end ({self.last}) before it begins ({self.first})")

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last

    def __len__(self) -> int:
        return (self.last - self.first).days + 1

    def days(self) -> Iterator[date]:
        for offset in range(len(self)):
            yield self.first + timedelta(days=offset)

    def overlap(self, other: Span) -> Span | None:
        """The days both spans share, or None."""
        first, last = max(self.first, other.first), min(self.last, other.last)
        return Span(first, last) if first <= last else None


@dataclass(frozen=True, order=True)
class Season:
    """The year of care named by its harvest: 1 Jul-30 Jun in the north, 1 Jan-31 Dec in the south.

    >>> Season(2027, southern=False).first, Season(2027, southern=True).first
    (datetime.date(2026, 7, 1), datetime.date(2027, 1, 1))
    """

    harvest_year: int
    southern: bool

    @classmethod
    def containing(cls, day: date, southern: bool) -> Season:
        """The season in progress on a day.

        >>> Season.containing(date(2026, 11, 25), southern=False).harvest_year
        2027
        """
        return cls(day.year if southern or day.month < 7 else day.year + 1, southern)

    @property
    def first(self) -> date:
        return date(self.harvest_year, 1, 1) if self.southern else date(self.harvest_year - 1, 7, 1)

    @property
    def last(self) -> date:
        return date(self.harvest_year, 12, 31) if self.southern else date(self.harvest_year, 6, 30)

    @property
    def span(self) -> Span:
        return Span(self.first, self.last)

    def next(self) -> Season:
        return Season(self.harvest_year + 1, self.southern)

    def previous(self) -> Season:
        return Season(self.harvest_year - 1, self.southern)

    def day(self, season_day: int) -> date:
        """The calendar day of a season day; days before 0 or after 364 lie in the seasons beside.

        >>> Season(2027, southern=False).day(62), Season(2027, southern=True).day(62)
        (datetime.date(2026, 9, 1), datetime.date(2027, 3, 4))
        """
        seasons, within = divmod(season_day, DAYS)
        if seasons:
            return Season(self.harvest_year + seasons, self.southern).day(within)
        return _days(self)[within]

    def season_day(self, day: date) -> int:
        """How many season days after the first day; 29 February counts as the 28th.

        >>> Season(2028, southern=False).season_day(date(2028, 2, 29))
        242
        """
        if day not in self.span:
            other = Season.containing(day, self.southern)
            shift = (other.harvest_year - self.harvest_year) * DAYS
            return other.season_day(day) + shift
        count = (day - self.first).days
        leap = _leap_day(self)
        return count - 1 if leap is not None and day >= leap else count

    def northern_month_day(self, month: int, day_of_month: int) -> date:
        """A northern calendar date carried to this season; in the south it lies half a year off.

        >>> Season(2027, southern=True).northern_month_day(12, 1)
        datetime.date(2027, 6, 1)
        """
        month = (month + 5) % 12 + 1 if self.southern else month
        year = self.first.year if month >= self.first.month else self.last.year
        return date(
            year, month, min(day_of_month, 28 if month == 2 else monthrange(year, month)[1])
        )


def is_southern(latitude_deg: float) -> bool:
    return latitude_deg < 0


def is_leap_day(day: date) -> bool:
    """29 February, which no season counts."""
    return (day.month, day.day) == (2, 29)


@lru_cache(maxsize=64)
def _days(season: Season) -> tuple[date, ...]:
    return tuple(day for day in season.span.days() if not is_leap_day(day))


@lru_cache(maxsize=64)
def _leap_day(season: Season) -> date | None:
    year = season.harvest_year  # February lies in the harvest year in both hemispheres
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return date(year, 2, 29) if leap else None
