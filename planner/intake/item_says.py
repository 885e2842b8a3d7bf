"""What must be said or asked about one item of a row."""

import re
from datetime import datetime

from planner.catalogue import ItemKind
from planner.intake import moments
from planner.intake.cells import Cell
from planner.intake.item_details import Details, details_of, is_pet_word, states_in
from planner.intake.item_split import Part
from planner.intake.items import PET_INSULIN, Match, is_vague
from planner.intake.storage import storage_words
from planner.intake.table import Row
from planner.intake.words import key
from planner.scenario import Gate

_STATE_NOT_SAID = frozenset({"human-milk-unknown", "donor-milk-thawed"})
_NAMED_ANYWAY = frozenset({"ganirelix", "hcg", "chorionic"})
_STATED = re.compile(r"\b(fresh|thawed|fresca|frais|frisch|fresco|fridge)\b")
_CHECK = frozenset(
    {
        "azithromycin-suspension",
        "calcitonin-nasal",
        "calcitonin-nasal-open",
        "cefdinir-suspension",
        "clarithromycin-suspension",
        "clindamycin-liquid",
        "factor-viii",
        "glp1-in-use",
        "glucagon-kit",
        "human-milk-fortified",
        "insulin-pump-reservoir",
        "latanoprost-open",
        "methotrexate-pen",
        "semaglutide-pen",
    }
)
"""Kinds whose labels differ most, or whose clock starts with first use."""
_OPEN_NOT_SAID = frozenset({"rtf-opened", "enteral-opened"})
_OPENED = re.compile(r"\b(open|opened|started|mixed|made)\b")
_FORM = re.compile(
    r"\b(tablets?|tabs|pills?|capsules?|caps|patch(?:es)?|cream|ointment|pastillas?|"
    r"comprimidos?|comprimes?|tabletten)\b"
)
_SOLID = frozenset(
    {"tablets-room", "chemo-tablets-cold", "misoprostol", "test-strips", "probiotic"}
)
"""Kinds that may be tablets; a cold kind is a liquid, a pen or a vial."""
_BEYOND_USE = re.compile(r"compounded|iv-antibiotic|pn-compounded|chemo-unknown")
_MUST_BE_COLD = re.compile(
    r"\b(keep cold|keep in (?:the )?fridge|must be cold|needs? (?:the )?fridge|"
    r"refrigerated?|needs cold)\b"
)


def say_item(row: Row, part: Part, match: Match, start: datetime) -> bool:
    """Note doubts about the item; True when the line waits in review."""
    text = " ".join(part.text.split("\n"))
    doubtful = _say_match(row, part, match, text)
    if part.left:
        row.say("part-left", "item", value=part.left, name=match.kind.name)
    if not match.known:
        return doubtful
    details = details_of(part.text)
    _say_clock(row, part, match.kind, details, start)
    return _say_state(row, part, match, details) or doubtful


def _say_match(row: Row, part: Part, match: Match, text: str) -> bool:
    if match.rivals:
        names = ", ".join(match.rivals)
        row.say("item-ambiguous", "item", value=text, names=names)
        return True
    if not match.known:
        row.say("item-unknown", "item", value=text)
        return True
    states = states_in(part.text)
    several = (
        len(states & {"frozen", "thawed", "fresh", "fridge"}) > 1 and not part.apart
    )
    if part.mixed or several:
        row.say("item-mixed", "item", value=text)
        return True
    if match.guessed:
        row.say("item-guessed", "item", value=text, name=match.kind.name)
        return True
    if match.others:
        row.say("item-two-names", "item", value=text, name=match.kind.name,
                names=", ".join(match.others))  # fmt: skip
        return True
    if _FORM.search(key(part.text)) and match.kind.id not in _SOLID:
        row.say("form-differs", "item", value=text, name=match.kind.name)
        return True
    if match.left and match.kind.gate is not Gate.POOL:
        words = ", ".join(match.left)
        row.say("words-left", "item", value=text, name=match.kind.name, words=words)
        return True
    return False


def _say_state(row: Row, part: Part, match: Match, details: Details) -> bool:
    """Pets, people and states; True when the line waits in review."""
    kind = match.kind
    text = " ".join(part.text.split("\n"))
    doubtful = _say_whose(row, kind, details, text)
    if "gone" in details.marks:
        row.say("maybe-gone", "item", value=text, name=kind.name)
        doubtful = True
    if kind.id == "human-milk-slushy":
        row.say("milk-slushy", "item", value=text)
        doubtful = True
    if kind.group == "vaccine":
        row.say("clinic-stock", "item", value=text)
    if kind.id in _STATE_NOT_SAID:
        if not (part.mixed or _STATED.search(key(part.text))):
            row.say("state-not-said", "item", value=text)
    elif (
        kind.id in _OPEN_NOT_SAID
        and not (part.opened or _OPENED.search(key(part.text)))
    ) or (is_vague(kind.id) and not _NAMED_ANYWAY.intersection(match.used)):
        row.say("type-not-known", "item", value=text, name=kind.name)
    if kind.gate is not Gate.POOL and _MUST_BE_COLD.search(key(part.text)):
        row.say(
            "pool-conflict", "item", value=text, name=kind.name, gate=kind.gate.value
        )
        doubtful = True
    if _frozen_against(row, part, kind):
        used = f"{kind.keep_from_c:g} to {kind.keep_to_c:g} C"
        row.say("freezer-conflict", "item", value=text, name=kind.name, used=used)
        doubtful = True
    _say_handling(row, kind, details)
    return doubtful


def _frozen_against(row: Row, part: Part, kind: ItemKind) -> bool:
    """Tell whether the item's own text says frozen of a kind that is not.

    What the storage columns say is checked with the range.
    """
    said = "frozen" in states_in(part.text) and not (part.apart or part.mixed)
    return said and kind.keep_from_c >= 0 and not storage_words(row)


def _say_whose(row: Row, kind: ItemKind, details: Details, text: str) -> bool:
    if kind.id == PET_INSULIN or details.pet == "yes":
        row.say("pet-item", "item", value=text, name=kind.name)
    elif details.pet or any(
        is_pet_word(row.text(name)) for name in ("resident", "first_name", "badge")
    ):
        row.say("maybe-pet", "item", value=text, name=kind.name)
        return True
    if details.people:
        row.say("several-people", "item", value=text)
        return True
    return False


def _say_clock(
    row: Row, part: Part, kind: ItemKind, details: Details, start: datetime
) -> None:
    text = " ".join(part.text.split("\n"))
    if details.day_of:
        day, whole = details.day_of
        row.say(
            "in-use-day", "item", value=text, used=max(0, whole - day), name=kind.name
        )
    elif part.opened and not details.opened_on and not row.text("opened"):
        row.say("opened-when", "item", value=text, name=kind.name)
    elif part.opened and details.opened_on:
        when = moments.moment(Cell(value=details.opened_on), start, latest=True)
        if when.wrong:
            row.say(when.wrong, "item", value=details.opened_on,
                    used="the day of opening is not used")  # fmt: skip
    if "expired" in details.marks:
        row.say("past-keep-by", "item", value=text)
    if "warm" in details.marks:
        row.say("was-warm", "item", value=text)
    if (
        _BEYOND_USE.search(kind.id)
        and not row.text("keep_by")
        and not (details.use_by or details.made_on)
    ):
        row.say("beyond-use-date", "item", value=text, name=kind.name)
    if kind.id in _CHECK:
        row.say("check-label", "item", value=text, name=kind.name)


def _say_handling(row: Row, kind: ItemKind, details: Details) -> None:
    if kind.controlled:
        row.say("controlled-count", "item", name=kind.name)
    if "hazard" in details.marks:
        row.say("handle-hazard", "item", name=kind.name)
    if "allergy" in details.marks:
        row.say("allergy-only", "item", name=kind.name)
    if "kit" in details.marks:
        row.say("kit-whole", "item", name=kind.name)
    if kind.id.startswith("donor-milk"):
        row.say("donor-milk", "item", name=kind.name)
