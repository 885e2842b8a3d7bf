"""Read the sheets of paper back from the bytes of their PDF."""

import io
import re
from dataclasses import dataclass

from pypdf import PdfReader
from pypdf.generic import ContentStream
from reportlab.pdfbase.pdfmetrics import stringWidth

FOOT_Y = 70.0


@dataclass(frozen=True)
class Piece:
    """A line of type as it stands on a page."""

    x: float
    y: float
    text: str
    font: str
    size: float

    @property
    def right(self) -> float:
        return self.x + stringWidth(self.text, self.font, self.size)


@dataclass(frozen=True)
class Page:
    """A page: its size, its pieces of type in the order they are written."""

    width: float
    height: float
    pieces: tuple[Piece, ...]

    @property
    def title(self) -> str:
        return self.pieces[0].text

    @property
    def body(self) -> str:
        """Words above the foot, as one line."""
        return flat(" ".join(one.text for one in self.pieces if one.y > FOOT_Y))

    @property
    def foot(self) -> str:
        return flat(" ".join(one.text for one in self.pieces if one.y <= FOOT_Y))

    def rows(self) -> list[list[str]]:
        """Pieces that share a base line, from left to right, from the top."""
        lines: dict[float, list[Piece]] = {}
        for one in self.pieces:
            lines.setdefault(round(one.y, 1), []).append(one)
        return [
            [flat(one.text) for one in sorted(lines[y], key=lambda one: one.x)]
            for y in sorted(lines, reverse=True)
        ]


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip()


def pages(pdf: bytes) -> list[Page]:
    """All pages of a file."""
    found = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        fonts = {
            f"/{name.lstrip('/')}": str(font.get_object()["/BaseFont"]).lstrip("/")
            for name, font in page["/Resources"]["/Font"].items()
        }
        found.append(
            Page(
                float(page.mediabox.width),
                float(page.mediabox.height),
                tuple(_pieces(page, fonts)),
            )
        )
    return found


def _pieces(page, fonts):
    font, size, x, y = "", 0.0, 0.0, 0.0
    for operands, operator in operations(page):
        if operator == b"Tf":
            font, size = fonts[str(operands[0])], float(operands[1])
        elif operator == b"Tm":
            assert [float(one) for one in operands[:4]] == [1, 0, 0, 1]
            x, y = float(operands[4]), float(operands[5])
        elif operator == b"Tj":
            raw = operands[0]
            data = getattr(raw, "original_bytes", raw)
            text = data.decode("cp1252") if isinstance(data, bytes) else str(data)
            if text.strip():
                yield Piece(x, y, text, font, size)


def operations(page):
    """Drawing operations of a page."""
    content = ContentStream(page["/Contents"].get_object(), page.pdf)
    return content.operations


def operators(pdf: bytes) -> set[bytes]:
    """Every kind of drawing operation in a file."""
    return {
        operator
        for page in PdfReader(io.BytesIO(pdf)).pages
        for _, operator in operations(page)
    }


def opened(pdf: bytes) -> bytes:
    """The whole file with its streams unpacked, for a search in the bytes."""
    reader = PdfReader(io.BytesIO(pdf))
    streams = [page["/Contents"].get_object().get_data() for page in reader.pages]
    return pdf + b"\n".join(streams) + repr(reader.metadata).encode()


def sheets(found: list[Page], title: str) -> list[Page]:
    """Pages whose title begins with these words."""
    return [one for one in found if one.title.startswith(title)]
