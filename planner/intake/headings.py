"""Sheets and headings: the one place where the workbook's shape is written.

The blank workbook, the column matcher and docs/workbook.md come from here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from planner.intake.heading_names import ALSO_CALLED
from planner.intake.words import key as text_key


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One column.

    ``dimension`` names the table of :mod:`planner.intake.units` (or "temp",
    "text", "yes/no", "number", "clock", "date"); ``low`` to ``high`` is the
    plausible range in the canonical unit; ``blank`` says what an empty cell
    means, or ``default_key`` names the catalogue default used then (``*``
    stands for every type or chemistry); ``extra`` fields are understood but
    not in the blank workbook.
    """

    key: str
    heading: str
    dimension: str = "text"
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    required: bool = False
    choices: tuple[str, ...] = ()
    blank: str = ""
    default_key: str = ""
    help: str = ""
    extra: bool = False
    personal: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSpec:
    """One sheet: its name, other names for it, and its columns."""

    name: str
    also: tuple[str, ...]
    required: bool
    about: str
    fields: tuple[Field, ...]

    def names(self) -> Mapping[str, str]:
        """Field key by heading key; own headings win over other names."""
        return _names(self.name)

    def field(self, field_key: str) -> Field:
        """Give a column by its key; raises ``KeyError``."""
        for field in self.fields:
            if field.key == field_key:
                return field
        raise KeyError(field_key)


_CATALOGUE = "from the catalogue, for the kind of item"
_PLACE = "the first place named in the workbook"

_TERMS = (
    Field(key="status", heading="Status", choices=("here", "can borrow", "out of order"),
          blank="here", help="here, can borrow (only an offer) or out of order"),
    Field(key="lender", heading="Lender", blank="nobody",
          help="Who lends it; shown on the borrow list"),
    Field(key="ready_h", heading="Ready in (h)", dimension="time", unit="h", high=240,
          blank="0 (at once)", help="Hours until it can be here and running"),
    Field(key="effort", heading="Effort (1-5)", dimension="number", low=1, high=5,
          blank="1", help="1 = next door, 5 = a long trip"),
    Field(key="back_by", heading="Back by", dimension="date", blank="stays to the end",
          help="Day and clock time at which it goes back"),
)  # fmt: skip

INTAKE = SheetSpec(
    name="Intake",
    also=("intake list", "residents", "medicines", "medication", "items", "list"),
    required=True,
    about="One row for each kind of item that a resident brings.",
    fields=(
        Field(key="resident", heading="Resident", personal=True, blank="own code",
              help="Name or site code; only the name key shows it"),
        Field(key="household", heading="Household", personal=True,
              blank="the resident alone", help="Same text = same household"),
        Field(key="place", heading="Place", blank=_PLACE, help="Where the person sleeps"),
        Field(key="item", heading="Item", required=True,
              blank="the row waits in review",
              help="Generic name and form, as on the label"),
        Field(key="quantity", heading="Quantity", dimension="count", low=1, high=500,
              blank="from the item text, else 1", help="Packs or bags of this item"),
        Field(key="volume_l", heading="Volume each (L)", dimension="volume", unit="L",
              low=0.005, high=20, blank=_CATALOGUE,
              help="Outer size of one pack, not the dose"),
        Field(key="keep_from", heading="Keep from (C)", dimension="temp", unit="C",
              low=-80, high=30, blank=_CATALOGUE, help="Lowest temperature on the label"),
        Field(key="keep_to", heading="Keep to (C)", dimension="temp", unit="C",
              low=-80, high=40, blank=_CATALOGUE, help="Highest temperature on the label"),
        Field(key="never_freeze", heading="Never freeze", dimension="yes/no",
              blank=_CATALOGUE, help="yes when the label says do not freeze"),
        Field(key="warm_hours", heading="Warm hours", dimension="time", unit="h",
              high=17520, blank=_CATALOGUE + "; not known counts as none",
              help="Label allowance out of the fridge, in hours or as '14 days'"),
        Field(key="warm_max", heading="Warm max (C)", dimension="temp", unit="C",
              low=8, high=45, blank=_CATALOGUE, help="Highest temperature for that"),
        Field(key="out_since", heading="Out since", dimension="date",
              blank="the start of the window", help="When it last was cold"),
        Field(key="opened", heading="Opened", dimension="yes/no", blank="no",
              help="yes when in use"),
        Field(key="daily_use", heading="Daily use", dimension="rate", unit="packs a day",
              high=100, blank="not known: all packs count as needed",
              help="Packs used up a day, also '1 a week'"),
        Field(key="tier", heading="Tier", choices=("A", "B", "C", "D", "E"),
              blank="worked out from the item and its clock",
              help="A to E, only when someone who may decide has decided"),
        Field(key="locked", heading="Locked", dimension="yes/no", blank=_CATALOGUE,
              help="yes for controlled items"),
        Field(key="night_need", heading="Night need", dimension="yes/no", blank="no",
              help="yes when it is fetched at night"),
        Field(key="keep_by", heading="Keep by (date)", dimension="date", blank="none",
              help="Date on the label; the end of that day"),
        Field(key="notes", heading="Notes", blank="none"),
        Field(key="first_name", heading="First name", extra=True, personal=True,
              help="Joined with Surname to the resident"),
        Field(key="surname", heading="Surname", extra=True, personal=True,
              help="Joined with First name to the resident"),
        Field(key="band", heading="Temperature", dimension="temp", low=-80, high=40,
              extra=True, help="Both edges in one cell, such as 2-8 or 36-46 F"),
        Field(key="storage", heading="Storage", extra=True,
              help="fridge, freezer or room, or both edges"),
        Field(key="cold", heading="Refrigerated", dimension="yes/no", extra=True,
              help="yes when someone says it must be cold"),
        Field(key="frozen", heading="Frozen", dimension="yes/no", extra=True,
              help="yes when it is frozen now"),
        Field(key="thawed", heading="Thawed", dimension="yes/no", extra=True,
              help="yes, or when it thawed; it never goes back into a freezer"),
        Field(key="made", heading="Made at", dimension="date", extra=True,
              help="When it was mixed, pumped or made up"),
        Field(key="badge", heading="Cot or wristband", extra=True, personal=True,
              help="Stands for the person when there is no name"),
        Field(key="priority", heading="Priority", extra=True,
              help="Not used: which end is high is not known. Use Tier"),
        Field(key="temp_unit", heading="F or C", extra=True,
              help="Unit of the temperature in the same row"),
        Field(key="aside", heading="Dose times", extra=True,
              help="Never read: doses, languages, initials, tags, check marks"),
        Field(key="private", heading="Phone", extra=True, personal=True,
              help="Never read: contact, birth and diagnosis columns"),
    ),
)  # fmt: skip

COLD_UNITS = SheetSpec(
    name="Cold units",
    also=("fridges", "cold storage", "coolers", "fridges and coolers", "units",
          "refrigerators", "ice chests", "cold unit"),
    required=False,
    about="Fridges, ice chests, shelves and borrowed cold space.",
    fields=(
        Field(key="name", heading="Unit", required=True, blank="a number in the sheet"),
        Field(key="place", heading="Place", blank=_PLACE),
        Field(key="type", heading="Type", required=True,
              choices=("compressor", "household", "thermoelectric", "absorption",
                       "ice chest", "powered elsewhere", "cool shelf", "evaporative"),
              blank="the unit is left out",
              help="'ice chest (conditioned packs)' for packs with barrier and "
              "thermometer"),
        Field(key="gross_l", heading="Gross volume (L)", dimension="volume", unit="L",
              low=1, high=3000, required=True, blank="the unit is left out"),
        Field(key="usable_share", heading="Usable share", dimension="share", low=0.05,
              high=1, default_key="unit.*.usable_share", help="0.65 or 65%"),
        Field(key="set_points", heading="Set points (C)", dimension="temp", unit="C",
              low=-40, high=15, default_key="unit.*.set_points_c", help="Settings to choose from: 5; -18"),
        Field(key="swing", heading="Swing (C)", dimension="number", unit="C", low=0.1,
              high=10, default_key="unit.*.swing_c", help="Degrees above and below the set point"),
        Field(key="running_w", heading="Running W", dimension="power", unit="W", low=5,
              high=2000, default_key="unit.*.running_w", help="Watts while the compressor runs"),
        Field(key="rated_wh_day", heading="Rated Wh/day", dimension="energy",
              unit="Wh", low=20, high=20000, default_key="unit.*.rated_wh_day"),
        Field(key="rated_ambient", heading="Rated ambient (C)", dimension="temp",
              unit="C", low=10, high=50, default_key="unit.*.rated_ambient_c"),
        Field(key="rated_inside", heading="Rated inside (C)", dimension="temp", unit="C",
              low=-30, high=15, default_key="unit.*.rated_inside_c"),
        Field(key="supply", heading="Supply", choices=("12V", "AC", "both", "none"),
              default_key="unit.*.supply"),
        Field(key="lockable", heading="Lockable", dimension="yes/no", blank="no"),
        Field(key="zones", heading="Zones", blank="1",
              help="2, or shares 60/40, or litres 20+15 L"),
        *_TERMS,
        Field(key="notes", heading="Notes", blank="none", extra=True),
    ),
)  # fmt: skip

BATTERIES = SheetSpec(
    name="Batteries",
    also=("battery", "power packs", "power stations", "battery packs"),
    required=False,
    about="Batteries and power packs.",
    fields=(
        Field(key="name", heading="Battery", required=True, blank="a number"),
        Field(key="place", heading="Place", blank=_PLACE),
        Field(key="capacity_wh", heading="Capacity (Wh)", dimension="energy", unit="Wh",
              low=10, high=100_000, required=True,
              blank="Ah x Volts; without those the battery is left out"),
        Field(key="ah", heading="Ah", dimension="charge", unit="Ah", low=1, high=5000,
              blank="none"),
        Field(key="volts", heading="Volts", dimension="voltage", unit="V", low=3,
              high=800, blank="none: Ah alone is not a capacity"),
        Field(key="chemistry", heading="Chemistry",
              choices=("LFP", "lithium-ion", "AGM", "flooded lead"),
              default_key="battery.chemistry"),
        Field(key="charge_now", heading="Charge now (%)", dimension="share", unit="%",
              low=0, high=1, default_key="battery.charge_now"),
        Field(key="usable_share", heading="Usable share", dimension="share", low=0.05,
              high=1, default_key="battery.*.usable_share"),
        Field(key="max_out_w", heading="Max out (W)", dimension="power", unit="W", low=5,
              high=20_000, default_key="battery.max_out_w"),
        Field(key="ports_12v", heading="12V ports", dimension="count", low=0, high=20,
              default_key="battery.ports_12v"),
        Field(key="outlets_ac", heading="AC outlets", dimension="count", low=0, high=20,
              default_key="battery.outlets_ac"),
        Field(key="ac_idle_w", heading="AC idle (W)", dimension="power", unit="W", low=0,
              high=200, default_key="battery.ac_idle_w"),
        Field(key="max_charge_w", heading="Max charge (W)", dimension="power", unit="W",
              low=1, high=20_000, default_key="battery.*.max_charge_share_per_h"),
        Field(key="solar_max_w", heading="Solar input max (W)", dimension="power",
              unit="W", low=0, high=20_000, default_key="battery.solar_input_max_w"),
        Field(key="movable", heading="Movable", dimension="yes/no", blank="yes"),
        *_TERMS,
        Field(key="notes", heading="Notes", blank="none", extra=True),
    ),
)  # fmt: skip

PANELS = SheetSpec(
    name="Panels",
    also=("solar panels", "solar", "panel"),
    required=False,
    about="Solar panels.",
    fields=(
        Field(key="name", heading="Panel", required=True, blank="a number"),
        Field(key="place", heading="Place", blank="any place"),
        Field(key="rated_w", heading="Rated W", dimension="power", unit="W", low=5,
              high=5000, required=True, blank="the panel is left out"),
        Field(key="controller", heading="Controller", choices=("MPPT", "PWM", "built in"),
              default_key="panel.controller"),
        Field(key="tilt", heading="Tilt", dimension="angle", unit="degrees", low=0,
              high=90, default_key="panel.tilt_deg", help="0 = flat on the ground"),
        Field(key="azimuth", heading="Azimuth", dimension="angle", unit="degrees", low=0,
              high=360, default_key="panel.azimuth_deg",
              help="Degrees clockwise from north: 180 = south; also S or SW"),
        Field(key="shade_share", heading="Shade share", dimension="share", low=0, high=1,
              default_key="panel.shade_share", help="Share of the day's sun lost to shade"),
        *_TERMS,
        Field(key="notes", heading="Notes", blank="none", extra=True),
    ),
)  # fmt: skip

OTHER_POWER = SheetSpec(
    name="Other power",
    also=("power", "sources", "generators", "other sources", "mains"),
    required=False,
    about="Mains, generators, vehicles, and loads that come before any fridge.",
    fields=(
        Field(key="name", heading="Source", required=True, blank="a number"),
        Field(key="place", heading="Place", blank=_PLACE),
        Field(key="kind", heading="Kind",
              choices=("mains", "generator", "vehicle", "life support"),
              required=True, blank="the row is left out",
              help="life support = a load that must be fed first"),
        Field(key="max_w", heading="W", dimension="power", unit="W", low=1, high=100_000,
              required=True, blank="a source is left out; a load stops the plan",
              help="What it gives, or what the load draws"),
        Field(key="from_clock", heading="From", dimension="clock", blank="00:00"),
        Field(key="to_clock", heading="To", dimension="clock", blank="24:00"),
        Field(key="days", heading="Days", blank="every day",
              help="Day numbers from the start (1; 2) or names (Tue, Wed)"),
        Field(key="supply", heading="Supply", choices=("12V", "AC", "both"),
              blank="AC, for a vehicle 12V", extra=True),
        *_TERMS,
        Field(key="notes", heading="Notes", blank="none", extra=True),
    ),
)  # fmt: skip

CONDITIONS = SheetSpec(
    name="Conditions",
    also=("settings", "site", "condition"),
    required=False,
    about="One row a setting; a room temperature may stand once for each place.",
    fields=(
        Field(key="setting", heading="Setting", required=True, blank="row not read"),
        Field(key="place", heading="Place", blank="all places"),
        Field(key="value", heading="Value", required=True, blank="the setting's default"),
        Field(key="notes", heading="Notes", blank="none",
              help="Also read as the value's unit, when it is one"),
    ),
)  # fmt: skip

HELP_SHEET = "Help"
"""Sheet of the blank workbook that is never read."""

SHEETS = (INTAKE, COLD_UNITS, BATTERIES, PANELS, OTHER_POWER, CONDITIONS)


def sheet_spec(name: str) -> SheetSpec:
    """Give a sheet by its canonical name; raises ``KeyError``."""
    return {spec.name: spec for spec in SHEETS}[name]


@cache
def _names(sheet_name: str) -> Mapping[str, str]:
    names: dict[str, str] = {}
    spec = sheet_spec(sheet_name)
    for field in spec.fields:
        for heading in (field.heading, field.heading.split(" (")[0]):
            names.setdefault(text_key(heading), field.key)
    for field in spec.fields:
        for other in ALSO_CALLED[sheet_name].get(field.key, "").split("|"):
            names.setdefault(text_key(other), field.key)
    names.pop("", None)
    return MappingProxyType(names)
