"""The [climate] table of site.toml: a record, monthly normals, or freeze dates with chill."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from orchardcal.season import Season, is_southern
from orchardcal.sites.calendar_given import month_day
from orchardcal.sites.site import ClimateGiven, FreezeDatesGiven, NormalsGiven, RecordGiven
from orchardcal.sites.toml_table import TomlTable
from orchardcal.sites.units import MM_PER_INCH, celsius

ENOUGH = (
    'Any one of these is enough under [climate]: record = "record.csv" (daily lows and highs, '
    "3 years or more); low_c and high_c (12 monthly means each; or low_f and high_f); "
    'last_freeze = "04-20", first_freeze = "10-15" and chill_portions = 60.'
)
MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
TROPICS_DEG = 20.0  # within them the coldest month tells no hemisphere
LEAST_CHANGE_C = 2.0  # between the coldest and the warmest month, to tell a hemisphere
COLDEST_MEAN_C, HOTTEST_MEAN_C = -55.0, 46.0  # of a month, anywhere
SHORTEST_FROST_SEASON, LONGEST_FROST_SEASON = 15, 300
FOUR = ("coldest_low", "coldest_high", "hottest_low", "hottest_high")


def climate_given(
    table: TomlTable, latitude_deg: float | None, folder: Path
) -> ClimateGiven | None:
    """What a site knows of its climate, or None after a problem."""
    ways = {
        "record": "record" in table,
        "normals": any(key in table for key in ("low_c", "high_c", "low_f", "high_f")),
        "freeze": any(key in table for key in ("last_freeze", "first_freeze", "chill_portions")),
    }
    given = [way for way, found in ways.items() if found]
    result: ClimateGiven | None = None
    if not given:
        table.wrong("", "latitude alone does not tell a climate", ENOUGH)
    elif len(given) > 1:
        said = {
            "record": "a record",
            "normals": "monthly normals",
            "freeze": "freeze dates or chill",
        }
        table.wrong(
            "",
            f"gives {' and '.join(said[way] for way in given)}; one is used",
            "Keep the record if it is there, else the normals; put # before the rest.",
        )
        for key in table.values:
            table.raw(key)
    elif given == ["record"]:
        result = RecordGiven(folder / table.text("record", "record.csv", lines=False))
    elif given == ["normals"]:
        result = _normals(table, latitude_deg)
    else:
        result = _freeze_dates(table, latitude_deg)
    table.raw("hourly")
    table.refuse_unknown_keys()
    return result


def wrong_hemisphere(latitude_deg: float, month_means_c: Sequence[float]) -> str:
    """Why twelve monthly means belong to the other hemisphere, or ""; never within the tropics."""
    change_c = max(month_means_c) - min(month_means_c)
    if abs(latitude_deg) <= TROPICS_DEG or change_c < LEAST_CHANGE_C:
        return ""
    coldest = min(range(12), key=lambda month: month_means_c[month])
    if coldest not in ((10, 11, 0, 1, 2) if is_southern(latitude_deg) else (4, 5, 6, 7, 8)):
        return ""
    side = "southern" if is_southern(latitude_deg) else "northern"
    return (
        f"the coldest month is {MONTHS[coldest].capitalize()}, midsummer at the {side} latitude "
        f"{latitude_deg:g}"
    )


def _normals(table: TomlTable, latitude_deg: float | None) -> NormalsGiven | None:
    low_c = _monthly_c(table, "low")
    high_c = _monthly_c(table, "high")
    rain_days = table.numbers("rain_days", 12, 0, 31)
    rain_mm = table.numbers("rain_mm", 12, 0, 3000)
    rain_in = table.numbers("rain_in", 12, 0, 120)
    if rain_mm and rain_in:
        table.wrong("rain_in", "gives rain both in mm and in inches", "Keep one of them.")
    if rain_in:
        rain_mm = tuple(inches * MM_PER_INCH for inches in rain_in)
    if (rain_days is None) != (rain_mm is None) and ("rain_days" in table) != (rain_mm is not None):
        table.wrong(
            "",
            "gives rain_days without an amount, or an amount without rain_days",
            "Give both, rain_days (days of 1 mm, 0.04 in, or more) and rain_mm or rain_in, "
            "or neither.",
        )
    if low_c is None or high_c is None:
        return None
    crossed = [
        f"{month.capitalize()} ({low:.1f} °C above {high:.1f} °C)"
        for month, low, high in zip(MONTHS, low_c, high_c, strict=True)
        if low > high
    ]
    if crossed:
        table.wrong(
            _key(table, "low"),
            f"the mean low is above the mean high in {', '.join(crossed)}",
            "Exchange the two lists if they were; else correct those months.",
        )
    means = [(low + high) / 2 for low, high in zip(low_c, high_c, strict=True)]
    if latitude_deg is not None and (why := wrong_hemisphere(latitude_deg, means)):
        table.wrong(
            _key(table, "low"),
            why,
            f"Write latitude = {-latitude_deg:g}, or begin the lists with January.",
        )
    return NormalsGiven(low_c, high_c, rain_days, rain_mm)


def _monthly_c(table: TomlTable, name: str) -> tuple[float, ...] | None:
    """Twelve means in °C from name_c or name_f."""
    if f"{name}_c" in table and f"{name}_f" in table:
        table.wrong(f"{name}_f", f"gives {name} both in °C and in °F", "Keep one of them.")
    warmest = 90.0  # lets °F in a °C list through to the message below
    values_c = table.numbers(f"{name}_c", 12, COLDEST_MEAN_C, warmest)
    values_f = table.numbers(f"{name}_f", 12, -67, 115)
    if values_c and max(values_c) > HOTTEST_MEAN_C:
        table.wrong(
            f"{name}_c",
            f"{name}_c holds {max(values_c):g}, hotter than any month on Earth",
            f"If these are °F, call the list {name}_f.",
        )
        return None
    if values_f:
        return tuple(celsius(value) for value in values_f)
    if values_c is None and f"{name}_c" not in table and f"{name}_f" not in table:
        table.wrong(
            "",
            f"{name}_c is missing beside the other list",
            f"Write {name}_c = [twelve monthly means, January first], or {name}_f.",
        )
    return values_c


def _key(table: TomlTable, name: str) -> str:
    return f"{name}_c" if f"{name}_c" in table else f"{name}_f"


def _freeze_dates(table: TomlTable, latitude_deg: float | None) -> FreezeDatesGiven | None:
    last = _month_day(table, "last_freeze", "04-20")
    first = _month_day(table, "first_freeze", "10-15")
    portions = table.number(
        "chill_portions", 0, 200, required=f"Write the mean winter chill portions. {ENOUGH}"
    )
    four = [_one_c(table, name) for name in FOUR]
    wet_month = _first_wet_month(table)
    if 0 < sum(value is not None for value in four) < 4:
        missing = [name for name, value in zip(FOUR, four, strict=True) if value is None]
        table.wrong(
            "",
            f"gives some of the four extra numbers, not {' or '.join(missing)}",
            f"Give all four ({', '.join(f'{name}_c' for name in FOUR)}) or none.",
        )
    if None not in four:
        _check_four(table, *(value or 0.0 for value in four))
    if last is None or first is None or portions is None:
        return None
    if latitude_deg is not None:
        _check_order(table, last, first, latitude_deg)
    return FreezeDatesGiven(
        last, first, portions, four[0], four[1], four[2], four[3], first_wet_month=wet_month
    )


def _month_day(table: TomlTable, key: str, example: str) -> tuple[int, int] | None:
    text = table.text(key, required=f'Write {key} = "{example}", month and day. {ENOUGH}')
    found = month_day(text)
    if found is None and text:
        table.wrong(key, f'{key} is "{text}"', f'Write {key} = "{example}", month first.')
    return found


def _one_c(table: TomlTable, name: str) -> float | None:
    value_c = table.number(f"{name}_c", -60, 55)
    value_f = table.number(f"{name}_f", -76, 131)
    return celsius(value_f) if value_f is not None else value_c


def _check_four(
    table: TomlTable,
    coldest_low: float,
    coldest_high: float,
    hottest_low: float,
    hottest_high: float,
) -> None:
    for name, low, high in (
        ("coldest", coldest_low, coldest_high),
        ("hottest", hottest_low, hottest_high),
    ):
        if low > high:
            table.wrong(
                _key(table, f"{name}_low"),
                f"the {name} month has its low {low:.1f} °C above its high {high:.1f} °C",
                "Exchange them.",
            )
    if coldest_low + coldest_high >= hottest_low + hottest_high:
        table.wrong(
            _key(table, "coldest_low"),
            "the coldest month is not colder than the hottest",
            "Exchange the coldest_ and the hottest_ numbers.",
        )


def _first_wet_month(table: TomlTable) -> int | None:
    value = table.raw("first_wet_month")
    if value is None:
        return None
    if isinstance(value, str) and len(value) >= 3:
        fits = [name for name in MONTHS if name.startswith(value.strip().lower())]
        value = MONTHS.index(fits[0]) + 1 if len(fits) == 1 else value
    if isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 12:
        return value
    table.wrong(
        "first_wet_month",
        f"first_wet_month is {value}",
        'Write the first month of the wet season: "november" or 11.',
    )
    return None


def _check_order(
    table: TomlTable, last: tuple[int, int], first: tuple[int, int], latitude_deg: float
) -> None:
    """The autumn's first freeze comes before the spring's last one within a season."""
    season = Season(2027, is_southern(latitude_deg))  # any season without a leap day
    begin, end = (season.season_day(_in_season(season, *day)) for day in (first, last))
    written = f"first_freeze {first[0]:02}-{first[1]:02} and last_freeze {last[0]:02}-{last[1]:02}"
    if end <= begin:
        side = "south" if season.southern else "north"
        table.wrong(
            "last_freeze",
            f"{written} are swapped for a place in the {side} (latitude {latitude_deg:g})",
            "last_freeze is the spring date, first_freeze the autumn one: exchange them, or "
            f"check the sign of the latitude ({abs(latitude_deg):g} is north, "
            f"{-abs(latitude_deg):g} south).",
        )
    elif not SHORTEST_FROST_SEASON <= end - begin <= LONGEST_FROST_SEASON:
        table.wrong(
            "last_freeze",
            f"{written} are {end - begin} days apart over winter, not "
            f"{SHORTEST_FROST_SEASON} to {LONGEST_FROST_SEASON}",
            "Check them; where freezes are rare or come all year, give monthly normals instead.",
        )


def _in_season(season: Season, month: int, day: int) -> date:
    year = season.first.year if month >= season.first.month else season.last.year
    return date(year, month, 28 if (month, day) == (2, 29) else day)
