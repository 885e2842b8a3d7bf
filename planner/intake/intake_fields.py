"""Single fields of an intake row that need more than one number."""

import re
from datetime import datetime, timedelta

from planner.intake import moments, packs, values
from planner.intake.items import Match, Part
from planner.intake.reading import choice, number, skip
from planner.intake.table import Row
from planner.intake.words import key
from planner.scenario import Tier

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
    stated = part.count
    if stated is None:
        stated = packs.count_in(part.text, match.kind, match.used)
    if skip(row, "quantity") or values.is_blank(cell):
        if stated is not None and 1 <= stated <= 500:
            return stated
        row.say("quantity-assumed", "quantity")
        return 1
    if not alone and stated is not None:
        return max(1, min(stated, 500))
    found = _cell_count(row, match)
    if not alone:
        row.say("split-quantity", "quantity", used=found)
    return found


def _cell_count(row: Row, match: Match) -> int:
    cell = row.cell("quantity")
    if isinstance(cell.value, str):
        by_word = packs.count_in(cell.text, match.kind)
        if by_word is not None and 1 <= by_word <= 500:
            return by_word
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


def keep_by(row: Row, start: datetime) -> datetime | None:
    """Label date; without a clock time it is the end of that day."""
    if skip(row, "keep_by"):
        return None
    got = moments.moment(row.cell("keep_by"), start, latest=False)
    if got.wrong:
        row.say(got.wrong, "keep_by", used="no date is used; read the label")
        return None
    if got.value is None:
        return None
    value = got.value
    if (value.hour, value.minute) == (0, 0):
        value += timedelta(hours=23, minutes=59)
    if value < start:
        row.say("past-keep-by", "keep_by")
    return value


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
