"""Equipment and settings of ``every_fault.xlsx``, each row with one fault."""

from __future__ import annotations

from datetime import datetime
from typing import Any

UNIT_HEADINGS = (
    "Unit", "Place", "Type", "Gross volume (L)", "Usable share", "Set points (C)",
    "Swing (C)", "Running W", "Rated Wh/day", "Supply", "Lockable", "Zones", "Status",
    "Lender", "Ready in (h)", "Effort (1-5)", "Back by", "Colour", "Notes",
)  # fmt: skip
_UNIT = {
    "Place": "Hall",
    "Type": "compressor",
    "Gross volume (L)": 40,
    "Status": "here",
}
_FAULTY_UNITS: tuple[tuple[str | None, dict[str, Any], str], ...] = (
    ("Fridge one", {"Set points (C)": "2; 5", "Colour": "grey"}, "nothing wrong"),
    ("Fridge one", {}, "the same name again"),
    (None, {}, "no name"),
    ("Fridge two", {"Type": "sputnik"}, "unknown type"),
    ("Fridge three", {"Type": None}, "no type"),
    ("Fridge four", {"Type": "electric cool box"}, "compressor or thermoelectric"),
    ("Fridge five", {"Gross volume (L)": None}, "no volume"),
    ("Fridge six", {"Gross volume (L)": -40}, "negative volume"),
    ("Fridge seven", {"Gross volume (L)": 90000}, "absurd volume"),
    ("Fridge eight", {"Gross volume (L)": "two crates"}, "volume in words"),
    ("Fridge nine", {"Set points (C)": "as cold as it goes"}, "set points in words"),
    ("Fridge ten", {"Zones": "left and right"}, "zones in words"),
    ("Fridge eleven", {"Usable share": 400}, "absurd share"),
    ("Fridge twelve", {"Running W": "3 horses"}, "unknown unit"),
    ("Fridge twelve and a half", {"Running W": 45, "Rated Wh/day": 1081},
     "more energy than its power can draw"),
    ("Fridge thirteen", {"Supply": "steam"}, "unknown supply"),
    ("Fridge fourteen", {"Status": "who knows"}, "unknown status"),
    ("Fridge fifteen", {"Status": None, "Lender": "Lender A"}, "lender, no status"),
    ("Fridge sixteen", {"Status": "can borrow", "Lender": "Lender B",
                        "Ready in (h)": 10, "Back by": datetime(2026, 7, 14, 12)},
     "back before it is ready"),
    ("Fridge seventeen", {"Status": "can borrow", "Lender": "Lender C",
                          "Back by": "when the cows come home"}, "no date"),
    ("Fridge eighteen", {"Status": "out of order"}, "out of order"),
    ("Fridge nineteen", {"Lockable": "sort of"}, "neither yes nor no"),
    ("Fridge twenty", {"Place": "Hal l"}, "place spelt otherwise"),
    ("Fridge twenty-one", {"Place": None}, "no place"),
    ("Fridge twenty-two", {"Running W": "#DIV/0!"}, "spreadsheet error"),
    ("=cmd|' /C calc'!A1", {}, "text that begins with ="),
    ("@fridge", {"Status": "can borrow", "Lender": "<i>Lender</i>",
                 "Effort (1-5)": 9}, "text that begins with @, effort above 5"),
)  # fmt: skip
UNITS: tuple[dict[str, Any], ...] = (
    *(
        {"Unit": name, **_UNIT, **other, "Notes": note}
        for name, other, note in _FAULTY_UNITS
    ),
    {"Unit": "Total", "Gross volume (L)": 1200},
)

BATTERY_HEADINGS = (
    "Battery", "Place", "Capacity (Wh)", "Ah", "Volts", "Chemistry", "Charge now (%)",
    "Max out (W)", "12V ports", "AC outlets", "Max charge (W)", "Solar input max (W)",
    "Movable", "Status", "Notes",
)  # fmt: skip
_BATTERY = {
    "Place": "Hall",
    "Capacity (Wh)": 1000,
    "Chemistry": "LFP",
    "Charge now (%)": 80,
    "Status": "here",
}
_FAULTY_BATTERIES: tuple[tuple[str | None, dict[str, Any], str], ...] = (
    ("Pack one", {}, "nothing wrong"),
    ("Pack two", {"Capacity (Wh)": None}, "no capacity"),
    ("Pack three", {"Capacity (Wh)": None, "Ah": 100}, "Ah without volts"),
    ("Pack four", {"Capacity (Wh)": "big one"}, "capacity in words"),
    ("Pack five", {"Capacity (Wh)": -500}, "negative capacity"),
    ("Pack six", {"Capacity (Wh)": "1.200"}, "1.2 or 1200"),
    ("Pack seven", {"Chemistry": "potato"}, "unknown chemistry"),
    ("Pack eight", {"Charge now (%)": None}, "no charge"),
    ("Pack nine", {"Charge now (%)": 0.6}, "60 % or 0.6 %"),
    ("Pack ten", {"Charge now (%)": 1}, "1 % or full"),
    ("Pack eleven", {"Charge now (%)": 250}, "absurd charge"),
    ("Pack twelve", {"Movable": "if two carry"}, "neither yes nor no"),
    ("Pack one", {}, "the same name again"),
    ("Pack thirteen", {"12V ports": "several"}, "count in words"),
)
BATTERIES: tuple[dict[str, Any], ...] = tuple(
    {"Battery": name, **_BATTERY, **other, "Notes": note}
    for name, other, note in _FAULTY_BATTERIES
)

PANEL_HEADINGS = (
    "Panel", "Place", "Rated W", "Controller", "Tilt", "Azimuth", "Shade share",
    "Status", "Notes",
)  # fmt: skip
_PANEL = {"Place": "Hall", "Rated W": 100, "Controller": "MPPT", "Status": "here"}
_FAULTY_PANELS: tuple[tuple[str | None, dict[str, Any], str], ...] = (
    ("Panel one", {}, "nothing wrong"),
    ("Panel two", {"Rated W": None}, "no watts"),
    ("Panel three", {"Rated W": "about two doors"}, "watts in words"),
    ("Panel four", {"Controller": "duct tape"}, "unknown controller"),
    ("Panel five", {"Azimuth": "toward the hill", "Tilt": 140}, "no direction"),
    ("Panel six", {"Shade share": "a bit"}, "share in words"),
)
PANELS: tuple[dict[str, Any], ...] = tuple(
    {"Panel": name, **_PANEL, **other, "Notes": note}
    for name, other, note in _FAULTY_PANELS
)

SOURCE_HEADINGS = (
    "Source", "Place", "Kind", "W", "From", "To", "Days", "Status", "Notes",
)  # fmt: skip
_SOURCE = {
    "Place": "Hall",
    "Kind": "generator",
    "W": 800,
    "From": "18:00",
    "To": "20:00",
    "Status": "here",
}
_FAULTY_SOURCES: tuple[tuple[str | None, dict[str, Any], str], ...] = (
    ("Generator one", {}, "nothing wrong"),
    ("Generator two", {"W": None}, "no watts"),
    ("Generator three", {"From": None, "To": None}, "no clock times"),
    ("Generator four", {"From": "25:99"}, "no clock time"),
    ("Generator five", {"Days": "when it rains"}, "no days"),
    ("Hamster wheel", {"Kind": "hamster"}, "unknown kind"),
    ("Oxygen concentrator", {"Kind": "life support", "W": 40}, "nothing wrong"),
)
SOURCES: tuple[dict[str, Any], ...] = tuple(
    {"Source": name, **_SOURCE, **other, "Notes": note}
    for name, other, note in _FAULTY_SOURCES
)

CONDITION_HEADINGS = ("Setting", "Place", "Value", "Notes")
CONDITIONS: tuple[tuple[Any, ...], ...] = (
    ("Start", None, datetime(2026, 7, 14, 7, 20), "not a full hour"),
    ("Window (h)", None, 71.5, "not a whole hour"),
    ("Weather", None, "fine", "no such setting"),
    ("Sky factor", None, 0.7, "first of two"),
    ("Sky factor", None, 0.8, "the same setting again"),
    ("Room temperature (C)", "Church", 30, "place of no other sheet"),
    ("Room temperature (C)", "Hall", 88, "F typed into C"),
    ("Latitude", None, 1000, "absurd latitude"),
    ("Longitude", None, None, "no longitude"),
    ("Sun case", None, "glorious", "not one of the list"),
    ("Swap times", None, "tea time", "no clock times"),
    ("Ice (kg/day)", None, "a bag or two", "ice in words"),
    ("Feeds and medicines", None, "separate units", "nothing wrong"),
    ("Open at night", "Hall", "depends", "neither yes nor no"),
)

DIARY: tuple[tuple[str, ...], ...] = (
    ("A page that is no list.",),
    ("Nobody reads it.",),
)
