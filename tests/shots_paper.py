"""Draw every sheet of the paper pack as a picture, into ./shots/.

Run ``python -m tests.shots_paper`` (or with the path of a workbook).  Both
paper sizes and both languages are drawn.
"""

import sys
from datetime import datetime
from pathlib import Path

import pypdfium2

from planner import pipeline
from planner.output.paper import PaperSize, paper_pdf
from planner.output.wording import Language

ROOT = Path(__file__).parents[1]
OUT = ROOT / "shots"
SAMPLE = ROOT / "sample_data" / "hall_in_heat.xlsx"
SCALE = 1.1


def shoot(workbook: Path) -> None:
    """Plan the workbook once and save a picture of each page."""
    OUT.mkdir(exist_ok=True)
    now = datetime(2026, 7, 14, 7, 40)
    reading = pipeline.read_files(workbook.name, workbook.read_bytes(), now=now)
    if reading.scenario is None:
        sys.exit(f"{workbook.name} needs mending first")
    plan = pipeline.make_plan(reading.scenario)
    for size, language in (
        (PaperSize.A4, Language.ES),
        (PaperSize.LETTER, Language.EN),
    ):
        made = paper_pdf(
            plan,
            size=size,
            language=language,
            made_at=now,
            ladder=pipeline.what_to_shed(plan),
        )
        save(made, f"{workbook.stem}-paper-{language}-{size}")


def save(pdf: bytes, stem: str) -> None:
    """Save every page of a PDF as a picture."""
    for number, page in enumerate(pypdfium2.PdfDocument(pdf), start=1):
        picture = page.render(scale=SCALE).to_pil()
        picture.save(OUT / f"{stem}-{number:02d}.png")


if __name__ == "__main__":
    shoot(Path(sys.argv[1]) if len(sys.argv) > 1 else SAMPLE)
