"""Equipment defaults: the value used when the sheet leaves a cell blank.

Data: ``equipment_defaults.csv`` (key, value, unit, source, jurisdiction,
flag).  Read a number with :func:`default`, a list of numbers with
:func:`number_list`, a word with :func:`text_default` or straight as an enum
member with :func:`member_default`, and a unit's number with
:func:`unit_default`, which picks the size class by itself.  Words that stand
for an enum are the member's name in lower case (``dc``, ``agm``, ``pwm``).

Key naming
----------
``<owner>.<field>``, lower case; the field is spelled as in
``planner.scenario`` so that its unit is in the name.

Cold units: owner = the ``UnitType`` member in lower case (``compressor``,
``household``, ``thermoelectric``, ``absorption``, ``ice_chest``,
``elsewhere``, ``cool_shelf``, ``evaporative``).  Every type has

- numbers ``gross_volume_l``, ``usable_share``, ``swing_c``, ``running_w``,
  ``rated_wh_day``, ``rated_ambient_c``, ``rated_inside_c``,
  ``ua_w_per_k``, ``zones``;
- list ``set_points_c``; words ``supply`` (``Supply``), ``lockable`` and
  ``conditioned`` (``yes`` / ``no``).

Some of these also exist with a size ending, ``_small``, ``_medium`` or
``_large``, by gross litres: up to ``<type>.small_up_to_l``, up to
``<type>.medium_up_to_l``, above.  The key without ending is for an unknown
size.

Batteries: ``battery.<field>`` for what does not hang on the chemistry:
numbers ``charge_now``, ``max_out_w``, ``ports_12v``, ``port_12v_max_w``,
``outlets_ac``, ``ac_idle_w``, ``solar_input_max_w``, ``dc_efficiency``,
``ac_efficiency``; words ``chemistry`` (``Chemistry``), ``movable`` (``yes`` /
``no``).
``battery.<chemistry>.<field>`` with ``lfp``, ``li_ion``, ``agm``,
``flooded``: ``usable_share``, ``charge_efficiency`` (round trip),
``max_charge_share_per_h`` (watts of charge per watt-hour of capacity),
``nominal_v`` (volts of a 12 V class pack, for a capacity given in Ah),
``age_share`` (capacity left when the age is not known).

Panels: ``panel.<field>``: numbers ``tilt_deg``, ``azimuth_deg``,
``shade_share``; word ``controller`` (``Controller``).

Other power: ``source.mains.max_w``, ``source.vehicle.max_w``,
``source.life_support.from_hour``, ``source.life_support.to_hour``; words
``source.<mains|generator|vehicle|life_support>.supply`` (``Supply``).

Kit to ask for: ``ask.<owner>.<field>`` for kinds that nobody has offered, where
a blank cell has no default (``ask.battery.capacity_wh``, ``ask.panel.rated_w``)
or a usual size is small: the least that does is worked out from there.

Terms of loan: ``loan.ready_h``, ``loan.effort``; words ``loan.status`` (the row
names a lender), ``loan.status_no_lender`` (``Status``).
Places: ``place.room_temp_c``; word ``place.open_at_night``.

Conditions: ``conditions.<field>``: numbers ``window_h``, ``room_temp_c``,
``sky_factor``, ``sky_factor_dry``, ``poor_share``, ``reserve_share``,
``ice_kg_day``, ``peak_sun_hours`` and ``peak_sun_hours_summer``,
``_spring_autumn``, ``_winter``, ``_storm``; list ``swap_hours``; words
``sun_case`` (``SunCase``), ``segregation`` (``Segregation``).

Constants of nature and of models (losses, surges, limits of a kind of unit)
are no defaults of a cell; they live in ``planner/physics/constants.py``.

No default exists for the keys in :data:`ASK_INSTEAD`: a guess there would
make a plausible wrong plan, so a blank is asked about.
"""

from dataclasses import dataclass
from functools import cache

from planner.catalogue.table import Cell, Member, read_table
from planner.errors import CatalogueError
from planner.scenario import Flag

FILE = "equipment_defaults.csv"
COLUMNS = ("key", "value", "unit", "source", "jurisdiction", "flag")
TEXT_UNITS = ("word", "list C", "list h")

ASK_INSTEAD = (
    "battery.capacity_wh",
    "panel.rated_w",
    "source.generator.max_w",
    "source.life_support.max_w",
    "source.mains.from_hour",
    "source.mains.to_hour",
    "source.generator.from_hour",
    "source.generator.to_hour",
    "source.vehicle.from_hour",
    "source.vehicle.to_hour",
    "conditions.start",
    "conditions.latitude",
    "conditions.longitude",
)
"""Fields that have no default on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentDefault:
    """One default with its unit and source; ``key`` is "owner.field"."""

    key: str
    value: float
    unit: str
    source: str
    jurisdiction: str
    flag: Flag


@dataclass(frozen=True, slots=True, kw_only=True)
class TextDefault:
    """A default that is a word or a list of numbers (parted by ``;``)."""

    key: str
    text: str
    unit: str
    source: str
    jurisdiction: str
    flag: Flag


def equipment_defaults() -> tuple[EquipmentDefault, ...]:
    """All number defaults, in file order; raises ``CatalogueError``."""
    return tuple(d for d in _rows() if isinstance(d, EquipmentDefault))


def text_defaults() -> tuple[TextDefault, ...]:
    """All word and list defaults, in file order; raises ``CatalogueError``."""
    return tuple(d for d in _rows() if isinstance(d, TextDefault))


def default(key: str) -> EquipmentDefault:
    """One number default; raises ``CatalogueError`` when there is none."""
    found = _by_key().get(key)
    if not isinstance(found, EquipmentDefault):
        raise CatalogueError(f"no number default for {key!r} in {FILE}")
    return found


def text_default(key: str) -> TextDefault:
    """One word or list default; raises ``CatalogueError`` when there is none."""
    found = _by_key().get(key)
    if not isinstance(found, TextDefault):
        raise CatalogueError(f"no word or list default for {key!r} in {FILE}")
    return found


def member_default(key: str, kind: type[Member]) -> Member:
    """Enum member a word default stands for; raises ``CatalogueError``."""
    word = text_default(key).text
    return Cell(file=FILE, line=0, column=key, text=word).member(kind)


def number_list(key: str) -> tuple[float, ...]:
    """Numbers of a list default such as ``conditions.swap_hours``."""
    found = text_default(key)
    if found.unit == "word":
        raise CatalogueError(f"{key!r} in {FILE} is a word, not a list")
    return tuple(float(part) for part in found.text.split(";") if part)


def unit_default(
    kind: str, field: str, gross_volume_l: float | None = None
) -> EquipmentDefault:
    """One number default of a cold unit, by size class where there is one.

    Parameters
    ----------
    kind
        Unit type as in the keys, such as ``"ice_chest"``.
    field
        Field name as in ``ColdUnit``, such as ``"rated_wh_day"``.
    gross_volume_l
        Gross volume [L]; ``None`` when not known.

    Raises
    ------
    CatalogueError
        When there is no such default.
    """
    plain = f"{kind}.{field}"
    size = _size_class(kind, gross_volume_l)
    sized = f"{plain}_{size}"
    return default(sized if size and sized in _by_key() else plain)


def _size_class(kind: str, gross_volume_l: float | None) -> str:
    if gross_volume_l is None or f"{kind}.small_up_to_l" not in _by_key():
        return ""
    if gross_volume_l <= default(f"{kind}.small_up_to_l").value:
        return "small"
    if gross_volume_l <= default(f"{kind}.medium_up_to_l").value:
        return "medium"
    return "large"


@cache
def _by_key() -> dict[str, EquipmentDefault | TextDefault]:
    return {row.key: row for row in _rows()}


@cache
def _rows() -> tuple[EquipmentDefault | TextDefault, ...]:
    return parse_defaults(FILE, read_table(FILE, COLUMNS))


def parse_defaults(
    file: str, rows: tuple[dict[str, Cell], ...]
) -> tuple[EquipmentDefault | TextDefault, ...]:
    """Turn read rows into defaults; raises ``CatalogueError`` on a bad cell."""
    out: list[EquipmentDefault | TextDefault] = []
    lines: dict[str, int] = {}
    for row in rows:
        key = row["key"].required()
        if key in lines:
            raise row["key"].error(f"{key!r} is already on line {lines[key]}")
        lines[key] = row["key"].line
        out.append(_one(key, row))
    if not out:
        raise CatalogueError(f"{file}: no rows")
    return tuple(out)


def _one(key: str, row: dict[str, Cell]) -> EquipmentDefault | TextDefault:
    unit = row["unit"].required()
    source = row["source"].required()
    jurisdiction = row["jurisdiction"].jurisdiction()
    flag = row["flag"].member(Flag)
    if unit not in TEXT_UNITS:
        return EquipmentDefault(
            key=key,
            value=row["value"].number(),
            unit=unit,
            source=source,
            jurisdiction=jurisdiction,
            flag=flag,
        )
    text = row["value"].text if unit != "word" else row["value"].required()
    if unit != "word":
        row["value"].numbers()
    return TextDefault(
        key=key,
        text=text,
        unit=unit,
        source=source,
        jurisdiction=jurisdiction,
        flag=flag,
    )
