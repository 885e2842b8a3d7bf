"""What every sheet needs to know of one plan, and how it names things.

Names of equipment and places are data of the site.  They are cut where they
are long, told apart where they are alike, and freed of the names of
residents; what had to be changed is listed on the first page of the pack.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from planner.intake import Masks, masks_of
from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.paper.page import drawable
from planner.output.wording import Wording
from planner.output.words import clean, cut, safe_text, turned
from planner.output.workbook import plan_mark
from planner.result import Plan
from planner.scenario import Battery, ColdUnit, Panel, Source

NAME_COLUMNS = 30
"""Longest name on a sheet; a longer one is cut and listed in full once."""

_PLACE_COLUMNS = 20
_NOT_DRAWN = "?"

Thing = ColdUnit | Battery | Panel | Source


@dataclass(frozen=True, slots=True)
class Renamed:
    """A name that stands on the sheets otherwise than in the list."""

    shown: str
    full: str
    lost: bool


@dataclass(frozen=True, slots=True)
class Facts:
    """One plan, its names on paper, its mark, and when the paper was made."""

    plan: Plan
    index: Index
    words: Wording
    mark: str
    made_at: datetime | None
    names: Mapping[str, str]
    renamed: tuple[Renamed, ...]
    masks: Masks
    how: Manner = PLAIN

    def say(self, key: str, **fields: object) -> str:
        """Message of an id in the language of the paper."""
        return self.words.say(key, **fields)

    def caution(self, english: str) -> str:
        """A caution, or whom to ask, in language and units of the paper."""
        text = self.words.caution(english)
        return turned(text, self.how.units, self.how.clock)

    def name(self, thing_id: str) -> str:
        """Name of a piece of equipment on paper."""
        return self.names.get(thing_id) or shortened(thing_id, NAME_COLUMNS)

    def place(self, name: str) -> str:
        """Name of a place on paper."""
        return shortened(self.masked(name), _PLACE_COLUMNS)

    def free(self, text: str, columns: int = 60) -> str:
        """Other words of the site, such as a lender, on paper."""
        return shortened(self.masked(text), columns)

    def masked(self, text: str) -> str:
        """Text with the code in place of every resident's name."""
        return self.masks.masked(clean(text))


def paper_facts(
    plan: Plan,
    words: Wording,
    made_at: datetime | None,
    *,
    marked: bool = True,
    how: Manner = PLAIN,
) -> Facts:
    """Gather what the sheets of one plan need; the mark only where it is shown.

    ``words`` are the language of the sheets; of ``how`` only units and clock count.
    """
    masks = masks_of(plan.scenario)
    things: tuple[Thing, ...] = (
        *plan.scenario.units, *plan.scenario.batteries, *plan.scenario.panels,
        *plan.scenario.sources,
    )  # fmt: skip
    index = index_plan(plan)
    full = {one.id: safe_text(masks.masked(clean(one.name))) for one in things}
    names, renamed = _names(things, full, words)
    return Facts(
        plan=plan,
        index=index,
        words=words,
        mark=plan_mark(plan) if marked else "",
        made_at=made_at,
        names=names,
        renamed=(*renamed, *_places(plan, masks)),
        masks=masks,
        how=how,
    )


def shortened(text: str, columns: int) -> str:
    """Text of the site on one line, in letters paper has, cut with dots."""
    return cut(drawable(safe_text(text)), columns)


def _names(
    things: Iterable[Thing], full: Mapping[str, str], words: Wording
) -> tuple[dict[str, str], list[Renamed]]:
    """Names on paper by id; where letters are lost or two are alike, the row too."""
    things = tuple(things)
    plain = {one.id: shortened(full[one.id], NAME_COLUMNS) for one in things}
    alike = Counter(plain.values())
    names: dict[str, str] = {}
    renamed: list[Renamed] = []
    for one in things:
        shown, lost = plain[one.id], _lost(full[one.id])
        if lost or alike[shown] > 1 or not shown:
            shown = _told_apart(one, full[one.id], words, set(names.values()))
        names[one.id] = shown
        if shown != full[one.id]:
            renamed.append(Renamed(shown=shown, full=full[one.id], lost=lost))
    return names, renamed


def _told_apart(one: Thing, full: str, words: Wording, taken: set[str]) -> str:
    """Name with its row; with its sheet or a number where that does not do."""
    tails = [
        words.say("name.row", row=one.row),
        words.say("name.sheet_row", sheet=shortened(one.sheet, 12), row=one.row),
        *(f"(#{number})" for number in range(2, len(taken) + 3)),
    ]
    found = (
        f"{shortened(full, max(4, NAME_COLUMNS - len(tail) - 1))} {tail}".strip()
        for tail in tails
    )
    return next(name for name in found if name not in taken)


def _places(plan: Plan, masks: Masks) -> list[Renamed]:
    renamed = []
    for place in plan.scenario.places:
        full = masks.masked(safe_text(place.name))
        shown = shortened(full, _PLACE_COLUMNS)
        if shown != full:
            renamed.append(Renamed(shown=shown, full=full, lost=_lost(full)))
    return renamed


def _lost(text: str) -> bool:
    return drawable(text).count(_NOT_DRAWN) > text.count(_NOT_DRAWN)
