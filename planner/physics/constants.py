"""Every physical number that is not asked of the user, with its source.

Formulas elsewhere in this room take their numbers from here by name, so a
reader can see at once which are textbook values and which are judgement.
``docs/physics.md`` lists them; a test keeps the two in step.
"""

from dataclasses import dataclass

from planner.scenario import Chemistry, Controller, Flag, UnitType


@dataclass(frozen=True, slots=True, kw_only=True)
class Constant:
    """One number with its unit, where it comes from and how sure it is."""

    value: float
    unit: str
    source: str
    flag: Flag


KELVIN = Constant(
    value=273.15,
    unit="K at 0 C",
    source="definition of the degree Celsius, SI brochure",
    flag=Flag.PUBLISHED,
)
FUSION_KJ_KG = Constant(
    value=334.0,
    unit="kJ/kg",
    source="latent heat of fusion of water, physics handbooks (333.6 to 335)",
    flag=Flag.PUBLISHED,
)
WATER_KJ_KG_K = Constant(
    value=4.19,
    unit="kJ/(kg K)",
    source="specific heat of liquid water, physics handbooks",
    flag=Flag.PUBLISHED,
)
ICE_KJ_KG_K = Constant(
    value=2.09,
    unit="kJ/(kg K)",
    source="specific heat of ice near 0 C, physics handbooks",
    flag=Flag.PUBLISHED,
)

EXCHANGER_APPROACH_K = Constant(
    value=10.0,
    unit="K",
    source="evaporator below the inside and condenser above the room by so much",
    flag=Flag.PRACTICE,
)
FRIDGE_COP = Constant(
    value=1.5,
    unit="W/W at 32 C room, +5 C inside",
    source="about 0.7 of a computed R134a cycle, for small units",
    flag=Flag.ESTIMATE,
)
FREEZER_COP = Constant(
    value=0.9,
    unit="W/W at 32 C room, -18 C inside",
    source="about 0.7 of a computed R134a cycle, for small units",
    flag=Flag.ESTIMATE,
)
COP_ROOM_C = Constant(
    value=32.0,
    unit="C",
    source="room of the two performance figures; the warm test of IEC 62552:2015",
    flag=Flag.PUBLISHED,
)
FRIDGE_COP_INSIDE_C = Constant(
    value=5.0,
    unit="C",
    source="inside of the fridge performance figure",
    flag=Flag.PRACTICE,
)
FREEZER_COP_INSIDE_C = Constant(
    value=-18.0,
    unit="C",
    source="inside of the freezer performance figure",
    flag=Flag.PRACTICE,
)
PACKED_KG_L = Constant(
    value=0.5,
    unit="kg per packed litre",
    source="cartons, bottles and the air between them",
    flag=Flag.ESTIMATE,
)
FROZEN_ARRIVES_C = Constant(
    value=-5.0,
    unit="C",
    source="frozen goods carried in a box; warmer ones have begun to thaw",
    flag=Flag.ESTIMATE,
)
CABINET_KJ_L_K = Constant(
    value=0.4,
    unit="kJ/K per gross litre",
    source="empty cabinet: 20 Wh of electricity per 10 L from 32 to 5 C",
    flag=Flag.ESTIMATE,
)

THERMOELECTRIC_DROP_K = Constant(
    value=18.0,
    unit="K below the room",
    source="buying guides state 36 F (20 K) at best; 2 K kept back",
    flag=Flag.SECONDARY,
)
THERMOELECTRIC_DROP_MAX_K = Constant(
    value=20.0,
    unit="K below the room",
    source="36 F, buying guides; runs on with no thermostat",
    flag=Flag.SECONDARY,
)
ABSORPTION_ROOM_MAX_C = Constant(
    value=32.0,
    unit="C",
    source="small absorption boxes stop holding 5 C above this",
    flag=Flag.MEMORY,
)
EVAPORATIVE_SHARE = Constant(
    value=0.7,
    unit="share of the way to the wet bulb",
    source="practical result of an evaporative pot",
    flag=Flag.MEMORY,
)
EVAPORATIVE_DROP_K = Constant(
    value=8.0,
    unit="K below the room",
    source="cap while the humidity is not known",
    flag=Flag.ESTIMATE,
)
DRY_AIR_RH = Constant(
    value=20.0,
    unit="% relative humidity",
    source="driest air the evaporative band allows for",
    flag=Flag.ESTIMATE,
)
HUMID_AIR_RH = Constant(
    value=80.0,
    unit="% relative humidity",
    source="dampest air the evaporative band allows for",
    flag=Flag.ESTIMATE,
)

OPENING_LOAD = Constant(
    value=1.3,
    unit="times the energy with the door shut",
    source="household unit measured at 2 to 8 openings an hour: 7 to 30 % more",
    flag=Flag.SECONDARY,
)

CHEST_RAW_LOW_C = Constant(
    value=0.0,
    unit="C",
    source="melting point of ice",
    flag=Flag.PUBLISHED,
)
CHEST_RAW_HIGH_C = Constant(
    value=4.0,
    unit="C",
    source="goods kept in contact with melting ice",
    flag=Flag.MEMORY,
)
CHEST_CONDITIONED_LOW_C = Constant(
    value=2.0,
    unit="C",
    source="conditioned bottles and barrier, CDC packing for transport in emergencies",
    flag=Flag.PUBLISHED,
)
CHEST_CONDITIONED_HIGH_C = Constant(
    value=8.0,
    unit="C",
    source="conditioned bottles and barrier, CDC packing for transport in emergencies",
    flag=Flag.PUBLISHED,
)
CUBE_ICE_L_KG = Constant(
    value=1.8,
    unit="L/kg",
    source="ice cubes with the air between them (1.8 to 2.0)",
    flag=Flag.MEMORY,
)

SURGE_FACTOR: dict[UnitType, Constant] = {
    UnitType.HOUSEHOLD: Constant(
        value=6.0,
        unit="times running watts",
        source="start of a household compressor 3 to 6 times running",
        flag=Flag.SECONDARY,
    ),
    UnitType.COMPRESSOR: Constant(
        value=2.0,
        unit="times running watts",
        source="12 V compressors start softly",
        flag=Flag.PRACTICE,
    ),
}
"""Start power over running power; kinds not named here start at 1."""

LITHIUM_CHARGE_FROM_C = Constant(
    value=0.0,
    unit="C",
    source="U.S. Fire Administration, lithium-ion battery safety: 32 to 105 F",
    flag=Flag.PUBLISHED,
)
LITHIUM_CHARGE_TO_C = Constant(
    value=40.0,
    unit="C",
    source="U.S. Fire Administration, lithium-ion battery safety: 32 to 105 F",
    flag=Flag.PUBLISHED,
)
LITHIUM: frozenset[Chemistry] = frozenset({Chemistry.LFP, Chemistry.LI_ION})
"""Chemistries with the charge window and the lithium cold curve."""

LEAD_COLD_TABLE: tuple[tuple[float, float], ...] = (
    (-6.7, 1.59),
    (-1.1, 1.40),
    (4.4, 1.30),
    (10.0, 1.19),
    (15.6, 1.11),
    (21.2, 1.04),
    (26.7, 1.00),
)
"""Temperature [C] and battery multiplier of lead-acid sizing worksheets.

Capacity is divided by it.  Flag: seen on secondary pages.
"""
LITHIUM_COLD_TABLE: tuple[tuple[float, float], ...] = (
    (-20.0, 0.7),
    (0.0, 0.8),
    (25.0, 1.0),
)
"""Temperature [C] and share of rated capacity of lithium cells.

A cell maker's page gives 0.7 and 0.8 (others say 0.9 at 0 C); 25 C is the
rating temperature.  Flag: seen on a secondary page.
"""

PVWATTS_LOSSES_PERCENT: dict[str, float] = {
    "soiling": 2.0,
    "shading": 3.0,
    "snow": 0.0,
    "mismatch": 2.0,
    "wiring": 2.0,
    "connections": 0.5,
    "lid": 1.5,
    "nameplate_rating": 1.0,
    "age": 0.0,
    "availability": 3.0,
}
"""Loss table of PVWatts version 5 (NREL), in per cent.  Flag: published."""
PORTABLE_LEAVES_OUT: frozenset[str] = frozenset({"availability"})
"""Losses of a fixed plant that a panel somebody carries out does not have."""

NOCT_C = Constant(
    value=45.0,
    unit="C",
    source="usual nominal operating cell temperature on data sheets",
    flag=Flag.PRACTICE,
)
NOCT_AIR_C = Constant(
    value=20.0,
    unit="C",
    source="definition of NOCT: 20 C air, 800 W/m2, 1 m/s",
    flag=Flag.PUBLISHED,
)
NOCT_SUN_W_M2 = Constant(
    value=800.0,
    unit="W/m2",
    source="definition of NOCT: 20 C air, 800 W/m2, 1 m/s",
    flag=Flag.PUBLISHED,
)
CELL_LOSS_PER_K = Constant(
    value=0.004,
    unit="1/K above 25 C",
    source="power coefficient of crystalline silicon, PVWatts (0.0035 to 0.0047)",
    flag=Flag.PRACTICE,
)
CONTROLLER_FACTOR: dict[Controller, Constant] = {
    Controller.MPPT: Constant(
        value=0.95,
        unit="W/W",
        source="tracking and conversion, 0.93 to 0.97",
        flag=Flag.MEMORY,
    ),
    Controller.BUILT_IN: Constant(
        value=0.95,
        unit="W/W",
        source="power packs track like an MPPT controller",
        flag=Flag.MEMORY,
    ),
    Controller.PWM: Constant(
        value=0.75,
        unit="W/W",
        source="panel pulled down to battery volts, 15 to 35 % lost, makers' pages",
        flag=Flag.SECONDARY,
    ),
}
"""Power into the battery over power of the panel; PWM includes the heat."""
ALBEDO = Constant(
    value=0.2,
    unit="share reflected by the ground",
    source="usual value for grass and bare ground",
    flag=Flag.PUBLISHED,
)
SUNRISE_H = Constant(
    value=6.0,
    unit="clock hour",
    source="twelve-hour day when the place is not known",
    flag=Flag.ESTIMATE,
)
SUNSET_H = Constant(
    value=18.0,
    unit="clock hour",
    source="twelve-hour day when the place is not known",
    flag=Flag.ESTIMATE,
)


def all_constants() -> dict[str, Constant]:
    """Every sourced number of this module by name, in file order."""
    found: dict[str, Constant] = {}
    for name, held in globals().items():
        if isinstance(held, Constant):
            found[name] = held
        elif isinstance(held, dict):
            for key, inner in held.items():
                if isinstance(inner, Constant):
                    found[f"{name}[{key}]"] = inner
    return found
