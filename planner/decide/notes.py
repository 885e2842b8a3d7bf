"""Small sentences and lists that go with a plan."""

from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.result import Demand, Placement, UnitUse
from planner.scenario import CameFrom, Origin, Scenario


def units_in_use(allocation: Allocation) -> tuple[UnitUse, ...]:
    """Units switched on, in id order, with what each zone holds."""
    used = []
    for choice in allocation.placed.choices:
        mode = choice.mode
        loaded = [
            z
            for (_, (u, z, _s)), n in allocation.placed.counts.items()
            if u == mode.unit and n > 0
        ]
        if not loaded:
            continue
        used.append(
            UnitUse(
                unit_id=mode.unit_id,
                set_points_c=mode.set_points_c,
                stock_classes=tuple(
                    choice.stock_class if z in loaded else None
                    for z in range(len(mode.set_points_c))
                ),
                warm_fill=mode.fill,
            )
        )
    return tuple(sorted(used, key=lambda u: u.unit_id))


def with_reasons(
    allocation: Allocation,
    demand: tuple[Demand, ...],
    placements: tuple[Placement, ...],
) -> tuple[Placement, ...]:
    """Add one sentence to every placement: why these bags, why there."""
    why = {(d.line_id, d.surplus): d.why for d in demand}
    names = {u.id: u.name for u in allocation.instance.units}
    sets = {
        (c.mode.unit_id, z): s
        for c in allocation.placed.choices
        for z, s in enumerate(c.mode.set_points_c)
    }
    return tuple(
        replace(
            p,
            why=(
                f"tier {p.tier}: {why[p.line_id, p.surplus]}; "
                f"{names[p.unit_id]} at {sets[p.unit_id, p.zone]:g} C holds its band"
            ),
        )
        for p in placements
    )


def assumptions_used(scenario: Scenario) -> tuple[Origin, ...]:
    """Every value the plan rests on that did not come from the sheet."""
    origins = [o for line in scenario.lines for o in line.origins]
    origins += [o for kit in scenario.equipment for o in kit.origins]
    origins += list(scenario.conditions.origins)
    used = {o for o in origins if o.came_from in {CameFrom.CATALOGUE, CameFrom.DEFAULT}}
    return tuple(sorted(used, key=lambda o: (o.field, o.value, o.source)))
