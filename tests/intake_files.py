"""Small writers of .xls and .ods files, by hand, for the reader's tests.

The .xls writer makes a BIFF8 stream in an OLE container, as published by
the format's maker in [MS-XLS] and [MS-CFB]; only labels, numbers and dates.
The .ods writer follows the OpenDocument format, ISO/IEC 26300.
"""

import io
import struct
import zipfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from xml.sax.saxutils import escape

Rows = Sequence[Sequence[object]]
_SECTOR = 512


def _record(kind: int, body: bytes) -> bytes:
    return struct.pack("<HH", kind, len(body)) + body


def _text(text: str, *, short: bool = False) -> bytes:
    coded = text.encode("utf-16-le")
    size = struct.pack("<B" if short else "<H", len(coded) // 2)
    return size + b"\x01" + coded


def _bof(kind: int) -> bytes:
    return _record(0x0809, struct.pack("<HHHHII", 0x0600, kind, 0, 0, 0, 0))


def _serial(moment: datetime) -> float:
    return (moment - datetime(1899, 12, 30)).total_seconds() / 86400


def _sheet(rows: Rows) -> bytes:
    out = _bof(0x0010)
    for at, row in enumerate(rows):
        for column, value in enumerate(row):
            if value is None:
                continue
            where = struct.pack("<HH", at, column)
            if isinstance(value, datetime):
                body = where + struct.pack("<Hd", 1, _serial(value))
                out += _record(0x0203, body)
            elif isinstance(value, int | float):
                out += _record(0x0203, where + struct.pack("<Hd", 0, float(value)))
            else:
                out += _record(0x0204, where + struct.pack("<H", 0) + _text(str(value)))
    return out + _record(0x000A, b"")


def xls(sheets: Mapping[str, Rows]) -> bytes:
    """Bytes of an .xls workbook."""
    bodies = {name: _sheet(rows) for name, rows in sheets.items()}
    formats = b"".join(
        _record(0x00E0, struct.pack("<HHHBBBBIIH", 0, number, 0, 0, 0, 0, 0, 0, 0, 0))
        for number in (0, 14)
    )
    head = _bof(0x0005) + _record(0x0042, struct.pack("<H", 1200)) + formats
    listed = [_record(0x0085, struct.pack("<IBB", 0, 0, 0) + _text(name, short=True))
              for name in bodies]  # fmt: skip
    start = len(head) + sum(map(len, listed)) + 4
    index = b""
    for name, body in bodies.items():
        index += _record(
            0x0085, struct.pack("<IBB", start, 0, 0) + _text(name, short=True)
        )
        start += len(body)
    stream = head + index + _record(0x000A, b"") + b"".join(bodies.values())
    return ole({"Workbook": stream})


def ole(streams: Mapping[str, bytes]) -> bytes:
    """An OLE container with these streams, all in full sectors."""
    padded = {
        name: body.ljust(max(len(body), 4096), b"\0") for name, body in streams.items()
    }
    padded = {
        name: body + b"\0" * (-len(body) % _SECTOR) for name, body in padded.items()
    }
    data = b"".join(padded.values())
    sectors = len(data) // _SECTOR
    fat_sectors = 1
    while (sectors + 1 + fat_sectors) * 4 > fat_sectors * _SECTOR:
        fat_sectors += 1
    fat: list[int] = []
    starts: dict[str, int] = {}
    for name, body in padded.items():
        count = len(body) // _SECTOR
        starts[name] = len(fat)
        fat += [*range(len(fat) + 1, len(fat) + count), 0xFFFFFFFE]
    directory = len(fat)
    fat += [0xFFFFFFFE] + [0xFFFFFFFD] * fat_sectors
    fat += [0xFFFFFFFF] * (fat_sectors * _SECTOR // 4 - len(fat))
    entries = _entry("Root Entry", 5, 0xFFFFFFFE, 0, child=1)
    for name, body in padded.items():
        entries += _entry(name, 2, starts[name], len(body))
    entries = entries.ljust(_SECTOR, b"\0")[:_SECTOR]
    header = struct.pack(
        "<8s16sHHHHH6sIIIIIIIIII",
        bytes.fromhex("d0cf11e0a1b11ae1"), b"\0" * 16, 0x3E, 3, 0xFFFE, 9, 6, b"\0" * 6,
        0, fat_sectors, directory, 0, 4096, 0xFFFFFFFE, 0, 0xFFFFFFFE, 0, directory + 1,
    )  # fmt: skip
    places = [directory + 1 + at for at in range(fat_sectors)]
    header = header[:-4] + b"".join(
        struct.pack("<I", one) for one in (places + [0xFFFFFFFF] * 109)[:109]
    )
    return header + data + entries + struct.pack(f"<{len(fat)}I", *fat)


def _entry(
    name: str, kind: int, start: int, size: int, child: int = 0xFFFFFFFF
) -> bytes:
    coded = name.encode("utf-16-le")
    return struct.pack(
        "<64sHBBIII16sIQQIII", coded, len(coded) + 2, kind, 1, 0xFFFFFFFF, 0xFFFFFFFF,
        child, b"\0" * 16, 0, 0, 0, start, size, 0,
    )  # fmt: skip


_ODS_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" '
    'office:version="1.2"><office:body><office:spreadsheet>'
)
_ODS_TAIL = "</office:spreadsheet></office:body></office:document-content>"


def _ods_cell(value: object) -> str:
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, datetime):
        return (f'<table:table-cell office:value-type="date" office:date-value='
                f'"{value:%Y-%m-%dT%H:%M:%S}"><text:p>x</text:p></table:table-cell>')  # fmt: skip
    if isinstance(value, int | float):
        return (f'<table:table-cell office:value-type="float" office:value="{value}">'
                f"<text:p>{value}</text:p></table:table-cell>")  # fmt: skip
    lines = "".join(f"<text:p>{escape(one)}</text:p>" for one in str(value).split("\n"))
    return (f'<table:table-cell office:value-type="string">{lines}'
            "</table:table-cell>")  # fmt: skip


def ods(sheets: Mapping[str, Rows]) -> bytes:
    """Bytes of an .ods workbook."""
    tables = "".join(
        f'<table:table table:name="{escape(name)}">'
        + "".join(
            f"<table:table-row>{''.join(map(_ods_cell, row))}</table:table-row>"
            for row in rows
        )
        + "</table:table>"
        for name, rows in sheets.items()
    )
    return ods_package(_ODS_HEAD + tables + _ODS_TAIL)


def ods_package(content: str, manifest: str = "") -> bytes:
    """An .ods package around its content."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in (
            ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
            ("content.xml", content),
            ("META-INF/manifest.xml", manifest or "<manifest/>"),
        ):
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), text)
    return out.getvalue()


def ods_sheet(table: str) -> bytes:
    """An .ods workbook whose one sheet is this XML."""
    return ods_package(
        f'{_ODS_HEAD}<table:table table:name="Intake">{table}</table:table>{_ODS_TAIL}'
    )
