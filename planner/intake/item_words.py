"""Words around an item's name: containers, states, units, small talk."""

BOX_WORDS = [
    "box",
    "boxes",
    "carton",
    "cartons",
    "packs",
    "packet",
    "packets",
    "case",
    "cases",
    "caja",
    "cajas",
    "boite",
    "boites",
    "schachtel",
    "schachteln",
    "packung",
    "packungen",
    "caixa",
    "caixas",
    "tray",
    "trays",
]
PIECE_WORDS = [
    "pen",
    "pens",
    "vial",
    "vials",
    "syringe",
    "syringes",
    "bag",
    "bags",
    "bottle",
    "bottles",
    "btl",
    "btls",
    "ampoule",
    "ampoules",
    "amp",
    "amps",
    "kit",
    "kits",
    "injector",
    "injectors",
    "autoinjector",
    "autoinjectors",
    "cartridge",
    "cartridges",
    "cartrige",
    "suppository",
    "suppositories",
    "tube",
    "tubes",
    "dose",
    "doses",
    "ring",
    "rings",
    "tin",
    "tins",
    "can",
    "cans",
    "ctn",
    "ctns",
    "sachet",
    "sachets",
    "syr",
    "neb",
    "nebs",
    "nebule",
    "nebules",
    "frasco",
    "frascos",
    "pluma",
    "plumas",
    "bolsa",
    "bolsas",
    "botella",
    "botellas",
    "jeringa",
    "jeringas",
    "stylo",
    "stylos",
    "flacon",
    "flacons",
    "poche",
    "poches",
    "seringue",
    "seringues",
    "flasche",
    "flaschen",
    "beutel",
    "spritze",
    "spritzen",
    "canetas",
    "caneta",
    "seringa",
    "seringas",
    "container",
    "containers",
    "pump",
    "pumps",
    "cassette",
    "cassettes",
    "pouch",
    "pouches",
    "jar",
    "jars",
    "inhaler",
    "inhalers",
    "sensor",
    "sensors",
    "biberon",
    "biberons",
    "biberones",
    "mamadeira",
    "mamadeiras",
    "ampolla",
    "ampollas",
    "fiole",
    "fioles",
    "sobre",
    "sobres",
    "lata",
    "latas",
    "pc",
    "pcs",
    "piece",
    "pieces",
    "ct",
    "ball",
    "balls",
    "device",
    "devices",
]
INNER_WORDS = frozenset(
    [
        "ampoule",
        "ampoules",
        "amp",
        "amps",
        "neb",
        "nebs",
        "nebule",
        "nebules",
        "dose",
        "doses",
        "unit",
        "units",
    ]
)

_HARMLESS = (
    "about left more half full part each with from have need needs needed please ask "
    "some only same their family mother father baby child adult daily weekly week day "
    "night morning evening today yesterday cold cool fridge freezer refrigerate keep "
    "store stored room temp temperature label labelled sealed unopened opened open new "
    "used started empty orange blue green pink white purple yellow grey black red left "
    "liquid solution suspension susp injection inject drop drops tablet syrup powder "
    "mixed made type short long acting rapid human strength unit units total approx "
    "shake freeze never frozen thawed fresh expressed pumped prescription script "
    "medicine medication meds drug item stuff pack pieces house hall clinic pharmacy "
    "expires expiry date spare extra reserve current month large small medium size this "
    "that them they will that also urgent important private discreet hospice home nurse "
    "cytotoxic hazardous unknown unsure door shelf kitchen counter weekly took used remaining going please thanks thank you "
    "infant formula milk breast feed feeds allergy share separate donor bottle batch"
)
HARMLESS = frozenset(
    word
    for text in (_HARMLESS, " ".join(BOX_WORDS), " ".join(PIECE_WORDS))
    for one in text.split()
    for word in (one, one[:-1] if one.endswith("s") and len(one) > 3 else one)
)
"""Words that change nothing about which item it is."""

TRANSLATED = (
    ("congelad[oa]s?", "frozen"),
    ("congele[e]?s?", "frozen"),
    ("gefroren[e]?", "frozen"),
    ("descongelad[oa]s?", "thawed"),
    ("abiert[oa]s?|entamee?s?|ouverte?s?|abert[oa]s?", "opened"),
    ("frascos?", "vial"),
    ("plumas?", "pen"),
    ("stylos?", "pen"),
    ("bolsas?", "bag"),
    ("viall?s?", "vial"),
    ("btls?", "bottle"),
    ("breastmilk", "breast milk"),
    ("fresc[oa]s?|frais|fraiche|frisch", "fresh"),
    ("aufgetaut\\w*", "thawed"),
)
"""Foreign or clipped words (as keys) and the words of the catalogue."""

GONE = (
    r"^(left|gone|went|moved|departed|discharged|collected|picked up|taken home)\b"
    r"(?!.*\b(pack|pen|vial|bottle|bag|box)s?\b)"
)
"""Texts that say that the item is no longer here."""

NO_ITEM = r"^(none|nothing|no meds?|no medicines?|no items?|nil|nada|rien|keine)\b"
"""Texts that say that there is no item."""

UNREADABLE = (
    r"^(\?+|see (bag|label|notes?|photo|attached|dr note|doctor)|ask( \w+)?|tbc|tbd|"
    r"unknown|not sure|unsure|n/?a|-+|\.+|x+|various|misc\w*|meds?|medicines?|"
    r"medication|bottles?|bags?|box(es)?|stuff|see above)\??$"
)
"""Texts in the item column that name no item."""
