"""Workbooks that come with the tool: a blank one, and invented samples."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from planner.intake import blank_workbook

FOLDER = Path(__file__).parents[2].joinpath("sample_data")
_TITLES = {
    "hall_in_heat": "a hall in the heat, much is short",
    "quiet_street": "a quiet street, all is served",
    "every_fault": "a list with every fault",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One sample: what it shows, and its file."""

    title: str
    path: Path


@cache
def samples() -> tuple[Sample, ...]:
    """Samples that are installed, the scarce one first."""
    return tuple(
        Sample(title=title, path=FOLDER.joinpath(f"{stem}.xlsx"))
        for stem, title in _TITLES.items()
        if FOLDER.joinpath(f"{stem}.xlsx").is_file()
    )


@cache
def blank() -> bytes:
    """Blank workbook; written once, because a page is drawn many times."""
    return blank_workbook()
