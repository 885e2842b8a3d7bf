"""Rows of ``every_fault.xlsx``: each fault that one workbook can carry.

Everything here is invented.  Each row's Notes say what is wrong with it;
the row still may not stop the plan.
"""

from __future__ import annotations

from copy import copy
from datetime import datetime
from typing import Any

from openpyxl.worksheet.worksheet import Worksheet

from tests import sample_faults_kit as kit

INTAKE_SHEET = "Sat AM"
INTAKE_HEADINGS = (
    "Name", "Household", "Place", "Medication", "Qty", "How many",
    "Volume each (L)", "Keep from (C)", "Keep to (C)", "Temp", "Storage",
    "Cold? Y/N", "Never freeze", "Warm hours", "Warm max (C)", "Out since",
    "Opened", "Daily use", "Tier", "Locked", "Night need", "Keep by (date)",
    "Priority", "Phone", "Mood", "Notes",
)  # fmt: skip

_LONG = "insulin glargine pens " + "please keep this one very cold " * 200

_N = "Name"
_I = "Medication"
_Q = "Qty"


def _row(name: str | None, item: Any, quantity: Any, **other: Any) -> dict[str, Any]:
    row = {"Household": "H1", "Place": "Hall", _N: name, _I: item, _Q: quantity}
    row |= {_HEADING[key]: value for key, value in other.items()}
    return row


_HEADING = {
    "household": "Household",
    "place": "Place",
    "volume": "Volume each (L)",
    "low": "Keep from (C)",
    "high": "Keep to (C)",
    "temp": "Temp",
    "storage": "Storage",
    "cold": "Cold? Y/N",
    "freeze": "Never freeze",
    "warm": "Warm hours",
    "warm_max": "Warm max (C)",
    "out": "Out since",
    "opened": "Opened",
    "use": "Daily use",
    "tier": "Tier",
    "locked": "Locked",
    "night": "Night need",
    "keep_by": "Keep by (date)",
    "priority": "Priority",
    "phone": "Phone",
    "mood": "Mood",
    "note": "Notes",
}

LINES: tuple[dict[str, Any], ...] = (
    _row("Cot 1", "insulin glargine pens", 2, priority=1, phone="none",
         mood="calm", note="nothing wrong"),
    _row("Cot 2", None, 2, note="no item"),
    _row("Cot 3", "see bag", 1, note="no item that can be read"),
    _row("Cot 4", "blue liquid from the neighbour", 1, note="unknown item"),
    _row("Cot 4", "dulaglutide or tirzepatide", 1, note="one or the other"),
    _row("Cot 4", "breast milk bags, some frozen some not", 6, note="two states"),
    _row("Cot 4", "enoxaparin with the gizmo thing", 1, note="words left over"),
    _row("Cot 5", "insulin glargne pens", 2, note="misspelt item"),
    _row("Cot 6", "insulin", "ten or so", note="quantity in words that say no number"),
    _row("Cot 7", "insulin lispro pens", None, note="quantity missing"),
    _row("Cot 8", "insulin aspart pens", 2.5, note="half a pack"),
    _row("Cot 9", "insulin detemir pens", -3, note="negative quantity"),
    _row("Cot 10", "insulin degludec pens", 90000, note="absurd quantity"),
    _row("Cot 11", "insulin lispro pens", datetime(2026, 2, 1), note="1-2 made a date"),
    _row("Cot 12", "adalimumab pens", 1, volume="big", note="volume in words"),
    _row("Cot 13", "adalimumab pens", 1, volume=-0.4, note="negative volume"),
    _row("Cot 14", "adalimumab pens", 1, volume=900, note="absurd volume"),
    _row("Cot 15", "adalimumab pens", 1, volume="2 firkins", note="unknown unit"),
    _row("Cot 16", "adalimumab pens", 1, volume="1,500", note="thousand or decimal"),
    _row("Cot 17", "etanercept pens", 1, temp=datetime(2026, 8, 2), note="2-8 made a date"),
    _row("Cot 18", "etanercept pens", 1, temp="36-46", note="no unit, surely F"),
    _row("Cot 19", "etanercept pens", 1, temp="4", note="one edge, F or C"),
    _row("Cot 20", "etanercept pens", 1, temp="2-4-8", note="three edges"),
    _row("Cot 21", "etanercept pens", 1, low=8, high=2, note="upside down"),
    _row("Cot 22", "etanercept pens", 1, low=-5, high=15, note="wider than the label's"),
    _row("Cot 22", "insulin lispro pens", 1, temp="0-12", note="wider than the label"),
    _row("Cot 22", "insulin lispro pens", 1, warm="29 days", note="longer than the label"),
    _row("Cot 23", "etanercept pens", 1, low=36, high=46, note="F typed into C"),
    _row("Cot 24", "insulin glargine pens", 1, storage="freezer", note="must not freeze"),
    _row("Cot 25", "insulin glargine pens", 1, freeze="no", note="may freeze, it says"),
    _row("Cot 26", "enoxaparin syringes", 10, cold="yes", note="room item, said cold"),
    _row("Cot 27", "insulin glargine pens", 1, cold="no", note="cold item, said not"),
    _row("Cot 28", "erenumab pen", 1, low=15, high=25, note="room temperature"),
    _row("Cot 29", "amoxicillin clavulanate suspension", 1,
         keep_by=datetime(2026, 7, 1), note="past its date"),
    _row("Cot 30", "insulin lispro pens", "=1+1", note="formula that was never saved"),
    _row("Cot 31", "insulin lispro pens", "#REF!", note="spreadsheet error"),
    _row("Cot 32", "insulin lispro pens", 1, opened="perhaps", note="neither yes nor no"),
    _row("Cot 33", "insulin lispro pens", 1, tier="Z", note="no such tier"),
    _row("Cot 34", "insulin lispro pens", 1, tier="A", note="tier set by hand"),
    _row("Cot 35", "erenumab pen", 1, out="sometime", note="no date"),
    _row("Cot 36", "erenumab pen", 1, out="3/4/2026", note="d/m or m/d"),
    _row("Cot 37", "erenumab pen", 1, out=datetime(2026, 7, 20, 9), note="in the future"),
    _row("Cot 38", "erenumab pen", 1, out="25:70", note="no clock time"),
    _row("Cot 39", "insulin aspart vial / latanoprost eye drops / teriparatide pen", 3,
         note="three items in one cell"),
    _row("Cot 40", "insulin aspart vial", 1, note="the row above the ditto mark"),
    _row("Cot 41", "ditto", 1, note="ditto mark"),
    _row("Cot 42", "adalimumab pens", 1, note="first of two"),
    _row("Cot 42", "adalimumab pens", 1, note="same person, same item"),
    _row(None, "semaglutide pen", 1, household=None, note="no name"),
    _row("Cot 43", "semaglutide pen", 1, place=None, note="no place"),
    _row("Cot 44", "semaglutide pen", 1, place="Chapel", note="place of no other sheet"),
    _row("Cot 45", "semaglutide pen", 1, place="hall.", note="place spelt otherwise"),
    _row("Cot 46", "insulin lispro pen in use", 1, opened="yes", note="in use"),
    _row("Ana Moss", "dulaglutide pen", 1, household="H2", note="maybe the next row"),
    _row("MOSS, ANA", "liraglutide pen", 1, household="H2", note="maybe the row above"),
    _row("Cot 47", "=2+5 insulin pens", 1, note="=text that begins with a sign"),
    _row("Cot 48", "+insulin lispro pens", 1, note="-text that begins with a sign"),
    _row("Cot 49", "<script>alert('x')</script>", 1, note="script tag"),
    _row("<b>Cot 50</b>", "insulin glargine pens", 1, note="<img src=x onerror=1>"),
    _row("Cot 51", _LONG, 1, note="very long text"),
    _row("Cot 52", "left Tues w/ daughter", 1, note="the item has gone"),
    _row("Cot 53", "NONE - just ice packs for knee", 1, note="no item at all"),
    _row("Cot 54", "insulin lispro pens", 1, note="struck through"),
    _row("Cot 55", "insulin lispro pens", 1, note="hidden row"),
    _row("Cot 56", "glatiramer syringes", 12, note="single pieces or boxes"),
    _row("Cot 57", "yogurt", 4, note="food"),
    _row("Cot 58", "insulin lispro pens", 1, warm="a while", use="often", note="text in numbers"),
    _row("Cot 59", "insulin lispro pens", 1, locked="ask", night="maybe", note="unclear"),
    _row("Cot 60", "insulin lispro pens", 1, warm_max=500, note="absurd temperature"),
    {_N: "Name", _I: "Medication", _Q: "Qty"},
    {_N: "TOTAL", _Q: 120},
    {_N: "Note: call the nurse about the list before noon"},
)  # fmt: skip

SHEETS: tuple[tuple[str, tuple[str, ...], tuple[Any, ...]], ...] = (
    ("Cold units", kit.UNIT_HEADINGS, kit.UNITS),
    ("Batteries", kit.BATTERY_HEADINGS, kit.BATTERIES),
    ("Panels", kit.PANEL_HEADINGS, kit.PANELS),
    ("Other power", kit.SOURCE_HEADINGS, kit.SOURCES),
    ("Conditions", kit.CONDITION_HEADINGS, kit.CONDITIONS),
    ("Diary", ("Dear diary",), kit.DIARY),
)
"""Title, headings and rows of every other sheet."""


def mark_intake(sheet: Worksheet) -> None:
    """Strike one row through, hide one, and leave one formula unsaved."""
    for cells in sheet.iter_rows():
        note = cells[len(INTAKE_HEADINGS) - 1].value
        if note == "struck through":
            for cell in cells:
                font = copy(cell.font)
                font.strike = True
                cell.font = font
        elif note == "hidden row":
            sheet.row_dimensions[cells[0].row].hidden = True
        elif note == "formula that was never saved":
            cells[INTAKE_HEADINGS.index("Qty")].data_type = "f"
