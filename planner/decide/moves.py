"""The order in which bags are carried, so that no unit is overfilled on the way."""

import math
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from planner.decide.instance import TUB_SHARE
from planner.physics.profiles import room_temp_c, usable_l
from planner.result import Placement, UnitUse
from planner.result_moves import DESK, Carry, CarryKind
from planner.result_replan import Setting, Standing
from planner.scenario import Line, Scenario, Segregation, StockClass

CARRY_MIN = 3
"""Minutes for one carry, doors and codes included (estimate)."""
_SLACK_L = 1e-6

Spot = tuple[str, int]
"""Unit id and zone; ``OUTSIDE`` is the desk."""
OUTSIDE: Spot = (DESK, 0)


@dataclass(slots=True, kw_only=True)
class _Task:
    """``count`` bags of a line still to be carried."""

    line_id: str
    count: int
    start: Spot
    end: Spot
    aside: bool = False


def carries(
    scenario: Scenario,
    standing: tuple[Standing, ...],
    placements: tuple[Placement, ...],
    units_on: tuple[UnitUse, ...],
    *,
    urgency: Mapping[str, tuple[object, ...]],
) -> tuple[Carry, ...]:
    """Carry bags from where they stand to where the plan wants them.

    Bags that leave the cold go first, then each bag goes as soon as its zone
    has the litres and holds no other class of stock; bags that come in wait
    at the desk until then.  Where bags stand in each other's way, one at a
    time is set aside, the least urgent first.

    ``urgency`` sorts the lines, most urgent first.
    """
    codes = {s.line_id: s.code for s in standing}
    codes |= {line.id: line.code for line in scenario.lines}
    walk = _Walk(
        lines={line.id: line for line in scenario.lines},
        room_l=_room_l(scenario, units_on),
        apart=scenario.conditions.segregation is Segregation.UNITS,
        urgency=urgency,
    )
    for one in standing:
        walk.inside[one.unit_id, one.zone][one.line_id] += one.count
    walk.tasks = _tasks(standing, placements)
    walk.go()
    return tuple(
        replace(one, order=n, code=codes[one.line_id])
        for n, one in enumerate(_with_waits(_joined(walk.done)), start=1)
    )


def settings_between(
    before: tuple[UnitUse, ...], after: tuple[UnitUse, ...]
) -> tuple[Setting, ...]:
    """Units to be switched on or off, or set to another temperature."""
    old = {use.unit_id: use.set_points_c for use in before}
    new = {use.unit_id: use.set_points_c for use in after}
    return tuple(
        Setting(unit_id=one, before_c=old.get(one, ()), after_c=new.get(one, ()))
        for one in sorted({*old, *new})
        if old.get(one, ()) != new.get(one, ())
    )


def _room_l(scenario: Scenario, units_on: tuple[UnitUse, ...]) -> dict[Spot, float]:
    """Usable litres of every zone that is on, as it is set in the new plan."""
    cond = scenario.conditions
    share = TUB_SHARE if cond.segregation is Segregation.TUBS else 1.0
    units = {u.id: u for u in scenario.units}
    found: dict[Spot, float] = {}
    for use in units_on:
        unit = units[use.unit_id]
        room_c = room_temp_c(scenario.place(unit.place), cond)
        litres = usable_l(unit, use.set_points_c, room_c)
        found |= {(unit.id, z): share * v for z, v in enumerate(litres)}
    return found


def _tasks(
    standing: tuple[Standing, ...], placements: tuple[Placement, ...]
) -> list[_Task]:
    """What leaves each spot and what comes to it, paired line by line."""
    gone: dict[str, Counter[Spot]] = defaultdict(Counter)
    come: dict[str, Counter[Spot]] = defaultdict(Counter)
    for one in standing:
        gone[one.line_id][one.unit_id, one.zone] += one.count
    for put in placements:
        come[put.line_id][put.unit_id, put.zone] += put.count
    tasks: list[_Task] = []
    for line_id in sorted({*gone, *come}):
        less = gone[line_id] - come[line_id]
        more = come[line_id] - gone[line_id]
        # Another zone of the same unit is the shortest way.
        pairs = sorted(
            ((a, b) for a in less for b in more), key=lambda p: (p[0][0] != p[1][0], p)
        )
        for start, end in pairs:
            count = min(less[start], more[end])
            if count:
                tasks.append(_Task(line_id=line_id, count=count, start=start, end=end))
                less[start] -= count
                more[end] -= count
        for spot, count in sorted(less.items()):
            if count:
                tasks.append(
                    _Task(line_id=line_id, count=count, start=spot, end=OUTSIDE)
                )
        for spot, count in sorted(more.items()):
            if count:
                tasks.append(
                    _Task(line_id=line_id, count=count, start=OUTSIDE, end=spot)
                )
    return tasks


@dataclass(slots=True, kw_only=True)
class _Walk:
    """Carries bag after bag and keeps the books of what stands where."""

    lines: dict[str, Line]
    room_l: dict[Spot, float]
    apart: bool
    urgency: Mapping[str, tuple[object, ...]]
    inside: dict[Spot, Counter[str]] = field(
        default_factory=lambda: defaultdict(Counter)
    )
    tasks: list[_Task] = field(default_factory=list)
    done: list[Carry] = field(default_factory=list)

    def go(self) -> None:
        """Do every task, setting bags aside where nothing else goes."""
        order = {CarryKind.OUT: 0, CarryKind.BACK: 1, CarryKind.OVER: 2}

        def rank(task: _Task) -> tuple[object, ...]:
            last = self.urgency.get(task.line_id, ())
            return order.get(_kind(task), 3), last, task.line_id, task.start, task.end

        while self.tasks:
            self.tasks.sort(key=rank)
            for task in self.tasks:
                count = min(task.count, self._fits(task))
                if count > 0:
                    self._carry(task, count, _kind(task))
                    break
            else:
                self._set_aside()

    def _fits(self, task: _Task) -> int:
        """Bags of a task that its end can take now."""
        if task.end == OUTSIDE:
            return task.count
        line = self.lines[task.line_id]
        if self.apart and self._classes(task.end[0]) - {line.stock_class}:
            return 0
        free_l = self.room_l[task.end] + _SLACK_L - self._litres(task.end)
        if line.volume_l <= 0:
            return task.count
        return max(0, math.floor(free_l / line.volume_l))

    def _litres(self, spot: Spot) -> float:
        """Litres in a zone; bags of lines no longer on the list are out by then."""
        return sum(
            n * self.lines[line_id].volume_l
            for line_id, n in self.inside[spot].items()
            if line_id in self.lines
        )

    def _classes(self, unit_id: str) -> set[StockClass]:
        return {
            self.lines[line_id].stock_class
            for (unit, _), held in self.inside.items()
            if unit == unit_id
            for line_id, n in held.items()
            if n > 0 and line_id in self.lines
        }

    def _carry(self, task: _Task, count: int, kind: CarryKind) -> None:
        self.done.append(
            Carry(
                order=0,
                kind=kind,
                line_id=task.line_id,
                code="",
                count=count,
                from_unit_id=task.start[0],
                from_zone=task.start[1],
                to_unit_id=task.end[0],
                to_zone=task.end[1],
            )
        )
        if task.start != OUTSIDE:
            self.inside[task.start][task.line_id] -= count
        if task.end != OUTSIDE:
            self.inside[task.end][task.line_id] += count
        task.count -= count
        if not task.count:
            self.tasks.remove(task)

    def _set_aside(self) -> None:
        """Take one bag out of the way: the least urgent that still has to move."""
        moving = [t for t in self.tasks if t.start != OUTSIDE]
        if not moving:
            msg = "bags are left that fit nowhere"
            raise AssertionError(msg)
        blocked = {t.end[0] for t in self.tasks}
        task = max(
            moving,
            key=lambda t: (
                t.start[0] in blocked,
                self.urgency.get(t.line_id, ()),
                t.line_id,
                t.start,
            ),
        )
        aside = replace(task, end=OUTSIDE, count=1)
        self.tasks.append(replace(task, start=OUTSIDE, count=1, aside=True))
        task.count -= 1
        if not task.count:
            self.tasks.remove(task)
        self.tasks.append(aside)
        self._carry(aside, 1, CarryKind.ASIDE)


def _kind(task: _Task) -> CarryKind:
    if task.aside:
        return CarryKind.BACK
    if task.end == OUTSIDE:
        return CarryKind.OUT
    return CarryKind.IN if task.start == OUTSIDE else CarryKind.OVER


def _joined(done: list[Carry]) -> list[Carry]:
    """Carries of the same bags on the same way one after the other are one."""
    found: list[Carry] = []
    for one in done:
        if found and replace(one, count=found[-1].count) == found[-1]:
            found[-1] = replace(one, count=one.count + found[-1].count)
        else:
            found.append(one)
    return found


def _with_waits(done: list[Carry]) -> list[Carry]:
    """Say for how long bags set aside stay outside: until the last is back."""
    found = []
    for n, one in enumerate(done):
        if one.kind is CarryKind.ASIDE:
            later = [
                k
                for k in range(n + 1, len(done))
                if done[k].kind is CarryKind.BACK and done[k].line_id == one.line_id
            ]
            one = replace(one, wait_min=CARRY_MIN * (later[-1] - n))
        found.append(one)
    return found
