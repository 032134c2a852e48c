"""The page of load and supplies: strict HTML, sums by hand, small, in the reader's language."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from dataclasses import replace
from datetime import date
from xml.etree.ElementTree import Element

import pytest

from orchardcal.outputs.page.load_page import (
    CREWS_ON_A_PAGE,
    WORK_DAYS_ON_A_PAGE,
    load_pages,
)
from orchardcal.outputs.page.load_told import BAR_PX
from orchardcal.outputs.page.overview import WORK_DAYS_SHOWN, overview_pages
from orchardcal.outputs.page.pages import pages
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
from tests.outputs.invented_load import FAR, LOADED, NEAR, NORTH
from tests.outputs.invented_plan import PLAN
from tests.outputs.invented_work_day import WORK_DAY
from tests.outputs.page.page_tree import all_of, name_of, rows_of, text_of, tree_of, with_id

MOST_BYTES = 300_000
MARKUP = '<script>alert("x")</script><b a=\'">&amp;'
WITH_DAY = replace(LOADED, sites=(replace(NEAR, work_days=(replace(WORK_DAY, site="near"),)), FAR))


def page(plan: Plan = WITH_DAY, language: str = "en", units: str = "metric") -> Element:
    return tree_of(load_pages(plan, Speech(language, units))["load.html"])


@pytest.fixture(scope="module")
def root() -> Element:
    return page()


def test_landmarks_headings_tables_and_drawings(root: Element) -> None:
    """WAI-ARIA Authoring Practices, landmark regions; WCAG 2.2 techniques G141, H39 and H63,
    success criterion 1.1.1: bars are hidden from the reader, who has their table.
    """
    for landmark in ("header", "main", "footer", "h1"):
        assert len(list(all_of(root, landmark))) == 1
    levels = [int(name_of(one)[1]) for one in all_of(root, "h1", "h2", "h3", "h4", "h5")]
    assert all(later - earlier <= 1 for earlier, later in itertools.pairwise(levels))
    tables = list(all_of(root, "table"))
    assert len(tables) == 4
    for table in tables:
        (caption,) = all_of(table, "caption")
        assert text_of(caption).strip()
        assert all(cell.get("scope") for cell in all_of(table, "th"))
        assert len({len(list(row)) for row in all_of(table, "tr")}) == 1
    ids = Counter(one.get("id") for one in root.iter() if one.get("id"))
    assert set(ids.values()) == {1}
    for one in root.iter():
        assert one.get("style") is None
        assert set((one.get("aria-labelledby") or "").split()) <= set(ids)
    assert all(drawing.get("aria-hidden") == "true" for drawing in all_of(root, "svg"))
    assert not list(all_of(root, "script", "img", "iframe"))


def test_the_weeks_of_a_crew(root: Element) -> None:
    """The same sums by hand as in tests/plan; in all 18 h, 26 full weeks and one of them off."""
    head, *rows, in_all = rows_of(next(all_of(with_id(root, "crew-north"), "table")))
    assert head[2:] == [
        *("Hours away", "Hours it has", "Work", "Driving and arriving"),
        *("Days out", "Visits", "Distance"),
    ]
    before, _, after = rows
    assert before[0] == "7 weeks from Mon 23 Nov 2026"  # 18 h, five of 30 h and one off
    assert [before[3], after[3]] == [f"{18 + 5 * 30} h", f"{24 * 30} h"]
    (busy,) = (row for row in rows if row[0] == "Mon 11 Jan 2027")
    hours = ["5 h 30 min", "30 h", "3 h 15 min", "2 h 15 min"]
    assert busy[2:] == [*hours, "2", "3", "60 km"]
    assert in_all[2:] == [hours[0], f"{18 + 30 * 30} h", *hours[2:], "2", "3", "60 km"]
    assert "No work is planned" in text_of(with_id(root, "crew-idle"))


def test_a_bar_is_as_long_as_its_hours(root: Element) -> None:
    """30 h fill the bar; of them 3.25 h and 2.25 h are used."""
    rows = all_of(with_id(root, "crew-north"), "tr")
    busy = next(row for row in rows if "11 Jan 2027" in text_of(row))
    widths = {one.get("class"): float(one.get("width") or 0) for one in all_of(busy, "rect")}
    assert widths["room"] == BAR_PX
    assert widths["used"] == pytest.approx(BAR_PX * 3.25 / 30, abs=0.01)
    assert widths["around"] == pytest.approx(BAR_PX * 2.25 / 30, abs=0.01)


def test_supplies_and_people_per_work_day(root: Element) -> None:
    rows = rows_of(next(all_of(with_id(root, "supplies"), "table")))
    assert rows[-1] == ["All sites", "0.8 L", "0.4 L", "12 L", "0.75 L", "7", "4", "3", "5"]
    assert [row[0] for row in rows[1:-1]] == ["Near School", "Far School"]
    told = text_of(with_id(root, "supplies"))
    assert "what the label says" in told
    assert "keep it from flames" in told
    days = rows_of(next(all_of(with_id(root, "work-days"), "table")))
    assert days[1][3:5] == ["4", "1"]


def test_the_readers_units_and_language() -> None:
    """60.0 km are 37.3 mi, 12 L are 3.2 gal (NIST SP 811)."""
    american = text_of(page(units="us"))
    assert "37 mi" in american
    assert "3.2 gal" in american
    spanish = page(language="es")
    assert spanish.get("lang") == "es"
    text = text_of(with_id(spanish, "main"))
    for words in ("Cuadrillas", "Horas disponibles", "Todos los sitios", "la etiqueta"):
        assert words in text
    for words in ("Hours away", "All sites", "Brushes", "Supplies", "Driving"):
        assert words not in text


def test_names_with_markup_stay_text() -> None:
    crews = tuple(replace(crew, name=MARKUP) for crew in LOADED.crews)
    sites = tuple(replace(site, name=MARKUP) for site in LOADED.sites)
    tree = page(replace(LOADED, name=MARKUP, crews=crews, sites=sites))
    assert not list(all_of(tree, "script"))
    for part in ("crew-north", "supplies"):
        assert MARKUP in text_of(with_id(tree, part))


def test_the_overview_links_to_it_and_it_links_back() -> None:
    written = dict(pages(LOADED, {}, Speech()))
    hrefs = {one.get("href") for one in all_of(tree_of(written["index.html"]), "a")}
    assert "load.html" in hrefs
    back = {one.get("href") for one in all_of(tree_of(written["load.html"]), "a")}
    assert "index.html" in back


def test_nothing_to_show_is_no_page() -> None:
    assert load_pages(PLAN, Speech()) == {}
    assert "load.html" not in dict(pages(PLAN, {}, Speech()))["index.html"].decode()


def test_without_crews_it_has_the_supplies_alone() -> None:
    tree = page(replace(LOADED, crews=()))
    ids = {one.get("id") for one in tree.iter()}
    assert "supplies" in ids
    assert "crews" not in ids


def test_forty_sites_and_five_crews_are_small() -> None:
    plan = _many(sites=40, crews=5)
    (only,) = load_pages(plan, Speech()).values()
    assert len(only) < MOST_BYTES


def test_many_crews_go_on_to_more_pages() -> None:
    written = load_pages(_many(sites=40, crews=2 * CREWS_ON_A_PAGE + 1), Speech())
    assert list(written) == ["load.html", "load-2.html", "load-3.html"]
    assert max(map(len, written.values())) < MOST_BYTES
    crews = re.findall(r'id="crew-(c\d+)"', b"".join(written.values()).decode())
    assert crews == [f"c{number}" for number in range(2 * CREWS_ON_A_PAGE + 1)]
    last = tree_of(written["load-3.html"])
    hrefs = {one.get("href") for one in all_of(last, "a")}
    assert set(written) <= hrefs


def test_many_work_days_go_on_to_more_pages_and_the_overview_shows_the_next() -> None:
    number = 2 * WORK_DAYS_ON_A_PAGE + 1
    sites = tuple(
        replace(NEAR, site=f"s{at}", jobs=(), work_days=(replace(WORK_DAY, site=f"s{at}"),))
        for at in range(number)
    )
    plan = replace(LOADED, crews=(), sites=sites)
    written = load_pages(plan, Speech())
    links = re.findall(r'href="work_days/(s\d+)-', b"".join(written.values()).decode())
    assert sorted(set(links)) == sorted(site.site for site in sites)
    overviews = dict(overview_pages(plan, {}, Speech()))
    first = overviews["index.html"].decode()
    assert len(re.findall(r'href="work_days/', first)) == WORK_DAYS_SHOWN
    assert f"{number - WORK_DAYS_SHOWN} more" in first
    assert max(map(len, [*written.values(), *overviews.values()])) < MOST_BYTES


def _many(sites: int, crews: int) -> Plan:
    """So many sites, each with two jobs of one of the crews in each of 30 weeks."""
    keys = [f"c{number}" for number in range(crews)]
    return replace(
        LOADED,
        crews=tuple(replace(NORTH, key=key, name=f"Crew {key}", days_off=()) for key in keys),
        sites=tuple(
            replace(
                site := (NEAR, FAR)[number % 2],
                site=f"s{number}",
                name=f"School number {number} by the river",
                jobs=tuple(
                    replace(
                        job,
                        uid=f"{job.uid}-{number}-{week}",
                        site=f"s{number}",
                        crew=keys[number % crews],
                        day=date.fromordinal(job.day.toordinal() - 42 + 7 * week),
                    )
                    for week in range(30)
                    for job in site.jobs[:1]
                ),
            )
            for number in range(sites)
        ),
    )
