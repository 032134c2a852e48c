"""Sunrise and sunset by skyfield: writes sun_times.csv beside it, or with --check compares.

    pip install skyfield==1.55 skyfield-data==7.0.0
    python tests/computed_elsewhere/skyfield_1.55/make.py [--check]

Ephemeris de421 from skyfield-data, so no network. UTC, longitude 0, 12 dates of 2027; rising and
setting of the upper rim at skyfield's own -0.8333 degrees. "up" says whether the sun is up at noon.
"""

from __future__ import annotations

import sys
import warnings
from datetime import UTC, datetime, timedelta
from pathlib import Path

from skyfield import almanac
from skyfield.api import Loader, wgs84
from skyfield_data import get_skyfield_data_path

LATITUDES_DEG = (0.0, 23.4, 36.0, -35.0, 47.0, 61.0, 70.0)
ANSWERS = Path(__file__).parent / "sun_times.csv"


def answers() -> str:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # an Earth-orientation file it ships is past its date
        load = Loader(get_skyfield_data_path(), expire=False)
    scale, ephemeris = load.timescale(builtin=True), load("de421.bsp")
    lines = ["latitude_deg,day,sunrise_utc,sunset_utc,up_at_noon"]
    for latitude in LATITUDES_DEG:
        sun_is_up = almanac.sunrise_sunset(ephemeris, wgs84.latlon(latitude, 0.0))
        for month in range(1, 13):
            start = datetime(2027, month, 21, tzinfo=UTC)
            end = start + timedelta(days=1)
            times, rising = almanac.find_discrete(
                scale.from_datetime(start), scale.from_datetime(end), sun_is_up
            )
            found = {bool(up): time.utc_datetime() for time, up in zip(times, rising, strict=True)}
            clock = [f"{found[up]:%H:%M:%S}" if up in found else "" for up in (True, False)]
            noon = int(sun_is_up(scale.from_datetime(start + timedelta(hours=12))))
            lines.append(f"{latitude},{start:%Y-%m-%d},{clock[0]},{clock[1]},{noon}")
    return "\n".join(lines) + "\n"


def main() -> int:
    computed = answers()
    if "--check" not in sys.argv:
        ANSWERS.write_text(computed, encoding="ascii")
        return 0
    same = computed == ANSWERS.read_text(encoding="ascii")
    print("sun_times.csv:", "as recorded" if same else "DIFFERS from skyfield's answers now")
    return 0 if same else 1


if __name__ == "__main__":
    raise SystemExit(main())
