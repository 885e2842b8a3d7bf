"""Marks on pages as the bytes of a PDF file: black, grey, nothing else."""

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from planner.output.paper.page import Box, Mark, PaperSize, Stroke, Words


def to_pdf(
    size: PaperSize, pages: Sequence[Sequence[Mark]], *, title: str, language: str
) -> bytes:
    """Write pages as PDF; the same marks give the same bytes.

    The file carries no date, no author and no number made by chance.
    """
    buffer = io.BytesIO()
    canvas = Canvas(
        buffer, pagesize=(size.width_pt, size.height_pt), invariant=1, lang=language
    )
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setCreator("")
    for page in pages:
        for mark in page:
            _draw(canvas, mark)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Canvas, mark: Mark) -> None:
    canvas.setStrokeGray(0)
    match mark:
        case Words():
            canvas.setFillGray(0)
            canvas.setFont(mark.font, mark.size)
            canvas.drawString(mark.x, mark.y, mark.text)
        case Stroke():
            canvas.setLineWidth(mark.width)
            canvas.setDash([4, 3] if mark.dashed else [])
            canvas.line(mark.x1, mark.y1, mark.x2, mark.y2)
        case Box():
            canvas.setLineWidth(mark.line)
            canvas.setDash([])
            canvas.setFillGray(mark.shade)
            canvas.rect(
                mark.x,
                mark.y,
                mark.width,
                mark.height,
                stroke=1,
                fill=int(mark.shade < 1),
            )
