"""Bags set beside those that stand: nobody moves, by plain arithmetic.

Every place that takes all the bags is a way: room left in a unit that is on,
perhaps loaded fuller, or a unit that stands idle.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.decide.goods import SlotKey
from planner.decide.instance import Instance, Mode
from planner.decide.placed import ModeChoice, Placed
from planner.result import Placement, UnitUse
from planner.scenario import StockClass

_SLACK_L = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What stands where: bags by good and slot, modes and litres by unit."""

    counts: Mapping[tuple[int, SlotKey], int]
    modes: Mapping[int, Mode]
    classes: Mapping[int, StockClass | None]
    litres: Mapping[tuple[int, int], float]


def standing(
    instance: Instance, placements: Sequence[Placement], uses: Sequence[UnitUse]
) -> Standing | None:
    """What stands, in the numbers of an instance; ``None`` if it no longer can."""
    number = {unit.id: u for u, unit in enumerate(instance.units)}
    points = {use.unit_id: use for use in uses}
    modes: dict[int, Mode] = {}
    for use in uses:
        u = number.get(use.unit_id)
        mode = (
            None if u is None else _mode(instance, u, use.set_points_c, use.warm_fill)
        )
        if u is None or mode is None:
            return None
        modes[u] = mode
    good_of = {
        (part.line_id, good.surplus): g
        for g, good in enumerate(instance.goods)
        for part in good.parts
    }
    counts: dict[tuple[int, SlotKey], int] = {}
    litres: dict[tuple[int, int], float] = {}
    inside: dict[int, set[StockClass]] = {}
    for p in placements:
        g, u = good_of.get((p.line_id, p.surplus)), number[p.unit_id]
        slot = (u, p.zone, points[p.unit_id].set_points_c[p.zone])
        if g is None or slot not in instance.goods[g].slots:
            return None
        good = instance.goods[g]
        counts[g, slot] = counts.get((g, slot), 0) + p.count
        litres[u, p.zone] = litres.get((u, p.zone), 0.0) + p.count * good.volume_l
        inside.setdefault(u, set()).add(good.stock_class)
    return Standing(
        counts=counts,
        modes=modes,
        classes={u: next(iter(c)) if len(c) == 1 else None for u, c in inside.items()},
        litres=litres,
    )


def _mode(
    instance: Instance, u: int, points: tuple[float, ...], fill: float
) -> Mode | None:
    return next(
        (
            m
            for m in instance.modes[u]
            if m.set_points_c == points and abs(m.fill - fill) < _SLACK_L
        ),
        None,
    )


def ways_beside(
    instance: Instance, there: Standing, g: int, bags: int
) -> Iterator[Placed]:
    """Placements with more bags of a good, units that are on first, then the lightest."""
    good = instance.goods[g]
    litres = bags * good.volume_l
    ways: list[tuple[bool, float, SlotKey, Mode]] = []
    for slot in good.slots:
        mode = _takes(instance, there, slot, good.stock_class, litres)
        if mode is not None and _ice(instance, there, mode):
            new = slot[0] not in there.modes
            ways.append((new, float(mode.load_w.sum()), slot, mode))
    for _, _, slot, mode in sorted(ways, key=lambda way: way[:3]):
        counts = dict(there.counts)
        counts[g, slot] = counts.get((g, slot), 0) + bags
        modes = {**there.modes, mode.unit: mode}
        classes = {**there.classes}
        classes.setdefault(mode.unit, good.stock_class)
        yield Placed(
            counts=counts,
            choices=tuple(
                ModeChoice(
                    mode=m, stock_class=None if instance.tubs else classes.get(u)
                )
                for u, m in sorted(modes.items())
            ),
            stages=(),
            taken=frozenset(),
            proven=False,
        )


def _takes(
    instance: Instance,
    there: Standing,
    slot: SlotKey,
    stock_class: StockClass,
    litres: float,
) -> Mode | None:
    """The lightest way to run a unit so that it takes the litres (R3, R4, R8)."""
    u, zone, set_c = slot
    on = there.modes.get(u)
    if not instance.tubs and there.classes.get(u, stock_class) is not stock_class:
        return None
    inside = [there.litres.get((u, z), 0.0) for z in range(_zones(instance, u))]
    fits = [
        m
        for m in instance.modes[u]
        if m.set_points_c[zone] == set_c
        and (on is None or m.set_points_c == on.set_points_c)
        and inside[zone] + litres <= m.usable_l[zone] + _SLACK_L
        and sum(inside) + litres <= m.fill * sum(m.usable_l) + _SLACK_L
    ]
    return min(fits, key=lambda m: (float(m.load_w.sum()), m.fill), default=None)


def _zones(instance: Instance, u: int) -> int:
    return len(instance.units[u].zone_shares)


def _ice(instance: Instance, there: Standing, mode: Mode) -> bool:
    """Whether the ice lasts (R10)."""
    modes = {**there.modes, mode.unit: mode}
    kg = sum(m.ice_kg for m in modes.values())
    return kg <= instance.scenario.conditions.ice_kg_day + _SLACK_L
