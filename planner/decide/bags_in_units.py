"""Bags in units: which bag may stand where, without a word on power.

One block of constraints a rule, each named with the rule's number; what runs
only with power is added in ``placement.py``.
"""

from planner.decide.goods import SlotKey
from planner.decide.instance import Instance, Mode
from planner.decide.placed import ModeChoice, Placed
from planner.decide.solver import Expr, Model, total, weighted, whole
from planner.decide.stage_values import StageValue
from planner.result import ReasonFamily
from planner.scenario import StockClass, Tier

_PLENTY = 1000.0

Litres = tuple[float, Expr]
"""Litres of a bag, and how many of it there are."""


class BagsInUnits:
    """Modes, bags and first bags, with every decision variable in a dict."""

    def __init__(
        self,
        instance: Instance,
        *,
        budget: int | None,
        forced: frozenset[str],
        beyond: tuple[frozenset[str], ...],
        relax: frozenset[ReasonFamily],
        only: frozenset[tuple[Tier, bool]] | None,
        split: tuple[Tier, bool] | None,
    ) -> None:
        self.instance = instance
        self.only = only
        self.split = split
        self.relax = relax
        self.model = Model("placement")
        self.take: dict[str, Expr] = {}
        self.pick: dict[tuple[int, int], Expr] = {}
        self.choices: list[list[ModeChoice]] = []
        self.bags: dict[tuple[int, SlotKey], Expr] = {}
        self.bags_of: dict[int, list[Expr]] = {}
        self.served: dict[int, Expr] = {}
        self._classes: dict[SlotKey, set[StockClass]] = {}
        self._add_offers(budget, forced)
        for known in beyond:
            others = [v for i, v in self.take.items() if i not in known]
            self.model.add("R11", total(others) >= 1)
        self._add_modes()
        self._add_bags()
        self._add_r3_volume()
        self._add_r10_ice()

    # -- variables ---------------------------------------------------------

    def _add_offers(self, budget: int | None, forced: frozenset[str]) -> None:
        for item_id in sorted(self.instance.optional):
            self.take[item_id] = self.model.binary()
            if item_id in forced:
                self.model.add("R11", self.take[item_id] >= 1)
        if budget is not None and self.take:
            self.model.add("R11", total(self.take.values()) <= budget)

    def _add_modes(self) -> None:
        """One mode a unit at most; with separate units also one class (R4)."""
        for good in self.instance.goods:
            for slot in good.slots:
                self._classes.setdefault(slot, set()).add(good.stock_class)
        for u, unit in enumerate(self.instance.units):
            found = []
            for mode in self.instance.modes[u]:
                classes = (None,) if self._mixed else self._classes_of(mode)
                found += [ModeChoice(mode=mode, stock_class=c) for c in classes]
            self.choices.append(found)
            for i in range(len(found)):
                self.pick[u, i] = self.model.binary()
            if found:
                self.model.add(
                    "R1",
                    total(self.pick[u, i] for i in range(len(found)))
                    <= self.take.get(unit.id, 1),
                )

    @property
    def _mixed(self) -> bool:
        """True when a unit may hold both classes (R4)."""
        return self.instance.tubs or ReasonFamily.SEGREGATION in self.relax

    def _classes_of(self, mode: Mode) -> tuple[StockClass, ...]:
        used = {
            c
            for z, s in enumerate(mode.set_points_c)
            for c in self._classes.get((mode.unit, z, s), ())
        }
        return tuple(c for c in StockClass if c in used)

    def _add_bags(self) -> None:
        """Whole bags of each good in each slot; first bags of households."""
        runnable = {
            (c.mode.unit, z, s)
            for options in self.choices
            for c in options
            for z, s in enumerate(c.mode.set_points_c)
        }
        placed: list[Expr] = []
        for g, good in enumerate(self.instance.goods):
            mine = [slot for slot in good.slots if slot in runnable]
            if self.only is not None and (good.tier, good.surplus) not in self.only:
                mine = []
            whole_bags = (good.tier, good.surplus) != self.split
            for slot in mine:
                self.bags[g, slot] = self.model.var(0, good.count, whole=whole_bags)
            self.bags_of[g] = [self.bags[g, slot] for slot in mine]
            placed.append(total(self.bags_of[g]))
            if len(mine) > 1:
                self.model.add("N", placed[g] <= good.count)
        self._add_first_bags(placed)

    def _add_first_bags(self, placed: list[Expr]) -> None:
        """A household is served by one bag of one of its goods.

        Shares of first bags need not be integers: with whole bags and whole
        households there is always a whole division (it is a flow).
        """
        given: dict[int, list[Expr]] = {}
        for f, family in enumerate(self.instance.families):
            if self.only is not None and (family.tier, False) not in self.only:
                continue
            size = family.households
            whole_homes = (family.tier, False) != self.split
            self.served[f] = self.model.var(0, size, whole=whole_homes)
            if len(family.goods) == 1:
                given.setdefault(family.goods[0], []).append(self.served[f])
                continue
            shares = []
            for g in family.goods:
                share = self.model.var(0, size)
                given.setdefault(g, []).append(share)
                shares.append(share)
            self.model.add("N", self.served[f] <= total(shares))
        for g, shares in sorted(given.items()):
            self.model.add("N", total(shares) <= placed[g])

    # -- rules -------------------------------------------------------------

    def _add_r3_volume(self) -> None:
        """R3 and R8: litres by zone, set point and class; warm fill by unit."""
        by_slot: dict[tuple[SlotKey, StockClass | None], list[Litres]] = {}
        by_unit: dict[int, list[Litres]] = {}
        for (g, slot), var in self.bags.items():
            good = self.instance.goods[g]
            which = None if self._mixed else good.stock_class
            bag = good.volume_l, var
            by_slot.setdefault((slot, which), []).append(bag)
            by_unit.setdefault(slot[0], []).append(bag)
        for ((u, z, s), which), litres in by_slot.items():
            room = weighted(
                (c.mode.usable_l[z], self.pick[u, i])
                for i, c in enumerate(self.choices[u])
                if c.mode.set_points_c[z] == s and c.stock_class == which
            )
            if ReasonFamily.VOLUME in self.relax:
                # Any amount fits, but only where the unit runs at that setting.
                room = _PLENTY * room
            self.model.add("R3", weighted(litres) <= room)
        if ReasonFamily.VOLUME in self.relax:
            return
        for u, litres in by_unit.items():
            room = weighted(
                (c.mode.fill * sum(c.mode.usable_l), self.pick[u, i])
                for i, c in enumerate(self.choices[u])
            )
            self.model.add("R8", weighted(litres) <= room)

    def _add_r10_ice(self) -> None:
        ice = [
            (c.mode.ice_kg, self.pick[u, i])
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
            if c.mode.ice_kg > 0
        ]
        if ice and ReasonFamily.ICE not in self.relax:
            self.model.add(
                "R10", weighted(ice) <= self.instance.scenario.conditions.ice_kg_day
            )

    # -- solving -----------------------------------------------------------

    def placed(self, goods: list[int]) -> Expr:
        """Bags placed of some goods."""
        return total(v for g in goods for v in self.bags_of[g])

    def goods_of(self, tier: Tier, *, surplus: bool) -> list[int]:
        """Numbers of the goods of one stage."""
        return [
            g
            for g, good in enumerate(self.instance.goods)
            if good.tier is tier and good.surplus is surplus
        ]

    def homes(self, tier: Tier) -> Expr:
        """Households of a tier with a first bag placed."""
        return total(
            self.served[f]
            for f, family in enumerate(self.instance.families)
            if family.tier is tier and f in self.served
        )

    def lateness(self, goods: list[int]) -> tuple[Expr, bool]:
        """Sum of allowance ranks of the bags placed; lower is more urgent.

        The second value is False when all bags have the same allowance.
        """
        hours = {g: self.instance.goods[g].key.rank_h for g in goods}
        order = {h: i for i, h in enumerate(sorted(set(hours.values())))}
        score = weighted(
            (order[hours[g]], v)
            for (g, _), v in self.bags.items()
            if g in hours and order[hours[g]] > 0
        )
        return score, len(order) > 1

    def read(self, stages: tuple[StageValue, ...], *, proven: bool) -> Placed:
        """Read the last solution."""
        counts = {k: whole(v) for k, v in self.bags.items() if whole(v) > 0}
        # A unit that holds nothing stays off, whatever the solver left it at.
        litres: dict[int, float] = {}
        for (g, (u, _, _)), n in counts.items():
            litres[u] = litres.get(u, 0.0) + n * self.instance.goods[g].volume_l
        chosen = tuple(
            self._lightest(u, self.choices[u][i], litres[u])
            for (u, i), v in self.pick.items()
            if whole(v) == 1 and u in litres
        )
        return Placed(
            counts=counts,
            choices=chosen,
            stages=stages,
            taken=frozenset(i for i, v in self.take.items() if whole(v) == 1),
            proven=proven,
            served=tuple(
                whole(self.served[f]) if f in self.served else 0
                for f in range(len(self.instance.families))
            ),
        )

    def start_from(self, placed: Placed) -> None:
        """Let the next solve begin at a placement that is known to be possible."""
        values = {self.bags[k]: n for k, n in placed.counts.items() if k in self.bags}
        for f, n in enumerate(placed.served):
            if f in self.served:
                values[self.served[f]] = n
        for u, options in enumerate(self.choices):
            for i, choice in enumerate(options):
                if choice in placed.choices:
                    values[self.pick[u, i]] = 1
        self.model.start_from(values)

    def _lightest(self, u: int, chosen: ModeChoice, litres: float) -> ModeChoice:
        """The same set points and class at the least warm fill that takes it all."""
        alike = [
            c
            for c in self.choices[u]
            if c.mode.set_points_c == chosen.mode.set_points_c
            and c.stock_class == chosen.stock_class
            and (
                c.mode.fill >= chosen.mode.fill
                or c.mode.fill * sum(c.mode.usable_l) >= litres - 1e-9
            )
        ]
        return min(alike, key=lambda c: c.mode.fill)
