"""Writes the sample workbooks: ``python -m tests.make_samples``.

The rows stand in ``sample_hall``, ``sample_street`` and ``sample_faults``;
the same rows always give the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import ModuleType

from tests import sample_faults, sample_hall, sample_street
from tests.sample_book import INVENTED, add_table, book_bytes, new_book, write

FOLDER = Path(__file__).resolve().parent.parent / "sample_data"


def hall_in_heat() -> bytes:
    """Return a crowded hall in three hot days, short of litres and power."""
    h = sample_hall
    book = new_book("Hall in heat")
    above = ("Hall in heat: intake list", INVENTED)
    add_table(book, "Intake", h.INTAKE_HEADINGS, h.intake_rows(), above=above)
    _equipment(book_module=h, book=book)
    note = {"Notes": INVENTED}
    add_table(
        book,
        "Conditions",
        h.CONDITION_HEADINGS,
        [row if at else row | note for at, row in enumerate(h.condition_rows())],
    )
    return book_bytes(book)


def quiet_street() -> bytes:
    """Return eight neighbours with enough of everything."""
    h, s = sample_hall, sample_street
    book = new_book("Quiet street")
    above = ("Quiet street: intake list", INVENTED)
    add_table(book, "Intake", h.INTAKE_HEADINGS, s.LINES, above=above)
    _equipment(book_module=s, book=book)
    note = {"Notes": INVENTED}
    add_table(
        book,
        "Conditions",
        h.CONDITION_HEADINGS,
        [row if at else row | note for at, row in enumerate(s.CONDITIONS)],
    )
    return book_bytes(book)


def every_fault() -> bytes:
    """Return each fault of input that one workbook can carry."""
    f = sample_faults
    book = new_book("Every fault")
    above = ("Every fault on purpose", INVENTED)
    add_table(book, f.INTAKE_SHEET, f.INTAKE_HEADINGS, f.LINES, above=above)
    f.mark_intake(book[f.INTAKE_SHEET])
    for title, headings, rows in f.SHEETS:
        add_table(book, title, headings, rows)
    return book_bytes(book)


def _equipment(*, book_module: ModuleType, book: object) -> None:
    h = sample_hall
    for title, headings, rows in (
        ("Cold units", h.UNIT_HEADINGS, book_module.UNITS),
        ("Batteries", h.BATTERY_HEADINGS, book_module.BATTERIES),
        ("Panels", h.PANEL_HEADINGS, book_module.PANELS),
        ("Other power", h.SOURCE_HEADINGS, getattr(book_module, "SOURCES", ())),
    ):
        add_table(book, title, headings, rows)


SAMPLES: dict[str, Callable[[], bytes]] = {
    "hall_in_heat.xlsx": hall_in_heat,
    "quiet_street.xlsx": quiet_street,
    "every_fault.xlsx": every_fault,
}
"""Maker of each sample's bytes, by file name."""


def main() -> None:
    """Write all samples into sample_data."""
    for name, make in SAMPLES.items():
        write(FOLDER / name, make())


if __name__ == "__main__":
    main()
