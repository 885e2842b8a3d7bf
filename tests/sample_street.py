"""Rows of ``quiet_street.xlsx``: eight neighbours, mild days, enough of all.

Everything here is invented.  Every cell that the planner would otherwise
fill is filled, so that reading it assumes nothing about the equipment.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

_PLACE = "Garden room"


def _line(
    resident: str, household: str, item: str, quantity: int, **other: Any
) -> dict[str, Any]:
    row: dict[str, Any] = {
        "Resident": resident,
        "Household": household,
        "Place": _PLACE,
        "Item": item,
        "Quantity": quantity,
    }
    row |= {name.replace("_", " "): value for name, value in other.items()}
    return row


LINES: tuple[dict[str, Any], ...] = (
    _line("House 1, A", "House 1", "insulin glargine pens", 2, Daily_use=0.2),
    _line("House 1, A", "House 1", "insulin lispro pens", 2, Daily_use=0.3),
    _line("House 1, B", "House 1", "adalimumab pens", 1),
    _line("House 2, A", "House 2", "latanoprost eye drops", 1),
    _line("House 2, B", "House 2", "amoxicillin clavulanate suspension", 1),
    _line("House 3, A", "House 3", "insulin aspart vial", 2, Daily_use=0.2),
    _line("House 3, baby", "House 3", "breast milk fresh", 6, Daily_use=4),
    _line("House 4, A", "House 4", "semaglutide pen", 1),
    _line("House 4, A", "House 4", "glucagon kit", 1),
    _line("House 5, A", "House 5", "teriparatide pen", 1),
    _line("House 5, A", "House 5", "enoxaparin syringes", 10),
    _line("House 6, A", "House 6", "cat insulin vial", 1),
)

UNITS: tuple[dict[str, Any], ...] = (
    {"Unit": "Car fridge 40", "Place": _PLACE, "Type": "compressor",
     "Gross volume (L)": 40, "Usable share": 0.65, "Set points (C)": "5",
     "Swing (C)": 1.5, "Running W": 45, "Rated Wh/day": 280,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "12V",
     "Lockable": "yes", "Zones": 1, "Status": "here"},
    {"Unit": "Car fridge 25", "Place": _PLACE, "Type": "compressor",
     "Gross volume (L)": 25, "Usable share": 0.65, "Set points (C)": "2",
     "Swing (C)": 1.5, "Running W": 40, "Rated Wh/day": 230,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "12V",
     "Lockable": "no", "Zones": 1, "Status": "here"},
)  # fmt: skip

BATTERIES: tuple[dict[str, Any], ...] = (
    {"Battery": "Pack 1500", "Place": _PLACE, "Capacity (Wh)": 1500,
     "Chemistry": "LFP", "Charge now (%)": 95, "Usable share": 0.85,
     "Max out (W)": 1000, "12V ports": 2, "AC outlets": 2, "AC idle (W)": 12,
     "Max charge (W)": 500, "Solar input max (W)": 300, "Movable": "yes",
     "Status": "here"},
    {"Battery": "Pack 1000", "Place": _PLACE, "Capacity (Wh)": 1000,
     "Chemistry": "LFP", "Charge now (%)": 90, "Usable share": 0.85,
     "Max out (W)": 800, "12V ports": 2, "AC outlets": 1, "AC idle (W)": 10,
     "Max charge (W)": 400, "Solar input max (W)": 250, "Movable": "yes",
     "Status": "here"},
)  # fmt: skip

PANELS: tuple[dict[str, Any], ...] = tuple(
    {"Panel": f"Shed panel {number}", "Place": _PLACE, "Rated W": 150,
     "Controller": "MPPT", "Tilt": 30, "Azimuth": 180, "Shade share": 0,
     "Status": "here"}
    for number in (1, 2)
)  # fmt: skip


CONDITIONS: tuple[dict[str, Any], ...] = (
    {"Setting": "Start", "Value": datetime(2026, 5, 5, 9, 0)},
    {"Setting": "Window (h)", "Value": 48},
    {"Setting": "Open at night", "Place": _PLACE, "Value": "yes"},
    {"Setting": "Room temperature at 05:00 (C)", "Place": _PLACE, "Value": 17},
    {"Setting": "Room temperature at 16:00 (C)", "Place": _PLACE, "Value": 23},
    {"Setting": "Peak sun hours", "Value": 4.5},
    {"Setting": "Sun case", "Value": "poor"},
    {"Setting": "Poor share", "Value": 0.5},
    {"Setting": "Sky factor", "Value": 0.7},
    {"Setting": "Reserve share", "Value": 0.1},
    {"Setting": "Ice (kg/day)", "Value": 0},
    {"Setting": "Feeds and medicines", "Value": "separate units"},
    {"Setting": "Swap times", "Value": "09:00; 19:00"},
)
