"""What to ask a lender for, and what not to accept, in plain words."""

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


def asked_spec(scenario: Scenario, item_ids: tuple[str, ...]) -> tuple[str, ...]:
    """One sentence an item: the spec to ask for."""
    return tuple(_spec(_find(scenario, i)) for i in item_ids)


def refused(scenario: Scenario, item_ids: tuple[str, ...]) -> tuple[str, ...]:
    """One sentence an item: what does not do."""
    return tuple(_not_this(_find(scenario, i)) for i in item_ids)


def _find(scenario: Scenario, item_id: str) -> Equipment:
    return next(e for e in scenario.equipment if e.id == item_id)


def _spec(kit: Equipment) -> str:
    if isinstance(kit, ColdUnit):
        litres = kit.gross_volume_l
        lead = {
            Supply.DC: "with its 12 V lead",
            Supply.AC: "with its mains plug",
            Supply.BOTH: "with its 12 V lead and mains plug",
            Supply.NONE: "with a min/max thermometer",
        }[kit.supply]
        return (
            f"{kit.kind.value} cold unit of {litres:.0f} L "
            f"({litres / _LITRES_PER_QUART:.0f} qt) or more, {lead}"
        )
    if isinstance(kit, Battery):
        sockets = []
        if kit.ports_12v:
            sockets.append(
                f"{kit.ports_12v} x 12 V socket of {kit.port_12v_max_w:.0f} W"
            )
        if kit.outlets_ac:
            sockets.append(f"{kit.outlets_ac} x AC outlet of {kit.max_out_w:.0f} W")
        return (
            f"battery of {kit.capacity_wh:.0f} Wh or more with {' and '.join(sockets)}; "
            "charged to 100 % and with its charger"
        )
    if isinstance(kit, Panel):
        return (
            f"solar panel of {kit.rated_w:.0f} W or more, open-circuit volts inside the "
            "battery's input range, with leads and adapter"
        )
    return f"{kit.kind.value} power of {kit.max_w:.0f} W or more"


def _not_this(kit: Equipment) -> str:
    if isinstance(kit, ColdUnit):
        if kit.kind is UnitType.ICE_CHEST:
            return "not a soft bag; not without a thermometer"
        return "not a thermoelectric cool box; not a dormitory fridge with an ice box"
    if isinstance(kit, Battery):
        return "not a phone power bank; not one that is swollen, hot or leaking"
    if isinstance(kit, Panel):
        return "not one cracked or wet at the plugs; not one of unknown volts"
    return "not a generator that must run indoors or within 6 m (20 ft) of an opening"
