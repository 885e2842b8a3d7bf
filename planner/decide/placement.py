"""The placement model: which bags go in which unit, under every rule.

``stages.py`` solves it tier by tier.  Here is what power carries: the energy of
each place, and the cuts that say what no wiring can do.  Bags, litres and ice
are in ``bags_in_units.py``.
"""

from collections.abc import Mapping
from types import MappingProxyType

from planner.decide.bags_in_units import BagsInUnits
from planner.decide.blocks import energy_blocks
from planner.decide.cuts import Cut, EnergyCut, draws_no_less, mode_key
from planner.decide.instance import (
    Instance,
    Mode,
    consumer_of_load,
    consumer_of_unit,
)
from planner.decide.placed import Placed
from planner.decide.power import Draw, Stands, add_power_rows, add_stations
from planner.decide.power_check import PowerCheck
from planner.decide.solver import Expr, total, weighted, whole
from planner.result import ReasonFamily
from planner.scenario import Tier

ONCE: Mapping[str, float] = MappingProxyType({})


class PlacementModel(BagsInUnits):
    """Bags in units, and the power that the units take."""

    def __init__(
        self,
        instance: Instance,
        *,
        cuts: tuple[Cut, ...] = (),
        budget: int | None = None,
        forced: frozenset[str] = frozenset(),
        beyond: tuple[frozenset[str], ...] = (),
        relax: frozenset[ReasonFamily] = frozenset(),
        check: PowerCheck | None = None,
        stationed: bool = False,
        times: Mapping[str, float] = ONCE,
        only: frozenset[tuple[Tier, bool]] | None = None,
        split: tuple[Tier, bool] | None = None,
    ) -> None:
        """Set up the model; ``only`` leaves out the bags of other stages.

        Where it is ``stationed`` every battery and panel stands in one place, and
        a place has so many ``times`` the energy that its units take there, once
        where none is named.
        Bags of a stage that may be ``split`` are easier, and no bags to place.
        """
        super().__init__(
            instance,
            budget=budget,
            forced=forced,
            beyond=beyond,
            relax=relax,
            only=only,
            split=split,
        )
        self.stationed, self.times = stationed, times
        self.stands: Stands = {}
        self.check = check
        self._add_power()
        for conflict in cuts:
            self.add_cut(conflict)
        for energy in check.cuts if check is not None else ():
            self.add_energy_cut(energy)

    # -- rules -------------------------------------------------------------

    def _add_power(self) -> None:
        inst = self.instance
        if ReasonFamily.POWER in self.relax:
            return
        units = [
            Draw(
                consumer=consumer_of_unit(unit, inst.hours),
                choices=tuple(
                    (self.pick[u, i], c.mode.load_w)
                    for i, c in enumerate(self.choices[u])
                ),
            )
            for u, unit in enumerate(inst.units)
            if unit.powered and self.choices[u]
        ]
        loads = [
            Draw(
                consumer=consumer_of_load(load),
                choices=((1, load.load_w),),
            )
            for load in inst.loads
        ]
        blocks = energy_blocks(inst)
        add_power_rows(self.model, inst, (*units, *loads), blocks, self.take)
        if self.stationed:
            more = [d.times(self.times.get(d.consumer.place, 1.0)) for d in units]
            self.stands = add_stations(self.model, inst, (*more, *loads), blocks)

    def add_budget(self, place: str, energy_kwh: float) -> None:
        """Hold what the units of a place draw over the window."""
        drawn = weighted(
            (float(c.mode.load_w.sum()) / 1000.0, self.pick[u, i])
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
            if self.instance.units[u].place == place
        )
        self.model.add("R7", drawn <= energy_kwh)

    def add_cut(self, conflict: Cut) -> None:
        """Forbid the modes of a conflict, and any that draw no less."""
        fresh = total(self._has(i) for i in sorted(conflict.absent))
        run = self.run_of(conflict.modes)
        self.model.add("R7", run <= len(conflict.modes) - 1 + fresh)

    def run_of(self, modes: tuple[Mode, ...]) -> Expr:
        """How many of some modes are picked, or others that draw no less."""
        return total(
            self.pick[u, i]
            for mode in modes
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
            if c.mode.unit_id == mode.unit_id and draws_no_less(c.mode, mode)
        )

    def add_energy_cut(self, cut: EnergyCut) -> None:
        """Hold the modes picked to what the feeders can carry in shares."""
        fresh = total(w * self._has(i) for i, w in sorted(cut.offers.items()))
        if not cut.weights and not cut.offers:
            self.model.add("R7", cut.room >= 0)
            return
        self.model.add("R7", self.weighed(cut) <= cut.room + fresh)

    def weighed(self, cut: EnergyCut) -> Expr:
        """Weights of the modes picked."""
        return weighted(
            (cut.weights.get(mode_key(c.mode), 0.0), self.pick[u, i])
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
        )

    def _has(self, item_id: str) -> Expr:
        """1 when the power equipment is there: always, never, or if taken."""
        return self.take.get(item_id, 1 if item_id in self.instance.power_ids else 0)

    # -- solving -----------------------------------------------------------

    def load_cost(self) -> Expr:
        """Energy of the modes picked [kWh], units on and ice counted a little."""
        return weighted(
            (
                float(c.mode.load_w.sum()) / 1000.0 + 0.05 + 0.001 * c.mode.ice_kg,
                self.pick[u, i],
            )
            for u, options in enumerate(self.choices)
            for i, c in enumerate(options)
        )

    def cut_off(self, placed: Placed) -> bool:
        """Cut off a placement that no wiring can carry, if it is seen at once."""
        if self.check is None:
            return False
        modes = tuple(c.mode for c in placed.choices)
        cut = self.check.new_cut(modes, placed.taken)
        if cut is None:
            return False
        self.add_energy_cut(cut)
        return True

    def stations(self) -> dict[str, str]:
        """Place of everything that was given one in the last solution."""
        return {
            item_id: place
            for item_id, at in self.stands.items()
            for place, v in at.items()
            if whole(v)
        }
