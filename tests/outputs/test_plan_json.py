"""The JSON of a plan, put together of its sites' parts, is what the json module writes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from orchardcal.outputs.plan_json import plan_json, site_json
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan, SitePlan
from tests.outputs.invented_plan import KERERU, LARKFIELD, PLAN

ODD = replace(KERERU, name='Two\nlines, "quoted"\u2028 and \\ a tab\t')
PLANS = {
    "two sites": PLAN,
    "one site": replace(PLAN, sites=(LARKFIELD,)),
    "no site": replace(PLAN, sites=()),
    "odd names": replace(PLAN, name='"}\n', sites=(ODD, LARKFIELD)),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_the_whole_is_what_the_json_module_writes(plan: Plan) -> None:
    written = plan_json(plan, Speech()).decode()
    read = json.loads(written)
    assert json.dumps(read, ensure_ascii=False, indent=1) + "\n" == written
    assert [site["name"] for site in read["sites"]] == [site.name for site in plan.sites]


def test_a_part_made_before_is_taken_as_it_is() -> None:
    asked = []

    def part(site: SitePlan, speech: Speech) -> str:
        asked.append(site.site)
        return site_json(site, speech)

    assert plan_json(PLAN, Speech(), part) == plan_json(PLAN, Speech())
    assert asked == [site.site for site in PLAN.sites]
