"""What a blank cell means, in words, with the default's source."""

from planner.catalogue import EquipmentDefault, TextDefault, default, text_default
from planner.errors import CatalogueError
from planner.intake.headings import Field
from planner.intake.reading import shown_default
from planner.scenario import Chemistry, UnitType

_TEXTS = {
    "dc": "12V",
    "ac": "AC",
    "pwm": "PWM",
    "agm": "AGM",
    "units": "separate units",
}


def when_blank(field: Field) -> str:
    """One clause on what is used for an empty cell."""
    if not field.default_key:
        return field.blank or "not used"
    facts = default_facts(field.default_key)
    values: dict[str, list[str]] = {}
    for owner, fact in facts:
        values.setdefault(_value(fact), []).append(owner)
    if len(values) == 1:
        return next(iter(values))
    listed = (f"{value} for {', '.join(owners)}" for value, owners in values.items())
    return "; ".join(listed)


def default_facts(
    pattern: str,
) -> tuple[tuple[str, EquipmentDefault | TextDefault], ...]:
    """Defaults that a key stands for, with the type or chemistry it is for.

    ``unit.*.swing_c`` is the field for every type of cold unit, and
    ``battery.*.usable_share`` for every chemistry.
    """
    head, star, tail = pattern.partition("*")
    if not star:
        return (("", _fact(pattern)),)
    members: tuple[UnitType | Chemistry, ...] = (
        tuple(UnitType) if head == "unit." else tuple(Chemistry)
    )
    owner = "" if head == "unit." else head
    return tuple(
        (member.value, _fact(f"{owner}{member.name.lower()}{tail}"))
        for member in members
    )


def _fact(key: str) -> EquipmentDefault | TextDefault:
    try:
        return default(key)
    except CatalogueError:
        return text_default(key)


def _value(fact: EquipmentDefault | TextDefault) -> str:
    if isinstance(fact, EquipmentDefault):
        if fact.unit == "1/h":
            return f"{fact.value:g} W for each Wh of capacity"
        return shown_default(fact)
    if fact.unit == "list h":
        return "; ".join(f"{int(part):02d}:00" for part in fact.text.split(";"))
    if fact.unit == "list C":
        return f"{fact.text.replace(';', '; ')} C"
    return _TEXTS.get(fact.text, fact.text)


def source_of(fact: EquipmentDefault | TextDefault) -> str:
    """Source and flag of a default on one line."""
    return f"{fact.source} ({fact.flag.value})"
