"""Where batteries stand: kit shared out between places, by sums done by hand."""

import time

import numpy as np
import pytest

from planner.decide import hookup
from planner.decide.hookup import tidy, wire
from planner.decide.instance import Fed, consumer_of_unit
from planner.decide.one_site import Wiring
from planner.decide.stations import share_out, stands_in
from planner.result import Link, PortType
from planner.scenario import Status, SunCase, Supply
from tests import builders as b
from tests.decide_cases import instance, plain_world

HOURS = 24
PLACES = (b.place(), b.place(name="Shed"))
DARK = b.conditions(window_h=HOURS, sun_case=SunCase.NONE, swap_hours=(8, 20))


def shed_and_hall(batteries, *, watts=20.0, shed=Supply.DC, **fields):
    """A fridge in the hall and one in the shed, both drawing the same."""
    units = (
        b.unit(id="U1", name="Fridge 1"),
        b.unit(id="U2", name="Fridge 2", place="Shed", supply=shed),
    )
    scene = {"panels": (), "conditions": DARK, "places": PLACES} | fields
    with plain_world({"U1": watts, "U2": watts}, {"P1": [0.0] * HOURS}):
        inst = instance(units=units, batteries=batteries, **scene)
    return inst, tuple(
        Fed(consumer=consumer_of_unit(unit, HOURS), load_w=np.full(HOURS, watts))
        for unit in inst.units
    )


def pack(n, capacity_wh=1000.0, **fields):
    return b.battery(id=f"B{n}", name=f"Pack {n}", capacity_wh=capacity_wh, **fields)


class TestSharedOut:
    """20 W for 24 h are 480 Wh; 1,000 Wh of pack give 810 Wh, at 90 % 729."""

    def test_a_place_with_nothing_is_given_a_battery(self):
        inst, fed = shed_and_hall((pack(1), pack(2)))
        assert sorted(share_out(inst, fed).values()) == ["Hall", "Shed"]

    @pytest.mark.parametrize(
        ("supply", "moved"), [(Supply.AC, True), (Supply.DC, False)]
    )
    def test_what_hangs_on_outlets_is_given_one(self, supply, moved):
        """The shed's own pack has energy enough, but no outlet."""
        packs = (pack(1), pack(2), pack(3, place="Shed", outlets_ac=0))
        inst, fed = shed_and_hall(packs, shed=supply)
        stands = share_out(inst, fed)
        assert ("Shed" in {stands["B1"], stands["B2"]}) is moved

    @pytest.mark.parametrize(("back_h", "moved"), [(12, True), (None, False)])
    def test_another_comes_when_a_loan_goes_back(self, back_h, moved):
        lent = b.loan(status=Status.HERE, back_h=back_h)
        packs = (pack(1), pack(2), pack(3, place="Shed", availability=lent))
        inst, fed = shed_and_hall(packs)
        stands = share_out(inst, fed)
        assert ("Shed" in {stands["B1"], stands["B2"]}) is moved

    @pytest.mark.parametrize(("capacity_wh", "moved"), [(300.0, True), (900.0, False)])
    def test_mains_count_as_far_as_the_batteries_hold(self, capacity_wh, moved):
        """A lead in the shed for the first two hours, 500 W: as much as they hold.

        300 Wh of pack hold 243 Wh of the 480; 900 hold them all.
        """
        lead = b.source(place="Shed", from_hour=8, to_hour=10, days=(0,))
        packs = (pack(1), pack(2), pack(3, capacity_wh, place="Shed", charge_now=0.2))
        inst, fed = shed_and_hall(packs, sources=(lead,))
        stands = share_out(inst, fed)
        assert ("Shed" in {stands["B1"], stands["B2"]}) is moved

    def test_a_place_that_was_short_is_given_more(self):
        packs = (pack(1), pack(2), pack(3, place="Shed"))
        inst, fed = shed_and_hall(packs)
        given = {
            more_wh: sum(
                at == "Shed" for at in share_out(inst, fed, {"Shed": more_wh}).values()
            )
            for more_wh in (0.0, 600.0)
        }
        assert given == {0.0: 1, 600.0: 2}


class TestWiredApart:
    def test_kit_is_shared_out_anew_where_an_inverter_runs_idle(self, monkeypatch):
        """20 W on an outlet are 480 Wh, and 36 W more of idle are 864 Wh.

        The shed's pack seems enough at the first look; at the second another comes.
        """
        monkeypatch.setattr(hookup, "_FEW", 0)  # never as one problem
        packs = (pack(1), pack(2), pack(3, place="Shed", ac_idle_w=36.0))
        inst, fed = shed_and_hall(packs, shed=Supply.AC)
        assert share_out(inst, fed)["B3"] == "Shed"
        assert "Shed" not in {share_out(inst, fed)[i] for i in ("B1", "B2")}
        found = wire(inst, fed, ends=time.monotonic() + 20, polish=False)
        assert found.hookups is not None
        stands = stands_in(inst, found.hookups)
        assert stands is not None
        assert "Shed" in {stands.get("B1"), stands.get("B2")}

    def test_a_hurried_look_in_vain_keeps_the_plugs(self, monkeypatch):
        inst, fed = shed_and_hall((pack(1), pack(2)))
        first = wire(inst, fed, ends=time.monotonic() + 20, polish=False).hookups
        assert first
        again = tidy(inst, fed, first, ends=time.monotonic() + 20)
        assert {h.to_id for h in again} == {"U1", "U2"}
        monkeypatch.setattr(
            hookup, "wire_site", lambda *_, **__: Wiring(hookups=None, proven=False)
        )
        kept = tidy(inst, fed, first, ends=time.monotonic() + 20)
        assert set(kept) == set(first)


class TestStands:
    def test_kit_stands_where_its_plugs_are(self):
        inst, _ = shed_and_hall((pack(1), pack(2)), panels=(b.panel(),))
        plugs = (
            b.hookup(from_id="B1", to_id="U2", place="Shed"),
            b.hookup(
                link=Link.PANEL_TO_BATTERY,
                from_id="P1",
                to_id="B1",
                port=PortType.SOLAR,
                place="Shed",
            ),
        )
        assert stands_in(inst, plugs) == {"B1": "Shed", "P1": "Shed"}

    def test_what_is_carried_about_stands_nowhere(self):
        inst, _ = shed_and_hall((pack(1), pack(2)))
        plugs = (
            b.hookup(from_id="B1", to_id="U1", place="Hall", to_h=8),
            b.hookup(from_id="B1", to_id="U2", place="Shed", from_h=8),
        )
        assert stands_in(inst, plugs) is None
