"""Small scenarios for tests: sane defaults, every field to be overridden.

All people, items and equipment are invented.  The defaults fit together:
one line of two bags for 2-8 C, one 12 V fridge at 5 C, one battery, one
panel, one hall at a steady 25 C, a 6-hour window planned without sun.
"""

from dataclasses import replace
from datetime import datetime
from typing import Any

from planner.result import (
    Demand,
    Hookup,
    Link,
    Placement,
    PortType,
    ReasonFamily,
    Shortfall,
    UnitUse,
    WarmClock,
)
from planner.result_reasons import Change, ChangeKind
from planner.scenario import (
    Availability,
    Battery,
    Chemistry,
    Clock,
    ColdUnit,
    Conditions,
    Consequence,
    Controller,
    Gate,
    HeldRow,
    Line,
    Panel,
    Place,
    Scenario,
    Source,
    SourceKind,
    Status,
    StockClass,
    SunCase,
    Supply,
    Tier,
    UnitType,
)

START = datetime(2025, 7, 7, 8, 0)
"""A Monday, eight in the morning."""


def line(**fields: Any) -> Line:
    """Two half-litre bags of a life-critical 2-8 C medicine, never frozen."""
    values: dict[str, Any] = {
        "id": "L1",
        "sheet": "Intake",
        "row": 2,
        "code": "K7M",
        "resident": "Resident one",
        "household": "H1",
        "place": "Hall",
        "item_text": "insulin vial",
        "kind_id": "insulin-unopened",
        "kind_name": "Insulin, unopened",
        "stock_class": StockClass.MEDICINE,
        "gate": Gate.POOL,
        "consequence": Consequence.LIFE,
        "quantity": 2,
        "volume_l": 0.5,
        "keep_from_c": 2.0,
        "keep_to_c": 8.0,
        "never_freeze": True,
        "warm_hours": None,
        "warm_max_c": None,
        "clock": Clock.UNKNOWN,
    }
    return Line(**(values | fields))


def unit(**fields: Any) -> ColdUnit:
    """A 12 V compressor fridge: 20 L, 16 L usable, holds 3-7 C at 5 C."""
    values: dict[str, Any] = {
        "id": "U1",
        "name": "Fridge one",
        "place": "Hall",
        "kind": UnitType.COMPRESSOR,
        "gross_volume_l": 20.0,
        "usable_share": 0.8,
        "set_points_c": (4.0, 5.0),
        "swing_c": 2.0,
        "running_w": 45.0,
        "rated_wh_day": 240.0,
        "supply": Supply.DC,
    }
    return ColdUnit(**(values | fields))


def battery(**fields: Any) -> Battery:
    """A full 1,000 Wh LFP pack: two 12 V ports, one AC outlet."""
    values: dict[str, Any] = {
        "id": "B1",
        "name": "Battery one",
        "place": "Hall",
        "capacity_wh": 1000.0,
        "chemistry": Chemistry.LFP,
        "charge_now": 1.0,
        "usable_share": 0.9,
        "max_out_w": 300.0,
        "ports_12v": 2,
        "port_12v_max_w": 120.0,
        "outlets_ac": 1,
        "ac_idle_w": 10.0,
        "max_charge_w": 200.0,
        "solar_input_max_w": 150.0,
    }
    return Battery(**(values | fields))


def panel(**fields: Any) -> Panel:
    """A 100 W panel that can stand anywhere."""
    values: dict[str, Any] = {
        "id": "P1",
        "name": "Panel one",
        "place": "",
        "rated_w": 100.0,
        "controller": Controller.MPPT,
        "tilt_deg": 20.0,
        "azimuth_deg": 180.0,
    }
    return Panel(**(values | fields))


def source(**fields: Any) -> Source:
    """A 500 W generator in the hall, on all day."""
    values: dict[str, Any] = {
        "id": "S1",
        "name": "Generator",
        "place": "Hall",
        "kind": SourceKind.GENERATOR,
        "max_w": 500.0,
    }
    return Source(**(values | fields))


def life_support(**fields: Any) -> Source:
    """A 30 W load on AC that comes before the fridges, all day."""
    values: dict[str, Any] = {
        "id": "V1",
        "name": "Concentrator",
        "place": "Hall",
        "kind": SourceKind.PRIORITY_LOAD,
        "max_w": 30.0,
    }
    return Source(**(values | fields))


def place(temp_c: float = 25.0, **fields: Any) -> Place:
    """Build a hall at one temperature all day."""
    values: dict[str, Any] = {
        "name": "Hall",
        "temp_c_by_clock_hour": (temp_c,) * 24,
    }
    return Place(**(values | fields))


def loan(**fields: Any) -> Availability:
    """Terms of borrowed equipment that the pool already has."""
    values: dict[str, Any] = {"status": Status.HERE, "lender": "Lender one"}
    return Availability(**(values | fields))


def conditions(**fields: Any) -> Conditions:
    """Six hours from Monday 08:00, planned without sun, ten per cent reserve."""
    values: dict[str, Any] = {
        "start": START,
        "window_h": 6,
        "peak_sun_hours": 5.0,
        "sun_case": SunCase.NONE,
    }
    return Conditions(**(values | fields))


def scenario(**fields: Any) -> Scenario:
    """One of everything, except sources; ``rows_in`` counts the rows given."""
    values: dict[str, Any] = {
        "lines": (line(),),
        "places": (place(),),
        "units": (unit(),),
        "batteries": (battery(),),
        "panels": (panel(),),
        "sources": (),
        "conditions": conditions(),
    }
    values |= fields
    rows = {(row.sheet, row.row) for row in values["lines"]}
    rows |= {(row.sheet, row.row) for row in values.get("held_rows", ())}
    values.setdefault("rows_in", len(rows))
    return Scenario(**values)


def held_row(**fields: Any) -> HeldRow:
    """An intake row that waits in review."""
    values: dict[str, Any] = {
        "sheet": "Intake",
        "row": 9,
        "code": "item-unknown",
        "text": "see note",
    }
    return HeldRow(**(values | fields))


def demand(**fields: Any) -> Demand:
    """The whole of the default line, tier A, no allowance known."""
    values: dict[str, Any] = {
        "line_id": "L1",
        "tier": Tier.A,
        "count": 2,
        "surplus": False,
        "allowance_h": None,
        "safe_until": None,
        "why": "life-critical",
    }
    return Demand(**(values | fields))


def use(**fields: Any) -> UnitUse:
    """The default unit on at 5 C, a quarter of it loaded warm."""
    values: dict[str, Any] = {
        "unit_id": "U1",
        "set_points_c": (5.0,),
        "stock_classes": (StockClass.MEDICINE,),
        "warm_fill": 0.25,
    }
    return UnitUse(**(values | fields))


def placement(**fields: Any) -> Placement:
    """Both bags of the default line in the default unit."""
    values: dict[str, Any] = {
        "line_id": "L1",
        "unit_id": "U1",
        "zone": 0,
        "count": 2,
        "tier": Tier.A,
        "surplus": False,
    }
    return Placement(**(values | fields))


def hookup(**fields: Any) -> Hookup:
    """The default battery feeds the default unit on 12 V, all six hours."""
    values: dict[str, Any] = {
        "link": Link.BATTERY_TO_UNIT,
        "from_id": "B1",
        "to_id": "U1",
        "port": PortType.DC_12V,
        "port_number": 1,
        "place": "Hall",
        "from_h": 0,
        "to_h": 6,
    }
    return Hookup(**(values | fields))


def sun_plug(**fields: Any) -> Hookup:
    """The default panel on the default battery."""
    values: dict[str, Any] = {
        "link": Link.PANEL_TO_BATTERY,
        "from_id": "P1",
        "to_id": "B1",
        "port": PortType.SOLAR,
    }
    return replace(hookup(), **(values | fields))


def charger_plug(**fields: Any) -> Hookup:
    """The default generator charges the default battery."""
    values: dict[str, Any] = {
        "link": Link.SOURCE_TO_BATTERY,
        "from_id": "S1",
        "to_id": "B1",
        "port": PortType.CHARGER,
    }
    return replace(hookup(), **(values | fields))


def source_plug(**fields: Any) -> Hookup:
    """The default generator feeds the default unit."""
    values: dict[str, Any] = {
        "link": Link.SOURCE_TO_UNIT,
        "from_id": "S1",
        "to_id": "U1",
        "port": PortType.AC,
    }
    return replace(hookup(), **(values | fields))


def shortfall(**fields: Any) -> Shortfall:
    """Both bags of the default line left without a place."""
    values: dict[str, Any] = {
        "line_id": "L1",
        "tier": Tier.A,
        "count": 2,
        "surplus": False,
        "reason": ReasonFamily.VOLUME,
        "detail": "no litres left",
        "safe_until": None,
        "next_step": "borrow a fridge of 5 L",
    }
    return Shortfall(**(values | fields))


def change(**fields: Any) -> Change:
    """A lock on the default unit, which places both bags."""
    values: dict[str, Any] = {
        "kind": ChangeKind.LOCK,
        "item_id": "U1",
        "place": "Hall",
        "bags": 2,
    }
    return Change(**(values | fields))


def warm_clock(**fields: Any) -> WarmClock:
    """Both bags of the default line kept at room temperature until Tuesday."""
    values: dict[str, Any] = {
        "line_id": "L1",
        "count": 2,
        "until": START.replace(day=8),
        "why": "allowance outlasts the window",
    }
    return WarmClock(**(values | fields))
