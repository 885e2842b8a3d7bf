"""Products that an unknown item may be meant as, for answers of one press.

A wrong one is planned at once, so that only what the text nearly names is
offered; the general words of a medicine cupboard name nothing.
"""

from collections.abc import Mapping
from functools import cache, lru_cache

from rapidfuzz import fuzz, process

from planner.catalogue import ItemKind, item_kind, item_kinds
from planner.intake.item_details import details_of
from planner.intake.item_words import HARMLESS
from planner.intake.items import is_vague, tokens_of
from planner.intake.words import key
from planner.scenario import Consequence

_MOST = 3
_NEAR = 60.0
_ALIKE = 80.0
_PRODUCT_LETTERS = 5
_GENERAL_WORDS = (
    # How it is made, given and packed.
    "shot jab needle syringe cartridge ampoule ampule inhaler inhalation spray nasal "
    "patch cream ointment lotion paste powder powdered granule sachet capsule oral "
    "swallow injectable infusion infuse concentrate concentrated emulsion mixture "
    "mixed mixee dose dosed multi single prefilled filled water based diluted "
    "prepared prepare ready compounded preserved preservative vaginal subcut "
    "subcutaneou intravenou intravenoso intraveineux chamber reservoir strip sensore "
    "capteur lancet storage supplie product extended release soluble neutral "
    "emergency special regular whole triple twice ultra faster rapide rapida "
    "intermediate state moved drawn begun drunk unfinished perishable general "
    "inyeccion aguja aiguille inhalador inhalateur inhalada pastilla polvo poudre "
    "pomada comprimido comprime tabletten supositorio preparada mezclada pronta "
    # What many products are.
    "vaccine vaccin vacuna vacina antibiotic antibiotico antibiotique antiviral "
    "hormone hormona hormonio steroid immune viral factor facteur fator "
    # What they are for, and whose they are.
    "joint blood thinner weight sugar thyroid glaucoma clotting coagulacion mouth "
    "animal mascota veterinary chien perro other anything something thing months "
    "hours every before after without neighbour neighbor"
)
_GENERAL = frozenset(_GENERAL_WORDS.split())
"""Words that stand in names of products and do not say which one it is."""


def near_kinds(text: str) -> list[ItemKind]:
    """Kinds whose names are like a text, the likest first; often none.

    A word that names the product must stand in the text, or one much like
    it.  An animal's product is offered only where an animal is named.
    """
    said = _product_words(text)
    pet = bool(details_of(text).pet)
    names = {
        name: kind_id
        for name, kind_id in _names().items()
        if (pet or item_kind(kind_id).consequence is not Consequence.PET)
        and _shares_a_word(said, _product_words(name))
    }
    found = process.extract(
        key(text), list(names), scorer=fuzz.WRatio, score_cutoff=_NEAR, limit=12
    )
    kinds = dict.fromkeys(names[name] for name, _, _ in found)
    return [item_kind(kind_id) for kind_id in list(kinds)[:_MOST]]


@lru_cache(maxsize=4096)
def _product_words(text: str) -> frozenset[str]:
    """Words of a text that can name a product; not those that many share."""
    return frozenset(
        word
        for word in tokens_of(text)
        if len(word) >= _PRODUCT_LETTERS
        and word.isalpha()
        and word not in HARMLESS
        and word not in _GENERAL
    )


def _shares_a_word(said: frozenset[str], named: frozenset[str]) -> bool:
    return any(fuzz.ratio(one, other) >= _ALIKE for one in said for other in named)


@cache
def _names() -> Mapping[str, str]:
    return {
        key(word): kind.id
        for kind in item_kinds()
        for word in (kind.name, *kind.words)
        if len(key(word)) > 3 and not is_vague(kind.id)
    }
