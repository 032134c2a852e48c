"""The JSON of a plan, put together of its sites' parts, is what the json module writes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from orchardcal.outputs.plan_json import plan_json, plan_json_of, site_json
from orchardcal.outputs.site_told import at_a_glance
from orchardcal.outputs.speech import Speech
from orchardcal.plan.plan import Plan
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


def test_a_plan_at_a_glance_and_parts_made_before_are_the_whole() -> None:
    glance = replace(PLAN, sites=tuple(map(at_a_glance, PLAN.sites)))
    parts = [site_json(site, Speech()) for site in PLAN.sites]
    assert b"".join(plan_json_of(glance, parts)) == plan_json(PLAN, Speech())
