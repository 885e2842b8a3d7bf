"""Rows of ``hall_in_heat.xlsx``: a crowded hall, three hot days, little power.

Everything here is invented.  The pool is short of litres, of watt-hours, of
a lockable place and of ice; ten loans stand on offer.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import Any

SEED = 20260714
START = datetime(2026, 7, 14, 8, 0)

INTAKE_HEADINGS = (
    "Resident", "Household", "Place", "Item", "Quantity", "Volume each (L)",
    "Keep from (C)", "Keep to (C)", "Never freeze", "Warm hours", "Warm max (C)",
    "Out since", "Opened", "Daily use", "Tier", "Locked", "Night need",
    "Keep by (date)", "Notes",
)  # fmt: skip
LOAN_HEADINGS = ("Status", "Lender", "Ready in (h)", "Effort (1-5)", "Back by")
UNIT_HEADINGS = (
    "Unit", "Place", "Type", "Gross volume (L)", "Usable share", "Set points (C)",
    "Swing (C)", "Running W", "Rated Wh/day", "Rated ambient (C)",
    "Rated inside (C)", "Supply", "Lockable", "Zones", *LOAN_HEADINGS, "Notes",
)  # fmt: skip
BATTERY_HEADINGS = (
    "Battery", "Place", "Capacity (Wh)", "Ah", "Volts", "Chemistry",
    "Charge now (%)", "Usable share", "Max out (W)", "12V ports", "AC outlets",
    "AC idle (W)", "Max charge (W)", "Solar input max (W)", "Movable",
    *LOAN_HEADINGS, "Notes",
)  # fmt: skip
PANEL_HEADINGS = (
    "Panel", "Place", "Rated W", "Controller", "Tilt", "Azimuth", "Shade share",
    *LOAN_HEADINGS, "Notes",
)  # fmt: skip
SOURCE_HEADINGS = (
    "Source", "Place", "Kind", "W", "From", "To", "Days", "Supply", *LOAN_HEADINGS, "Notes",
)  # fmt: skip
CONDITION_HEADINGS = ("Setting", "Place", "Value", "Notes")

# Resident, household, item as written down, quantity, other cells.
Line = tuple[str, str, str, Any, dict[str, Any]]

_OPEN = {"Opened": "yes"}
_PER_DAY = "Daily use"
_LITRES = "Volume each (L)"

LINES: tuple[Line, ...] = (
    # Insulin: above 30 C the room allowance of the label is not to be had.
    ("Cot 1", "H01", "insulin glargine pens", 2, {_PER_DAY: 0.2}),
    ("Cot 1", "H01", "insulin lispro pens", 3, {_PER_DAY: 0.3}),
    ("Cot 2", "H01", "insulin aspart 10 ml vial", 2, {_PER_DAY: 0.2}),
    ("Cot 4", "H02", "NPH insulin vial", 2, {_PER_DAY: 0.3}),
    ("Cot 5", "H02", "regular insulin vial", 1, {_PER_DAY: 0.2}),
    ("Cot 6", "H03", "insulin glargine, box of 5 pens", 1, {"Notes": "new box"}),
    ("Cot 7", "H03", "insulin detemir pens", 2, {_PER_DAY: 0.2}),
    ("Cot 9", "H04", "insulin degludec pen", 2, {_PER_DAY: 0.1}),
    ("Cot 11", "H05", "premixed insulin 70/30 pens", 3, {_PER_DAY: 0.5}),
    ("Cot 12", "H05", "insulin lispro vial", 2, {_PER_DAY: 0.2}),
    ("Cot 14", "H06", "insulin aspart pens", 4, {_PER_DAY: 0.3}),
    ("Cot 18", "H08", "insulin glargine vial", 1, {_PER_DAY: 0.1}),
    ("Cot 23", "H11", "insulin lispro pens", 2,
     {_PER_DAY: 0.3, "Notes": "school bag, ask for Mia"}),
    ("Cot 31", "H16", "insulin (the orange one)", 2, {"Notes": "photo of label please"}),
    # Nutrition bags and home infusions: hours of allowance, many litres.
    ("Cot 3", "H01", "TPN bags", 6,
     {_PER_DAY: 1, _LITRES: 3, "Night need": "yes", "Notes": "hung at 20:00"}),
    ("Cot 16", "H07", "TPN bags", 5, {_PER_DAY: 1, _LITRES: 3, "Night need": "yes"}),
    ("Cot 16", "H07", "lipids, sealed bags", 3, {_PER_DAY: 1, _LITRES: 0.6}),
    ("Cot 20", "H09", "home IV antibiotic elastomeric pump", 8,
     {_PER_DAY: 2, _LITRES: 0.5, "Night need": "yes"}),
    ("Cot 28", "H14", "home IV antibiotic elastomeric pump", 4,
     {_PER_DAY: 1, _LITRES: 0.5}),
    # Rare and dear medicines.
    ("Cot 8", "H03", "factor VIII kit", 6, {_PER_DAY: 0.5}),
    ("Cot 10", "H04", "immune globulin subcut vials", 4, {_PER_DAY: 0.3}),
    ("Cot 13", "H05", "epoetin syringes", 3, {_PER_DAY: 0.3, "Notes": "do not shake"}),
    ("Cot 15", "H06", "filgrastim syringes", 5, {_PER_DAY: 1}),
    ("Cot 17", "H07", "octreotide ampoules, 1 tray", 1, {}),
    ("Cot 19", "H08", "somatropin cartridge", 2, {_PER_DAY: 0.1}),
    ("Cot 21", "H10", "teriparatide pen", 1, {**_OPEN, "Notes": "day 11 of 28"}),
    ("Cot 22", "H10", "dornase alfa ampoules, box of 30", 1, {}),
    ("Cot 24", "H11", "tobramycin inhalation ampoules, 56", 1, {}),
    # Weekly and monthly injections.
    ("Cot 25", "H12", "adalimumab pens, pack of 2", 1, {}),
    ("Cot 26", "H12", "etanercept autoinjector, pack of 4", 1, {}),
    ("Cot 27", "H13", "semaglutide pen", 1, {}),
    ("Cot 29", "H14", "liraglutide pens", 2, {}),
    ("Cot 30", "H15", "dulaglutide pens", 3, {}),
    ("Cot 32", "H16", "glatiramer syringes, box", 1, {}),
    ("Cot 33", "H17", "interferon beta-1a syringes, box of 4", 1, {}),
    ("Cot 34", "H17", "secukinumab pen", 1, {}),
    ("Cot 35", "H18", "omalizumab syringe", 1, {}),
    ("Cot 36", "H18", "denosumab syringe", 1, {}),
    ("Cot 37", "H19", "erenumab pen", 1, {}),
    ("Cot 38", "H19", "evolocumab pens", 2, {}),
    # Eyes, antibiotics, odds and ends.
    ("Cot 2", "H01", "latanoprost eye drops, unopened", 2, {}),
    ("Cot 39", "H20", "chloramphenicol eye drops", 1, _OPEN),
    ("Cot 23", "H11", "amoxicillin clavulanate suspension", 1,
     {**_OPEN, "Keep by (date)": datetime(2026, 7, 19)}),
    ("Cot 40", "H20", "cephalexin suspension", 1, _OPEN),
    ("Cot 41", "H21", "amoxicillin suspension 150 ml", 1, _OPEN),
    ("Cot 42", "H21", "omeprazole compounded liquid", 1, {}),
    ("Cot 30", "H15", "calcitonin nasal spray, unopened", 1, {}),
    ("Cot 6", "H03", "promethazine suppositories", 1, {}),
    # Locked medicines.
    ("Cot 43", "H22", "lorazepam oral concentrate", 2,
     {_PER_DAY: 0.3, "Locked": "yes", "Night need": "yes",
      "Tier": "A", "Notes": "hospice nurse visits"}),
    ("Cot 43", "H22", "lorazepam injection vials", 4,
     {"Locked": "yes", "Night need": "yes", "Tier": "A"}),
    ("Cot 44", "H22", "buprenorphine ER injection", 1, {"Locked": "yes"}),
    # Feeds of infants and tube-fed people.
    ("Baby of cot 3", "H01", "expressed breast milk, fresh, bottles", 16,
     {_PER_DAY: 8, "Night need": "yes"}),
    ("Baby of cot 7", "H03", "EBM bottles", 14, {_PER_DAY: 5, "Night need": "yes"}),
    ("Baby of cot 12", "H05", "breast milk fresh", 8, {_PER_DAY: 6, "Night need": "yes"}),
    ("Baby of cot 12", "H05", "breast milk frozen bags", 22, {_PER_DAY: 4}),
    ("Baby of cot 24", "H11", "frozen breast milk bags", 14, {_PER_DAY: 4}),
    ("Baby of cot 24", "H11", "thawed breast milk from last night", 3,
     {_PER_DAY: 6, "Night need": "yes"}),
    ("Baby of cot 29", "H14", "donor milk bottles", 8, {_PER_DAY: 4, "Night need": "yes"}),
    ("Baby of cot 33", "H17", "formula mixed, bottles", 12,
     {_PER_DAY: 6, "Night need": "yes"}),
    ("Baby of cot 33", "H17", "powder formula can", 2, {}),
    ("Baby of cot 40", "H20", "ready to feed formula, opened", 2,
     {_PER_DAY: 1, **_OPEN, "Night need": "yes"}),
    ("Baby of cot 40", "H20", "ready to feed formula sealed bottles", 48, {}),
    ("Cot 35", "H18", "tube feed opened", 2, {_PER_DAY: 1, **_OPEN, "Night need": "yes"}),
    ("Cot 45", "H23", "tube feed opened", 9, {_PER_DAY: 3, **_OPEN, "Night need": "yes"}),
    # Not for the cold: goes back to the person or to the cool shelf.
    ("Cot 1", "H01", "glucagon kit", 1, {}),
    ("Cot 14", "H06", "adrenaline auto-injectors", 2, {}),
    ("Cot 26", "H12", "enoxaparin syringes", 10, {}),
    ("Cot 37", "H19", "azithromycin suspension", 1, {}),
    ("Cot 38", "H19", "clarithromycin suspension", 1, {}),
    ("Cot 34", "H17", "cat insulin, 1 vial (pet)", 1, {}),
    ("Cot 41", "H21", "insulin for dog", 1, {}),
    # Two things in one cell, and a mark for the same as above.
    ("Cot 27", "H13", "insulin glargine pen / latanoprost eye drops", 1, {}),
    ("Cot 32", "H16", "insulin lispro pens", 2, {_PER_DAY: 0.3}),
    ("Cot 33", "H17", "same as above", 1, {}),
    # Lines that somebody has to look at.
    ("Cot 36", "H18", "shots for the joints, every 2 weeks", 2, {}),
    ("Cot 39", "H20", "see bag", 1, {}),
    ("Cot 42", "H21", "kids antibiotic, pink, in the door", 1, {}),
    ("Cot 44", "H22", "insulin glargine pens", "two or three", {}),
    ("Cot 45", "H23", None, 2, {"Notes": "white paper bag, ask the carer"}),
    ("Cot 19", "H08", "insulin aspart vial", -1, {}),
)  # fmt: skip

HERE: dict[str, Any] = {"Status": "here"}


def _loan(lender: str, ready_h: int, effort: int, back: Any = None) -> dict[str, Any]:
    return {
        "Status": "can borrow",
        "Lender": lender,
        "Ready in (h)": ready_h,
        "Effort (1-5)": effort,
        "Back by": back,
    }


UNITS: tuple[dict[str, Any], ...] = (
    {"Unit": "Chest fridge 45", "Place": "Hall", "Type": "compressor",
     "Gross volume (L)": 45, "Usable share": 0.65, "Set points (C)": "2; 5",
     "Swing (C)": 1.5, "Running W": 50, "Rated Wh/day": 270,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "both",
     "Lockable": "no", "Zones": 1, **HERE},
    {"Unit": "Chest fridge 28", "Place": "Hall", "Type": "compressor",
     "Gross volume (L)": 28, "Usable share": 0.65, "Set points (C)": "2; 5",
     "Swing (C)": 1.5, "Running W": 40, "Rated Wh/day": 220,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "12V",
     "Lockable": "no", "Zones": 1, **HERE},
    {"Unit": "Two-zone fridge 60", "Place": "Annex garage", "Type": "compressor",
     "Gross volume (L)": 60, "Usable share": 0.65, "Set points (C)": "-18; 5",
     "Swing (C)": 1.5, "Running W": 210, "Rated Wh/day": 1100,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "AC",
     "Lockable": "no", "Zones": "60/40", **HERE,
     "Notes": "old and hungry"},
    {"Unit": "Garage fridge 150", "Place": "Annex garage", "Type": "household",
     "Gross volume (L)": 150, "Usable share": 0.65, "Set points (C)": "2; 5",
     "Swing (C)": 2, "Running W": 110, "Rated Wh/day": 750,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "AC",
     "Lockable": "yes", "Zones": 1, **HERE},
    {"Unit": "Plug-in cool box 24", "Place": "Hall", "Type": "thermoelectric",
     "Gross volume (L)": 24, "Usable share": 0.7, "Set points (C)": "5",
     "Swing (C)": 3, "Running W": 48, "Supply": "12V", "Lockable": "no",
     "Zones": 1, **HERE, "Notes": "fine in spring, the owner says"},
    {"Unit": "Ice chest 50", "Place": "Hall", "Type": "ice chest (conditioned packs)",
     "Gross volume (L)": 50, "Usable share": 0.6, "Supply": "none",
     "Lockable": "no", "Zones": 1, **HERE,
     "Notes": "foam barrier and a thermometer inside"},
    {"Unit": "Office fridge 60", "Place": "Hall", "Type": "household",
     "Gross volume (L)": 60, "Usable share": 0.65, "Set points (C)": "5",
     "Swing (C)": 2, "Running W": 80, "Rated Wh/day": 300,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "AC",
     "Lockable": "yes", "Zones": 1, **_loan("Lender A", 0, 2),
     "Notes": "has a key; mains plug only"},
    {"Unit": "Drawer fridge 30", "Place": "Hall", "Type": "compressor",
     "Gross volume (L)": 30, "Usable share": 0.65, "Set points (C)": "2; 5",
     "Swing (C)": 1.5, "Running W": 45, "Rated Wh/day": 270,
     "Rated ambient (C)": 25, "Rated inside (C)": 5, "Supply": "12V",
     "Lockable": "yes", "Zones": 1, **_loan("Lender B", 1, 1)},
    {"Unit": "Camp freezer 35", "Place": "Hall", "Type": "compressor",
     "Gross volume (L)": 35, "Usable share": 0.7, "Set points (C)": "-18",
     "Swing (C)": 1.5, "Running W": 60, "Rated Wh/day": 380,
     "Rated ambient (C)": 25, "Rated inside (C)": -18, "Supply": "both",
     "Lockable": "no", "Zones": 1, **_loan("Lender C", 0, 3)},
)  # fmt: skip

BATTERIES: tuple[dict[str, Any], ...] = (
    {"Battery": "Power pack 1000", "Place": "Hall", "Capacity (Wh)": 1024,
     "Chemistry": "LFP", "Charge now (%)": 95, "Usable share": 0.85,
     "Max out (W)": 1000, "12V ports": 2, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 500, "Solar input max (W)": 220, "Movable": "no", **HERE,
     "Notes": "its inverter is broken, 12 V only"},
    {"Battery": "Power pack 500", "Place": "Hall", "Capacity (Wh)": 512,
     "Chemistry": "LFP", "Charge now (%)": 90, "Usable share": 0.85,
     "Max out (W)": 500, "12V ports": 1, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 200, "Solar input max (W)": 130, "Movable": "no", **HERE},
    {"Battery": "Power pack 2000", "Place": "Annex garage", "Capacity (Wh)": 2016,
     "Chemistry": "LFP", "Charge now (%)": 65, "Usable share": 0.85,
     "Max out (W)": 1800, "12V ports": 1, "AC outlets": 4, "AC idle (W)": 18,
     "Max charge (W)": 600, "Solar input max (W)": 400, "Movable": "no", **HERE},
    {"Battery": "Boat battery", "Place": "Hall", "Ah": 140, "Volts": 12,
     "Chemistry": "AGM", "Charge now (%)": 95, "Usable share": 0.5,
     "Max out (W)": 240, "12V ports": 2, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 240, "Solar input max (W)": 200, "Movable": "no", **HERE},
    {"Battery": "Caravan battery", "Place": "Hall", "Ah": 75, "Volts": 12,
     "Chemistry": "AGM", "Charge now (%)": 60, "Usable share": 0.5,
     "Max out (W)": 180, "12V ports": 1, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 150, "Solar input max (W)": 150, "Movable": "no", **HERE},
    {"Battery": "Small pack 300", "Place": "Hall", "Capacity (Wh)": 300,
     "Chemistry": "lithium-ion", "Charge now (%)": 40, "Usable share": 0.85,
     "Max out (W)": 300, "12V ports": 1, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 90, "Solar input max (W)": 90, "Movable": "yes", **HERE},
    {"Battery": "Power pack 1500", "Place": "Hall", "Capacity (Wh)": 1536,
     "Chemistry": "LFP", "Charge now (%)": 100, "Usable share": 0.85,
     "Max out (W)": 1500, "12V ports": 2, "AC outlets": 3, "AC idle (W)": 6,
     "Max charge (W)": 800, "Solar input max (W)": 400, "Movable": "no",
     **_loan("Lender D", 0, 2)},
    {"Battery": "Golf cart batteries", "Place": "Hall", "Ah": 300, "Volts": 12,
     "Chemistry": "flooded lead", "Charge now (%)": 100, "Usable share": 0.5,
     "Max out (W)": 400, "12V ports": 2, "AC outlets": 0, "AC idle (W)": 0,
     "Max charge (W)": 250, "Solar input max (W)": 250, "Movable": "no",
     **_loan("Lender E", 0, 4)},
    {"Battery": "Power pack 700", "Place": "Hall", "Capacity (Wh)": 716,
     "Chemistry": "lithium-ion", "Charge now (%)": 90, "Usable share": 0.85,
     "Max out (W)": 700, "12V ports": 1, "AC outlets": 2, "AC idle (W)": 10,
     "Max charge (W)": 300, "Solar input max (W)": 200, "Movable": "yes",
     **_loan("Lender F", 0, 1, START + timedelta(hours=58))},
)  # fmt: skip

PANELS: tuple[dict[str, Any], ...] = (
    {"Panel": "Roof panel 200", "Place": "Annex garage", "Rated W": 200,
     "Controller": "MPPT", "Tilt": 30, "Azimuth": 180, "Shade share": 0, **HERE},
    {"Panel": "Roof panel 180", "Place": "Annex garage", "Rated W": 180,
     "Controller": "MPPT", "Tilt": 30, "Azimuth": 180, "Shade share": 0, **HERE},
    {"Panel": "Folding panel 160", "Place": "Hall", "Rated W": 160,
     "Controller": "built in", "Tilt": 30, "Azimuth": 180, "Shade share": 0, **HERE},
    {"Panel": "Folding panel 120", "Place": "Hall", "Rated W": 120,
     "Controller": "built in", "Tilt": 10, "Azimuth": 200, "Shade share": 0, **HERE},
    {"Panel": "Boat panel 100", "Place": "Hall", "Rated W": 100,
     "Controller": "PWM", "Tilt": 0, "Azimuth": 180, "Shade share": 0, **HERE},
    {"Panel": "Caravan panel 150", "Place": "Hall", "Rated W": 150,
     "Controller": "PWM", "Tilt": 10, "Azimuth": 150, "Shade share": 0.6, **HERE,
     "Notes": "tree from noon on"},
    {"Panel": "Shed panel 200", "Place": "Hall", "Rated W": 200,
     "Controller": "MPPT", "Tilt": 30, "Azimuth": 180, "Shade share": 0,
     **_loan("Lender G", 4, 3)},
    {"Panel": "Garden panel 160", "Place": "Hall", "Rated W": 160,
     "Controller": "built in", "Tilt": 30, "Azimuth": 180, "Shade share": 0,
     **_loan("Lender H", 1, 1)},
    {"Panel": "Camper panel 110", "Place": "Hall", "Rated W": 110,
     "Controller": "PWM", "Tilt": 0, "Azimuth": 180, "Shade share": 0.1,
     **_loan("Lender I", 2, 2, START + timedelta(hours=50))},
)  # fmt: skip

SOURCES: tuple[dict[str, Any], ...] = (
    {"Source": "Oxygen concentrator, cot 2", "Place": "Hall", "Kind": "life support",
     "W": 25, "From": "22:00", "To": "06:00",
     "Supply": "12V", **HERE},
    {"Source": "Generator", "Place": "Annex garage", "Kind": "generator", "W": 600,
     "From": "18:00", "To": "20:00", **HERE,
     "Notes": "outdoors, two hours each evening, fuel for three evenings"},
    {"Source": "Van with inverter", "Place": "Hall", "Kind": "vehicle", "W": 250,
     "From": "18:00", "To": "19:00", **_loan("Lender J", 6, 4)},
)  # fmt: skip

_HALL_C = (29, 29, 28, 28, 28, 28, 28, 28, 29, 30, 31, 31,
           32, 33, 34, 34, 34, 33, 33, 32, 31, 31, 30, 30)  # fmt: skip
_ANNEX_C = (27, 27, 26, 26, 26, 26, 26, 27, 28, 30, 31, 32,
            33, 34, 35, 35, 34, 33, 32, 31, 30, 29, 28, 28)  # fmt: skip


def intake_rows() -> list[dict[str, Any]]:
    """Return the intake rows as the desk took them down."""
    # A desk takes people as they come: the minutes differ, the rows stay put.
    rng = Random(SEED)
    rows = []
    for resident, household, item, quantity, other in LINES:
        row: dict[str, Any] = {
            "Resident": resident,
            "Household": household,
            "Place": "Hall",
            "Item": item,
            "Quantity": quantity,
            **other,
        }
        if rng.random() < 0.3:
            row["Out since"] = START - timedelta(minutes=5 * rng.randint(6, 36))
        rows.append(row)
    return rows


def _temps(place: str, temps_c: tuple[int, ...]) -> list[dict[str, Any]]:
    return [
        {"Setting": f"Room temperature at {hour:02d}:30 (C)", "Place": place,
         "Value": temp_c}
        for hour, temp_c in enumerate(temps_c)
    ]  # fmt: skip


def condition_rows() -> list[dict[str, Any]]:
    """Return the settings, room temperatures hour by hour last."""
    return [
        {"Setting": "Start", "Value": START},
        {"Setting": "Window (h)", "Value": 72, "Notes": "three days"},
        {"Setting": "Open at night", "Place": "Hall", "Value": "yes"},
        {"Setting": "Open at night", "Place": "Annex garage", "Value": "no",
         "Notes": "locked from 22:00 to 07:00"},
        {"Setting": "Reached from", "Place": "Annex garage", "Value": "Hall"},
        {"Setting": "Latitude", "Value": 37, "Notes": "a point of no importance"},
        {"Setting": "Longitude", "Value": 0},
        {"Setting": "UTC offset (h)", "Value": 0},
        {"Setting": "Sky factor", "Value": 0.7},
        {"Setting": "Sun case", "Value": "poor"},
        {"Setting": "Poor share", "Value": 0.5},
        {"Setting": "Reserve share", "Value": 0.1},
        {"Setting": "Ice (kg/day)", "Value": 11, "Notes": "one trip a day"},
        {"Setting": "Feeds and medicines", "Value": "separate units"},
        {"Setting": "Swap times", "Value": "08:00; 20:00"},
        *_temps("Hall", _HALL_C),
        *_temps("Annex garage", _ANNEX_C),
    ]  # fmt: skip
