"""Changes made on screen: from typed cells to a new scenario, or to issues.

Pure functions.  A change that cannot be understood is not half applied: the
scenario stays as it was and every fault is an issue, all at once.
"""

from typing import TYPE_CHECKING, Any

from planner.edits.answered import (
    GivenAnswer,
    confirmed_headings,
    read_answered,
)
from planner.edits.carry import keep_changes
from planner.edits.conditions import (
    apply_conditions,
    conditions_draft,
    conditions_form,
    in_scale,
)
from planner.edits.forms import (
    ConditionsForm,
    KitDraft,
    LabelsForm,
    ReadingsForm,
    RoomForm,
    labels_draft,
)
from planner.edits.kit_cells import KIT_SHEETS, choices
from planner.edits.loans import accept_loans, still_offered
from planner.edits.measured import measure, read_out, readings_draft
from planner.edits.newer import NewerList, newer_list
from planner.edits.outcome import Edited

if TYPE_CHECKING:
    from planner.edits.kit import apply_kit, kit_frame
    from planner.edits.kit_typed import draft_frame, kit_draft

__all__ = [
    "KIT_SHEETS",
    "ConditionsForm",
    "Edited",
    "GivenAnswer",
    "KitDraft",
    "LabelsForm",
    "NewerList",
    "ReadingsForm",
    "RoomForm",
    "accept_loans",
    "apply_conditions",
    "apply_kit",
    "choices",
    "conditions_draft",
    "conditions_form",
    "confirmed_headings",
    "draft_frame",
    "in_scale",
    "keep_changes",
    "kit_draft",
    "kit_frame",
    "labels_draft",
    "measure",
    "newer_list",
    "read_answered",
    "read_out",
    "readings_draft",
    "still_offered",
]


def __getattr__(name: str) -> Any:
    """Load what handles tables when it is asked for: it takes long to load."""
    if name in {"apply_kit", "kit_frame"}:
        from planner.edits import kit

        return getattr(kit, name)
    if name in {"draft_frame", "kit_draft"}:
        from planner.edits import kit_typed

        return getattr(kit_typed, name)
    msg = f"module {__name__!r} has no attribute {name!r}"
    raise AttributeError(msg)
