"""Issues of what is typed on screen: code, when it comes up, what to do.

They are made in planner/edits and one_item.py, with a sentence for the
field; this is the list of them for docs/issues.md.
"""

EDIT_ISSUES = (
    (
        "edit-not-usable",
        "A field on screen cannot be used as typed; nothing was changed.",
        "The message names the field and what it takes; type it again.",
    ),
    (
        "edit-loan-over",
        "A loan goes back before the new start; it was set out of order.",
        "Set its status again if it stays.",
    ),
    (
        "one-item-none",
        "One more item was asked for, and its words name no item.",
        "Write the generic name and form, as on the label.",
    ),
    (
        "one-item-several",
        "One more item was asked for, and its words name several.",
        "Ask for one after the other.",
    ),
)
