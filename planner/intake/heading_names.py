"""Other headings people use, by field key; ``|`` stands between them.

Written as words; matching ignores case, accents, punctuation and spaces.
A word must not name two fields of the same sheet (a test checks it).
"""

from types import MappingProxyType

_INTAKE = {
    "resident": "name|full name|resident name|guest|guest name|client|client name"
    "|last first|last name first name|who for|who|pt|patient|person|resident s name"
    "|name of resident|patient name|residente|nombre completo|nome completo"
    "|baby s name|nombre|nombre y apellido"
    "|nom|nom et prenom|non|nome|name vorname|ho ten|\u59d3\u540d"
    "|\u0444\u0438\u043e|pangalan|\u0627\u0644\u0627\u0633\u0645",
    "household": "family|head of household|hh id|hh|household id|parent of|familia"
    "|famille|haushalt|apt|block house no|house no|household name|mother of|child of",
    "place": "site|room|room bay|hall|location|where|lugar|sala|lieu|ort|standort"
    "|shelter|building",
    "item": "medication|med|meds|meds needing cold|medicine|medicines|medicine feed"
    "|items|item description|rx|drug|drug strength|what is it|what"
    "|contents of bag|contents|cold stuff|fridge items|formula bm|product|desc"
    "|description|medicamento|medicamentos|medicament|medicaments|medication name"
    "|medicine name|name of medication|name of medicine|drug name|item name|product name"
    "|medicine or feed|medication or feed|what needs cold|article name"
    "|remedio|remedios|medikament|medikamente|medikaman|ten thuoc|\u836f\u540d"
    "|\u043b\u0435\u043a\u0430\u0440\u0441\u0442\u0432\u043e|gamot"
    "|\u0627\u0644\u062f\u0648\u0627\u0621|article|artikel|mittel",
    "quantity": "qty|no of|how many|count|count boxes pens|packs|containers|number"
    "|cantidad|cant|quantite|qte|quantidade|menge|anzahl|konbyen|so luong"
    "|\u6570\u91cf|\u043a\u043e\u043b \u0432\u043e|ilan|no of packs|how many left"
    "|number of packs|pack count|qty left|quantity left|qnty|qte"
    "|\u0627\u0644\u0643\u0645\u064a\u0629",
    "volume_l": "volume|vol|volume each|ml|litres|liters|litros|volume per pack"
    "|volume ml|onzas|pack volume",
    "keep_from": "min temp|temp min|temp from|lowest temp|minimum temperature|keep above",
    "keep_to": "max temp|temp max|temp to|highest temp|maximum temperature|keep below",
    "never_freeze": "do not freeze|freeze no|dont freeze|don t freeze|no freezing"
    "|not freeze|no congelar|ne pas congeler|nicht einfrieren",
    "warm_hours": "hours out|time out allowed|room temp hours|hours at room temp"
    "|allowed out|warm time|room temperature limit",
    "warm_max": "max warm|warm limit|max out temp",
    "out_since": "out of fridge since|last cold|warm since|out of the fridge since"
    "|out from",
    "opened": "opened y n|in use|in use since|open|date opened|abierto|ouvert|geoffnet"
    "|started",
    "daily_use": "per day|use per day|used per day|daily dose packs|uses a day"
    "|packs a day|packs per day|used a day",
    "tier": "triage tier|group",
    "locked": "controlled|lock|lock up|needs lock",
    "night_need": "night|needs at night|at night|night use|night dose",
    "keep_by": "exp|expiry|expires|use by|bud|discard after|exp date|expiry date|vence"
    "|peremption|validade|verfallsdatum|expiration|expiration date",
    "notes": "note|comments|comment|comments other|other|remarks|observaciones"
    "|observations|bemerkung|bemerkungen|details",
    "first_name": "first|given name|forename|prenom|vorname|nickname"
    "|first name nickname",
    "surname": "last name|last|family name|nachname|apellido|apellidos",
    "band": "temp|temp range|storage temp|keep at|temperature range|storage temperature"
    "|label says|temperatura|temp label|storage range",
    "temp_unit": "f or c|c or f|temp unit|deg",
    "storage": "storage req|storage requirement|fridge freezer room|store|how stored",
    "cold": "cold|cold y n|refrig|refrigerate|refrigeration|needs fridge"
    "|keep cold|needs cold|cold needed|must be cold|necesita nevera|a garder au froid|a garder au froid o n"
    "|precisa de geladeira|kuhlpflichtig|kuhlpflichtig j n|can tu lanh"
    "|\u662f\u5426\u51b7\u85cf",
    "frozen": "is it frozen|frozen y n|congelado|congele|gefroren",
    "thawed": "thawed y n|defrosted|thawed at|thawed on|thawed since",
    "made": "made|made on|mixed|mixed at|mixed on|pumped|pumped on|pumped at"
    "|expressed|expressed on|prepared at|made up at|date made|time made",
    "badge": "cot|bed|cot bed|cot no|bed no|wristband|guest no|person no|badge"
    "|client no|resident no|id no|bag no",
    "priority": "urgent|critical|critical 1 5|life support|can skip|prioridad|priorite",
    "private": "phone no|phone number|tel|telephone|mobile|dob|date of birth|birth date"
    "|age|address|diagnosis|condition|email|allergies|insurance|cell|telefono|emergency"
    "|emergency contact|next of kin",
    "aside": "next dose|dose times|times day|times a day|dose|doses a day|language"
    "|ok to share info|collected by|initials|initials in out|time in|fridge|fridge no"
    "|bag tag|checked|days left|days supply|line|row|row no|date|doctor|pharmacy"
    "|prescriber|signature|time out|returned",
}
_TERMS = {
    "place": "site|room|hall|location|where",
    "status": "state|available|availability|have or borrow",
    "lender": "owner|lent by|from whom|belongs to|contact",
    "ready_h": "ready|ready in|ready hours|hours until ready|available in",
    "effort": "trip effort|trip",
    "back_by": "return by|due back|needed back|back|return",
    "notes": "note|comments|comment|remarks",
}
_COLD_UNITS = _TERMS | {
    "name": "name|item|id|label|unit name|equipment|fridge|cooler|what|cold unit",
    "type": "kind|unit type|sort|what kind",
    "gross_l": "volume|size|capacity|litres|liters|vol|qt|quarts|cu ft"
    "|total volume|inside volume",
    "usable_share": "usable|usable part|usable percent",
    "set_points": "set point|setpoint|setpoints|setting|settings|temp|temps"
    "|set temperature",
    "swing": "hysteresis|plus minus",
    "running_w": "running watts|watts|w|power|running power|draw",
    "rated_wh_day": "wh day|wh per day|rated wh|energy per day|daily energy|wh 24h",
    "rated_ambient": "rated at|ambient|rated ambient temperature",
    "rated_inside": "rated inside temperature|rated interior",
    "supply": "plug|power type|voltage|plugs into|runs on|12v or ac",
    "lockable": "lock|locks|has lock",
    "zones": "compartments|zone|no of zones",
}
_BATTERIES = _TERMS | {
    "name": "name|item|id|label|unit|unit name|equipment|battery name|power pack",
    "capacity_wh": "capacity|wh|watt hours|energy|size wh|kwh|size",
    "ah": "amp hours|capacity ah|ampere hours",
    "volts": "voltage|v|nominal volts|nominal voltage",
    "chemistry": "type|battery type|cell type|kind",
    "charge_now": "charge|state of charge|soc|charged|charge level|percent|full",
    "usable_share": "usable|usable part|depth of discharge|dod|usable percent",
    "max_out_w": "max output|output|output w|max power|rated output|watts",
    "ports_12v": "12 v ports|dc ports|12v|12v sockets|12v outlets|car sockets",
    "outlets_ac": "ac|ac sockets|mains outlets|ac ports|outlets",
    "ac_idle_w": "idle|inverter idle|idle w|standby w",
    "max_charge_w": "charge w|max input|input w|charging watts",
    "solar_max_w": "solar input|solar max|max solar|pv input",
    "movable": "portable|can move|mobile",
}
_PANELS = _TERMS | {
    "name": "name|item|id|label|unit|equipment|panel name|solar panel",
    "rated_w": "watts|w|wp|power|rated watts|size",
    "controller": "charge controller|regulator",
    "tilt": "slope|angle",
    "azimuth": "direction|facing|faces|orientation",
    "shade_share": "shade|shading|shaded",
}
_OTHER_POWER = _TERMS | {
    "name": "name|item|id|label|equipment|source name",
    "kind": "type|source type|sort",
    "max_w": "watts|max w|power|load w|output w|output",
    "from_clock": "on from|start|starts|from clock|on at|begins",
    "to_clock": "until|on until|end|ends|to clock|off at|till",
    "days": "day|on days|which days",
    "supply": "plug|power type|12v or ac",
}
_CONDITIONS = {
    "setting": "settings|name|what|parameter",
    "value": "values|setting value|is|amount",
    "place": "site|room|hall|location|where",
    "notes": "note|comments|comment|remarks|unit|units|unit notes",
}
ASKED_ABOUT = MappingProxyType(
    {
        "supply": "quantity",
        "amt": "quantity",
        "amount": "quantity",
        "amount left": "quantity",
        "pack": "quantity",
        "size": "volume_l",
        "each": "volume_l",
        "unit": "badge",
        "unit no": "badge",
        "id": "badge",
    }
)
"""Headings of the intake list that can mean two things: read, and asked about."""
ALSO_CALLED = MappingProxyType(
    {
        "Intake": _INTAKE,
        "Cold units": _COLD_UNITS,
        "Batteries": _BATTERIES,
        "Panels": _PANELS,
        "Other power": _OTHER_POWER,
        "Conditions": _CONDITIONS,
    }
)
"""Other headings by canonical sheet name and field key."""
