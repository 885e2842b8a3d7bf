"""Lent things that came: counted in, nothing else changed."""

from dataclasses import replace

from planner.edits import accept_loans, still_offered
from planner.scenario import Availability, CameFrom, Status
from tests import plan_fixture


def test_only_what_was_offered_and_came_is_here_afterwards() -> None:
    before = plan_fixture.scenario()
    edited = accept_loans(before, {"unit-4", "unit-1"})
    assert edited.changes == ("Lent fridge: can borrow is now here",)
    (changed,) = [
        new
        for old, new in zip(before.equipment, edited.scenario.equipment, strict=True)
        if old != new
    ]
    assert changed.id == "unit-4"
    assert changed.availability.status is Status.HERE
    assert changed.availability.ready_h == 6
    assert changed.availability.lender == "Depot"
    assert changed.origins[-1].came_from is CameFrom.EDITED


def test_a_thing_out_of_order_does_not_come_back_by_it() -> None:
    before = plan_fixture.scenario()
    broken = replace(before.units[0], availability=Availability(status=Status.OUT))
    scenario = replace(before, units=(broken, *before.units[1:]))
    assert accept_loans(scenario, {broken.id}).changes == ()
    assert accept_loans(scenario, {broken.id}).scenario == scenario


def test_what_is_still_an_offer() -> None:
    scenario = plan_fixture.scenario()
    assert still_offered(scenario, ("unit-4",))
    assert not still_offered(scenario, ("unit-1",))
    assert not still_offered(accept_loans(scenario, ("unit-4",)).scenario, ("unit-4",))
    assert not still_offered(None, ("unit-4",))
