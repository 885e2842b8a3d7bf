"""Collecting issues while a workbook is read."""

from planner.intake.issue_harm import harm_of
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.issue import Issue, Severity

_ORDER = {severity: at for at, severity in enumerate(Severity)}
_SHOWN = 80


class Log:
    """All issues of one reading, in the order found; sorted when asked."""

    __slots__ = ("_found",)

    def __init__(self) -> None:
        self._found: dict[Issue, None] = {}

    def add(
        self,
        code: str,
        *,
        sheet: str = "",
        row: int | None = None,
        column: str = "",
        value: str = "",
        **words: object,
    ) -> None:
        """Note one issue by its code; ``words`` fill the sentence.

        Raises
        ------
        KeyError
            When the code is not in the catalogue, or a word is missing.
        """
        kind = ISSUE_KINDS[code]
        shown = value if len(value) <= _SHOWN else value[: _SHOWN - 3] + "..."
        shown = " / ".join(shown.split("\n"))
        filled = {"value": shown, "column": column, "sheet": sheet, **words}
        issue = Issue(
            code=code,
            severity=kind.severity,
            sheet=sheet,
            row=row,
            column=column,
            value=shown,
            message=kind.message.format(**filled),
            remedy=kind.remedy.format(**filled),
        )
        self._found[issue] = None

    @property
    def stopped(self) -> bool:
        """True when an issue stops the plan."""
        return any(issue.severity is Severity.STOP for issue in self._found)

    def sorted(self) -> tuple[Issue, ...]:
        """Gravest first, then by the harm they can do, by sheet, row and column."""
        return tuple(sorted(self._found, key=_rank))


def _rank(issue: Issue) -> tuple[int, int, str, int, str, str, str]:
    return (
        _ORDER[issue.severity],
        harm_of(issue.code),
        issue.sheet,
        issue.row or 0,
        issue.column,
        issue.code,
        issue.value,
    )
