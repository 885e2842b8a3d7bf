"""Units people type, and what they are in the units of the code.

Volume factors follow from exact definitions: 1 in = 25.4 mm, the US gallon
of 231 cubic inches, the imperial gallon of 4.546 09 L.  Rounded, they are
the factors of NIST Special Publication 811 (2008), appendix B.8 (from memory).
"""

from collections.abc import Mapping
from types import MappingProxyType

from planner.intake.words import key

_CUBIC_INCH_L = 0.254**3
_US_GALLON_L = 231 * _CUBIC_INCH_L
_IMPERIAL_GALLON_L = 4.54609

_VOLUME = {
    1.0: "l lt ltr liter liters litre litres litro litros",
    0.001: "ml mls milliliter milliliters millilitre millilitres cc ccm cm3",
    0.01: "cl",
    0.1: "dl",
    _US_GALLON_L / 128: "oz|fl oz|floz|us fl oz|fluid ounce|fluid ounces|ounce|ounces"
    "|onza|onzas|ozs|once|onces",
    _IMPERIAL_GALLON_L / 160: "imp fl oz|imperial fl oz|uk fl oz",
    _US_GALLON_L / 16: "cup|cups",
    _US_GALLON_L / 8: "pt|pint|pints|us pint|us pints|us pt",
    _IMPERIAL_GALLON_L / 8: "imp pint|imperial pint|imperial pints|uk pint|uk pints",
    _US_GALLON_L / 4: "qt|qts|quart|quarts|us qt|us quart|us quarts",
    _IMPERIAL_GALLON_L / 4: "imp qt|imperial qt|imperial quart|uk quart",
    _US_GALLON_L: "gal|gals|gallon|gallons|us gal|us gallon|us gallons",
    _IMPERIAL_GALLON_L: "imp gal|imperial gallon|imperial gallons|uk gallon",
    1728 * _CUBIC_INCH_L: "cu ft|cuft|cubic foot|cubic feet|ft3|cubic ft|cf|cu feet",
    1000.0: "m3|cubic metre|cubic meter",
}
_ENERGY = {
    1.0: "wh|watt hour|watt hours|watthours|wh d|wh day|wh 24h|wh 24 h|wh per day",
    1000.0: "kwh|kw h|kwh d|kwh day|kwh 24h|kwh 24 h|kwh per day",
}
_POWER = {1.0: "w|watt|watts|wp|va", 1000.0: "kw|kilowatt|kilowatts|kva"}
_TIME = {
    1.0: "h|hr|hrs|hour|hours|hora|horas|heure|heures|std|stunden",
    1 / 60: "min|mins|minute|minutes",
    24.0: "d|day|days|dia|dias|jour|jours|tag|tage",
    168.0: "wk|wks|week|weeks|semana|semanas|woche|wochen",
}
_SHARE = {0.01: "%|percent|pct", 1.0: "share"}


def _table(rows: Mapping[float, str]) -> Mapping[str, float]:
    names: dict[str, float] = {}
    for factor, words in rows.items():
        for word in words.split("|") if "|" in words else words.split():
            names[key(word) or word] = factor
    return MappingProxyType(names)


FACTORS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "volume": _table(_VOLUME),
        "energy": _table(_ENERGY),
        "power": _table(_POWER),
        "time": _table(_TIME),
        "share": _table(_SHARE),
        "charge": _table({1.0: "ah|amp hour|amp hours|a h", 0.001: "mah"}),
        "voltage": _table({1.0: "v|volt|volts|vdc|v dc|vac"}),
        "mass": _table({1.0: "kg|kilo|kilos|kg day|kg d", 0.45359237: "lb|lbs|pounds"}),
        "angle": _table({1.0: "deg|degree|degrees|o"}),
        "area": _table({1.0: "kwh m2|h|psh|hours|kwh m2 day|kwh m2 d"}),
    }
)
"""Factor from a typed unit (as a key) to the canonical one, by dimension."""

_CELSIUS = frozenset({"c", "deg c", "degc", "celsius", "centigrade", "o c", "oc"})
_FAHRENHEIT = frozenset({"f", "deg f", "degf", "fahrenheit", "o f", "of"})


def factor(dimension: str, unit: str) -> float | None:
    """Factor to the canonical unit of ``dimension``; ``None`` if unknown.

    >>> factor("volume", "ml")
    0.001
    """
    stripped = unit.strip().rstrip(".")
    return FACTORS.get(dimension, {}).get(key(stripped) or stripped)


def temp_unit(text: str) -> str:
    """``"C"``, ``"F"`` or ``""`` for a typed temperature unit."""
    plain = key(text.replace("\u00b0", " "))
    if plain in _CELSIUS:
        return "C"
    return "F" if plain in _FAHRENHEIT else ""


def is_unit(text: str) -> bool:
    """Tell a unit of any kind, temperatures too."""
    bare = text.strip("()[]. ")
    known = any(factor(dimension, bare) is not None for dimension in FACTORS)
    return bool(bare) and (known or bool(temp_unit(bare)))


def f_to_c(temp_f: float) -> float:
    """Degrees Fahrenheit to Celsius (exact by definition)."""
    return (temp_f - 32) * 5 / 9
