"""Workbooks that come with the tool: a blank one, and invented samples."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parents[2].joinpath("sample_data")
_STEMS = ("hall_in_heat", "quiet_street", "every_fault")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One sample: the message that says what it shows, and its file."""

    title_key: str
    path: Path


@cache
def samples() -> tuple[Sample, ...]:
    """Samples that are installed, the scarce one first."""
    return tuple(
        Sample(title_key=f"at.samples.{stem}", path=FOLDER.joinpath(f"{stem}.xlsx"))
        for stem in _STEMS
        if FOLDER.joinpath(f"{stem}.xlsx").is_file()
    )


@cache
def blank() -> bytes:
    """Blank workbook; written once, because a page is drawn many times."""
    from planner.intake.blank import blank_workbook

    return blank_workbook()
