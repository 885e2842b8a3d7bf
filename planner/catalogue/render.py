"""The catalogue as a Markdown page, so that people can check every row.

``python -m planner.catalogue.render docs/catalogue-table.md`` writes it
again after a data file has changed.
"""

import sys
from pathlib import Path

from planner.catalogue.defaults import (
    EquipmentDefault,
    TextDefault,
    equipment_defaults,
    text_defaults,
)
from planner.catalogue.kinds import Fact, ItemKind, item_kinds
from planner.scenario import Gate

_HEAD = """# Catalogue table

Written by planner/catalogue/render.py from the data files; do not edit.
How to read it, and what to check on the label: [catalogue.md](catalogue.md).
The label, the pharmacist and the programme come before any row here.
Rows marked "check the label" hold a fact that was not read in print.
"""
_KIND_COLUMNS = (
    "Item",
    "Keep at",
    "Freezing",
    "Out of the cold",
    "Once mixed, opened or thawed",
    "One pack",
    "Where",
    "If missed",
    "Sources",
    "Notes",
)
_DEFAULT_COLUMNS = ("Key", "Value", "Unit", "Source", "From", "Flag")


def render_catalogue_md() -> str:
    """All item kinds by group, then all equipment defaults, as Markdown."""
    parts = [_HEAD]
    groups = dict.fromkeys(kind.group for kind in item_kinds())
    for group in groups:
        rows = [_kind_cells(k) for k in item_kinds() if k.group == group]
        parts.append(f"## {_capital(group)}\n\n{_table(_KIND_COLUMNS, rows)}")
    defaults = [_default_cells(row) for row in equipment_defaults()]
    defaults += [_default_cells(row) for row in text_defaults()]
    parts.append(f"## Equipment defaults\n\n{_table(_DEFAULT_COLUMNS, defaults)}")
    return "\n".join(parts)


def _kind_cells(kind: ItemKind) -> tuple[str, ...]:
    name = kind.name if kind.confirmed else f"{kind.name} (check the label)"
    return (
        f"{name}<br>`{kind.id}`",
        _band(kind),
        _freezing(kind),
        _warm(kind),
        "" if kind.cold_hours is None else _hours(kind.cold_hours),
        _pack(kind),
        _where(kind),
        kind.consequence.value,
        _sources(kind),
        kind.note,
    )


def _band(kind: ItemKind) -> str:
    low, high = kind.keep_from_c, kind.keep_to_c
    in_f = f"{_fahrenheit(low)} to {_fahrenheit(high)} F"
    return f"{_number(low)} to {_number(high)} C ({in_f})"


def _freezing(kind: ItemKind) -> str:
    if kind.never_freeze:
        return f"never freeze ({kind.freeze_note})"
    return kind.freeze_note


def _warm(kind: ItemKind) -> str:
    if kind.gate is Gate.COOL_SHELF and kind.warm_hours is None:
        return "room temperature"
    if kind.warm_hours is None or kind.warm_max_c is None:
        return "none known"
    limit = _temperature(kind.warm_max_c)
    return f"{_hours(kind.warm_hours)} up to {limit}; clock: {kind.clock.value}"


def _pack(kind: ItemKind) -> str:
    text = f"{kind.pack}, {_litres(kind.volume_l)}"
    return text if kind.per_carton == 1 else f"{text}; {kind.per_carton} in a carton"


def _where(kind: ItemKind) -> str:
    if kind.gate is Gate.FOOD:
        return kind.gate.value
    text = f"{kind.gate.value}, {kind.stock_class.value}"
    return f"{text}, locked" if kind.controlled else text


def _sources(kind: ItemKind) -> str:
    named = [("band", kind.band_fact), ("warm", kind.warm_fact)]
    if kind.cold_fact:
        named.append(("once mixed, opened or thawed", kind.cold_fact))
    named.append(("pack", kind.volume_fact))
    return "<br>".join(f"{name}: {_fact(fact)}" for name, fact in named)


def _fact(fact: Fact) -> str:
    return f"{fact.source} [{fact.jurisdiction}, {fact.flag.value}]"


def _default_cells(row: EquipmentDefault | TextDefault) -> tuple[str, ...]:
    value = _number(row.value) if isinstance(row, EquipmentDefault) else row.text
    return (
        f"`{row.key}`",
        value,
        row.unit,
        row.source,
        row.jurisdiction,
        row.flag.value,
    )


def _table(columns: tuple[str, ...], rows: list[tuple[str, ...]]) -> str:
    lines = [columns, tuple("---" for _ in columns), *rows]
    return "".join(f"| {' | '.join(map(_cell, cells))} |\n" for cells in lines)


def _cell(text: str) -> str:
    return (
        text.replace("|", "\\|")
        .replace("<795>", "&lt;795&gt;")
        .replace("<659>", "&lt;659&gt;")
    )


def _number(value: float) -> str:
    return f"{value:g}"


def _temperature(temp_c: float) -> str:
    return f"{_number(temp_c)} C ({_fahrenheit(temp_c)} F)"


def _fahrenheit(temp_c: float) -> int:
    return round(temp_c * 9 / 5 + 32)


def _hours(hours: float) -> str:
    whole_days = hours >= 48 and hours % 24 == 0
    return f"{_number(hours / 24)} days" if whole_days else f"{_number(hours)} h"


def _litres(volume_l: float) -> str:
    quarts = volume_l / 0.946352946
    return f"{volume_l:.3g} L ({quarts:.2g} US qt)"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(render_catalogue_md(), encoding="utf-8")
