"""A site's part of what is written: its own files, its rows, a glance that is enough for all."""

from __future__ import annotations

from dataclasses import replace

from orchardcal.outputs.feed import feeds, published
from orchardcal.outputs.listing import listing, listing_end, site_listing
from orchardcal.outputs.load_csv import load_csv
from orchardcal.outputs.page.pages import pages, pages_of_all
from orchardcal.outputs.plan_csv import plan_csv
from orchardcal.outputs.site_told import Telling, at_a_glance, site_told
from orchardcal.outputs.supplies_csv import supplies_csv
from orchardcal.outputs.work_days_csv import work_days_csv, work_days_csv_of
from tests.outputs.page.invented_facts import named

PLAN, FACTS = named("")
HEAD = replace(PLAN, sites=())
TELLING = Telling(HEAD, to_files=True)
SPEECH = TELLING.speech
TOLD = [site_told(site, FACTS[site.site], (), TELLING) for site in PLAN.sites]
GLANCE = replace(PLAN, sites=tuple(map(at_a_glance, PLAN.sites)))


def test_a_sites_own_files_are_those_of_the_whole_plan() -> None:
    whole = {**dict(pages(PLAN, FACTS, SPEECH)), **feeds(PLAN, published(PLAN, (), SPEECH), SPEECH)}
    own = {path: content for told in TOLD for path, content in told.files.own}  # type: ignore[union-attr]
    assert set(whole) - set(own) == {
        path for path in whole if path.split("/")[0] not in ("sites", "work_days")
    }
    for path, content in own.items():
        assert content == whole[path], path


def test_a_glance_is_enough_for_all_that_shows_several_sites() -> None:
    closed = {key: facts.closed for key, facts in FACTS.items()}
    assert dict(pages_of_all(GLANCE, closed, SPEECH)) == dict(pages_of_all(PLAN, closed, SPEECH))
    assert load_csv(GLANCE) == load_csv(PLAN)
    assert supplies_csv(GLANCE, SPEECH) == supplies_csv(PLAN, SPEECH)
    assert listing_end(GLANCE, SPEECH) == listing_end(PLAN, SPEECH)
    assert repr(GLANCE) != repr(PLAN)


def test_the_parts_make_the_whole() -> None:
    files = [told.files for told in TOLD]
    rows = [row for one in files if one for row in one.work_days]
    assert work_days_csv_of(rows) == work_days_csv(PLAN, SPEECH)
    assert "".join(one.csv_rows for one in files if one).encode() in plan_csv(PLAN, SPEECH)
    english = TELLING.terminal
    parts = [site_listing(site, PLAN.crews, english) for site in PLAN.sites]
    assert [told.printed for told in TOLD] == parts
    assert "\n\n".join([*parts, listing_end(PLAN, english)]) == listing(PLAN, english)


def test_a_site_whose_rows_are_as_before_rests() -> None:
    site = PLAN.sites[0]
    first = TOLD[0]
    assert not first.rests
    assert {change.kind for change in first.changes} == {"added"}
    again = site_told(site, None, first.rows, TELLING)
    assert (again.rests, again.rows, again.changes, again.files) == (True, (), (), None)
    later = site_told(replace(site, jobs=()), None, first.rows, TELLING)
    assert not later.rests
    assert {change.kind for change in later.changes} == {"fell away"}
