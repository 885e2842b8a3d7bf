"""One item of one intake row, resolved into a line."""

from dataclasses import dataclass, replace
from datetime import datetime

from planner.catalogue import ItemKind, item_kind, item_kinds
from planner.intake import values
from planner.intake.intake_fields import (
    daily_use,
    keep_by,
    out_since,
    quantity,
    tier_given,
)
from planner.intake.item_details import (
    Details,
    details_of,
    states_in,
    without_private,
)
from planner.intake.item_parts import IN_USE_GROUPS, opened_in
from planner.intake.item_says import say_item
from planner.intake.item_split import Part
from planner.intake.items import Match, match_item
from planner.intake.origins import origin_from
from planner.intake.pack_volume import pack_volume_l
from planner.intake.persons import Coded, Person
from planner.intake.reading import flag, number
from planner.intake.storage import Storage, read_storage, storage_words, thawed_word
from planner.intake.table import Row
from planner.scenario import (
    CameFrom,
    Consequence,
    Flag,
    Gate,
    Line,
    Origin,
)

_UNOPENED = Origin(
    field="opened",
    came_from=CameFrom.DEFAULT,
    value="unopened",
    source="nothing is said of opening",
    jurisdiction="any",
    flag=Flag.ESTIMATE,
)


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
    opened = not part.closed and (part.opened or _opened(row))
    match = _with_state(part, row, opened)
    kind = match.kind
    doubtful = say_item(row, part, match, context.start)
    details = details_of(part.text)
    storage = read_storage(row, kind)
    gate = _gate(row, kind, storage, opened)
    count = quantity(row, part, match, alone=alone)
    origins = [_kind_origin(match), storage.origin]
    volume_l = pack_volume_l(row, part, kind, origins)
    out, out_known = out_since(row, context.start)
    warm_hours, warm_max_c = _warm(row, kind, origins)
    if not out_known or "warm" in details.marks:
        warm_hours = None
    if kind.group in IN_USE_GROUPS and gate is Gate.POOL and not row.text("opened"):
        origins.append(_UNOPENED)
    tier = tier_given(row)
    if tier is not None:
        origins.append(
            Origin(field="tier_given", came_from=CameFrom.SHEET, value=tier.value)
        )
    if row.raw.hidden:
        row.say("row-hidden")
    struck = row.cell("item").struck or row.struck_name()
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
        item_text=without_private(part.text) or part.text,
        kind_id=kind.id,
        kind_name=kind.name,
        stock_class=kind.stock_class,
        gate=gate,
        consequence=_consequence(kind, details),
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
        thawed=kind.thawed
        or ("thawed" in states_in(part.text) and not part.apart)
        or bool(thawed_word(row)),
        daily_use=daily_use(row),
        tier_given=tier,
        locked=_locked(row, kind, origins),
        night_need=bool(flag_or(row, "night_need", blank=False, unclear=True)),
        keep_by=keep_by(row, kind, details, context.start, origins),
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
    if opened_in(row.cell("opened")):
        return True
    return flag_or(row, "opened", blank=False, unclear=False)


def _with_state(part: Part, row: Row, opened: bool) -> Match:
    """Match again with what other columns say: frozen, or in use."""
    if part.closed or part.mixed:
        return part.match
    twin = f"{part.match.kind.id}-open"
    if opened and any(kind.id == twin for kind in item_kinds()):
        return replace(part.match, kind=item_kind(twin))
    frozen = storage_words(row)
    if frozen and (part.match.kind.thawed or "thawed" in states_in(part.text)):
        frozen = ""  # what was thawed never goes back (R12); told with the range
    for word in (thawed_word(row) or frozen, "open" if opened else ""):
        if word and part.match.known:
            again = match_item(f"{part.text} {word}")
            same = word != "open" and again.kind.group == part.match.kind.group
            if again.known and (same or word in again.used):
                return again
    return part.match


def _gate(row: Row, kind: ItemKind, storage: Storage, opened: bool) -> Gate:
    in_use = opened and kind.group in IN_USE_GROUPS and not storage.given
    if in_use and storage.gate is Gate.POOL:
        row.say("in-use-with-person", "item", name=kind.name)
        return Gate.WITH_PERSON
    return storage.gate


def _consequence(kind: ItemKind, details: Details) -> Consequence:
    """A pet's item comes after people's, whatever it is."""
    return Consequence.PET if details.pet == "yes" else kind.consequence


def _kind_origin(match: Match) -> Origin:
    return Origin(
        field="kind_id",
        came_from=CameFrom.SHEET,
        value=match.kind.name,
        source="the site's own word list" if match.own else "",
    )


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
