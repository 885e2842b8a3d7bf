"""A plan as it grows: what the tiers so far hold, and what the next could get.

The placement says the most that a tier could get and the least load that gives
it, the hookup looks for a wiring.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from planner.decide.allocation import Allocation
from planner.decide.cuts import Cut
from planner.decide.fewer import Option, energy_kwh
from planner.decide.hookup import fed_by_modes, wire, wire_at_last
from planner.decide.instance import Fed, Instance, without_power
from planner.decide.one_site import Wiring
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.power_check import PowerCheck
from planner.decide.salvage import Wired, covers, place_in
from planner.decide.search_effort import SearchEffort
from planner.decide.stage_values import StageValue, at_bound, needs, of_stages
from planner.decide.stages import next_stage, shortest_first
from planner.result import Hookup
from planner.scenario import Tier

_GUESS_NODES = 60
"""Where nothing is proven the last bag is not worth the search."""


@dataclass(slots=True, kw_only=True)
class PlanSoFar:
    """Stages that are held, each with a wiring that feeds it.

    ``wired`` is what the last wiring found feeds; a later tier that needs no
    more than that needs no new look.  ``level`` is False once something fell short
    of its bound; no stage gets less than the ``floor`` says.
    """

    instance: Instance
    cuts: list[Cut]
    ends: float
    check: PowerCheck
    effort: SearchEffort = field(default_factory=SearchEffort)
    floor: tuple[StageValue, ...] = ()
    stages: list[StageValue] = field(default_factory=list)
    wired_for: list[tuple[Fed, ...]] = field(default_factory=list)
    placed: Placed | None = None
    wired: tuple[Fed, ...] = ()
    hookups: tuple[Hookup, ...] = ()
    level: bool = True
    loads_fed: bool = True
    failed: tuple[tuple[Fed, ...], Wiring] | None = None

    @property
    def left_s(self) -> float:
        """Seconds until the time is up."""
        return max(0.0, self.ends - time.monotonic())

    @property
    def _place_s(self) -> float:
        """Seconds for a placement in what is wired, which is found also when late."""
        return max(self.left_s, self.effort.late_s)

    def begin(self, placed: Placed, hookups: tuple[Hookup, ...]) -> None:
        """Begin with a placement and the wiring that feeds it."""
        modes = tuple(c.mode for c in placed.choices)
        self.placed, self.hookups = placed, hookups
        self.wired = fed_by_modes(self.instance, modes)

    def feed_loads(self) -> None:
        """Loads come before the fridges; without them no unit gets power."""
        fed = fed_by_modes(self.instance, ())
        wiring = wire(self.instance, fed, ends=self.ends, polish=False)
        if wiring.hookups is not None:
            self.wired, self.hookups = fed, wiring.hookups
            return
        self.level = wiring.proven
        self.instance = without_power(self.instance)
        self.loads_fed = False
        # Cuts were made for a wiring with those loads; none is needed now.
        self.cuts = []
        self.check = PowerCheck(self.instance)

    def _bound(
        self,
        tier: Tier,
        *,
        surplus: bool,
        guesses: Sequence[Cut] = (),
        budgets: dict[str, float] | None = None,
        stationed: bool = False,
        at_most: StageValue | None = None,
        in_order: bool = True,
    ) -> tuple[StageValue, Placed] | None:
        """Most that a tier could get, at the least load that gives it.

        ``at_most`` and ``in_order`` as for ``next_stage``.  With ``guesses``,
        ``budgets`` or ``stationed`` it is no bound, but likelier to have a wiring.
        """
        model = self._model(tier, surplus=surplus, guesses=guesses, stationed=stationed)
        bounds = self.level and not (guesses or budgets or stationed)
        loads = energy_kwh(fed_by_modes(self.instance, ()))
        for place, kwh in sorted((budgets or {}).items()):
            model.add_budget(place, kwh - loads.get(place, 0.0))
        return next_stage(
            model,
            tuple(self.stages),
            tier,
            surplus=surplus,
            after=self._floor_after(),
            # A guess near the plan in force would lead back to it.
            known=None if stationed else self.placed,
            at_most=at_most if bounds else None,
            in_order=in_order,
            near=self.effort.near,
            node_limit=None if bounds else _GUESS_NODES,
            time_limit_s=self.left_s,
        )

    def _placed_in(self, wired: Wired, tier: Tier, *, surplus: bool) -> Option | None:
        """Serve a tier from what a wiring feeds."""
        found = place_in(
            self.instance,
            wired[0],
            tuple(self.stages),
            tier,
            surplus=surplus,
            after=self._floor_after(),
            known=self.placed,
            limit_s=self._place_s,
            near=self.effort.near,
        )
        return found and (found, wired)

    def _in_order(self, stage: StageValue, lean: Placed) -> tuple[StageValue, Placed]:
        """The shortest allowances of equally many bags, where that can be wired."""
        ordered = stage.lateness is not None or self.effort.near
        if ordered or not 0 < stage.met < stage.needed:
            return stage, lean
        found = shortest_first(
            self._model(stage.tier, surplus=stage.surplus),
            tuple(self.stages),
            stage,
            after=self._floor_after(),
            known=lean,
            time_limit_s=self.left_s,
        )
        if not self._powered(found[1]):
            self._wire(found[1])
        return found if self._powered(found[1]) else (stage, lean)

    def _model(
        self,
        tier: Tier,
        *,
        surplus: bool,
        guesses: Sequence[Cut] = (),
        stationed: bool = False,
    ) -> PlacementModel:
        """The placement as far as one tier, with all cuts so far."""
        return PlacementModel(
            self.instance,
            cuts=(*self.cuts, *guesses),
            check=self.check,
            stationed=stationed,
            only=of_stages(tuple(self.stages), self._floor_after()) | {(tier, surplus)},
        )

    def _floor_after(self) -> tuple[StageValue, ...]:
        """What the needs that are still to be served must keep."""
        done = {(s.tier, s.surplus) for s in self.stages}
        return tuple(s for s in needs(self.floor) if (s.tier, s.surplus) not in done)

    def _powered(self, placed: Placed) -> bool:
        """True when the wiring in hand feeds every unit of a placement."""
        modes = tuple(c.mode for c in placed.choices)
        return covers(self.wired, fed_by_modes(self.instance, modes))

    def _wire(self, placed: Placed, *, quick: bool = False) -> bool:
        """Wire a placement if that can be done; True when the answer is proven."""
        fed = fed_by_modes(self.instance, tuple(c.mode for c in placed.choices))
        # Of loans many are tried: a wiring that is hard to find is not worth it.
        wiring = wire(
            self.instance,
            fed,
            ends=self.ends,
            polish=False,
            quick=quick or bool(self.floor),
        )
        if wiring.hookups is not None:
            self.wired, self.hookups = fed, wiring.hookups
        self.failed = None if wiring.hookups is not None else (fed, wiring)
        return wiring.proven

    def _wire_at_last(self) -> None:
        """Try on for what nearly went, rather than go on without proof."""
        if self.failed is None or self.floor:
            return
        fed, wiring = self.failed
        hookups = wire_at_last(self.instance, fed, wiring)
        if hookups is not None:
            self.wired, self.hookups, self.failed = fed, hookups, None

    def _keep(self, stage: StageValue, placed: Placed, most: StageValue) -> None:
        """Hold what a stage got, beside the most that it could have got.

        A bound stands on what the stages before it could have got: after one
        that fell short it is what is needed.
        """
        self.placed = placed
        self.wired_for.append(self.wired)
        known = self.level
        self.stages.append(
            replace(
                stage,
                bound=most.bound if known else stage.needed,
                household_bound=most.household_bound if known else stage.households,
            )
        )
        last = self.stages[-1]
        self.level = self.level and at_bound(last)

    def _plan(self, placed: Placed, hookups: tuple[Hookup, ...]) -> Allocation:
        return Allocation(
            instance=self.instance,
            placed=placed,
            hookups=hookups,
            proven=self.level,
            loads_fed=self.loads_fed,
            cuts=tuple(self.cuts),
            check=self.check,
        )
