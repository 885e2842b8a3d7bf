"""The project's exceptions: wrong use of our code, never bad data.

Bad data becomes an :class:`planner.issue.Issue`.  These are raised when a
caller breaks a contract, or when a plan may not be shown.
"""


class PlannerError(Exception):
    """Root of every exception this project raises."""


class UsageError(PlannerError):
    """A function was called with arguments its docstring rules out."""


class CatalogueError(PlannerError):
    """A catalogue data file is malformed or names an unknown row."""


class SolverError(PlannerError):
    """No solver could be started, or it ended without an answer."""


class PlanRefusedError(PlannerError):
    """A plan failed the replay or the audit and must not be shown."""

    def __init__(self, reasons: tuple[str, ...]) -> None:
        self.reasons = reasons
        super().__init__("plan refused: " + "; ".join(reasons))


class SavedWorkError(PlannerError):
    """Saved work could not be read or written; the words say why."""


class ChangedElsewhereError(PlannerError):
    """The saved work was changed by another window since this one read it."""
