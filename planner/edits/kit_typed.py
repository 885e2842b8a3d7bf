"""Tables of equipment as they were typed over and not applied yet."""

from collections.abc import Mapping

import pandas as pd

from planner.edits.forms import KitDraft, KitRow, KitTable
from planner.edits.kit import ASSUMED_COLUMN, kit_changes, kit_frame, typed_cells
from planner.edits.kit_cells import KIT_SHEETS
from planner.scenario import Scenario

NEW = 0
"""Label of a row that was added."""


def kit_draft(
    scenario: Scenario, frames: Mapping[str, pd.DataFrame]
) -> tuple[KitDraft, tuple[str, ...]] | None:
    """What was typed over, with its changes in words; ``None`` when nothing was.

    ``frames`` are tables as :func:`draft_frame` gave them, by sheet name,
    with cells changed, rows added or taken away.
    """
    words = kit_changes(scenario, frames)
    if not words:
        return None
    tables = tuple(
        KitTable(
            sheet=name,
            rows=tuple(
                KitRow(label=_label(label), cells=cells)
                for label, cells in zip(
                    frame.index, typed_cells(KIT_SHEETS[name], frame), strict=True
                )
            ),
        )
        for name, frame in frames.items()
        if kit_changes(scenario, {name: frame})
    )
    return KitDraft(tables=tables), words


def draft_frame(scenario: Scenario, sheet_name: str, draft: KitDraft) -> pd.DataFrame:
    """Table of one sheet with what was typed over it before.

    Rows of things that are there keep their labels; added rows have the
    label ``NEW``.
    """
    plain = kit_frame(scenario, sheet_name)
    typed = next((one for one in draft.tables if one.sheet == sheet_name), None)
    if typed is None:
        return plain
    cells = KIT_SHEETS[sheet_name].cells
    known = set(plain.index)
    rows, labels = [], []
    for row in typed.rows:
        label = row.label if row.label in known else NEW
        assumed = plain.loc[label, ASSUMED_COLUMN] if label in known else ""
        given = (*row.cells, *[""] * len(cells))[: len(cells)]
        rows.append([*given, assumed])
        labels.append(label)
    return pd.DataFrame(rows, columns=plain.columns, index=labels, dtype=object)


def _label(label: object) -> int:
    return int(str(label)) if str(label).isdecimal() else NEW
