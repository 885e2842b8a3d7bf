"""Keeping the work: one local file, every step of it, for its owner alone.

Pure of any screen.  ``file`` is the SQLite file on this computer, ``carried``
the same as one JSON file, ``drafts`` what was typed and not applied yet,
``choices`` how things are shown,
``reports`` the what-if report, ``saved`` what is kept, ``codec`` how.
"""

from planner.store.carried import carried, opened
from planner.store.choices import delete_choices, load_choices, save_choices
from planner.store.drafts import (
    Draft,
    base_of,
    draft_pages,
    drop_draft,
    drop_left,
    left_behind,
    load_draft,
    save_draft,
)
from planner.store.file import Kept, Mark, delete, load, look, save, set_aside, step
from planner.store.place import FOLDER_VARIABLE, work_file
from planner.store.reports import delete_report, load_report, save_report
from planner.store.saved import EditedParts, Saved, edited_parts, put_back

__all__ = [
    "FOLDER_VARIABLE",
    "Draft",
    "EditedParts",
    "Kept",
    "Mark",
    "Saved",
    "base_of",
    "carried",
    "delete",
    "delete_choices",
    "delete_report",
    "draft_pages",
    "drop_draft",
    "drop_left",
    "edited_parts",
    "left_behind",
    "load",
    "load_choices",
    "load_draft",
    "load_report",
    "look",
    "opened",
    "put_back",
    "save",
    "save_choices",
    "save_draft",
    "save_report",
    "set_aside",
    "step",
    "work_file",
]
