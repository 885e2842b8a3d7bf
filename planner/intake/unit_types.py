"""Types of cold units as people name them."""

import re

from planner.intake.words import key
from planner.scenario import UnitType

_ELECTRIC = r"\b(electric|electrical|12 ?v|plug in|powered|car|usb|travel)\b"
_BOX = r"\b(cooler|cool ?box|ice ?box|cold box|mini fridge|fridge box)\b"

_PATTERNS = (
    (UnitType.ELSEWHERE, (r"\b(powered elsewhere|elsewhere|pharmacy|clinic|neighbou?rs?|"
     r"fire station|borrowed (space|shelf)|off ?site)\b")),
    (UnitType.THERMOELECTRIC, r"\b(thermo ?electric|peltier|solid state)\b"),
    (UnitType.ABSORPTION, r"\b(absorption|gas fridge|propane|lpg|(3|three) way)\b"),
    (UnitType.EVAPORATIVE, (r"\b(evaporative|evaporation|clay pot|zeer|pot in pot|"
     r"wet sand)\b")),
    (UnitType.COOL_SHELF, r"\b(cool shelf|shelf|cellar|larder|cupboard|cool room)\b"),
    (UnitType.COMPRESSOR, (r"\b(compressor|12 ?v (fridge|freezer|refrigerator)|camping "
     r"fridge|portable fridge|fridge 12 ?v|dc fridge)\b")),
    (UnitType.ICE_CHEST, (r"\b(ice chest|cooler|cool ?box|ice ?box|insulated (box|bag)|"
     r"vaccine (carrier|box)|cold box|esky|chest with ice|cool bag|cooler bag|"
     r"picnic box)\b")),
    (UnitType.HOUSEHOLD, (r"\b(household|fridge|refrigerator|freezer|kitchen|nevera|"
     r"frigo|kuhlschrank|geladeira|heladera|refrigerador|larder fridge)\b")),
)  # fmt: skip


def unit_type(text: str) -> tuple[UnitType | None, bool]:
    """Type a text names, and whether it could be another one.

    ``electric cool box`` may hide a compressor or not: it is read as
    thermoelectric, the weaker one, and marked.

    >>> unit_type("Ice chest (conditioned packs)")
    (<UnitType.ICE_CHEST: 'ice chest'>, False)
    """
    plain = key(text)
    exact = {key(kind.value): kind for kind in UnitType}
    if plain in exact:
        return exact[plain], False
    sure = r"\b(compressor|peltier|thermo ?electric|absorption)\b"
    electric = re.search(_ELECTRIC, plain) and re.search(_BOX, plain)
    if electric and not re.search(sure, plain):
        return UnitType.THERMOELECTRIC, True
    if re.search(r"\bcar fridge\b|\btravel fridge\b", plain):
        return UnitType.THERMOELECTRIC, True
    for kind, pattern in _PATTERNS:
        if re.search(pattern, plain):
            return kind, False
    return None, False


def is_conditioned(*texts: str) -> bool:
    """Tell whether packs are said to be conditioned."""
    plain = " ".join(key(text) for text in texts)
    said = re.search(r"\bconditioned\b", plain)
    denied = re.search(r"\b(not|no|un|without|never) (yet )?conditioned\b", plain)
    return bool(said) and not denied


def is_freezer(*texts: str) -> bool:
    """Tell a freezer that is no fridge as well."""
    plain = " ".join(key(text) for text in texts)
    return bool(re.search(r"\bfreezer\b", plain)) and "fridge" not in plain
