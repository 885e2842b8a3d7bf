"""What is kept of the work: its inputs, its edits, and the plan in force."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Any, get_type_hints

from planner.edits import GivenAnswer, keep_changes
from planner.errors import SavedWorkError
from planner.result import Plan
from planner.result_replan import Replanned
from planner.scenario import (
    Battery,
    ColdUnit,
    Conditions,
    Panel,
    Place,
    Scenario,
    Source,
)
from planner.store.codec import Json, from_json, to_json

IssueKey = tuple[str, str, int | None, str]
"""Mark of a question: code, sheet, row, value."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EditedParts:
    """Parts of a scenario that are changed on screen; no lines, no names."""

    places: tuple[Place, ...]
    units: tuple[ColdUnit, ...]
    batteries: tuple[Battery, ...]
    panels: tuple[Panel, ...]
    sources: tuple[Source, ...]
    conditions: Conditions


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """The work as it is kept.

    ``read_at`` is the clock at which the list was brought in: a list that
    names no start is read again with the same one.  ``edited`` is ``None``
    when nothing was changed on screen.  ``words_*`` are the site's own word
    list, ``headings`` the file of the headings that were confirmed.
    ``force_*`` are a plan.json by which the bags stand; ``replanned`` was
    worked out from the plan in force and is not accepted yet.
    """

    list_name: str = ""
    list_bytes: bytes = b""
    kit_name: str = ""
    kit_bytes: bytes = b""
    words_name: str = ""
    words_bytes: bytes = b""
    headings: bytes = b""
    read_at: datetime | None = None
    answers: tuple[GivenAnswer, ...] = ()
    accepted: tuple[IssueKey, ...] = ()
    edited: EditedParts | None = None
    plan: Plan | None = None
    borrow_asked: bool = True
    force_name: str = ""
    force_bytes: bytes = b""
    replanned: Replanned | None = None
    replanned_borrow: bool = False


def edited_parts(scenario: Scenario) -> EditedParts:
    """Take from a scenario what can be changed on screen."""
    return EditedParts(
        **{one.name: getattr(scenario, one.name) for one in fields(EditedParts)}
    )


def put_back(edited: EditedParts, fresh: Scenario) -> Scenario:
    """Give the lines of a list read again, with what was changed on screen."""
    parts = {one.name: getattr(edited, one.name) for one in fields(EditedParts)}
    return keep_changes(replace(fresh, **parts), fresh)


def parts_of(saved: Saved) -> dict[str, Json]:
    """Fields as JSON values, one by one."""
    return {one.name: to_json(getattr(saved, one.name)) for one in fields(Saved)}


def saved_of(parts: Mapping[str, Json]) -> tuple[Saved, tuple[str, ...]]:
    """Give the work back, and say what could not be given back.

    A plan that does not fit this version of the program is left out: it is
    made again from its inputs.  All else must fit.

    Raises
    ------
    SavedWorkError
        A field is unknown or does not fit.
    """
    hints = get_type_hints(Saved)
    unknown = sorted(set(parts) - set(hints))
    if unknown:
        msg = f"saved by another version: {', '.join(unknown)}"
        raise SavedWorkError(msg)
    found: dict[str, Any] = {}
    notes: tuple[str, ...] = ()
    for name, value in parts.items():
        try:
            found[name] = from_json(hints[name], value)
        except SavedWorkError:
            if name not in ("plan", "replanned"):
                raise
            notes = (PLAN_LOST,)
    return Saved(**found), notes


PLAN_LOST = (
    "The plan that was saved does not fit this version of the program, so it is not "
    "shown. The list and all changes are here: plan again."
)
