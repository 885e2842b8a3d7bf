"""How much harm an open question can do, and which fields of a line it touches.

The review queue is in this order: what can hurt a person soonest comes
first.  Ranks were set by judgement (common practice, no source) and are
listed in docs/issues.md.
"""

from collections.abc import Mapping
from enum import IntEnum
from types import MappingProxyType

from planner.intake.issue_kinds import ISSUE_KINDS


class Harm(IntEnum):
    """Ranks of the review queue, the gravest first."""

    WHOLE_LIST = 1
    WHAT_IT_IS = 2
    HOW_IT_IS_KEPT = 3
    LEFT_BEHIND = 4
    TIME_LEFT = 5
    CUSTODY = 6
    SHORT_OF_POWER = 7
    BOOKKEEPING = 8

    @property
    def words(self) -> str:
        """What can go wrong, in words."""
        return _WORDS[self]


_WORDS = {
    Harm.WHOLE_LIST: "nothing is planned, or a whole list is read wrongly",
    Harm.WHAT_IT_IS: "a life-critical item may not be known as one, or be somebody else's",
    Harm.HOW_IT_IS_KEPT: "an item may freeze, thaw or get warm",
    Harm.LEFT_BEHIND: "packs may be left out, or counted that are not there",
    Harm.TIME_LEFT: "an item may be past its time",
    Harm.CUSTODY: "a bag may reach the wrong hands, or not its owner at night",
    Harm.SHORT_OF_POWER: "a unit may go dark, or not be used",
    Harm.BOOKKEEPING: "nothing of a line changes",
}
_RANKS = {
    Harm.WHOLE_LIST: "heading-guessed column-misfit headings-none item-columns pasted-list sheets-joined "
    "sheet-hidden sheet-old sheet-not-read column-not-read priority-not-read heading-twice "
    "quotes-odd sheet-taken",
    Harm.WHAT_IT_IS: "item-missing item-not-readable item-two-names form-differs item-unknown item-ambiguous item-guessed "
    "maybe-pet pet-item type-not-known words-left part-left cell-error formula-no-value "
    "text-cut clinic-stock kit-whole aliases-not-read alias-kind-unknown alias-clash "
    "alias-too-wide alias-blank alias-no-cold",
    Harm.HOW_IT_IS_KEPT: "item-mixed milk-slushy state-not-said freezer-conflict pool-conflict "
    "cold-not-wanted room-band band-not-usable band-one-edge band-upside-down band-wider "
    "never-freeze-kept storage-word-unclear fahrenheit-assumed date-turned-back "
    "in-use-with-person check-label",
    Harm.LEFT_BEHIND: "struck-through maybe-gone colour-not-read several-people same-item-twice "
    "quantity-assumed quantity-reckoned dose-not-count quantity-rounded split-quantity "
    "row-hidden column-hidden item-split ditto-copied merged-copied item-departed no-item "
    "volume-is-contents looks-not-read total-row note-row title-rows header-repeated",
    Harm.TIME_LEFT: "past-keep-by was-warm out-since-future date-two-ways date-not-usable warm-longer "
    "keep-by-worked-out in-use-day beyond-use-date opened-when clock-not-usable",
    Harm.CUSTODY: "maybe-same-person resident-blank resident-vague place-blank places-alike yes-no-unclear "
    "controlled-count handle-hazard allergy-only donor-milk tier-given coding-guessed "
    "choice-not-known",
    Harm.SHORT_OF_POWER: "unit-type-unknown unit-type-ambiguous unit-no-volume "
    "battery-no-capacity panel-no-watts source-no-watts source-no-clock "
    "source-kind-unknown status-unknown status-assumed number-not-usable "
    "number-out-of-range number-two-ways unit-not-known zones-not-usable "
    "set-points-not-usable default-used charge-small days-not-usable start-assumed "
    "start-rounded setting-not-known setting-twice setting-place-unknown window-rounded "
    "sun-unknown back-before-ready energy-over-power unit-out-of-order equipment-twice",
    Harm.BOOKKEEPING: "name-blank name-twice ice-wanted aliases-used",
}
_ABOUT = {
    "kind_id": "state-not-said item-two-names form-differs item-unknown item-ambiguous item-guessed maybe-pet pet-item type-not-known "
    "words-left part-left clinic-stock kit-whole item-mixed milk-slushy item-columns",
    "band": "item-two-names form-differs item-unknown item-ambiguous item-guessed item-mixed milk-slushy "
    "freezer-conflict pool-conflict cold-not-wanted room-band band-not-usable band-one-edge "
    "band-upside-down band-wider storage-word-unclear fahrenheit-assumed date-turned-back "
    "state-not-said type-not-known words-left check-label",
    "never_freeze": "item-two-names form-differs item-unknown item-ambiguous item-guessed never-freeze-kept "
    "freezer-conflict item-mixed milk-slushy state-not-said",
    "state": "item-mixed milk-slushy state-not-said freezer-conflict",
    "quantity": "maybe-gone item-two-names item-unknown item-ambiguous quantity-assumed quantity-reckoned "
    "dose-not-count quantity-rounded split-quantity several-people struck-through "
    "same-item-twice item-mixed part-left ditto-copied formula-no-value",
    "tier": "pool-conflict cold-not-wanted room-band was-warm item-two-names form-differs item-unknown item-ambiguous item-guessed maybe-pet pet-item type-not-known "
    "words-left tier-given",
    "keep_by": "past-keep-by date-two-ways date-not-usable keep-by-worked-out in-use-day "
    "beyond-use-date",
    "opened": "opened-when in-use-with-person quantity-reckoned yes-no-unclear",
    "resident": "maybe-same-person resident-blank resident-vague several-people merged-copied "
    "ditto-copied coding-guessed",
    "volume_l": "volume-is-contents",
    "locked": "controlled-count yes-no-unclear",
}


def _harms() -> Mapping[str, Harm]:
    found = {code: harm for harm, codes in _RANKS.items() for code in codes.split()}
    for code, kind in ISSUE_KINDS.items():
        if kind.severity.value == "stop":
            found[code] = Harm.WHOLE_LIST
    return MappingProxyType(found)


HARM: Mapping[str, Harm] = _harms()
"""Rank of every issue code."""
ABOUT: Mapping[str, frozenset[str]] = MappingProxyType(
    {field: frozenset(codes.split()) for field, codes in _ABOUT.items()}
)
"""Issue codes by the field of a line that they leave open.

``state`` is frozen or thawed; ``tier`` is who comes first.
"""


def harm_of(code: str) -> Harm:
    """Give the rank of a code; one that nobody ranked comes last."""
    return HARM.get(code, Harm.BOOKKEEPING)


def fields_asked(code: str) -> tuple[str, ...]:
    """Fields of a line that an issue leaves open, in a fixed order."""
    return tuple(field for field, codes in ABOUT.items() if code in codes)
