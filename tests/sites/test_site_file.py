"""What site.toml and programme.toml say reaches the site, in °C, metres and days."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from pathlib import Path

import pytest

from orchardcal.errors import BadFiles
from orchardcal.sites.site import FreezeDatesGiven, NormalsGiven, Programme, Site
from tests.sites.elder_lane import SITE

Read = Callable[..., Site]
CLIMATE = SITE[SITE.index("last_freeze") :]


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "timezone"),
    [  # IANA time zone database, zone1970.tab, and national law: which zone each city keeps
        (44.08, -103.23, "America/Denver"),  # Rapid City
        (50.37, -4.14, "Europe/London"),  # Plymouth
        (28.41, -16.55, "Atlantic/Canary"),  # Puerto de la Cruz
        (-42.88, 147.33, "Australia/Hobart"),
        (-39.49, 176.92, "Pacific/Auckland"),  # Napier
        (37.57, 126.98, "Asia/Seoul"),
    ],
)
def test_a_time_zone_left_out_is_found_from_the_coordinates(
    read_site_of: Read, latitude_deg: float, longitude_deg: float, timezone: str
) -> None:
    site = SITE.replace('timezone = "America/Denver"\n', "")
    site = site.replace("44.02", str(latitude_deg)).replace("-103.4", str(longitude_deg))
    if latitude_deg < 0:
        site = site.replace("05-08", "09-01").replace("09-28", "05-28")
    assert read_site_of(site=site).timezone == timezone


def test_fahrenheit_feet_and_inches_are_converted(read_site_of: Read) -> None:
    """NIST SP 811, appendix B.8: 32 °F is 0 °C, 1 ft is 0.3048 m, 1 in is 25.4 mm."""
    months = "[32, 32, 41, 50, 59, 68, 77, 77, 68, 50, 41, 32]"
    site = "elevation_ft = 1000\n" + SITE.replace(
        CLIMATE,
        f"low_f = {months}\nhigh_f = {months.replace('32', '50')}\n"
        f"rain_days = {[3] * 12}\nrain_in = {[2] * 12}\n",
    )
    read = read_site_of(site=site)
    assert read.elevation_m == pytest.approx(304.8)
    assert isinstance(read.climate, NormalsGiven)
    assert read.climate.low_c[:4] == pytest.approx((0, 0, 5, 10))
    assert read.climate.rain_mm == pytest.approx([50.8] * 12)


def test_freeze_dates_with_the_four_numbers_and_the_wet_month(read_site_of: Read) -> None:
    more = "coldest_low_f = 14\ncoldest_high_c = 1\nhottest_low_c = 14\nhottest_high_f = 86\n"
    climate = read_site_of(site=f'{SITE}{more}first_wet_month = "Nov"\n').climate
    assert isinstance(climate, FreezeDatesGiven)
    assert (climate.last_freeze, climate.first_freeze) == ((5, 8), (9, 28))
    assert (climate.coldest_low_c, climate.hottest_high_c) == pytest.approx((-10.0, 30.0))
    assert climate.first_wet_month == 11


def test_southern_freeze_dates_lie_the_other_way_about(read_site_of: Read) -> None:
    site = SITE.replace("44.02", "-41.2").replace("05-08", "09-20").replace("09-28", "05-10")
    assert read_site_of(site=site).latitude_deg == -41.2


def test_weekdays_hours_and_people(read_site_of: Read) -> None:
    visits = '[visits]\nweekdays = "fri-mon, wednesday"\nhours = "8:15 to 12.45"\n'
    site = read_site_of(site=f'lead = "ines"\n{SITE}{visits}')
    assert site.weekdays == {4, 5, 6, 0, 2}
    assert (site.opens, site.closes) == (time(8, 15), time(12, 45))
    assert site.lead == "ines"


def test_an_address_does_not_show_when_a_person_is_printed(
    read_programme_of: Callable[..., Programme],
) -> None:
    people = '[people.ines]\nname = "Ines"\nemail = "ines@elderlane.example"\n'
    programme = read_programme_of(programme=people)
    assert programme.people["ines"].email == "ines@elderlane.example"
    assert "elderlane.example" not in repr(programme)


@pytest.mark.parametrize("name", ['O\\"Neil', "Комбинат, №5", "🍐", "<b>", "=A1", "مدرسة"])
def test_odd_names_are_kept(read_programme_of: Callable[..., Programme], name: str) -> None:
    assert read_programme_of(name=name).name == name.replace('\\"', '"')


def test_the_line_is_right_after_strings_and_lists_of_many_lines(read_site_of: Read) -> None:
    site = (
        SITE + 'notes = 5\n[visits]\nhours = """\n[climate]\n"""\nweekdays = [\n "mon",\n]\nx = 1\n'
    )
    with pytest.raises(BadFiles) as bad:
        read_site_of(site=site)
    lines = {problem.spot.line: problem.what for problem in bad.value.problems}
    text = ('name = "Elder Lane"\n' + site).split("\n")
    assert 'has the unknown key "x"' in lines[text.index("x = 1") + 1]
    assert "hours is" in lines[text.index('hours = """') + 1]


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    from orchardcal.errors import Problems
    from orchardcal.sites.toml_table import toml_table

    path = tmp_path / "a.toml"
    path.write_bytes(b"\xef\xbb\xbfname = 'A'\r\nday = 2026-12-21\r\n")
    problems = Problems()
    table = toml_table(path, "a.toml", problems, "")
    assert table is not None
    assert (table.text("name"), table.day("day")) == ("A", date(2026, 12, 21))
    assert not problems
