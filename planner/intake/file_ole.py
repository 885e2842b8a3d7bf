"""How far the sheets of an .xls file reach, found before it is opened.

Container and records as published in [MS-CFB] and [MS-XLS].  A few bytes
can place a cell in the last corner of a sheet; a reader that lays out the
whole area would fill the memory.
"""

import struct
from collections.abc import Iterator

MAX_SPAN = 4_000_000
_END = 0xFFFFFFFA
_CELLS = frozenset(
    {0x0201, 0x0203, 0x0204, 0x0205, 0x0006, 0x0206, 0x0406, 0x027E, 0x00FD, 0x00D6,
     0x00BD, 0x00BE, 0x0001, 0x0002, 0x0003, 0x0004, 0x0005}
)  # fmt: skip
_BOF = frozenset({0x0009, 0x0209, 0x0409, 0x0809})
_FILEPASS = 0x002F


def refusal(data: bytes) -> str:
    """Issue code of an .xls file that must not be opened, or ``""``.

    Raises
    ------
    Exception
        Whatever a broken container leads to; the caller calls it damaged.
    """
    if len(data) < 512 or struct.unpack_from("<H", data, 30)[0] not in (9, 12):
        return "file-not-workbook"
    stream = _workbook(data)
    if not stream:
        return "file-not-workbook"
    span = last_row = last_column = 0
    for kind, body in _records(stream):
        if kind == _FILEPASS:
            return "file-locked"
        if kind in _BOF:
            span += last_row * last_column
            last_row = last_column = 0
        elif kind in _CELLS and len(body) >= 4:
            row, column = struct.unpack_from("<HH", body)
            if kind in (0x00BD, 0x00BE) and len(body) >= 6:
                column = struct.unpack_from("<H", body, len(body) - 2)[0]
            last_row = max(last_row, row + 1)
            last_column = max(last_column, column + 1)
    span += last_row * last_column
    return "file-unpacks-too-big" if span > MAX_SPAN else ""


def _records(stream: bytes) -> Iterator[tuple[int, bytes]]:
    at = 0
    while at + 4 <= len(stream):
        kind, size = struct.unpack_from("<HH", stream, at)
        yield kind, stream[at + 4 : at + 4 + size]
        at += 4 + size


def _workbook(data: bytes) -> bytes:
    """Stream of the workbook in its container; empty when there is none."""
    shift, small_shift = struct.unpack_from("<HH", data, 30)
    size = 1 << min(shift, 16)
    directory, small_limit = struct.unpack_from("<I4xI", data, 48)
    small_fat_at = struct.unpack_from("<I", data, 60)[0]
    fat = _fat(data, size)
    entries = _chain(data, fat, directory, size)
    found: dict[str, tuple[int, int]] = {}
    for at in range(0, len(entries) - 127, 128):
        entry = entries[at : at + 128]
        length = struct.unpack_from("<H", entry, 64)[0]
        name = entry[: max(0, min(length, 64) - 2)].decode("utf-16-le", "replace")
        start, count = struct.unpack_from("<II", entry, 116)
        found.setdefault(name.casefold(), (start, count))
    root_start = found["root entry"][0]
    root = _chain(data, fat, root_start, size) if root_start < _END else b""
    small = _chain(data, fat, small_fat_at, size) if small_fat_at < _END else b""
    small_fat = _numbers(small)
    start, count = found.get("workbook") or found.get("book") or (0, 0)
    if count == 0:
        return b""
    if count >= small_limit:
        return _chain(data, fat, start, size)[:count]
    pieces, step = [], 1 << min(small_shift, 16)
    for number in _follow(small_fat, start):
        pieces.append(root[number * step : (number + 1) * step])
    return b"".join(pieces)[:count]


def _fat(data: bytes, size: int) -> list[int]:
    """Numbers of the next sectors; lists that go on are followed."""
    places = [one for one in struct.unpack_from("<109I", data, 76) if one < _END]
    more = struct.unpack_from("<I", data, 68)[0]
    seen: set[int] = set()
    while more < _END:
        if more in seen or (more + 1) * size >= len(data):
            raise ValueError("the list of sectors does not end")
        seen.add(more)
        block = _numbers(_sector(data, more, size))
        places += [one for one in block[:-1] if one < _END]
        more = block[-1]
    return [number for one in places for number in _numbers(_sector(data, one, size))]


def _sector(data: bytes, number: int, size: int) -> bytes:
    return data[(number + 1) * size : (number + 2) * size]


def _numbers(block: bytes) -> list[int]:
    return list(struct.unpack(f"<{len(block) // 4}I", block[: len(block) // 4 * 4]))


def _follow(fat: list[int], start: int) -> Iterator[int]:
    """Sector numbers of a chain; one that bites its tail or leaves is damaged."""
    number, seen = start, set[int]()
    while number < _END:
        if number in seen or number >= len(fat):
            raise ValueError("a chain of sectors does not end")
        seen.add(number)
        yield number
        number = fat[number]


def _chain(data: bytes, fat: list[int], start: int, size: int) -> bytes:
    return b"".join(_sector(data, number, size) for number in _follow(fat, start))
