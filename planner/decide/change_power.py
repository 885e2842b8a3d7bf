"""Changes that bring power to a unit that stands idle for want of it.

The plugs stay in; what is missing is worked out for one more plug in each
battery, hour by hour, and then looked for below that by solving again.
"""

from dataclasses import dataclass, replace

import numpy as np

from planner.catalogue import default
from planner.decide.feeders import limits_anywhere
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Fed, Instance
from planner.decide.keeper import Keeper
from planner.decide.kept import bags_of_goods
from planner.decide.least import Seen, least
from planner.decide.mend import apply_change
from planner.decide.one_plug import Plugged, kept_plugs, plug_in, unplugged, ways_in
from planner.decide.placed import Placed
from planner.decide.simulate import first_thin_hour, thin_hours
from planner.result import Hookup, PortType
from planner.result_reasons import Change, ChangeKind
from planner.scenario import Scenario, Supply

STEP_WH = 10.0
STEP_W = 5.0
_MOST = 2000
_ASKS = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What would have to be fed, the plugs it has, and what has none yet."""

    instance: Instance
    fed: tuple[Fed, ...]
    hookups: tuple[Hookup, ...]
    bare: tuple[Fed, ...]


def power_change(
    keeper: Keeper, line_id: str, *, surplus: bool, bags: int, moved: bool
) -> Change | None:
    """The simplest single change that brings the power, hour by hour."""
    if keeper.tired():
        return None
    instance = keeper.instance
    ways = keeper.beside(instance, line_id, surplus=surplus, bags=bags)
    if not ways and moved:
        # Only when some change places is there room for it.
        wanted = keeper.wanted(line_id, surplus=surplus, bags=bags)
        exactly = bags_of_goods(instance, wanted)
        placed = None
        if exactly is not None:
            placed = keeper.were_power_there(instance, exactly)
        ways = () if placed is None else (placed,)
    found: list[Change] = []
    for placed in ways:
        need = _wanted(keeper, placed)
        # What has to be fed says it all: the plugs that are in are the same.
        key = tuple((f.consumer.id, f.load_w.tobytes()) for f in need.fed)
        if key not in keeper.lacking:
            options = sorted(_for_need(need), key=_simplest)
            holding = (one for one in options if _holds(keeper, need, one))
            keeper.lacking[key] = next(holding, None)
        best = keeper.lacking[key]
        if best is not None:
            found.append(best)
    return min(found, key=_simplest, default=None)


def _simplest(change: Change) -> tuple[int, float, float, str, str]:
    kind = list(ChangeKind).index(change.kind)
    return kind, change.amount, change.watts, change.item_id, change.place


def _for_need(need: Wanted) -> list[Change]:
    """Single changes that one way to place the bags may lack."""
    if len(need.bare) > 1:
        return []
    if not need.bare:
        return _fuller(need)
    one = need.bare[0]
    found = [
        _for_way(need, way, one)
        for way in ways_in(need.instance, one, need.fed, need.hookups)
    ]
    return [*(c for c in found if c is not None), _one_more_battery(one)]


def _holds(keeper: Keeper, need: Wanted, change: Change) -> bool:
    """Whether all of it can then be plugged in, hour by hour."""
    scenario = apply_change(need.instance.scenario, change)
    if change.kind is ChangeKind.BATTERY:
        instance, _ = keeper.numbers(scenario)
    else:
        instance = with_batteries(need.instance, scenario)
    return plug_in(instance, need.fed, keeper.hookups) is not None


def _wanted(keeper: Keeper, placed: Placed) -> Wanted:
    """What a placement would have fed, and what of it has no plug."""
    instance = keeper.instance
    fed = fed_by_modes(instance, tuple(c.mode for c in placed.choices))
    hookups = kept_plugs(fed, keeper.hookups)
    bare = unplugged(fed, hookups)
    for one in list(bare):
        # Those that can be plugged in as it is are not what is lacking.
        if len(bare) > 1:
            others = tuple(f for f in fed if f not in bare or f is one)
            more = plug_in(instance, others, hookups)
            if more is not None:
                hookups, bare = more, [f for f in bare if f is not one]
    return Wanted(instance=instance, fed=fed, hookups=hookups, bare=tuple(bare))


def _fuller(need: Wanted) -> list[Change]:
    """Energy for a battery that feeds all this but runs thin."""
    thin = [
        b
        for b in range(len(need.instance.batteries))
        if first_thin_hour(need.instance, b, need.fed, need.hookups) is not None
    ]
    if len(thin) != 1:
        return []
    change = _energy(need, thin[0], need.hookups)
    return [] if change is None else [change]


def _for_way(need: Wanted, way: Plugged, one: Fed) -> Change | None:
    """The single thing that one way to plug in lacks; ``None`` when it is more."""
    battery = need.instance.batteries[way.battery]
    supply = Supply.AC if way.port is PortType.AC else Supply.DC
    thin = bool(thin_hours(need.instance, need.fed, way.hookups))
    if way.sockets and not way.watts and not thin:
        return Change(
            kind=ChangeKind.SOCKET,
            item_id=battery.id,
            place=one.consumer.place,
            amount=float(way.sockets),
            supply=supply,
            watts=one.consumer.running_w,
        )
    if way.watts and not way.sockets and not thin:
        return Change(
            kind=ChangeKind.WATTS,
            item_id=battery.id,
            place=one.consumer.place,
            amount=float(np.ceil(way.watts / STEP_W - 1e-9)) * STEP_W,
            supply=supply,
        )
    if thin and not way.sockets and not way.watts:
        return _energy(need, way.battery, way.hookups)
    return None


def _energy(need: Wanted, b: int, hookups: tuple[Hookup, ...]) -> Change | None:
    """Energy that a battery lacks with these plugs, and by when."""
    battery = need.instance.batteries[b]

    def change(steps: int) -> Change:
        return Change(
            kind=ChangeKind.ENERGY,
            item_id=battery.id,
            place=battery.place,
            amount=steps * STEP_WH,
        )

    def does(steps: int) -> Seen:
        more = _with(need.instance, change(steps))
        thin = first_thin_hour(more, b, need.fed, hookups) is not None
        return Seen.NO if thin else Seen.YES

    others = thin_hours(_with(need.instance, change(_MOST)), need.fed, hookups)
    if others:
        return None
    most = 1
    while does(most) is not Seen.YES:
        most *= 2
    found = change(least(does, high=most, tries=_ASKS).steps)
    by_h = needed_by_h(need.instance, found, need.fed, hookups)
    return replace(found, by_h=by_h)


def with_batteries(instance: Instance, scenario: Scenario) -> Instance:
    """The numbers with batteries changed, and nothing else worked out anew."""
    known = {battery.id: battery for battery in scenario.batteries}
    batteries = tuple(known[battery.id] for battery in instance.batteries)
    same = [new == old for new, old in zip(batteries, instance.batteries, strict=True)]
    limits = tuple(
        old if kept else limits_anywhere(new, scenario)
        for new, old, kept in zip(batteries, instance.limits, same, strict=True)
    )
    return replace(instance, scenario=scenario, batteries=batteries, limits=limits)


def _with(instance: Instance, change: Change) -> Instance:
    return with_batteries(instance, apply_change(instance.scenario, change))


def needed_by_h(
    instance: Instance,
    change: Change,
    fed: tuple[Fed, ...],
    hookups: tuple[Hookup, ...],
) -> int:
    """Hour by which the energy must have come in; 0 when only the start will do."""
    more = _with(instance, change)
    b = next(i for i, one in enumerate(more.batteries) if one.id == change.item_id)
    limits = list(more.limits)
    without = limits[b].start_wh - change.amount
    if without < 0:
        return 0
    limits[b] = replace(limits[b], start_wh=without)
    later = replace(more, limits=tuple(limits))
    hour = first_thin_hour(later, b, fed, hookups)
    if hour is None:
        return 0
    given = np.zeros(instance.hours)
    given[hour] = change.amount
    if first_thin_hour(later, b, fed, hookups, given_wh=given) is not None:
        return 0
    return hour


def _one_more_battery(one: Fed) -> Change:
    """A battery of its own for what has no plug: enough for its whole load."""
    who = one.consumer
    dc = who.supply in {Supply.DC, Supply.BOTH}
    watts = who.running_w if dc else max(who.running_w, who.surge_w / 2)
    drawn_wh = float(one.load_w.sum()) / (0.95 if dc else 0.90)
    if not dc:
        drawn_wh += default("battery.ac_idle_w").value * float(who.needed.sum())
    return Change(
        kind=ChangeKind.BATTERY,
        place=who.place,
        amount=float(np.ceil(drawn_wh / STEP_WH + 0.1)) * STEP_WH,
        supply=Supply.DC if dc else Supply.AC,
        watts=float(np.ceil(watts / STEP_W - 1e-9)) * STEP_W,
    )
