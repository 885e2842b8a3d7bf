"""Door sheets: what is read together stands together, marks are explained."""

from dataclasses import replace

import pytest

from planner.output.paper import PaperSize, paper_pdf
from planner.output.wording import Language, wording
from planner.result import Plan
from tests import builders as b
from tests.paper_plans import one_plan
from tests.paper_reader import pages, sheets

WINDOW_H = 72
NIGHT = "NIGHT: its person may need it at night."


def often_plugged(plugs: int) -> Plan:
    """A fridge whose plug changes this many times."""
    step = WINDOW_H // plugs
    return one_plan(
        scenario=b.scenario(
            batteries=(b.battery(), b.battery(id="B2", name="Battery two")),
            conditions=b.conditions(window_h=WINDOW_H),
        ),
        units_on=(b.use(),),
        placements=(b.placement(),),
        hookups=tuple(
            b.hookup(from_id=f"B{1 + at % 2}", from_h=at * step, to_h=(at + 1) * step)
            for at in range(plugs)
        ),
    )


@pytest.mark.parametrize("size", list(PaperSize))
@pytest.mark.parametrize("language", list(Language))
@pytest.mark.parametrize("plugs", range(1, 13))
def test_rules_for_opening_are_never_torn_between_two_pages(size, language, plugs):
    say = wording(language).say
    made = pages(paper_pdf(often_plugged(plugs), size=size, language=language))
    doors = sheets(made, say("door.title", unit=""))
    wanted = [say("door.rules"), *(say(f"door.rule.{one}") for one in range(1, 5))]
    with_rules = [page for page in doors if any(one in page.body for one in wanted)]
    assert len(with_rules) == 1
    assert all(one in with_rules[0].body for one in wanted)


def test_night_is_explained_on_the_door_and_on_the_labels_where_it_stands():
    plan = often_plugged(1)
    lines = (replace(plan.scenario.lines[0], night_need=True),)
    night = replace(plan, scenario=replace(plan.scenario, lines=lines))
    for title in ("Door sheet: ", "Labels for "):
        said = " ".join(one.body for one in sheets(pages(paper_pdf(night)), title))
        assert NIGHT in said
        said = " ".join(one.body for one in sheets(pages(paper_pdf(plan)), title))
        assert "NIGHT" not in said
