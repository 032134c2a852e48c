"""Whether a record can be the climate of its site: long enough, and of the right hemisphere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from orchardcal.errors import Problems, Spot
from orchardcal.sites.climate_given import wrong_hemisphere
from orchardcal.sites.record import DailyRecord

LEAST_DAYS = 3 * 300  # three seasons, each with few gaps


@dataclass(frozen=True)
class RecordMeans:
    """days: with a low and a high. month_c: the mean of each month, January first [°C]."""

    days: int
    month_c: tuple[float, ...]


def record_means(record: DailyRecord) -> RecordMeans:
    """A month without any day has the mean of all."""
    sums, counts = [0.0] * 12, [0] * 12
    first = record.first_day.toordinal()
    for offset, (low, high) in enumerate(zip(record.low_c, record.high_c, strict=True)):
        if low == low and high == high:
            month = date.fromordinal(first + offset).month - 1
            sums[month] += (low + high) / 2
            counts[month] += 1
    overall = sum(sums) / max(sum(counts), 1)
    month_c = (
        total / count if count else overall for total, count in zip(sums, counts, strict=True)
    )
    return RecordMeans(sum(counts), tuple(month_c))


def check_climate(
    means: RecordMeans, latitude_deg: float, shown_as: str, problems: Problems
) -> None:
    """Adds a problem where the record is too short, or of the other hemisphere."""
    if means.days < LEAST_DAYS:
        problems.add(
            Spot(shown_as),
            f"has {means.days} days with a low and a high; three whole seasons are needed",
            "Add years with orchardcal weather, or write monthly normals under [climate] instead.",
        )
    elif why := wrong_hemisphere(latitude_deg, means.month_c):
        problems.add(
            Spot(shown_as),
            why,
            f"Write latitude = {-latitude_deg:g} in site.toml, or check whose record this is.",
        )
