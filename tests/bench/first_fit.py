"""Planning by hand: the most important bag first, the first unit that fits.

What a careful volunteer does with pencil and paper: every panel and charger
gets a battery once, then bags are put where they fit one after the other; a
further unit is switched on only when a battery or a source in its place can
carry it to the end, as full as that allows.  Plugs of units never move, nothing
is carried to another place, nothing is taken back.  Life support comes first;
where no feeder carries it to the end it moves to the next at swap times.
"""

from dataclasses import dataclass

from planner.decide.blocks import Block
from planner.decide.goods import Good, SlotKey
from planner.decide.instance import (
    Instance,
    Mode,
    build,
)
from planner.result import Demand, Placement, UnitUse
from planner.scenario import Line, Scenario, StockClass
from tests.bench.first_fit_power import SMALL, Feeders
from tests.bench.score import Made
from tests.bench.who import who_of_unit


def first_fit(scenario: Scenario, demand: tuple[Demand, ...]) -> Made:
    """Plan by hand; keeps every rule, and looks back at nothing."""
    instance = build(scenario, demand)
    hand = _Hand(instance)
    for d in _in_order(scenario, demand, hand):
        hand.put(d)
    return hand.plan()


@dataclass(slots=True)
class _Running:
    """A unit that is on, and the litres left in its zones and in all."""

    mode: Mode
    zones_l: list[float]
    left_l: float
    stock: StockClass | None = None


class _Hand:
    """State of a plan that is made by hand."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.lines: dict[str, Line] = {x.id: x for x in instance.scenario.lines}
        self.good_of: dict[tuple[str, bool], Good] = {
            (part.line_id, good.surplus): good
            for good in instance.goods
            for part in good.parts
        }
        self.feeders = Feeders(instance)
        self.running: dict[int, _Running] = {}
        self.refused: set[SlotKey] = set()
        self.ice_kg = 0.0
        self.puts: dict[tuple[str, int, int, bool], Placement] = {}
        self.carried = all(self.feeders.feed_load(load) for load in instance.loads)

    # -- bags ------------------------------------------------------------------

    def put(self, d: Demand) -> None:
        """Put one bag into the first unit that fits, or switch one on."""
        good = self.good_of[d.line_id, d.surplus]
        line = self.lines[d.line_id]
        for slot in good.slots:
            if slot[0] in self.running and self._takes(slot, line):
                self._place(d, slot)
                return
        for slot in good.slots:
            if slot[0] not in self.running and self._switch_on(slot, line):
                self._place(d, slot)
                return

    def _takes(self, slot: SlotKey, line: Line) -> bool:
        unit, zone, set_c = slot
        on = self.running[unit]
        same = self.instance.tubs or on.stock in (None, line.stock_class)
        return (
            same
            and on.mode.set_points_c[zone] == set_c
            and line.volume_l <= min(on.left_l, on.zones_l[zone]) + SMALL
        )

    def _switch_on(self, slot: SlotKey, line: Line) -> bool:
        """Switch a unit on, as full as can be fed; other zones set mildest."""
        u, zone, set_c = slot
        if (u, zone, set_c) in self.refused:
            return False
        ways = [
            m
            for m in self.instance.modes[u]
            if m.set_points_c[zone] == set_c
            and line.volume_l <= m.usable_l[zone] + SMALL
            and line.volume_l <= m.fill * sum(m.usable_l) + SMALL
        ]
        ways.sort(key=lambda m: (m.set_points_c, m.fill), reverse=True)
        mildest = [m for m in ways if m.set_points_c == ways[0].set_points_c]
        mode = next((m for m in mildest if self._runs(u, m)), None)
        if mode is None:
            self.refused.add(slot)
            return False
        self.ice_kg += mode.ice_kg
        self.running[u] = _Running(
            mode=mode,
            zones_l=list(mode.usable_l),
            left_l=mode.fill * sum(mode.usable_l),
        )
        return True

    def _runs(self, u: int, mode: Mode) -> bool:
        inst = self.instance
        if self.ice_kg + mode.ice_kg > inst.scenario.conditions.ice_kg_day + SMALL:
            return False
        if not inst.units[u].powered:
            return True
        who = who_of_unit(inst.units[u], inst.hours)
        span = Block(who.ready_h, who.back_h)
        return self.carried and self.feeders.feed(who, mode.load_w, span)

    def _place(self, d: Demand, slot: SlotKey) -> None:
        u, zone, _ = slot
        on, line = self.running[u], self.lines[d.line_id]
        on.stock = None if self.instance.tubs else line.stock_class
        on.left_l -= line.volume_l
        on.zones_l[zone] -= line.volume_l
        key = (d.line_id, u, zone, d.surplus)
        before = self.puts[key].count if key in self.puts else 0
        self.puts[key] = Placement(
            line_id=d.line_id,
            unit_id=self.instance.units[u].id,
            zone=zone,
            count=before + 1,
            tier=d.tier,
            surplus=d.surplus,
        )

    # -- the plan --------------------------------------------------------------

    def plan(self) -> Made:
        """Everything as it is handed out."""
        uses = tuple(
            UnitUse(
                unit_id=on.mode.unit_id,
                set_points_c=on.mode.set_points_c,
                stock_classes=(on.stock,) * len(on.mode.set_points_c),
                warm_fill=on.mode.fill,
            )
            for _, on in sorted(self.running.items())
        )
        return Made(
            placements=tuple(self.puts.values()),
            units_on=uses,
            hookups=self.feeders.hookups(),
        )


def _in_order(
    scenario: Scenario, demand: tuple[Demand, ...], hand: _Hand
) -> list[Demand]:
    """One entry a bag: tier by tier, every household's first bag first."""
    homes = {line.id: line.household for line in scenario.lines}
    stages: dict[tuple[str, bool], list[Demand]] = {}
    for d in demand:
        stages.setdefault((d.tier.value, d.surplus), []).append(d)
    found: list[Demand] = []
    for _, mine in sorted(stages.items()):
        mine = sorted(mine, key=lambda d: (d.allowance_h or 0.0, d.line_id))
        firsts: list[Demand] = []
        rest: list[Demand] = []
        seen: set[str] = set()
        for d in mine:
            bags = d.count
            fits = bool(hand.good_of[d.line_id, d.surplus].slots)
            if not d.surplus and fits and homes[d.line_id] not in seen:
                seen.add(homes[d.line_id])
                firsts.append(d)
                bags -= 1
            rest += [d] * bags
        found += firsts + rest
    return found
