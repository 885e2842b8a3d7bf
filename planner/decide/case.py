"""A short line with all that decides what would place it."""

from dataclasses import dataclass

from planner.decide.goods import Good
from planner.result import Demand, Shortfall
from planner.scenario import Line

Key = tuple[object, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One short line, and the good its bags belong to."""

    short: Shortfall
    line: Line
    demand: Demand
    good: Good

    @property
    def key(self) -> tuple[str, bool]:
        """Line, and whether it is surplus."""
        return self.line.id, self.short.surplus

    @property
    def sizes(self) -> tuple[int, ...]:
        """All the bags, or else one."""
        return (self.short.count, 1) if self.short.count > 1 else (1,)

    @property
    def alike(self) -> Key:
        """What the answer depends on; lines that share it share the answer."""
        return (self.short.count, self.good.volume_l, *self.kind)

    @property
    def kind(self) -> Key:
        """The same but for how large the bags are, and how many."""
        line = self.line
        return (
            *self.group,
            self.demand.allowance_h,
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

    @property
    def group(self) -> Key:
        """Reason, and where the bags may go: what one change does for all of them."""
        return self.short.reason, self.good.slots, self.good.stock_class
