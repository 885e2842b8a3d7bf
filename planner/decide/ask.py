"""What to ask a lender for, and what not to accept, in plain words."""

from collections.abc import Iterable

from planner.decide.borrow_generic import plain_unit
from planner.physics.profiles import reach, room_temp_c
from planner.result_spec import LeastSpec, LoanNeed, Quantity, all_sockets
from planner.scenario import (
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    Supply,
    UnitType,
)

_LITRES_PER_QUART = 0.946352946  # US liquid quart, NIST SP 811 appendix B
_MEDICINE_C = 5.0

Specs = Iterable[LeastSpec]
Needs = Iterable[LoanNeed]


def asked_spec(
    scenario: Scenario,
    item_ids: tuple[str, ...],
    specs: Specs = (),
    needs: Needs = (),
) -> tuple[str, ...]:
    """One sentence an item: the spec to ask for, the least where it is known.

    Of sockets and watts only what ``needs`` says is used; all that is offered
    where they say nothing.
    """
    least, used = _by_item(specs), {one.item_id: one for one in needs}
    return tuple(
        _spec(_find(scenario, i), least.get(i, {}), used.get(i)) for i in item_ids
    )


def refused(
    scenario: Scenario,
    item_ids: tuple[str, ...],
    specs: Specs = (),
    needs: Needs = (),
) -> tuple[str, ...]:
    """One sentence an item: what does not do, in the terms of what is asked for.

    Of several things alike only what is too small for each of them is refused.
    """
    least, used = _by_item(specs), {one.item_id: one for one in needs}
    kit = [_find(scenario, i) for i in item_ids]
    return tuple(
        _not_this(
            scenario,
            one,
            _smallest([least.get(e.id, {}) for e in kit if _alike(e, one)]),
            used.get(one.id),
        )
        for one in kit
    )


def _alike(one: Equipment, other: Equipment) -> bool:
    """Whether a lender of one could be thought to be asked for the other."""
    kinds = getattr(one, "kind", None), getattr(other, "kind", None)
    return type(one) is type(other) and kinds[0] == kinds[1]


def _smallest(least: list[dict[Quantity, float]]) -> dict[Quantity, float]:
    known = set.intersection(*(set(one) for one in least))
    return {quantity: min(one[quantity] for one in least) for quantity in known}


def _by_item(specs: Specs) -> dict[str, dict[Quantity, float]]:
    found: dict[str, dict[Quantity, float]] = {}
    for one in specs:
        found.setdefault(one.item_id, {})[one.quantity] = one.least
    return found


def _find(scenario: Scenario, item_id: str) -> Equipment:
    return next(e for e in scenario.equipment if e.id == item_id)


def _litres(litres: float) -> str:
    return f"{litres:.0f} L ({litres / _LITRES_PER_QUART:.0f} qt)"


def _temp(temp_c: float) -> str:
    """A setting on both scales; a minus in words is not lost in reading."""
    temp_f = round(temp_c * 9 / 5 + 32)
    cold_c, cold_f = ("minus " if t < 0 else "" for t in (temp_c, temp_f))
    return f"{cold_c}{abs(temp_c):g} C / {cold_f}{abs(temp_f)} F"


def _watts(power_w: float) -> str:
    """Watts as they are: a limit rounded up would let in what was not planned."""
    return f"{power_w:g} W"


def _holds(need: LoanNeed) -> list[str]:
    """Every setting it must hold; in one compartment only one after the other."""
    later = " at another time" if need.compartments == 1 else ""
    return [
        f"must also hold {_temp(one)}{later}" if at else f"must hold {_temp(one)}"
        for at, one in enumerate(need.settings_c)
    ]


def _spec(
    kit: Equipment, least: dict[Quantity, float], need: LoanNeed | None = None
) -> str:
    if isinstance(kit, ColdUnit):
        return _unit_spec(kit, least, need or LoanNeed(item_id=kit.id))
    if isinstance(kit, Battery):
        return _battery_spec(kit, least, need)
    if isinstance(kit, Panel):
        watts = least.get(Quantity.RATED_W, kit.rated_w)
        return (
            f"solar panel of {watts:.0f} W or more, open-circuit volts inside the "
            "battery's input range, with leads and adapter"
        )
    watts = least.get(Quantity.MAX_W, kit.max_w)
    return f"{kit.kind.value} power of {watts:.0f} W or more"


def _unit_spec(kit: ColdUnit, least: dict[Quantity, float], need: LoanNeed) -> str:
    litres = least.get(Quantity.VOLUME_L, kit.gross_volume_l)
    supply = kit.supply if need.supply is Supply.NONE else need.supply
    what = "freezer" if need.only_freezes else "cold unit"
    terms = [
        *_holds(need),
        *(["with a lock and key"] if need.lock else []),
        *([_draws(need)] if need.day_wh else []),
        {
            Supply.DC: "with its 12 V lead",
            Supply.AC: "with its mains plug",
            Supply.BOTH: "with its 12 V lead and mains plug",
            Supply.NONE: "with a min/max thermometer",
        }[supply],
    ]
    parts = need.compartments
    size = f"{_litres(litres)} or more{f' in {parts} compartments' * (parts > 1)}"
    return f"{kit.kind.value} {what} of {size}, {', '.join(terms)}"


def _draws(need: LoanNeed) -> str:
    watts = _watts(need.running_w)
    return f"at most {watts} and {need.day_wh:.0f} Wh a day in this heat"


def _battery_spec(
    kit: Battery, least: dict[Quantity, float], need: LoanNeed | None
) -> str:
    energy_wh = least.get(Quantity.CAPACITY_WH, kit.capacity_wh)
    charge = least.get(Quantity.CHARGE, 1.0)
    if need is None:
        need = all_sockets(kit)
    sockets = []
    if need.ports_12v:
        sockets.append(f"{need.ports_12v} x 12 V socket of {_watts(need.port_12v_w)}")
    if need.outlets_ac:
        sockets.append(f"{need.outlets_ac} x AC outlet of {_watts(need.outlet_ac_w)}")
    terms = [" and ".join(sockets) or "any socket"]
    if need.out_w > max(need.port_12v_w, need.outlet_ac_w):
        terms.append(f"{_watts(need.out_w)} in all")
    if need.solar_w:
        terms.append(f"a solar input of {_watts(need.solar_w)} or more")
    enough = "" if charge > 0.995 else f" ({charge * 100:.0f} % would do)"
    return (
        f"battery of {energy_wh:.0f} Wh or more with {', '.join(terms)}; "
        f"charged to 100 %{enough}, with its charger"
    )


def _not_this(
    scenario: Scenario,
    kit: Equipment,
    least: dict[Quantity, float],
    need: LoanNeed | None = None,
) -> str:
    if isinstance(kit, ColdUnit):
        used = need or LoanNeed(item_id=kit.id)
        return "; ".join(_not_this_unit(scenario, kit, least, used))
    if isinstance(kit, Battery):
        energy_wh = least.get(Quantity.CAPACITY_WH)
        small = "" if energy_wh is None else f"not a battery under {energy_wh:.0f} Wh; "
        return f"{small}not a phone power bank; not one that is swollen, hot or leaking"
    if isinstance(kit, Panel):
        watts = least.get(Quantity.RATED_W)
        small = "" if watts is None else f"not a panel under {watts:.0f} W; "
        return f"{small}not one cracked or wet at the plugs; not one of unknown volts"
    return "not a generator that must run indoors or within 6 m (20 ft) of an opening"


def _not_this_unit(
    scenario: Scenario,
    kit: ColdUnit,
    least: dict[Quantity, float],
    need: LoanNeed,
) -> list[str]:
    litres = least.get(Quantity.VOLUME_L)
    found = [] if litres is None else [f"not a unit under {_litres(litres)}"]
    if need.compartments > 1:
        few = f"not a unit with fewer than {need.compartments} compartments"
        found.append(few)
    if need.lock:
        found.append("not a unit without a lock and key")
    if need.day_wh:
        found.append(f"not a unit over {_watts(need.running_w)}")
    if kit.kind is UnitType.ICE_CHEST:
        return [*found, "not a soft bag", "not without a thermometer"]
    if need.freezes:
        return [*found, *_not_for_frozen(need)]
    box = f"not a thermoelectric cool box{_box_fails(scenario, kit.place)}"
    return [*found, box, "not a dormitory fridge with an ice box"]


def _not_for_frozen(need: LoanNeed) -> list[str]:
    """What does not freeze; where something must not freeze, what does only that."""
    coldest, warmest = need.settings_c[-1], need.settings_c[0]
    fridge = f"not a plain fridge: it cannot hold {_temp(coldest)}"
    if need.only_freezes:
        return [fridge]
    return [
        fridge,
        f"not a plain freezer: it cannot hold {_temp(warmest)}",
        "not a dormitory fridge with an ice box",
    ]


def _box_fails(scenario: Scenario, place: str) -> str:
    """Why a cool box does not do in this heat; empty where it would hold."""
    room_c = room_temp_c(scenario.place(place), scenario.conditions)
    box = plain_unit(UnitType.THERMOELECTRIC, place)
    if reach(box, (_MEDICINE_C,), room_c).ok:
        return ""
    return (
        f": it cannot hold 2 to 8 C / 36 to 46 F at {_temp(round(float(room_c.max())))}"
    )
