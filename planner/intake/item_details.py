"""What an item's text says besides its name: state, strength, dose, days, asides.

Every finding is a piece of the text itself, so that it can be shown and
asked about.  A strength or a dose is never a count of packs.
"""

import re
from dataclasses import dataclass

from planner.intake.words import clean, key

_UNITS = (
    r"(?:mg|mcg|ug|\u00b5g|\u03bcg|g|gm|units?|iu|i\.u\.|u|mls?|cc|%|kcal|cal|mmol|meq)"
)
_STRENGTH = re.compile(
    rf"(?<![\w.])\d+(?:[.,]\d+)?\s*{_UNITS}?\s*/\s*\d*(?:[.,]\d+)?\s*(?:{_UNITS}|dose|h)(?!\w)"
    rf"|(?<![\w.])\d+(?:[.,]\d+)?\s*(?:mg|mcg|ug|\u00b5g|\u03bcg|g|gm|iu|i\.u\.|%|kcal|cal|mmol|meq)(?!\w)"
    r"(?:\s*/\s*\d+(?:[.,]\d+)?)?"
    r"|(?<!\w)u-?\d{3}(?!\w)"
    r"|(?<!\w)\d{1,2}(?:/|-)\d{2}(?=\s+(?:insulin|mix|pen|vial))"
)
_PERIOD = r"(?:day|daily|dy|d|night|nightly|week|weekly|wk|wks|month|monthly|am|pm|hrs?|h|hours?)"
_DOSE = re.compile(
    r"(?<![\w.-])\d+(?:[.,]\d+)?\s*(?:units?|iu|i\.u\.|u)(?:\s*(?:am|pm|daily|nightly|night|morning|a day|bid|tid))?(?!\w)"
    r"|(?<![\w.])\d+[ -]?(?:days?|weeks?|wks?|months?|mos?|years?|yrs?)(?:'?s? (?:supply|worth|left))?\b"
    rf"|(?<![\w.])\d+(?:[.,]\d+)?(?:-\d+)?\s*x\s*(?:a\s+|per\s+|/\s*)?{_PERIOD}(?!\w)"
    rf"|(?<![\w.])\d+(?:[.,]\d+)?(?:-\d+)?\s*(?:/|a|per|every|each)\s*(?:day|d|week|wk|month|night|h|hr|hours?)(?!\w)"
    r"|(?<![\w.])\d+(?:-\d+)?\s*(?:times|tabs?|puffs?|drops|tsp|teaspoons?)\b(?:\s*(?:a|per)?\s*(?:day|daily|week))?"
    r"|\b(?:every|q)\s*\d+\s*(?:days?|d|weeks?|wks?|months?|h|hrs?|hours?)\b"
    r"|\b(?:once|twice|one|two|1|2|3|4)\s+(?:daily|weekly|monthly|nightly)\b"
)
_WHEN = (
    r"(?:on |at |since |from )?((?:last (?:night|week)|yesterday|today|tonight|this morning|"
    r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?s?|"
    r"\d{4}-\d{1,2}-\d{1,2}|(?:0?[1-9]|[12]\d|3[01])[/.-](?:0?[1-9]|[12]\d|3[01])"
    r"(?:[/.-]\d{2,4})?|\d{1,2}(?::\d{2})?\s*(?:am|pm)|"
    r"\d{1,2}:\d{2}|\d{1,2} (?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*|"
    r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]* \d{1,2})"
    r"(?:\s+(?:at )?\d{1,2}(?::\d{2})?\s*(?:am|pm)|\s+\d{1,2}:\d{2})?)(?!\s*(?:left|remain|full|box|bottle|pen|vial))(?![\w/])"
)
_OPENED_ON = re.compile(r"\b(?:opened|open|started|in use|abierto|abierta)\s+" + _WHEN)
_MADE_ON = re.compile(
    r"\b(?:mixed|made up|made|prepared|reconstituted|pumped|expressed|thawed|defrosted)"
    r"(?:\s+(?!on|at|from|since|for)[a-z]+){0,2}?(?:\s+\d{1,3}\s+[a-z]+)?\s+" + _WHEN
)
_THAWED_LATE = re.compile(r"\bthawed\b.*?\bfrom\s+" + _WHEN)
_USE_BY = re.compile(
    r"\b(?:exp(?:iry|ires?|\.)?(?: date)?|use by|bud|discard (?:after|by|on)|best before|"
    r"vence|validade)(?![a-z])[:\s]*(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[/.-]\d{1,4}(?:[/.-]\d{2,4})?|"
    r"\d{1,2} [a-z]{3,9}(?: \d{2,4})?|[a-z]{3,9} \d{1,4}(?:,? \d{4})?)"
)
_DAY_OF = re.compile(r"\bday (\d{1,3}) of (?:a )?(\d{1,3})\b")
_PET = (
    r"(?:pets?|dogs?|cats?|pupp(?:y|ies)|kittens?|feline|canine|vet|veterinary|perr[oa]s?|"
    r"gat[oa]s?|mascota|chien(?:ne)?|hund|katze|cachorro|ferrets?|rabbits?)"
)
_PET_SURE = re.compile(
    rf"(?:^|\()\s*(?:the |my |our |for (?:the |my |our |a )?)?{_PET}\b"
    rf"|\b(?:for|fur|para|pour)\s+(?:the |my |our |a |el |la |le |mi )?{_PET}\b"
    rf"|\b{_PET}\s+insulin|\binsulin[ae]?\s+(?:de |del |du |para |pour )?{_PET}\b"
)
_PET_MAYBE = re.compile(rf"\b{_PET}\b")
_NO_PET = re.compile(r"\bcat scans?\b|\bhot dogs?\b|\bvet(?:eran)s?\b")
_SEVERAL = re.compile(
    r"\bfor [a-z]+ (?:and|&|,) \d{1,2} for\b"
    r"|\b(?:mum|mom|mother|dad|father|wife|husband|him|her|me) (?:and|&) (?:mum|mom|mother|dad|father|wife|husband|him|her|me|i)\b"
    r"|\b(?:\d{1,2}|two|both|three)\s+(?:kids|children|people|residents|twins|babies|persons)\b"
)
_MARKS = (
    (
        "hazard",
        re.compile(
            r"\b(?:cytotoxic|hazardous|chemo\w*(?! (?:pt|pat)))\b(?! (?:pt|pat))"
        ),
    ),
    ("allergy", re.compile(r"\b(?:cmpa|allerg\w+|dairy[- ]free)\b")),
    ("kit", re.compile(r"\b(?:hospice|comfort)\s+(?:kit|pack|box)\b")),
    (
        "warm",
        re.compile(
            r"\b(?:left|been|sat|was) (?:out|warm)\b|\bwarm (?:since|all|for)\b|\bgot (?:warm|hot)\b|"
            r"\bout of (?:the )?fridge\b|\bno(?:t)? (?:fridge|kept cold|refrigerated)\b"
        ),
    ),
    (
        "gone",
        re.compile(
            r"\b(?:none|nothing) left\b|\bno\b[\w\s]* left\b|\bused up\b|\ball gone\b|"
            r"\bfinished\b|\b(?:given|sent|taken|went) (?:back|home|away)\b|\bnot here\b|"
            r"\breturned\b|\b(?:discarded|thrown (?:out|away)|binned)\b|"
            r"(?<![\d.,])0 (?:pens?|vials?|bags?|bottles?|packs?|box(?:es)?)\b"
        ),
    ),
    (
        "expired",
        re.compile(r"\bexpired\b|\bout of date\b|\bcaducad[oa]s?\b|\bperimee?s?\b"),
    ),
    ("ice", re.compile(r"\bice ?(?:packs?|bags?|bricks?)?\b")),
)
_PRIVATE = re.compile(
    r"\(?\b(?:chemo(?:therapy)?|cancer|oncology|hiv|aids|hepatitis|hep c|dialysis|ms|"
    r"psych\w*|schizo\w*|transplant|hospice)\s+(?:pt|patient|resident|client)s?\b\)?"
    r"|\((?:hospice|cancer|hiv\+?|aids|ra|ms)\)",
    re.I,
)
_NOT_FROZEN = re.compile(
    r"\b(?:not|never|non|un|no|isn't|isnt|aren't|do not|don't|dont|sin|nicht|pas)[ -]?"
    r"(?:to be |been |be |yet |in )?(?:the )?(?:fro?zen|freez(?:e|er|ing)|froze)\b|\bunfrozen\b"
    r"|\b(?:away from|out of|avoid) (?:the )?(?:freezer|freezing)\b"
)
_NOT_THAWED = re.compile(
    r"\b(?:not|never|do not|don't|dont|no)[ -]?(?:yet |be |been )?(?:thaw(?:ed|ing)?|defrost(?:ed|ing)?)\b"
)
_WAS_FROZEN = re.compile(
    r"\b(?:was|were|previously|once|had been|used to be|been|from)\s+(?:the )?(?:frozen|freezer)\b"
)
_DEFROSTED = re.compile(
    r"\b(?:defrosted|defrosting|thawing|thaw|de-?frost|descongelad[oa]s?|decongele\w*)\b"
)
_HALF_THAWED = re.compile(
    r"\b(?:half|partly|partially|part|semi|nearly|almost)[ -](?:thawed|frozen|defrosted|melted)\b"
    r"|\bice crystals\b|\bslush\b"
)
_IN_FREEZER = re.compile(
    r"\b(?:in|from|out of|at|en)?\s*(?:the |my |our |el |le )?(?:deep )?(?:freezer|congelador|congelateur)\b"
)
_STILL_FROZEN = re.compile(r"\bfro?zen (?:solid|hard)\b|\bfrzn?\b|\bfroz\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Details:
    """Pieces of an item's text; ``""`` and empty mean: not said.

    ``pet`` is ``"yes"`` when the text says whose it is, ``"maybe"`` when
    an animal is only mentioned.  ``marks`` are words about handling.
    """

    strengths: tuple[str, ...] = ()
    doses: tuple[str, ...] = ()
    opened_on: str = ""
    made_on: str = ""
    use_by: str = ""
    day_of: tuple[int, int] | None = None
    pet: str = ""
    people: str = ""
    marks: tuple[str, ...] = ()


def details_of(text: str) -> Details:
    """Read everything but the name and the count.

    >>> details_of("adalimumab 40mg/0.4 x 2 syringes").strengths
    ('40mg/0.4',)
    >>> details_of("Insulin 10U am 8U pm").doses
    ('10u am', '8u pm')
    """
    plain = " ".join(clean(text).casefold().split())
    day = _DAY_OF.search(plain)
    people = _SEVERAL.search(plain)
    return Details(
        strengths=tuple(one.strip() for one in _found(_STRENGTH, plain)),
        doses=tuple(one.strip() for one in _found(_DOSE, _STRENGTH.sub(" ", plain))),
        opened_on=_group(_OPENED_ON, plain),
        made_on=_group(_MADE_ON, plain) or _group(_THAWED_LATE, plain),
        use_by=_group(_USE_BY, plain),
        day_of=(int(day[1]), int(day[2])) if day else None,
        pet=_pet(plain),
        people=people[0] if people else "",
        marks=tuple(name for name, pattern in _MARKS if pattern.search(plain)),
    )


def _found(pattern: re.Pattern[str], plain: str) -> list[str]:
    return [match[0] for match in pattern.finditer(plain)]


def _group(pattern: re.Pattern[str], plain: str) -> str:
    match = pattern.search(plain)
    return " ".join(match[1].split()) if match else ""


def _pet(plain: str) -> str:
    bare = _NO_PET.sub(" ", plain)
    if _PET_SURE.search(bare):
        return "yes"
    return "maybe" if _PET_MAYBE.search(bare) else ""


def is_pet_word(text: str) -> bool:
    """Tell whether a name cell mentions an animal."""
    return bool(_PET_MAYBE.search(_NO_PET.sub(" ", key(text))))


def without_amounts(text: str) -> str:
    """Text without strengths, doses and days, so that a count can be found.

    >>> without_amounts("adalimumab 40mg/0.4 x 2 syringes")
    'adalimumab x 2 syringes'
    """
    plain = " ".join(clean(text).casefold().split())
    for pattern in (_USE_BY, _DAY_OF, _STRENGTH, _DOSE, _OPENED_ON):
        plain = pattern.sub(" ", plain)
    return " ".join(re.sub(r"\(\s*\)", " ", plain).split())


def without_private(text: str) -> str:
    """Text without words that tell an illness of the person.

    >>> without_private("filgrastim 5 syr (chemo pt)")
    'filgrastim 5 syr'
    """
    kept = _PRIVATE.sub(" ", text)
    return "\n".join(" ".join(line.split()) for line in kept.split("\n")).strip()


def said_state(text: str) -> str:
    """Text with one plain word for the state: frozen, thawed, slushy or none.

    ``not frozen`` must never be read as frozen, and what was frozen once is
    thawed now.

    >>> said_state("ebm not frozen 4 bags")
    'ebm 4 bags'
    >>> said_state("ebm 6 bags in freezer")
    'ebm 6 bags frozen'
    >>> said_state("milk, was frozen")
    'milk, thawed'
    """
    plain = _HALF_THAWED.sub(" slushy ", text)
    plain = _NOT_THAWED.sub(" ", _NOT_FROZEN.sub(" ", plain))
    plain = _WAS_FROZEN.sub(" thawed ", plain)
    plain = _DEFROSTED.sub(" thawed ", plain)
    plain = _STILL_FROZEN.sub(" frozen ", _IN_FREEZER.sub(" frozen ", plain))
    return " ".join(plain.split())


def states_in(text: str) -> frozenset[str]:
    """The states a text names: ``frozen``, ``thawed``, ``slushy``, ``fresh``."""
    plain = said_state(" ".join(clean(text).casefold().split()))
    words = set(key(plain).split())
    frozen = words & {"frozen", "congelada", "congeladas", "congelado", "congelados",
                      "congele", "congeles", "gefroren", "gefrorene"}  # fmt: skip
    return frozenset(
        name
        for name, said in (
            ("frozen", bool(frozen)),
            ("thawed", "thawed" in words),
            ("slushy", "slushy" in words),
            ("fresh", "fresh" in words),
            ("fridge", "fridge" in words),
        )
        if said
    )
