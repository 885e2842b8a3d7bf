"""The smallest change that would place a short line, checked by solving again.

Asked for each line by itself: the others who are placed keep what they have,
and nobody else is added.  Lines that every rule treats alike share an answer.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from planner.decide.allocate import Allocation
from planner.decide.change_data import unknown_changes
from planner.decide.change_fits import one_rule_changes
from planner.decide.change_power import STEP_W, STEP_WH, power_change
from planner.decide.change_room import (
    STEP_L,
    least_room_at,
    more_ice,
    room_at,
    room_in_units,
)
from planner.decide.explain import Unplaced, next_step
from planner.decide.keeper import Depth, Keeper, keeper_of
from planner.decide.least import Seen, least
from planner.decide.mend import apply_change
from planner.result import Demand, Placement, ReasonFamily, Shortfall
from planner.result_reasons import Change, ChangeKind, Proof
from planner.scenario import Line

_COLUMNS = 8_000
"""Work for the changes of one plan, in columns of the models solved."""
_DEEP = 6
"""Looks for another wiring, in one plan."""
_LOOKS = 6
_TRIES = 4
_STEPS = {
    ChangeKind.ENERGY: STEP_WH,
    ChangeKind.BATTERY: STEP_WH,
    ChangeKind.ROOM_IN: STEP_L,
    ChangeKind.WATTS: STEP_W,
}
_ARITHMETIC = {
    ReasonFamily.BAND,
    ReasonFamily.REACH,
    ReasonFamily.CUSTODY,
    ReasonFamily.ACCESS,
    ReasonFamily.READY,
}


def with_changes(
    allocation: Allocation,
    demand: tuple[Demand, ...],
    placements: tuple[Placement, ...],
    rest: Unplaced,
) -> Unplaced:
    """The shortfalls, each with what would place it; needs and early tiers first."""
    if not rest.shortfalls:
        return rest
    finder = _Finder(
        allocation, demand, keeper_of(allocation, placements, columns=_COLUMNS)
    )
    order = sorted(
        range(len(rest.shortfalls)),
        key=lambda i: (rest.shortfalls[i].surplus, rest.shortfalls[i].tier, i),
    )
    found = list(rest.shortfalls)
    for i in order:
        found[i] = finder.mended(found[i])
    return replace(rest, shortfalls=tuple(found))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """One short line, and the good its bags belong to."""

    short: Shortfall
    line: Line
    demand: Demand
    good: int

    @property
    def key(self) -> tuple[str, bool]:
        """Line, and whether it is surplus."""
        return self.line.id, self.short.surplus


class _Finder:
    """Finds changes for the shortfalls of one plan."""

    def __init__(
        self, allocation: Allocation, demand: tuple[Demand, ...], keeper: Keeper
    ) -> None:
        self.allocation = allocation
        self.instance = allocation.instance
        self.scenario = allocation.instance.scenario
        self.keeper = keeper
        self.lines = {line.id: line for line in self.scenario.lines}
        self.demands = {(d.line_id, d.surplus): d for d in demand}
        self.good_of = {
            (part.line_id, good.surplus): g
            for g, good in enumerate(self.instance.goods)
            for part in good.parts
        }
        self.deep = _DEEP
        self.useless: dict[tuple[object, ...], float] = {}
        self.groups: dict[tuple[object, ...], list[tuple[Change, float]]] = {}
        self.known: dict[tuple[object, ...], tuple[Change, ...]] = {}

    def mended(self, short: Shortfall) -> Shortfall:
        """The shortfall with its changes; what is unknown may become its reason."""
        key = (short.line_id, short.surplus)
        case = _Case(
            short=short,
            line=self.lines[short.line_id],
            demand=self.demands[key],
            good=self.good_of[key],
        )
        alike = self._alike(case)
        if alike not in self.known:
            self.known[alike] = self._changes(case)
        changes = tuple(
            replace(c, line_id=short.line_id) if c.line_id else c
            for c in self.known[alike]
        )
        first = changes[0].kind if changes else None
        if first in {ChangeKind.ALLOWANCE, ChangeKind.BAND, ChangeKind.ROOM_TEMP}:
            family = ReasonFamily.DATA
            short = replace(
                short,
                reason=family,
                detail="a value that nobody gave is read in the strictest way; "
                "a kinder one would let it in",
                next_step=next_step(family, case.line, case.demand),
            )
        return replace(short, changes=changes)

    def _alike(self, case: _Case) -> tuple[object, ...]:
        """What the answer depends on; lines that share it share the answer."""
        volume_l = self.instance.goods[case.good].volume_l
        return (case.short.count, volume_l, *self._kind(case))

    def _kind(self, case: _Case) -> tuple[object, ...]:
        """The same but for how large the bags are, and how many."""
        line, good = case.line, self.instance.goods[case.good]
        return (
            case.short.reason,
            good.slots,
            good.stock_class,
            case.demand.allowance_h,
            line.place,
            line.locked,
            line.night_need,
            line.keep_from_c,
            line.keep_to_c,
            line.never_freeze,
            line.thawed,
            line.warm_hours is None,
            line.consequence,
        )

    # -- looking -----------------------------------------------------------

    def _changes(self, case: _Case) -> tuple[Change, ...]:
        """The family's smallest change, and room elsewhere for all the bags."""
        first = self._known_then(case) or self._of_family(case)
        room = room_at(self.scenario, case.line, case.short.count)
        if room is not None and case.short.reason in _ARITHMETIC:
            # Nothing here takes it: less room than it fills cannot do.
            room = replace(room, proof=Proof.EXACT)
        if first is not None:
            return (first,) if room is None else (first, room)
        if room is None:
            return ()
        if room.proof is Proof.ENOUGH:
            room = self._smaller_room(case, room)
        return (room,)

    def _known_then(self, case: _Case) -> Change | None:
        """A value to find out that would let it in.

        What did not let a bag in is not asked again for a larger one.
        """
        line, volume_l = case.line, self.instance.goods[case.good].volume_l
        options = []
        for change in unknown_changes(self.instance, line, case.demand):
            kind = (replace(change, line_id=""), *self._kind(case))
            if volume_l < self.useless.get(kind, math.inf):
                options.append((kind, change))
        found = self._first(case, [change for _, change in options])
        if found is None:
            self.useless |= {kind: volume_l for kind, _ in options}
        return found

    def _of_family(self, case: _Case) -> Change | None:
        reason = case.short.reason
        if reason in _ARITHMETIC:
            options = one_rule_changes(self.instance, case.line, case.demand, reason)
            return self._first(case, options)
        if reason is ReasonFamily.SEGREGATION:
            return self._first(case, [Change(kind=ChangeKind.TUBS)])
        shared = self._shared(case)
        if shared is not None:
            return shared
        for bags in self._sizes(case):
            found = self._by_amount(case, bags)
            if found is not None:
                group = self._group(case)
                self.groups.setdefault(group, []).append(
                    (found, self.instance.goods[case.good].volume_l)
                )
                return found
        return None

    def _by_amount(self, case: _Case, bags: int) -> Change | None:
        """The smallest change of power, ice or room for so many bags."""
        if case.short.reason is ReasonFamily.POWER:
            line_id, surplus = case.key
            power = power_change(self.keeper, line_id, surplus=surplus, bags=bags)
            return power and self._least(case, replace(power, bags=bags))
        if case.short.reason is ReasonFamily.ICE:
            ice = more_ice(self.keeper, self._wanted(case, bags))
            return self._first(case, [] if ice is None else [ice], sizes=(bags,))
        good = self.instance.goods[case.good]
        rooms = room_in_units(self.keeper, self.allocation.placed, good, bags)
        return self._first(case, rooms[:2], sizes=(bags,))

    def _group(self, case: _Case) -> tuple[object, ...]:
        good = self.instance.goods[case.good]
        return case.short.reason, good.slots, good.stock_class

    def _shared(self, case: _Case) -> Change | None:
        """A change found for larger bags of the kind, once much work is done.

        Where it places one bag it places as many smaller ones as go into it.
        """
        if self.keeper.columns is None or self.keeper.columns > _COLUMNS / 2:
            return None
        volume_l = self.instance.goods[case.good].volume_l
        for change, of_l in self.groups.get(self._group(case), []):
            each = math.floor(of_l / volume_l + 1e-9) if volume_l > 0 else 1
            if change.bags * each >= case.short.count:
                return replace(change, bags=case.short.count, proof=Proof.ENOUGH)
        return None

    def _first(
        self,
        case: _Case,
        options: Iterable[Change],
        *,
        sizes: tuple[int, ...] | None = None,
    ) -> Change | None:
        """The first change that does, for all the bags if it can."""
        some = list(options)[:_LOOKS]
        for depth in Depth:
            for bags in sizes or self._sizes(case):
                for change in some[: 1 if depth is Depth.WIRED_ANEW else _LOOKS]:
                    if self._does(case, change, bags, depth) is Seen.YES:
                        return self._least(case, replace(change, bags=bags))
        return None

    def _least(self, case: _Case, change: Change) -> Change:
        """The same with the least amount that does."""
        step = _STEPS.get(change.kind)
        if step is None:
            return change
        found = least(
            lambda n: self._does(
                case,
                replace(change, amount=round(n * step, 6)),
                change.bags,
                Depth.WIRED_ANEW,
            ),
            high=round(change.amount / step),
            tries=_TRIES,
        )
        return replace(
            change,
            amount=round(max(1, found.steps) * step, 6),
            by_h=change.by_h if found.steps == round(change.amount / step) else 0,
            proof=Proof.EXACT if found.exact else Proof.ENOUGH,
        )

    def _does(self, case: _Case, change: Change, bags: int, depth: Depth) -> Seen:
        """Whether a change places that many bags."""
        if depth is Depth.WIRED_ANEW:
            if self.deep <= 0:
                return Seen.UNKNOWN
            self.deep -= 1
        scenario = self.scenario
        if change.amount > 0:
            scenario = apply_change(scenario, change)
        line_id, surplus = case.key
        return self.keeper.look(
            scenario, line_id, surplus=surplus, bags=bags, depths={Depth.BESIDE, depth}
        ).seen

    def _smaller_room(self, case: _Case, room: Change) -> Change:
        """Fewer litres elsewhere, when bags that are placed may change places."""
        if self.keeper.tired():
            return room
        found = least_room_at(self.keeper, room, self._wanted(case, case.short.count))
        if found.amount >= room.amount:
            return found
        does = self._does(case, found, found.bags, Depth.MOVED)
        return found if does is Seen.YES else room

    def _sizes(self, case: _Case) -> tuple[int, ...]:
        """All the bags, or else one."""
        return (case.short.count, 1) if case.short.count > 1 else (1,)

    def _wanted(self, case: _Case, bags: int) -> dict[tuple[str, bool], int]:
        line_id, surplus = case.key
        return self.keeper.wanted(line_id, surplus=surplus, bags=bags)
