"""Bytes of a file to raw cells; refuses what is unsafe.

Every refusal is an issue code, so that no file, however broken, raises.
"""

import io
import zipfile

from planner.intake import cells
from planner.intake.cells import RawBook, TooManyRowsError
from planner.intake.file_ole import refusal
from planner.intake.file_other import has_password, read_other, too_wide_or_long
from planner.intake.file_text import looks_like_a_table, read_text
from planner.intake.file_xlsx import read_xlsx

TEXT_ENDINGS = (".csv", ".tsv", ".tab", ".txt")
_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_LOCKED = tuple(
    word.encode("utf-16-le") for word in ("EncryptedPackage", "EncryptionInfo")
)
_ENTITY = tuple(
    word.encode(coding)
    for word in ("<!DOCTYPE", "<!ENTITY")
    for coding in ("utf-8", "utf-16-le", "utf-16-be")
)


def open_book(name: str, data: bytes) -> RawBook:
    """Read a workbook or a text table; never raises on its content."""
    if not data:
        return RawBook(refused="file-empty")
    if len(data) > cells.MAX_FILE_BYTES:
        return RawBook(refused="file-too-big", detail=f"{len(data) / 1e6:.0f} MB")
    try:
        return _open(name.lower(), data)
    except TooManyRowsError as fault:
        return RawBook(refused="too-many-rows", detail=str(fault))
    except Exception:  # any fault of a foreign file is the same news to its owner
        return RawBook(refused="file-damaged")


def _open(name: str, data: bytes) -> RawBook:
    if data.startswith(_OLE):
        if any(mark in data for mark in _LOCKED):
            return RawBook(refused="file-locked")
        refused = refusal(data)
        return RawBook(refused=refused) if refused else read_other(data)
    if data.startswith(b"PK"):
        refused, other = _guard(data)
        if refused:
            return RawBook(refused=refused)
        return read_other(data) if other else read_xlsx(data)
    if name.endswith(TEXT_ENDINGS) or (
        name.endswith(".xls") and looks_like_a_table(data)
    ):
        return read_text(name, data)
    return RawBook(refused="file-not-workbook")


def _guard(data: bytes) -> tuple[str, bool]:
    """Issue code for a packed file that must not be opened, and its family."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        parts = packed.infolist()
        names = {part.filename for part in parts}
        unpacked = sum(part.file_size for part in parts)
        if len(parts) > cells.MAX_PARTS or unpacked > cells.MAX_UNPACKED_BYTES:
            return "file-unpacks-too-big", False
        if unpacked > cells.MAX_RATIO * len(data) and unpacked > cells.MAX_TEXT * 1000:
            return "file-unpacks-too-big", False
        if "xl/workbook.bin" in names:
            return "file-old-format", False
        other = "content.xml" in names
        if any(part.flag_bits & 1 for part in parts) or has_password(packed):
            return "file-locked", other
        if not other and "[Content_Types].xml" not in names:
            return "file-not-workbook", False
        return _unsafe(packed, parts), other


def _unsafe(packed: zipfile.ZipFile, parts: list[zipfile.ZipInfo]) -> str:
    """Issue code of what the parts hold, or ``""``; each is unpacked once."""
    for part in parts:
        if part.filename.lower().endswith((".xml", ".rels", ".vml")):
            content = packed.read(part)
            if any(mark in content for mark in _ENTITY):
                return "file-unsafe"
            code = too_wide_or_long(content) if part.filename == "content.xml" else ""
            if code:
                return code
    return ""
