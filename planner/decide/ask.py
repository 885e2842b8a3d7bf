"""What to ask a lender for, and what not to accept, in plain words."""

from collections.abc import Iterable

from planner.decide.borrow_generic import plain_unit
from planner.physics.profiles import reach, room_temp_c
from planner.result_spec import LeastSpec, Quantity
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


def asked_spec(
    scenario: Scenario, item_ids: tuple[str, ...], specs: Specs = ()
) -> tuple[str, ...]:
    """One sentence an item: the spec to ask for, the least where it is known."""
    least = _by_item(specs)
    return tuple(_spec(_find(scenario, i), least.get(i, {})) for i in item_ids)


def refused(
    scenario: Scenario, item_ids: tuple[str, ...], specs: Specs = ()
) -> tuple[str, ...]:
    """One sentence an item: what does not do."""
    least = _by_item(specs)
    return tuple(
        _not_this(scenario, _find(scenario, i), least.get(i, {})) for i in item_ids
    )


def _by_item(specs: Specs) -> dict[str, dict[Quantity, float]]:
    found: dict[str, dict[Quantity, float]] = {}
    for one in specs:
        found.setdefault(one.item_id, {})[one.quantity] = one.least
    return found


def _find(scenario: Scenario, item_id: str) -> Equipment:
    return next(e for e in scenario.equipment if e.id == item_id)


def _litres(litres: float) -> str:
    return f"{litres:.0f} L ({litres / _LITRES_PER_QUART:.0f} qt)"


def _spec(kit: Equipment, least: dict[Quantity, float]) -> str:
    if isinstance(kit, ColdUnit):
        litres = least.get(Quantity.VOLUME_L, kit.gross_volume_l)
        lead = {
            Supply.DC: "with its 12 V lead",
            Supply.AC: "with its mains plug",
            Supply.BOTH: "with its 12 V lead and mains plug",
            Supply.NONE: "with a min/max thermometer",
        }[kit.supply]
        return f"{kit.kind.value} cold unit of {_litres(litres)} or more, {lead}"
    if isinstance(kit, Battery):
        energy_wh = least.get(Quantity.CAPACITY_WH, kit.capacity_wh)
        charge = least.get(Quantity.CHARGE, 1.0)
        sockets = []
        if kit.ports_12v:
            sockets.append(
                f"{kit.ports_12v} x 12 V socket of {kit.port_12v_max_w:.0f} W"
            )
        if kit.outlets_ac:
            sockets.append(f"{kit.outlets_ac} x AC outlet of {kit.max_out_w:.0f} W")
        enough = "" if charge > 0.995 else f", {charge * 100:.0f} % would do"
        return (
            f"battery of {energy_wh:.0f} Wh or more with {' and '.join(sockets)}; "
            f"charged to 100 %{enough} and with its charger"
        )
    if isinstance(kit, Panel):
        watts = least.get(Quantity.RATED_W, kit.rated_w)
        return (
            f"solar panel of {watts:.0f} W or more, open-circuit volts inside the "
            "battery's input range, with leads and adapter"
        )
    watts = least.get(Quantity.MAX_W, kit.max_w)
    return f"{kit.kind.value} power of {watts:.0f} W or more"


def _not_this(scenario: Scenario, kit: Equipment, least: dict[Quantity, float]) -> str:
    if isinstance(kit, ColdUnit):
        litres = least.get(Quantity.VOLUME_L)
        small = "" if litres is None else f"not one under {_litres(litres)}; "
        if kit.kind is UnitType.ICE_CHEST:
            return f"{small}not a soft bag; not without a thermometer"
        box = f"not a thermoelectric cool box{_box_fails(scenario, kit.place)}"
        return f"{small}{box}; not a dormitory fridge with an ice box"
    if isinstance(kit, Battery):
        energy_wh = least.get(Quantity.CAPACITY_WH)
        small = "" if energy_wh is None else f"not a battery under {energy_wh:.0f} Wh; "
        return f"{small}not a phone power bank; not one that is swollen, hot or leaking"
    if isinstance(kit, Panel):
        watts = least.get(Quantity.RATED_W)
        small = "" if watts is None else f"not a panel under {watts:.0f} W; "
        return f"{small}not one cracked or wet at the plugs; not one of unknown volts"
    return "not a generator that must run indoors or within 6 m (20 ft) of an opening"


def _box_fails(scenario: Scenario, place: str) -> str:
    """Why a cool box does not do in this heat; empty where it would hold."""
    room_c = room_temp_c(scenario.place(place), scenario.conditions)
    box = plain_unit(UnitType.THERMOELECTRIC, place)
    if reach(box, (_MEDICINE_C,), room_c).ok:
        return ""
    return f": it cannot hold 2 to 8 C at {float(room_c.max()):.0f} C"
