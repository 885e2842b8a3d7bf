"""What a rule set aside would let in with every bag and unit left as it is.

Plain arithmetic.  A yes is sure; a no only says that something else would have
to change too, which takes a solve to find out.
"""

from planner.decide.goods import Good, SlotKey
from planner.decide.instance import Instance, Mode
from planner.decide.placed import Placed
from planner.result import ReasonFamily
from planner.scenario import StockClass

_SLACK_L = 1e-9


class AsPlaced:
    """The units as one placement runs them, with what is in them."""

    def __init__(self, instance: Instance, placed: Placed) -> None:
        self.instance = instance
        self.running = {c.mode.unit: c for c in placed.choices}
        self.litres: dict[tuple[int, int], float] = {}
        self.inside: dict[int, set[StockClass]] = {}
        for (g, (u, z, _)), n in placed.counts.items():
            good = instance.goods[g]
            self.litres[u, z] = self.litres.get((u, z), 0.0) + n * good.volume_l
            self.inside.setdefault(u, set()).add(good.stock_class)

    def lets_in(self, good: Good, family: ReasonFamily) -> bool:
        """True when one more bag goes in once power or volume counts no more."""
        if family is ReasonFamily.POWER:
            return any(self._with_power(good, slot) for slot in good.slots)
        if family is ReasonFamily.VOLUME:
            return any(self._suits(good, slot) for slot in good.slots)
        return False

    def _suits(self, good: Good, slot: SlotKey) -> bool:
        """True when the unit runs at that setting for that kind of stock."""
        u, z, set_c = slot
        choice = self.running.get(u)
        return choice is not None and (
            choice.mode.set_points_c[z] == set_c
            and (self.instance.tubs or self.inside.get(u, set()) <= {good.stock_class})
        )

    def _with_power(self, good: Good, slot: SlotKey) -> bool:
        """True when the unit takes it, if it may draw whatever it wants."""
        u, z, set_c = slot
        if not self.instance.units[u].powered:
            return False
        choice = self.running.get(u)
        if choice is not None and not self._suits(good, slot):
            return False
        ways = [m for m in self.instance.modes[u] if m.set_points_c[z] == set_c]
        if choice is not None:
            ways = [m for m in ways if m.set_points_c == choice.mode.set_points_c]
        return any(self._has_room(m, z, good.volume_l) for m in ways)

    def _has_room(self, mode: Mode, z: int, more_l: float) -> bool:
        zones = range(len(mode.usable_l))
        inside_l = [self.litres.get((mode.unit, n), 0.0) for n in zones]
        warm_l = mode.fill * sum(mode.usable_l)
        return (
            inside_l[z] + more_l <= mode.usable_l[z] + _SLACK_L
            and sum(inside_l) + more_l <= warm_l + _SLACK_L
        )
