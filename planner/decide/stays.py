"""Which bags stay where they stand: rows beside the placement model.

A bag in the cold keeps a cold place wherever the tiers allow it; among such
placements the fewest bags are carried.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from planner.decide.goods import Good
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.solver import Expr, total, value, whole
from planner.decide.stage_values import StageValue
from planner.result import Placement

Where = tuple[str, int]
"""Unit id and zone."""
Bags = Mapping[tuple[str, str, int], int]
"""Bags by line id, unit id and zone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dealt:
    """A placement down to the lines; ``kept`` bags stay in the cold, ``stay`` in place."""

    placed: Placed
    placements: tuple[Placement, ...]
    kept: int
    stay: int


class Stays:
    """Grants of bags to lines, and the bags among them that stay in place."""

    def __init__(
        self, pm: PlacementModel, standing: Bags, stages: tuple[StageValue, ...]
    ) -> None:
        self.pm = pm
        self.standing: dict[str, dict[Where, int]] = defaultdict(dict)
        for (line_id, unit_id, zone), n in sorted(standing.items()):
            self.standing[line_id][unit_id, zone] = n
        self.grant: dict[tuple[int, int], Expr] = {}
        self.stay: dict[tuple[int, int, Where], Expr] = {}
        for g in range(len(pm.instance.goods)):
            self._add_good(g)
        self._add_lines()
        self._add_homes(stages)

    def _add_good(self, g: int) -> None:
        """Bags of a good are granted to its lines, first those that stay."""
        pm, good = self.pm, self.pm.instance.goods[g]
        here: dict[Where, list[Expr]] = defaultdict(list)
        for slot in good.slots:
            if (g, slot) in pm.bags:
                unit_id = pm.instance.units[slot[0]].id
                here[unit_id, slot[1]].append(pm.bags[g, slot])
        several = len(good.parts) > 1
        at: dict[Where, list[Expr]] = defaultdict(list)
        for i, part in enumerate(good.parts):
            self.grant[g, i] = pm.model.var(0, part.count, whole=several)
            mine = []
            for where, n in self.standing.get(part.line_id, {}).items():
                if where in here:
                    stay = pm.model.var(0, min(n, part.count), whole=True)
                    self.stay[g, i, where] = stay
                    at[where].append(stay)
                    mine.append(stay)
            if mine:
                pm.model.add("N", total(mine) <= self.grant[g, i])
        grants = total(self.grant[g, i] for i in range(len(good.parts)))
        pm.model.add("N", grants == total(v for some in here.values() for v in some))
        for where, stays in at.items():
            pm.model.add("N", total(stays) <= total(here[where]))

    def _add_lines(self) -> None:
        """Need and surplus of a line are the same bags; count those kept cold."""
        parts: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for g, good in enumerate(self.pm.instance.goods):
            for i, part in enumerate(good.parts):
                parts[part.line_id].append((g, i))
        kept = []
        for line_id, places in sorted(self.standing.items()):
            mine = parts.get(line_id, [])
            if not mine:
                continue
            still = self.pm.model.var(0, sum(places.values()))
            self.pm.model.add("N", still <= total(self.grant[key] for key in mine))
            kept.append(still)
            for where, n in places.items():
                both = [
                    self.stay[g, i, where]
                    for g, i in mine
                    if (g, i, where) in self.stay
                ]
                if len(both) > 1:
                    self.pm.model.add("N", total(both) <= n)
        self.kept = total(kept)
        self.staying = total(self.stay.values())

    def _add_homes(self, stages: tuple[StageValue, ...]) -> None:
        """As many households get a first bag as the plan promises."""
        goods = self.pm.instance.goods
        for stage in stages:
            if stage.surplus or stage.met >= stage.needed:
                continue
            owners: dict[str, list[Expr]] = defaultdict(list)
            for g, good in enumerate(goods):
                if good.tier is stage.tier and not good.surplus:
                    for i, part in enumerate(good.parts):
                        owners[part.household].append(self.grant[g, i])
            homes = []
            for _, grants in sorted(owners.items()):
                home = self.pm.model.var(0, 1)
                self.pm.model.add("N", home <= total(grants))
                homes.append(home)
            self.pm.model.add("T", total(homes) >= stage.households_met)

    @property
    def most(self) -> int:
        """More than all bags that stand anywhere."""
        return 1 + sum(n for places in self.standing.values() for n in places.values())

    def read(self, stages: tuple[StageValue, ...], *, proven: bool) -> Dealt:
        """Deal the bags of the last solution to lines."""
        goods = self.pm.instance.goods
        placed = self.pm.read(stages, proven=proven)
        grants = {key: whole(v) for key, v in self.grant.items()}
        stays = {key: whole(v) for key, v in self.stay.items() if whole(v) > 0}
        kept = round(value(self.kept))
        self._redraw(grants)
        free: list[dict[Where, int]] = [defaultdict(int) for _ in goods]
        for (g, (u, zone, _)), n in sorted(placed.counts.items()):
            free[g][self.pm.instance.units[u].id, zone] += n
        mine: list[dict[tuple[int, Where], int]] = [{} for _ in goods]
        for (g, i, where), n in stays.items():
            mine[g][i, where] = n
        found: list[Placement] = []
        for g, good in enumerate(goods):
            granted = [grants[g, i] for i in range(len(good.parts))]
            found += _deal(good, granted, mine[g], free[g])
        return Dealt(
            placed=placed,
            placements=tuple(
                sorted(found, key=lambda p: (p.unit_id, p.zone, p.line_id, p.surplus))
            ),
            kept=kept,
            stay=sum(stays.values()),
        )

    def _redraw(self, grants: dict[tuple[int, int], int]) -> None:
        """Among newcomers alike the recorded draw decides, not the solver."""
        goods = self.pm.instance.goods
        holds: dict[tuple[str, str], int] = defaultdict(int)
        for good in goods:
            for part in good.parts:
                if not good.surplus:
                    holds[good.tier, part.household] += 1
        for g, good in enumerate(goods):
            new = [
                i
                for i, part in enumerate(good.parts)
                if part.line_id not in self.standing
                and (good.surplus or holds[good.tier, part.household] == 1)
            ]
            bags = sum(grants[g, i] for i in new)
            served = sum(1 for i in new if grants[g, i] > 0)
            given = {i: int(n < served) for n, i in enumerate(new)}
            left = bags - sum(given.values())
            for i in sorted(new, key=lambda i: given[i] == 0):
                more = min(left, good.parts[i].count - given[i])
                given[i] += more
                left -= more
            for i in new:
                grants[g, i] = given[i]


def _deal(
    good: Good,
    granted: list[int],
    stays: dict[tuple[int, Where], int],
    free: dict[Where, int],
) -> list[Placement]:
    """Bags that stay first; the others fill what is left, line by line."""
    found: dict[tuple[int, Where], int] = dict(stays)
    left = list(granted)
    for (i, where), n in stays.items():
        free[where] -= n
        left[i] -= n
    for i in range(len(good.parts)):
        for where in sorted(free):
            taken = min(left[i], free[where])
            if taken > 0:
                found[i, where] = found.get((i, where), 0) + taken
                free[where] -= taken
                left[i] -= taken
    return [
        Placement(
            line_id=good.parts[i].line_id,
            unit_id=unit_id,
            zone=zone,
            count=n,
            tier=good.tier,
            surplus=good.surplus,
        )
        for (i, (unit_id, zone)), n in sorted(found.items())
    ]
