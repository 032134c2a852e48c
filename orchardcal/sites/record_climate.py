"""Whether a record can be the climate of its site: long enough, and of the right hemisphere."""

from __future__ import annotations

from datetime import date

from orchardcal.errors import Problems, Spot
from orchardcal.sites.climate_given import wrong_hemisphere
from orchardcal.sites.record import DailyRecord

LEAST_DAYS = 3 * 300  # three seasons, each with few gaps


def check_climate(
    record: DailyRecord, latitude_deg: float, shown_as: str, problems: Problems
) -> None:
    """Adds a problem where the record is too short, or of the other hemisphere."""
    whole = sum(
        low == low and high == high for low, high in zip(record.low_c, record.high_c, strict=True)
    )
    if whole < LEAST_DAYS:
        problems.add(
            Spot(shown_as),
            f"has {whole} days with a low and a high; three whole seasons are needed",
            "Add years with orchardcal weather, or write monthly normals under [climate] instead.",
        )
    elif why := wrong_hemisphere(latitude_deg, _month_means_c(record)):
        problems.add(
            Spot(shown_as),
            why,
            f"Write latitude = {-latitude_deg:g} in site.toml, or check whose record this is.",
        )


def _month_means_c(record: DailyRecord) -> list[float]:
    sums, counts = [0.0] * 12, [0] * 12
    first = record.first_day.toordinal()
    for offset, (low, high) in enumerate(zip(record.low_c, record.high_c, strict=True)):
        if low == low and high == high:
            month = date.fromordinal(first + offset).month - 1
            sums[month] += (low + high) / 2
            counts[month] += 1
    overall = sum(sums) / sum(counts)
    return [total / count if count else overall for total, count in zip(sums, counts, strict=True)]
