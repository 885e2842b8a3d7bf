"""Generated documents: the tables of headings, of settings and of issues.

``python -m planner.intake.docs DOCS_FOLDER`` writes them again.
"""

import sys
from collections.abc import Iterator
from pathlib import Path

from planner.intake.defaults_text import default_facts, source_of, when_blank
from planner.intake.headings import CONDITIONS, SHEETS, Field, SheetSpec
from planner.intake.issue_harm import Harm, harm_of
from planner.intake.issue_kinds import ISSUE_KINDS
from planner.intake.issue_texts_edit import EDIT_ISSUES
from planner.intake.settings import SETTINGS
from planner.issue import Severity

BEGIN = "<!-- generated from planner/intake/headings.py: begin -->"
END = "<!-- generated: end -->"
_GRADES = {
    Severity.STOP: "nothing can be planned until this is mended",
    Severity.REVIEW: "the row or thing waits for a person; the rest is planned",
    Severity.ASSUMED: "a cautious value was put in its place; check it",
    Severity.NOTE: "for information",
}


def workbook_markdown() -> str:
    """Tables of all sheets: headings, units, blanks, help, and the sources."""
    return "\n".join(_workbook_lines()) + "\n"


def _workbook_lines() -> Iterator[str]:
    for spec in SHEETS:
        yield f"## {spec.name}{' (required)' if spec.required else ''}"
        yield ""
        yield spec.about
        yield ""
        yield from _table(spec, extra=False)
        if any(field.extra for field in spec.fields):
            yield ""
            yield "Also understood:"
            yield ""
            yield from _table(spec, extra=True)
        yield ""
    yield "### Settings"
    yield ""
    yield "| Setting | Unit | When blank | What to write |"
    yield "|---|---|---|---|"
    for setting in SETTINGS:
        yield _row(setting.heading, _unit(setting), when_blank(setting), setting.help)
    yield ""
    yield "## Where the defaults come from"
    yield ""
    yield "| Sheet | Column or setting | For | Source |"
    yield "|---|---|---|---|"
    yield from _sources()


def _table(spec: SheetSpec, *, extra: bool) -> Iterator[str]:
    yield "| Heading | Required | Unit or choices | When blank | What to write |"
    yield "|---|---|---|---|---|"
    for field in spec.fields:
        if field.extra is extra:
            required = "yes" if field.required else ""
            yield _row(
                field.heading, required, _unit(field), when_blank(field), field.help
            )


def _unit(field: Field) -> str:
    if field.choices:
        return ", ".join(field.choices)
    if field.unit:
        return field.unit
    words = {
        "yes/no": "yes or no",
        "temp": "C or F",
        "clock": "clock time",
        "date": "date, clock time",
        "share": "share or %",
        "count": "whole number",
        "number": "number",
        "area": "kWh/m2 a day",
    }
    return words.get(field.dimension, "text")


def _sources() -> Iterator[str]:
    for spec in SHEETS:
        fields = SETTINGS if spec is CONDITIONS else spec.fields
        for field in fields:
            if not field.default_key:
                continue
            grouped: dict[str, list[str]] = {}
            for owner, fact in default_facts(field.default_key):
                grouped.setdefault(source_of(fact), []).append(owner)
            for source, owners in grouped.items():
                yield _row(spec.name, field.heading, ", ".join(owners), source)


def issues_markdown() -> str:
    """Catalogue of issues, gravest first."""
    lines = [
        "# Issues",
        "",
        "Everything the reader can say about a workbook, gravest first.",
        "Words in braces are filled in from the cell.",
        "This page is generated from planner/intake/issue_texts_grave.py,",
        "issue_texts_light.py, issue_texts_edit.py and issue_harm.py.",
        "",
        "## The order of the review queue",
        "",
        "Questions that can do most harm come first. The ranks were set by judgement",
        "(common practice, no source).",
        "",
        "| Rank | What can go wrong while it is open |",
        "|---|---|",
        *(_row(str(harm.value), harm.words) for harm in Harm),
    ]
    for severity in Severity:
        lines += ["", f"## {severity.value}: {_GRADES[severity]}", ""]
        lines += ["| Code | Rank | What it says | What to do |", "|---|---|---|---|"]
        lines += [
            _row(
                f"`{kind.code}`",
                str(harm_of(kind.code).value),
                kind.message,
                kind.remedy,
            )
            for kind in ISSUE_KINDS.values()
            if kind.severity is severity
        ]
    lines += [
        "",
        "## Typed on screen",
        "",
        "These name the field instead of a row.",
        "",
    ]
    lines += ["| Code | When | What to do |", "|---|---|---|"]
    lines += [_row(f"`{code}`", when, remedy) for code, when, remedy in EDIT_ISSUES]
    return "\n".join(lines) + "\n"


def _row(*cells: str) -> str:
    escaped = (cell.replace("|", "\\|") for cell in cells)
    return "| " + " | ".join(escaped) + " |"


def with_tables(text: str) -> str:
    """Put fresh tables between the marks of docs/workbook.md."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n\n{workbook_markdown()}\n{END}{after}"


def main(folder: Path) -> None:
    """Write both documents again."""
    workbook = folder / "workbook.md"
    text = workbook.read_text(encoding="utf-8")
    workbook.write_text(with_tables(text), encoding="utf-8")
    (folder / "issues.md").write_text(issues_markdown(), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
