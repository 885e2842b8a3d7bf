"""Litres of one pack: the sheet's, what is inside and a box around, the catalogue's."""

from planner.catalogue import ItemKind
from planner.intake import packs
from planner.intake.headings import INTAKE
from planner.intake.item_split import Part
from planner.intake.origins import origin_from
from planner.intake.reading import number
from planner.intake.table import Row
from planner.intake.words import key
from planner.scenario import CameFrom, Flag, Origin, StockClass

_LABEL_SHARE = 1.25
_CONTENTS_BELOW = 0.5
_OWN_HEADING = key(INTAKE.field("volume_l").heading.split(" (")[0])


def pack_volume_l(row: Row, part: Part, kind: ItemKind, origins: list[Origin]) -> float:
    """Litres of one pack as it stands, with its box; the origin is on record.

    A volume under another heading than the workbook's own, and far below
    the usual pack, is what is inside (10 mL of a vial): the pack is larger.
    """
    found = number(row, "volume_l", f"{kind.volume_l:g} L from the catalogue is used")
    if found is not None:
        found = _around(row, kind, found)
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
        origin_from(
            kind.volume_fact, "volume_l", f"{kind.volume_l:g} L", CameFrom.CATALOGUE
        )
    )
    return kind.volume_l


def _around(row: Row, kind: ItemKind, found_l: float) -> float | None:
    """Give the typed volume, or ``None`` when it is only what is inside."""
    own = key(row.table.typed("volume_l")).startswith(_OWN_HEADING)
    if own or found_l >= _CONTENTS_BELOW * kind.volume_l:
        return found_l
    row.say("volume-is-contents", "volume_l", used=f"{kind.volume_l:g} L")
    return None
