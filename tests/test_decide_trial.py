"""Wirings found by trial: counted rightly, and held by the exact model.

What a board counts as missing is counted again hour by hour; what a trial
finds must pass the hourly look and the sockets; what covers forbid no exact
model may find.
"""

import math
import random
import time
from dataclasses import replace

import numpy as np
import pytest

from planner.decide.alone import Sockets
from planner.decide.blocks import plug_periods, rota_levels
from planner.decide.board import Board
from planner.decide.covers import Covers, no_lighter
from planner.decide.grow import grow
from planner.decide.hookup import fed_by_modes, wire, wire_at_last
from planner.decide.instance import Fed, consumer_of_unit
from planner.decide.one_site import Wiring
from planner.decide.placed import ModeChoice, Placed
from planner.decide.simulate import thin_hours
from planner.decide.stations import roams, share_out, sites
from planner.decide.stretch import NONE
from planner.decide.trial import Effort, _Search, try_wiring
from planner.decide.trial_moves import anneal, new_state
from planner.decide.trial_tables import feeder_of, number_of, tables_of
from planner.result import Link, PortType
from planner.scenario import Status, SunCase, Supply, UnitType
from tests import builders as b
from tests.decide_cases import instance, plain_world, some_modes
from tests.test_decide_never_refused import site

SEEDS = range(60)
TWO_HALVES = b.conditions(
    start=b.START.replace(hour=0),
    window_h=24,
    swap_hours=(12,),
    sun_case=SunCase.NONE,
)
_TO_CONSUMER = {Link.BATTERY_TO_UNIT, Link.SOURCE_TO_UNIT}


def one_place(inst, fed):
    """Every place of a site by itself."""
    return sites(inst, fed, share_out(inst, fed)) if fed else ()


def missing_by_hand(board, n):
    """Energy missing at one battery, hour by hour, topped up as it goes."""
    inst = board.instance
    limits = inst.limits[n]
    out, idle = np.zeros(inst.hours), np.zeros(inst.hours)
    feeding = np.zeros(inst.hours, dtype=bool)
    for task, feeder in zip(board.tasks, board.plug, strict=True):
        if feeder is None or feeder.source or feeder.number != n:
            continue
        span = slice(task.first, task.end)
        ac = feeder.kind is PortType.AC
        share = limits.ac_efficiency if ac else limits.dc_efficiency
        out[span] += board.fed[task.consumer].load_w[span] / share
        feeding[span] = True
        if ac:
            idle[span] = limits.ac_idle_w
    sun = sum(
        (w for w, at in zip(inst.sun_w, board.panel, strict=True) if at == n),
        np.zeros(inst.hours),
    )
    (limit_w,) = inst.charge_at[inst.batteries[n].id].values()
    come = np.minimum(np.minimum(sun, limits.solar_limit_w), limit_w)
    if board.charger[n] != NONE:
        come = np.where(inst.feed_on[board.charger[n]], limit_w, come)
    charge, missing = limits.start_wh, 0.0
    least = limits.floor_wh + limits.reserve_wh
    for h in range(inst.hours):
        charge += come[h] * limits.charge_efficiency - out[h] - idle[h]
        charge = min(charge, limits.full_wh)
        if feeding[h] and charge < least:
            missing += least - charge
            charge = least
    return missing


def _two_packs(load_w=64.0):
    """A fridge on two packs for a day, changed at noon: what two can carry."""
    packs = (b.battery(), b.battery(id="B2", name="P2", charge_now=0.99))
    with plain_world({"U1": 60.0}):
        inst = instance(batteries=packs, panels=(), conditions=TWO_HALVES)
    who = consumer_of_unit(inst.units[0], 24)
    fed = (Fed(consumer=who, load_w=np.full(24, load_w)),)
    return inst, fed, rota_levels(inst)[-1]


class TestBoard:
    def test_what_is_missing_is_what_the_hours_say(self):
        seen = short = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            fed = fed_by_modes(inst, some_modes(inst, draw))
            for place in one_place(inst, fed):
                board = Board(
                    place.instance, place.fed, rota_levels(place.instance)[-1]
                )
                board.start()
                for _ in range(20 if board.tasks else 0):
                    t = draw.randrange(len(board.tasks))
                    if board.tasks[t].feeders:
                        board.change(plugs={t: draw.choice(board.tasks[t].feeders)})
                    for n in range(len(board.on)):
                        by_hand = missing_by_hand(board, n)
                        assert board.short[n] == pytest.approx(by_hand, abs=1e-6)
                        seen += 1
                        short += by_hand > 0
        assert seen > 500
        assert short > 50

    def test_a_change_taken_back_leaves_no_trace(self):
        draw = random.Random(3)
        inst = instance(b.scenario())
        fed = fed_by_modes(inst, some_modes(inst, draw))
        board = Board(inst, fed, plug_periods(inst, swaps=True))
        board.start()
        before = board.missing_wh, list(board.plug), list(board.panel)
        for t in range(len(board.tasks)):
            undo = board.change(plugs={t: None}, panels={0: NONE})
            assert undo is not None
            assert board.missing_wh >= before[0]
            board.restore(undo)
            after = board.missing_wh, board.plug, board.panel
            assert after == (pytest.approx(before[0]), before[1], before[2])

    def test_a_socket_takes_one_plug(self):
        """A pack with one port: the second fridge is refused."""
        units = tuple(b.unit(id=f"U{n}", name=f"F{n}") for n in (1, 2))
        inst = instance(
            units=units, batteries=(b.battery(ports_12v=1, outlets_ac=0),), panels=()
        )
        modes = tuple(m[0] for m in inst.modes)
        board = Board(inst, fed_by_modes(inst, modes), plug_periods(inst, swaps=False))
        (port,) = board.tasks[0].feeders
        assert board.change(plugs={0: port}) is not None
        assert board.change(plugs={1: port}) is None
        assert board.plug == [port, None]


class TestMoves:
    @pytest.mark.parametrize("steps", [0, 60, 400])
    def test_what_a_search_counts_is_what_the_board_counts(self, steps):
        """After any number of moves, kept or taken back; and no socket is overfull."""
        seen = short = moved = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            fed = fed_by_modes(inst, some_modes(inst, draw))
            for place in one_place(inst, fed):
                periods = rota_levels(place.instance)[-1]
                board = Board(place.instance, place.fed, periods)
                board.start()
                search = _Search(board, tables_of(board), seed)
                missing = anneal(
                    search.tables, search.state, search.change, steps, 200.0
                )
                state, n_b = search.state, len(board.on)
                plugs = {
                    t: feeder_of(int(f), board.tasks[t], n_b)
                    for t, f in enumerate(state.plug)
                }
                moved += list(plugs.values()) != board.plug
                panels = dict(enumerate(state.panel.tolist()))
                chargers = dict(enumerate(state.charger.tolist()))
                made = board.change(plugs=plugs, panels=panels, chargers=chargers)
                assert made is not None
                by_hand = [missing_by_hand(board, n) for n in range(n_b)]
                assert state.short_wh[:-1].tolist() == pytest.approx(by_hand, abs=1e-6)
                assert state.short_wh[-1] == pytest.approx(board.unfed_wh, abs=1e-6)
                assert missing == pytest.approx(board.missing_wh, abs=1e-6)
                seen += 1
                short += missing > 0
        assert seen > 30
        assert short > 5
        assert (moved > 0) is (steps > 0)

    def test_every_number_of_a_run_has_a_draw_of_its_own(self):
        board = Board(*_two_packs())
        drawn = {int(new_state(tables_of(board), n).draw[0]) for n in range(2000)}
        assert len(drawn) == 2000
        assert 0 not in drawn  # from nothing nothing would ever be drawn

    def test_feeders_keep_their_numbers(self):
        board = Board(*_two_packs())
        for task in board.tasks:
            for feeder in task.feeders:
                assert feeder_of(number_of(feeder, 2), task, 2) == feeder
        assert feeder_of(number_of(None, 2), board.tasks[0], 2) is None


class TestTrial:
    def test_what_is_found_holds_and_feeds_everything_once(self):
        found = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            fed = fed_by_modes(inst, some_modes(inst, draw))
            for place in one_place(inst, fed):
                tried = try_wiring(
                    place.instance,
                    place.fed,
                    rota_levels(place.instance)[-1],
                    Effort(starts=1, steps=400, kept=1, more_steps=400),
                )
                if tried.hookups is None:
                    assert tried.missing_wh > 0
                    continue
                found += 1
                assert thin_hours(place.instance, place.fed, tried.hookups) == ()
                for one in place.fed:
                    count = np.zeros(inst.hours, dtype=int)
                    for h in tried.hookups:
                        if h.link in _TO_CONSUMER and h.to_id == one.consumer.id:
                            count[h.from_h : h.to_h] += 1
                    assert (count[one.consumer.needed] == 1).all()
        assert found > 10

    @pytest.mark.parametrize(("share", "holds"), [(0.99, True), (1.01, False)])
    def test_two_packs_carry_a_fridge_by_turns(self, share, holds):
        """Each pack lasts for half of the window, and not for an hour more.

        Both start full with 810 Wh above floor and reserve; a swap at noon
        lets each carry 12 of 24 hours: 810 Wh x 0.95 / 12 h = 64.1 W.
        """
        packs = tuple(
            b.battery(id=f"B{n}", name=f"P{n}", port_12v_max_w=120.0) for n in (1, 2)
        )
        with plain_world({"U1": 60.0}):
            inst = instance(batteries=packs, panels=(), conditions=TWO_HALVES)
        limits = inst.limits[0]
        spare_wh = limits.start_wh - limits.floor_wh - limits.reserve_wh
        load_w = np.full(24, share * spare_wh * limits.dc_efficiency / 12)
        fed = (Fed(consumer=consumer_of_unit(inst.units[0], 24), load_w=load_w),)
        tried = try_wiring(inst, fed, rota_levels(inst)[-1])
        assert (tried.hookups is not None) is holds
        assert (tried.missing_wh == 0) is holds

    @pytest.mark.parametrize(
        ("missing", "proven", "tried_on"),
        [
            ({"Hall": 1.0}, False, True),
            ({"Hall": 60.0}, False, False),
            ({}, False, False),
            ({"Hall": 1.0}, True, False),
        ],
    )
    def test_only_what_nearly_went_is_tried_on(self, missing, proven, tried_on):
        """60 W for 24 h are 1,440 Wh: 1 Wh of it is next to nothing, 60 is not.

        Nor is it tried on where nobody counted what is missing.
        """
        packs = tuple(b.battery(id=f"B{n}", name=f"P{n}") for n in (1, 2))
        with plain_world({"U1": 60.0}):
            inst = instance(batteries=packs, panels=(), conditions=TWO_HALVES)
        fed = (
            Fed(consumer=consumer_of_unit(inst.units[0], 24), load_w=np.full(24, 60.0)),
        )
        before = Wiring(hookups=None, proven=proven, missing=missing)
        assert (wire_at_last(inst, fed, before) is not None) is tried_on

    @pytest.mark.parametrize(("load_w", "go_on"), [(16.5, 2), (25.0, 0)])
    def test_the_best_of_many_short_runs_go_on(self, monkeypatch, load_w, go_on):
        """Not where far more is missing than a longer search finds.

        A pack of 810 Wh at 95 % carries 32 W for a day: two fridges of 16.5 W lack
        3 % of what they take, two of 25 W more than a third.
        """
        ran = []
        run = _Search.run

        def noted(self, steps, heat_wh):
            ran.append((steps, self.missing_wh))
            return run(self, steps, heat_wh)

        monkeypatch.setattr(_Search, "run", noted)
        units = tuple(b.unit(id=f"U{n}", name=f"F{n}") for n in (1, 2))
        with plain_world({"U1": load_w, "U2": load_w}):
            inst = instance(units=units, panels=(), conditions=TWO_HALVES)
        fed = fed_by_modes(inst, tuple(m[0] for m in inst.modes))
        effort = Effort(starts=5, steps=40, kept=2, more_steps=80)
        tried = try_wiring(inst, fed, rota_levels(inst)[-1], effort)
        assert tried.hookups is None
        assert [steps for steps, _ in ran] == [40] * 5 + [80] * go_on
        least = sorted(missing for _, missing in ran[5:])
        assert all(tried.missing_wh <= one < math.inf for one in least)

    def test_runs_end_when_one_has_found_a_wiring(self, monkeypatch):
        ran = []
        run = _Search.run
        monkeypatch.setattr(
            _Search, "run", lambda one, *args: (ran.append(one), run(one, *args))[1]
        )
        tried = try_wiring(*_two_packs(load_w=20.0))
        assert tried.hookups is not None
        assert len(ran) <= 2  # beside each other

    def test_the_same_input_gives_the_same_wiring(self):
        draw = random.Random(5)
        inst = instance(b.scenario())
        fed = fed_by_modes(inst, some_modes(inst, draw))
        periods = rota_levels(inst)[-1]
        one, two = (try_wiring(inst, fed, periods) for _ in range(2))
        assert one == two


class TestCovers:
    def test_a_night_is_carried_whole_or_not_at_all(self):
        """810 Wh x 0.95 / 12 h: one fridge of 40 W for a night, not two.

        Half of a third one would fit, which shares would count.
        """
        with plain_world({"U1": 40.0}):
            inst = instance(
                batteries=(b.battery(ports_12v=3, outlets_ac=0),),
                panels=(),
                conditions=TWO_HALVES,
            )
        limits = inst.limits[0]
        spare_wh = limits.start_wh - limits.floor_wh - limits.reserve_wh
        covers = Covers(Sockets(inst), rota_levels(inst)[-1])
        draw_wh = np.full(24, spare_wh / 12 / 1.5)
        spans = covers.spans(0, draw_wh)
        assert (0, 0, 1) in spans
        assert (1, 1, 1) in spans
        # Both halves of the day together: a plug and a half, so one.
        assert (0, 1, 1) in spans
        assert covers.spans(0, np.full(24, spare_wh / 12 / 3.1)) == ((0, 1, 3),)

    def test_no_wiring_that_holds_breaks_one(self):
        held = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            fed = fed_by_modes(inst, some_modes(inst, draw))
            periods = plug_periods(inst, swaps=True)
            found = wire(inst, fed, ends=time.monotonic() + 20, polish=False)
            if not found.hookups:
                continue
            covers = Covers(Sockets(inst), periods)
            for n, battery in enumerate(inst.batteries):
                draws = [
                    (h, one.load_w / _share(inst, n, h))
                    for h in found.hookups
                    for one in fed
                    if h.from_id == battery.id and h.to_id == one.consumer.id
                ]
                for _, light in draws:
                    for first, last, most in covers.spans(n, light):
                        used = sum(
                            no_lighter(wh, light, period)
                            for h, wh in draws
                            for period in periods[first : last + 1]
                            if h.from_h < period.end and period.first < h.to_h
                        )
                        assert used <= most
                        held += 1
        assert held > 10


def _share(inst, n, hookup):
    limits = inst.limits[n]
    ac = hookup.port is PortType.AC
    return limits.ac_efficiency if ac else limits.dc_efficiency


def two_halls():
    """A hall with a fridge and no pack, one with two packs that are carried."""
    places = (b.place(name="North"), b.place(name="South"))
    units = tuple(
        b.unit(id=f"U{n}", name=f"F{n}", place=name)
        for n, name in enumerate(("North", "South", "South"), start=1)
    )
    packs = tuple(
        b.battery(id=f"B{n}", name=f"P{n}", place="South", movable=True) for n in (1, 2)
    )
    cond = b.conditions(window_h=24, sun_case=SunCase.NONE)
    return b.scenario(
        places=places,
        units=units,
        batteries=packs,
        panels=(),
        lines=(b.line(place="North", quantity=6),),
        conditions=cond,
    )


class TestPlaces:
    def test_a_pack_is_brought_to_the_hall_that_has_none(self):
        with plain_world({"U1": 20.0, "U2": 20.0, "U3": 20.0}):
            inst = instance(two_halls())
        assert roams(inst)
        modes = tuple(m[0] for m in inst.modes[:2])
        fed = fed_by_modes(inst, modes)
        stands = share_out(inst, fed)
        assert sorted(stands[i] for i in ("B1", "B2")) == ["North", "South"]
        wiring = wire(inst, fed, ends=time.monotonic() + 20)
        assert wiring.hookups is not None
        assert thin_hours(inst, fed, wiring.hookups) == ()
        assert {h.place for h in wiring.hookups} == {"North", "South"}

    def test_a_pack_that_cannot_be_carried_stays(self):
        scene = two_halls()
        packs = tuple(replace(p, movable=False) for p in scene.batteries)
        with plain_world({"U1": 20.0, "U2": 20.0, "U3": 20.0}):
            inst = instance(replace(scene, batteries=packs))
        fed = fed_by_modes(inst, tuple(m[0] for m in inst.modes[:2]))
        assert not roams(inst)
        assert wire(inst, fed, ends=time.monotonic() + 20).hookups is None


class TestGrow:
    def test_what_was_fed_stays_and_more_is_added(self):
        grown_more = 0
        for seed in SEEDS:
            draw = random.Random(seed)
            inst = instance(site(draw))
            modes = some_modes(inst, draw)
            loads = fed_by_modes(inst, ())
            ends = time.monotonic() + 20
            begin = wire(inst, loads, ends=ends, polish=False)
            if begin.hookups is None:
                continue
            placed = _one_bag_each(inst, modes)
            grown = grow(inst, (loads, begin.hookups), placed, ends=ends)
            if grown is None:
                continue
            fed, hookups = grown.wired
            assert thin_hours(inst, fed, hookups) == ()
            ids = {f.consumer.id for f in fed}
            assert {f.consumer.id for f in loads} <= ids
            grown_more += len(ids) > len(loads)
            whole = {m.unit_id for m in modes} - {m[-1].unit_id for m in grown.refused}
            assert whole <= ids
        assert grown_more > 10

    def test_a_unit_that_cannot_be_carried_is_named(self):
        """810 Wh x 0.95 / 24 h = 32 W: one fridge of 20 W, not two."""
        cond = b.conditions(window_h=24, sun_case=SunCase.NONE, swap_hours=())
        units = tuple(
            b.unit(id=f"U{n}", name=f"F{n}", kind=UnitType.COMPRESSOR) for n in (1, 2)
        )
        with plain_world({"U1": 20.0, "U2": 20.0}):
            inst = instance(units=units, panels=(), conditions=cond)
        modes = tuple(m[0] for m in inst.modes)
        placed = _one_bag_each(inst, modes)
        grown = grow(inst, ((), ()), placed, ends=time.monotonic() + 20)
        assert grown is not None
        assert [f.consumer.id for f in grown.wired[0]] == ["U1"]
        assert [[m.unit_id for m in some] for some in grown.refused] == [["U1", "U2"]]

    @pytest.mark.parametrize(("first", "fed"), [((), ["U1"]), (("U2",), ["U2"])])
    def test_who_was_refused_may_come_first(self, first, fed):
        """There is power for one of two fridges: it goes to who comes first."""
        cond = b.conditions(window_h=24, sun_case=SunCase.NONE, swap_hours=())
        units = tuple(
            b.unit(id=f"U{n}", name=f"F{n}", kind=UnitType.COMPRESSOR) for n in (1, 2)
        )
        with plain_world({"U1": 20.0, "U2": 20.0}):
            inst = instance(units=units, panels=(), conditions=cond)
        placed = _one_bag_each(inst, tuple(m[0] for m in inst.modes))
        ends = time.monotonic() + 20
        grown = grow(inst, ((), ()), placed, ends=ends, first=frozenset(first))
        assert grown is not None
        assert [f.consumer.id for f in grown.wired[0]] == fed


def _one_bag_each(inst, modes):
    """A placement with a bag of everything in every unit that runs."""
    counts = {
        (g, slot): 1
        for g, good in enumerate(inst.goods)
        for slot in good.slots
        if any(m.unit == slot[0] for m in modes)
    }
    return Placed(
        counts=counts,
        choices=tuple(ModeChoice(mode=m, stock_class=None) for m in modes),
        stages=(),
        taken=frozenset(),
        proven=True,
    )


class TestIdle:
    """An inverter runs while an outlet is in use, not for the whole period."""

    @pytest.mark.parametrize("spare", [0.1, -0.1])
    def test_a_unit_that_goes_back_leaves_no_idle(self, spare):
        """30 W for 5 of 6 hours, inverter 10 W: 30 x 5 / 0.85 + 10 x 5 Wh.

        A tenth of a watt-hour less in the pack is too little.
        """
        unit = b.unit(
            id="U1",
            name="Fridge",
            kind=UnitType.HOUSEHOLD,
            supply=Supply.AC,
            availability=b.loan(status=Status.HERE, back_h=5),
        )
        cond = b.conditions(window_h=6, sun_case=SunCase.NONE, swap_hours=())
        pack = b.battery(ac_idle_w=10.0, outlets_ac=1)
        with plain_world({"U1": 30.0}):
            inst = instance(
                units=(unit,), batteries=(pack,), panels=(), conditions=cond
            )
        limits = inst.limits[0]
        needs_wh = 30 * 5 / limits.ac_efficiency + limits.ac_idle_w * 5
        least = limits.floor_wh + limits.reserve_wh
        limits = replace(limits, start_wh=least + needs_wh + spare)
        inst = replace(inst, limits=(limits,))
        load_w = np.where(np.arange(6) < 5, 30.0, 0.0)
        fed = (Fed(consumer=consumer_of_unit(inst.units[0], 6), load_w=load_w),)
        found = wire(inst, fed, ends=time.monotonic() + 20)
        assert (found.hookups is not None) is (spare > 0)
