"""Single fields of an intake row that need more than one number."""

import re
from datetime import datetime, timedelta

from planner.catalogue import ItemKind
from planner.intake import moments, packs, values
from planner.intake.cells import Cell
from planner.intake.item_details import Details, details_of
from planner.intake.item_split import Part
from planner.intake.items import Match
from planner.intake.origins import origin_from
from planner.intake.reading import choice, number, skip
from planner.intake.table import Row
from planner.intake.words import key
from planner.scenario import CameFrom, Origin, Tier

_TIERS = {key(f"{word}{tier.value}"): tier for tier in Tier for word in ("", "tier ")}
_PER = re.compile(
    r"(?:about )?(\d+(?:[.,]\d+)?)?\s*(?:x|times|per|a|an|/|every|each|once)*\s*"
    r"(?:(\d+)\s*)?(day|daily|d|week|weekly|wk|wks|weeks|month|monthly|months|days)"
)
_DAYS = {"day": 1.0, "daily": 1.0, "d": 1.0, "days": 1.0, "week": 7.0, "weekly": 7.0,
         "wk": 7.0, "wks": 7.0, "weeks": 7.0, "month": 30.0, "monthly": 30.0,
         "months": 30.0}  # fmt: skip


def quantity(row: Row, part: Part, match: Match, *, alone: bool) -> int:
    """Packs of a line: the cell, else the item's text, else 1 and an issue."""
    cell = row.cell("quantity")
    count = (
        part.stated()
        if part.count is not None
        else packs.read_count(part.text, match.kind, match.used)
    )
    stated = count.packs
    if stated is not None and not 1 <= stated <= packs.MAX_PACKS:
        stated = None
    if skip(row, "quantity") or values.is_blank(cell) or (not alone and stated):
        return _from_text(row, part, stated, count.why)
    found = _cell_count(row, match)
    if not alone:
        row.say("split-quantity", "quantity", used=found)
    return found


def _from_text(row: Row, part: Part, stated: int | None, why: str) -> int:
    """Count of the item's own text, else 1; what was reckoned is told."""
    text = " ".join(part.text.split("\n"))
    if stated is not None:
        if why:
            row.say("quantity-reckoned", "item", value=text, used=stated, why=why)
        return stated
    doses = details_of(part.text).doses
    if doses:
        row.say("dose-not-count", "item", value=", ".join(doses))
    else:
        row.say("quantity-assumed", "quantity")
    return 1


def _cell_count(row: Row, match: Match) -> int:
    cell = row.cell("quantity")
    if isinstance(cell.value, str):
        by_word = packs.read_count(cell.text, match.kind)
        plain = re.fullmatch(r"\d+", cell.text.strip())
        if by_word.packs is not None and 1 <= by_word.packs <= 500 and not plain:
            if by_word.why:
                row.say(
                    "quantity-reckoned", "quantity", used=by_word.packs, why=by_word.why
                )
            return by_word.packs
        if details_of(cell.text).doses:
            row.say("dose-not-count", "quantity")
            return 1
    if isinstance(cell.value, str) and key(row.unit("quantity")) == "":
        litres = packs.liquid_l(cell.text)
        if litres is not None:
            row.say("quantity-assumed", "quantity")
            return 1
    found = number(row, "quantity", "1 is assumed")
    if found is None:
        return 1
    whole = int(-(-found // 1))
    if whole != found:
        row.say("quantity-rounded", "quantity", used=whole)
    return whole


def tier_given(row: Row) -> Tier | None:
    """Tier set by hand; noted, because it is not worked out."""
    tier = choice(row, "tier", _TIERS, "it is worked out")
    if tier is not None:
        row.say("tier-given", "tier", value=tier.value)
    return tier


def out_since(row: Row, start: datetime) -> tuple[datetime | None, bool]:
    """When it last was cold, and whether that can be relied on.

    A time after the start counts from the start.  An unclear time means
    that no time out of the cold may be counted on.
    """
    if skip(row, "out_since"):
        return None, not row.text("out_since")
    got = moments.moment(row.cell("out_since"), start, latest=True)
    if got.wrong:
        row.say(got.wrong, "out_since", used="no time out of the cold is counted on")
    if got.value is not None and got.value > start:
        row.say("out-since-future", "out_since")
        return start, True
    return got.value, not got.wrong


def keep_by(
    row: Row, kind: ItemKind, details: Details, start: datetime, origins: list[Origin]
) -> datetime | None:
    """Label date, else the date in the item's text, else made plus its life.

    Without a clock time it is the end of that day.  The published life in
    the cold is counted from the time of mixing, pumping or thawing.
    """
    value = _label_date(row, row.cell("keep_by"), "keep_by", start)
    if value is None and details.use_by:
        value = _label_date(row, Cell(value=details.use_by), "item", start)
    if value is None:
        value = _made_plus_life(row, kind, details, start, origins)
    if value is not None and value < start:
        row.say("past-keep-by", "keep_by", value=f"{value:%Y-%m-%d %H:%M}")
    return value


def _label_date(
    row: Row, cell: Cell, field_key: str, start: datetime
) -> datetime | None:
    if field_key == "keep_by" and skip(row, field_key):
        return None
    got = moments.moment(cell, start, latest=False, label=True)
    if got.wrong:
        row.say(got.wrong, field_key, value=cell.text,
                used="no date is used; read the label")  # fmt: skip
        return None
    if got.value is not None and (got.value.hour, got.value.minute) == (0, 0):
        return got.value + timedelta(hours=23, minutes=59)
    return got.value


def _made_plus_life(
    row: Row, kind: ItemKind, details: Details, start: datetime, origins: list[Origin]
) -> datetime | None:
    field_key = "made" if row.text("made") else "item"
    cell = row.cell("made") if row.text("made") else Cell(value=details.made_on or None)
    if kind.cold_hours is None or kind.keep_to_c < 0 or not cell.text:
        return None
    if field_key == "made" and skip(row, "made"):
        return None
    got = moments.moment(cell, start, latest=True)
    if got.wrong:
        row.say(got.wrong, field_key, value=cell.text,
                used="no date is used; read the label")  # fmt: skip
    if got.value is None or got.value > start:
        return None
    ends = got.value + timedelta(hours=kind.cold_hours)
    shown = moments.with_day(ends)
    row.say(
        "keep-by-worked-out", field_key, value=cell.text, used=shown, name=kind.name
    )
    if kind.cold_fact is not None:
        origins.append(
            origin_from(kind.cold_fact, "keep_by", shown, CameFrom.CATALOGUE)
        )
    return ends


def daily_use(row: Row) -> float | None:
    """Packs used up a day; ``None`` when blank or not clear."""
    cell = row.cell("daily_use")
    if skip(row, "daily_use") or values.is_blank(cell):
        return None
    field = row.table.spec.field("daily_use")
    if isinstance(cell.value, str):
        match = _PER.fullmatch(key_keeping_marks(cell.text))
        if match and not (match[1] and match[2] and "every" in cell.text.casefold()):
            rate = float((match[1] or "1").replace(",", "."))
            per_day = rate / (float(match[2] or 1) * _DAYS[match[3]])
            if 0 < per_day <= field.high:
                return per_day
    return number(row, "daily_use", "all packs count as needed")


def key_keeping_marks(text: str) -> str:
    """Lower case on one line, marks kept."""
    return " ".join(text.casefold().replace("\n", " ").split())
