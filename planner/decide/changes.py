"""The smallest change that would place a short line, checked by solving again.

Asked for each line by itself: the others who are placed keep what they have,
and nobody else is added.  Lines that every rule treats alike share an answer.
"""

import math
from collections.abc import Iterable
from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.case import Case
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
from planner.decide.keeper import Keeper, keeper_of
from planner.decide.kept import Depth
from planner.decide.least import Seen, least
from planner.decide.mend import apply_change
from planner.result import Demand, Placement, ReasonFamily, Shortfall
from planner.result_reasons import Change, ChangeKind, Proof

_COLUMNS = 6_000
"""Work for one step of finding them, in columns of the models solved."""
_DEEP = 8
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
    keeper = keeper_of(allocation, placements, columns=_COLUMNS)
    finder = _Finder(allocation, demand, keeper)
    cases = [finder.case(short) for short in rest.shortfalls]
    urgent = sorted(cases, key=lambda one: (one.short.surplus, one.short.tier))
    # Where nobody moves first, for everybody; then further; then as little as does.
    for step in (finder.find, finder.find_further, finder.lessen):
        keeper.columns = _COLUMNS
        finder.useless.clear()
        for case in urgent:
            step(case)
    return replace(rest, shortfalls=tuple(finder.mended(case) for case in cases))


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
            (part.line_id, good.surplus): good
            for good in self.instance.goods
            for part in good.parts
        }
        self.deep = _DEEP
        self.useless: dict[tuple[object, ...], float] = {}
        self.groups: dict[tuple[object, ...], list[tuple[Change, float]]] = {}
        self.depths: tuple[Depth, ...] = (Depth.BESIDE,)
        self.further: set[tuple[object, ...]] = set()
        self.least: set[tuple[object, ...]] = set()
        self.known: dict[tuple[object, ...], tuple[Change, ...]] = {}

    def case(self, short: Shortfall) -> Case:
        """A shortfall with what belongs to it."""
        key = (short.line_id, short.surplus)
        return Case(
            short=short,
            line=self.lines[short.line_id],
            demand=self.demands[key],
            good=self.good_of[key],
        )

    def find(self, case: Case) -> None:
        """Find changes for a case, unless one that is alike has them."""
        alike = case.alike
        if alike not in self.known:
            self.known[alike] = self._changes(case)

    def find_further(self, case: Case) -> None:
        """Let bags change places, and plugs, where that found nothing of its kind."""
        alike = case.alike
        changes = self.known[alike]
        none = not changes or changes[0].kind is ChangeKind.ROOM_AT
        if none and alike not in self.further and not self.keeper.tired():
            self.further.add(alike)
            self.depths = tuple(Depth)
            self.known[alike] = self._changes(case)

    def lessen(self, case: Case) -> None:
        """Bring the amount of its first change down to what is needed."""
        alike = case.alike
        changes = self.known[alike]
        if not changes or alike in self.least or self.keeper.tired():
            return
        self.least.add(alike)
        first = changes[0]
        if first.kind is ChangeKind.ROOM_AT:
            if first.proof is Proof.ENOUGH:
                first = self._smaller_room(case, first)
        else:
            first = self._least(case, first)
        self.known[alike] = (first, *changes[1:])

    def mended(self, case: Case) -> Shortfall:
        """The shortfall with its changes; what is unknown may become its reason."""
        short = case.short
        changes = tuple(
            replace(c, line_id=short.line_id) if c.line_id else c
            for c in self.known[case.alike]
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

    # -- looking -----------------------------------------------------------

    def _changes(self, case: Case) -> tuple[Change, ...]:
        """The family's smallest change, and room elsewhere for all the bags."""
        first = self._known_then(case) or self._of_family(case)
        room = room_at(self.scenario, case.line, case.short.count)
        if room is not None and case.short.reason in _ARITHMETIC:
            # Nothing here takes it: less room than it fills cannot do.
            room = replace(room, proof=Proof.EXACT)
        return tuple(change for change in (first, room) if change is not None)

    def _known_then(self, case: Case) -> Change | None:
        """A value to find out that would let it in.

        What did not let a bag in is not asked again for a larger one.
        """
        if self.keeper.tired():
            return None
        line, volume_l = case.line, case.good.volume_l
        options = []
        for change in unknown_changes(self.instance, line, case.demand):
            kind = (replace(change, line_id=""), *case.kind)
            if volume_l < self.useless.get(kind, math.inf):
                options.append((kind, change))
        found = self._first(case, [change for _, change in options])
        if found is None:
            self.useless |= {kind: volume_l for kind, _ in options}
        return found

    def _of_family(self, case: Case) -> Change | None:
        reason = case.short.reason
        if reason in _ARITHMETIC:
            if self.keeper.tired():
                return None
            options = one_rule_changes(self.instance, case.line, case.demand, reason)
            return self._first(case, options)
        if reason is ReasonFamily.SEGREGATION:
            return self._first(case, [Change(kind=ChangeKind.TUBS)])
        shared = self._shared(case)
        if shared is not None:
            return shared
        for bags in case.sizes:
            found = self._by_amount(case, bags)
            if found is not None:
                group = case.group
                self.groups.setdefault(group, []).append((found, case.good.volume_l))
                return found
        return None

    def _by_amount(self, case: Case, bags: int) -> Change | None:
        """The smallest change of power, ice or room for so many bags."""
        if case.short.reason is ReasonFamily.POWER:
            line_id, surplus = case.key
            power = power_change(
                self.keeper,
                line_id,
                surplus=surplus,
                bags=bags,
                moved=Depth.MOVED in self.depths,
            )
            return power and self._enough(power, bags)
        if case.short.reason is ReasonFamily.ICE:
            ice = more_ice(self.keeper, self._wanted(case, bags))
            return self._first(case, [] if ice is None else [ice], sizes=(bags,))
        good = case.good
        rooms = room_in_units(self.keeper, self.allocation.placed, good, bags)
        return self._first(case, rooms[:2], sizes=(bags,))

    def _shared(self, case: Case) -> Change | None:
        """A change found for larger bags of the kind, once much work is done.

        Where it places one bag it places as many smaller ones as go into it.
        """
        if self.keeper.columns is None or self.keeper.columns > _COLUMNS / 2:
            return None
        volume_l = case.good.volume_l
        for change, of_l in self.groups.get(case.group, []):
            each = math.floor(of_l / volume_l + 1e-9) if volume_l > 0 else 1
            if change.bags * each >= case.short.count:
                return replace(change, bags=case.short.count, proof=Proof.ENOUGH)
        return None

    def _first(
        self,
        case: Case,
        options: Iterable[Change],
        *,
        sizes: tuple[int, ...] | None = None,
    ) -> Change | None:
        """The first change that does, for all the bags if it can."""
        some = [] if self.keeper.tired() else list(options)[:_LOOKS]
        for depth in self.depths:
            for bags in sizes or case.sizes:
                for change in some[: 1 if depth is Depth.WIRED_ANEW else _LOOKS]:
                    if self._does(case, change, bags, depth) is Seen.YES:
                        return self._enough(change, bags)
        return None

    def _enough(self, change: Change, bags: int) -> Change:
        """A change that does; whether less would is not known yet."""
        by_step = change.kind in _STEPS
        proof = Proof.ENOUGH if by_step else change.proof
        return replace(change, bags=bags, proof=proof)

    def _least(self, case: Case, change: Change) -> Change:
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

    def _does(self, case: Case, change: Change, bags: int, depth: Depth) -> Seen:
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

    def _smaller_room(self, case: Case, room: Change) -> Change:
        """Fewer litres elsewhere, when bags that are placed may change places."""
        if self.keeper.tired():
            return room
        found = least_room_at(self.keeper, room, self._wanted(case, case.short.count))
        if found.amount >= room.amount:
            return found
        does = self._does(case, found, found.bags, Depth.MOVED)
        return found if does is Seen.YES else room

    def _wanted(self, case: Case, bags: int) -> dict[tuple[str, bool], int]:
        line_id, surplus = case.key
        return self.keeper.wanted(line_id, surplus=surplus, bags=bags)
