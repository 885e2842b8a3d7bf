"""Short codes that stand for people on everything public.

A code such as ``K-47R6D`` is a letter, four signs and a check sign.  The
alphabet leaves out signs that look or sound alike (0 O, 1 I L, 2 Z, 5 S,
8 B, and E, G, Q, W).  The same name and household give the same code
wherever they stand in the sheet, so that bags keep their codes when a list
is read again; a code word of the site makes codes hard to guess from names.
"""

import hashlib
import re
from collections.abc import Iterable, Mapping

LETTERS = "ACDFHJKMNPRTUVXY"
SIGNS = LETTERS + "34679"
_CODE = re.compile(rf"([{LETTERS}])-([{SIGNS}]{{4}})([{SIGNS}])")


def check_sign(body: str) -> str:
    """Check sign of a code body such as ``K47R6``.

    Weights 1, 2, 4, 8, 16 over the 21 signs: one wrong sign or two swapped
    neighbours change it, because the weights and the differences of
    neighbouring weights share no factor with 21.
    """
    total = sum(SIGNS.index(sign) * 2**at for at, sign in enumerate(body))
    return SIGNS[total % len(SIGNS)]


def is_code(text: str) -> bool:
    """Tell whether a text is a well-formed code with the right check sign."""
    match = _CODE.fullmatch(text.strip().upper())
    return match is not None and check_sign(match[1] + match[2]) == match[3]


def make_code(secret: str, attempt: int = 0) -> str:
    """Code of a text; ``attempt`` gives another one when it is taken."""
    digest = hashlib.sha256(f"{attempt}|{secret}".encode()).digest()
    number = int.from_bytes(digest[:8], "big")
    number, first = divmod(number, len(LETTERS))
    body = LETTERS[first]
    for _ in range(4):
        number, at = divmod(number, len(SIGNS))
        body += SIGNS[at]
    return f"{body[0]}-{body[1:]}{check_sign(body)}"


def assign_codes(keys: Iterable[str], word: str = "") -> Mapping[str, str]:
    """Give a code for each key; keys that are codes keep themselves.

    Keys are served in sorted order, so that their order in the sheet does
    not matter.
    """
    distinct = sorted(set(keys))
    codes = {key: key.upper() for key in distinct if is_code(key)}
    taken = set(codes.values())
    for key in distinct:
        if key in codes:
            continue
        attempt = 0
        while (code := make_code(f"{word}|{key}", attempt)) in taken:
            attempt += 1
        codes[key] = code
        taken.add(code)
    return codes
