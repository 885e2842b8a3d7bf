"""What people write into the name cell: names, and much else."""

import re

from planner.intake.words import clean, key

_REFERS = re.compile(
    r"\b(?:of|to|with|from) (?:the )?(?:above|previous|last one|row above)\b|\babove\b|"
    r"\b(?:de|del) (?:arriba|anterior)\b"
)
_SEVERAL = re.compile(
    r"\bx ?[2-9]\b|\b(?:both|twins|triplets|all (?:of )?(?:them|us)|couple|siblings|kids|"
    r"children|the (?:two|three|four|five))\b|\b[2-9] (?:people|persons|kids|children)\b"
)
_LISTED = re.compile(r"\s(?:&|\+|and|y|et|und)\s|/")
_VAGUE = frozenset(
    [
        "self",
        "me",
        "myself",
        "i",
        "baby",
        "infant",
        "newborn",
        "mother",
        "mom",
        "mum",
        "dad",
        "father",
        "wife",
        "husband",
        "son",
        "daughter",
        "child",
        "kid",
        "grandma",
        "grandpa",
        "grandmother",
        "grandfather",
        "staff",
        "volunteer",
        "unknown",
        "unk",
        "male",
        "female",
        "man",
        "woman",
        "boy",
        "girl",
        "adult",
        "resident",
        "guest",
        "patient",
        "client",
        "nurse",
        "family",
        "anon",
        "anonymous",
        "no",
        "name",
        "noname",
        "someone",
        "person",
        "unnamed",
        "elderly",
        "lady",
        "gentleman",
    ]
)
_PLACES = re.compile(r"\b(?:cot|bed|apt|room|rm|bay|unit|house|hall|row)\s*\w{1,4}\b")


def oddity(text: str) -> str:
    """Say what is odd about a name cell; ``""`` for a plain name.

    >>> oddity("baby of above")
    'it refers to another row'
    >>> oddity("Anh Testname")
    ''
    """
    plain = key(text)
    if _REFERS.search(plain):
        return "it refers to another row"
    if _is_phone(text):
        return "it is a telephone number"
    if _SEVERAL.search(plain) or _several_names(text):
        return "it stands for several people"
    words = [word for word in _PLACES.sub(" ", plain).split() if not word.isdigit()]
    if words and all(word in _VAGUE or len(word) == 1 for word in words):
        return "it names nobody"
    if not words and not any(sign.isdigit() for sign in plain):
        return "it names nobody"
    return ""


def _is_phone(text: str) -> bool:
    digits = sum(sign.isdigit() for sign in text)
    letters = sum(sign.isalpha() for sign in text)
    return digits >= 7 and letters <= 2


def _several_names(text: str) -> bool:
    """``Anh and Bo Testname``: two names, not one with two parts."""
    bare = " ".join(clean(text).split())
    parts = [part for part in _LISTED.split(f" {bare} ") if key(part)]
    return len(parts) > 1 and all(len(key(part)) > 1 for part in parts)


def own_person(why: str) -> bool:
    """Tell oddities where two rows with the same words may be two people."""
    return why in {
        "it refers to another row",
        "it names nobody",
        "it is a telephone number",
    }
