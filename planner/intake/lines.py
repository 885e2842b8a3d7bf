"""One item of one intake row, resolved into a line."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from planner.catalogue import ItemKind
from planner.intake import moments, packs, values
from planner.intake.intake_fields import (
    daily_use,
    keep_by,
    out_since,
    quantity,
    tier_given,
)
from planner.intake.items import Match, Part, match_item
from planner.intake.origins import origin_from
from planner.intake.persons import Coded, Person
from planner.intake.reading import flag, number
from planner.intake.storage import Storage, read_storage, storage_words
from planner.intake.table import Row
from planner.scenario import CameFrom, Flag, Gate, Line, Origin, StockClass

_LABEL_SHARE = 1.25
_IN_USE_GROUPS = frozenset({"insulin"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Context:
    """What a line needs to know besides its own row."""

    start: datetime
    place: str
    person: Person
    coded: Coded


def make_line(row: Row, part: Part, context: Context, *, alone: bool) -> Line:
    """Resolve one item; blanks come from the catalogue and are on record.

    ``alone`` is False when the row's cell held several items.  The line's
    id is given later, when all lines are known.
    """
    opened = part.opened or _opened(row)
    match = _with_state(part, row, opened)
    kind = match.kind
    doubtful = _say_match(row, part, match)
    storage = read_storage(row, kind)
    gate = _gate(row, kind, storage, opened)
    count = quantity(row, part, match, alone=alone)
    origins = [_kind_origin(kind), storage.origin]
    volume_l = _volume(row, part, kind, origins)
    out, out_known = out_since(row, context.start)
    warm_hours, warm_max_c = _warm(row, kind, origins)
    if not out_known:
        warm_hours = None
    tier = tier_given(row)
    if tier is not None:
        origins.append(
            Origin(field="tier_given", came_from=CameFrom.SHEET, value=tier.value)
        )
    if row.raw.hidden:
        row.say("row-hidden")
    struck = row.cell("item").struck
    if struck:
        row.say("struck-through", "item")
    return Line(
        id="",
        sheet=row.table.sheet,
        row=row.raw.number,
        code=context.coded.code,
        resident=context.person.resident,
        household=context.coded.household,
        place=context.place,
        item_text=part.text,
        kind_id=kind.id,
        kind_name=kind.name,
        stock_class=kind.stock_class,
        gate=gate,
        consequence=kind.consequence,
        quantity=count,
        volume_l=volume_l,
        keep_from_c=storage.low_c,
        keep_to_c=storage.high_c,
        never_freeze=_never_freeze(row, kind, storage),
        warm_hours=warm_hours,
        warm_max_c=warm_max_c,
        clock=kind.clock,
        out_since=out,
        opened=opened,
        thawed="thawed" in kind.id or "thaw" in part.text.casefold(),
        daily_use=daily_use(row),
        tier_given=tier,
        locked=_locked(row, kind, origins),
        night_need=bool(flag_or(row, "night_need", blank=False, unclear=True)),
        keep_by=keep_by(row, context.start),
        notes=row.text("notes"),
        provisional=doubtful or storage.provisional or struck,
        origins=tuple(origins),
    )


def flag_or(row: Row, field_key: str, *, blank: bool, unclear: bool) -> bool:
    """Yes or no with one value for blank and a cautious one for unclear."""
    if not row.text(field_key):
        return blank
    found = flag(row, field_key, f"{'yes' if unclear else 'no'} is assumed")
    if found is not None:
        return found
    return unclear if values.yes_no(row.cell(field_key)).wrong else blank


def _opened(row: Row) -> bool:
    """Yes, or a date on which it was opened."""
    cell = row.cell("opened")
    if isinstance(cell.value, datetime | timedelta):
        return True
    near = datetime(2000, 1, 1)
    if values.yes_no(cell).wrong and (
        moments.moment(cell, near, latest=True).value is not None
        or moments.moment(cell, near, latest=True).wrong == "date-two-ways"
    ):
        return True
    return flag_or(row, "opened", blank=False, unclear=False)


def _with_state(part: Part, row: Row, opened: bool) -> Match:
    """Match again with what other columns say: frozen, or in use."""
    for word in (storage_words(row), "open" if opened else ""):
        if word and part.match.known:
            again = match_item(f"{part.text} {word}")
            if again.known and word in {*again.used, *again.left}:
                return again
    return part.match


def _say_match(row: Row, part: Part, match: Match) -> bool:
    """Note doubts about the kind; True when the line waits in review."""
    text = " ".join(part.text.split("\n"))
    if match.rivals:
        names = ", ".join(match.rivals)
        row.say("item-ambiguous", "item", value=text, names=names)
        return True
    if not match.known:
        row.say("item-unknown", "item", value=text)
        return True
    if re.search(r"\bsome\b.*\b(some|not|rest)\b", text.casefold()):
        row.say("item-mixed", "item", value=text)
        return True
    if match.guessed:
        row.say("item-guessed", "item", value=text, name=match.kind.name)
        return True
    if match.left and match.kind.gate is not Gate.POOL:
        row.say(
            "words-left",
            "item",
            value=text,
            name=match.kind.name,
            words=", ".join(match.left),
        )
        return True
    return False


def _gate(row: Row, kind: ItemKind, storage: Storage, opened: bool) -> Gate:
    in_use = opened and kind.group in _IN_USE_GROUPS and not storage.given
    if in_use and storage.gate is Gate.POOL:
        row.say("in-use-with-person", "item", name=kind.name)
        return Gate.WITH_PERSON
    return storage.gate


def _kind_origin(kind: ItemKind) -> Origin:
    return Origin(field="kind_id", came_from=CameFrom.SHEET, value=kind.name)


def _volume(row: Row, part: Part, kind: ItemKind, origins: list[Origin]) -> float:
    fact = kind.volume_fact
    found = number(row, "volume_l", f"{kind.volume_l:g} L from the catalogue is used")
    if found is not None:
        value = Origin(field="volume_l", came_from=CameFrom.SHEET, value=f"{found:g} L")
        origins.append(value)
        return found
    stated = None
    if kind.stock_class is StockClass.FEED:
        stated = packs.liquid_l(part.text) or packs.liquid_l(row.text("quantity"))
    if stated is not None and stated * _LABEL_SHARE > kind.volume_l:
        litres = round(stated * _LABEL_SHARE, 3)
        origins.append(
            Origin(
                field="volume_l",
                came_from=CameFrom.DEFAULT,
                value=f"{litres:g} L",
                source="stated contents and a quarter more for the labelled bag",
                jurisdiction="any",
                flag=Flag.ESTIMATE,
            )
        )
        return litres
    origins.append(
        origin_from(fact, "volume_l", f"{kind.volume_l:g} L", CameFrom.CATALOGUE)
    )
    return kind.volume_l


def _warm(
    row: Row, kind: ItemKind, origins: list[Origin]
) -> tuple[float | None, float | None]:
    hours = number(row, "warm_hours", "the catalogue's allowance is used")
    top_c = number(row, "warm_max", "the catalogue's limit is used")
    if hours is not None:
        usual = kind.warm_hours
        if usual is not None and hours > usual:
            row.say(
                "warm-longer", "warm_hours", value=f"{hours:g} h", used=f"{usual:g} h"
            )
        shown = f"{hours:g} h" if top_c is None else f"{hours:g} h up to {top_c:g} C"
        origins.append(
            Origin(field="warm_hours", came_from=CameFrom.SHEET, value=shown)
        )
        return hours, kind.warm_max_c if top_c is None else top_c
    fact = kind.warm_fact
    known = "not known" if kind.warm_hours is None else f"{kind.warm_hours:g} h"
    limit = kind.warm_max_c if top_c is None else top_c
    shown = known if limit is None else f"{known} up to {limit:g} C"
    origins.append(origin_from(fact, "warm_hours", shown, CameFrom.CATALOGUE))
    return kind.warm_hours, limit


def _never_freeze(row: Row, kind: ItemKind, storage: Storage) -> bool:
    given = flag_or(row, "never_freeze", blank=kind.never_freeze, unclear=True)
    if kind.never_freeze and not given:
        row.say("never-freeze-kept", "never_freeze", name=kind.name)
        return True
    return given and not (storage.given and storage.high_c < 0)


def _locked(row: Row, kind: ItemKind, origins: list[Origin]) -> bool:
    blank = not row.text("locked")
    if blank and kind.controlled:
        origins.append(
            Origin(
                field="locked",
                came_from=CameFrom.CATALOGUE,
                value="yes",
                source="controlled kind in the catalogue",
                flag=Flag.PRACTICE,
            )
        )
    return flag_or(row, "locked", blank=kind.controlled, unclear=True)
