"""Harmful files of every format: a clear message, within time and memory."""

import io
import struct
import subprocess
import sys
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from planner.intake import read, read_pasted
from planner.intake.file_ole import refusal
from tests.intake_files import ods, ods_package, ods_sheet, ole, xls
from tests.workbook_maker import NOW, accounted, at, book, codes, saved, stops

ROOT = Path(__file__).parents[1]
ROWS = [["Resident", "Item", "Quantity"], ["R1", "insulin lispro", 2]]
GOOD_XLS = xls({"Intake": ROWS})
GOOD_ODS = ods({"Intake": ROWS})
GOOD_XLSX = book({"Intake": "Resident|Item|Quantity\nR1|insulin lispro|2"})
QUICK = settings(
    max_examples=80,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
LIMIT_S = 60
LIMIT_MB = 1000


def refused(data: bytes, name: str) -> set[str]:
    """Stop codes of bytes that must give no scenario, each with a remedy."""
    found = read(name, data, now=NOW)
    assert found.scenario is None
    assert all(issue.message and issue.remedy for issue in found.issues)
    assert "reading-failed" not in codes(found)
    return stops(found)


def million_rows() -> bytes:
    """An .xlsx whose sheet has a million filled rows."""
    row = b'<row><c t="inlineStr"><is><t>insulin lispro</t></is></c></row>'
    return _with_sheet(b"<sheetData>" + row * 1_000_000 + b"</sheetData>")


def million_merges() -> bytes:
    """An .xlsx with a hundred thousand merged areas."""
    area = b'<mergeCell ref="A1:A1048576"/>'
    return _with_sheet(
        b'<sheetData><row r="1"><c t="inlineStr"><is><t>Item</t></is></c></row></sheetData>'
        b"<mergeCells>" + area * 100_000 + b"</mergeCells>"
    )


def _with_sheet(body: bytes) -> bytes:
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(GOOD_XLSX)) as source,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as target,
    ):
        for name in source.namelist():
            content = source.read(name)
            if name == "xl/worksheets/sheet1.xml":
                head = content.split(b"<sheetData>")[0]
                content = head + body + b"</worksheet>"
            target.writestr(name, content)
    return out.getvalue()


def zip_bomb() -> bytes:
    """A package of a few kB that unpacks to 300 MB."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", "<Types/>")
        for number in range(3):
            packed.writestr(f"xl/{number}.xml", b" " * 99_000_000)
    return out.getvalue()


def lying_bomb() -> bytes:
    """A package that says that its part is small, and is not."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("[Content_Types].xml", "<Types/>")
        packed.writestr("xl/workbook.xml", b" " * 90_000_000)
    data = bytearray(out.getvalue())
    true = struct.pack("<I", 90_000_000)
    start = 0
    while (start := data.find(true, start)) >= 0:
        data[start : start + 4] = struct.pack("<I", 100)
    return bytes(data)


def ods_bomb() -> bytes:
    """An .ods whose one row says that it is there a million times."""
    cell = '<table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell>'
    return ods_sheet(
        f'<table:table-row table:number-rows-repeated="1048576">{cell}</table:table-row>'
    )


def ods_far_corner() -> bytes:
    """An .ods with one cell in the last corner."""
    cell = '<table:table-cell office:value-type="string"><text:p>x</text:p></table:table-cell>'
    return ods_sheet(
        '<table:table-row table:number-rows-repeated="190000"><table:table-cell/>'
        "</table:table-row><table:table-row><table:table-cell "
        f'table:number-columns-repeated="16383"/>{cell}</table:table-row>'
    )


def xls_corners() -> bytes:
    """An .xls with a cell in the last corner of ten sheets."""
    far: list[list[object]] = [["Item"], *([[None]] * 65_534), [*([None] * 255), "x"]]
    return xls({f"S{number}": far for number in range(10)})


def long_text() -> bytes:
    """A text table of 19 MB."""
    return b"Item,Notes\n" + b"insulin lispro," + b"x" * 900 + b"\n" + (
        b"insulin lispro " + b"y" * 900 + b",z\n"
    ) * 19_000  # fmt: skip


def wide_text() -> bytes:
    """One row of a million cells."""
    return b"Item" + b"," * 1_000_000 + b"\ninsulin lispro\n"


def many_items() -> bytes:
    """Cells with hundreds of items each."""
    return b"Item\n" + (b"EBM + " * 300 + b"EBM\n") * 3_000


BOMBS: dict[str, tuple[Callable[[], bytes], str]] = {
    "million rows": (million_rows, "a.xlsx"),
    "merged areas": (million_merges, "a.xlsx"),
    "zip bomb": (zip_bomb, "a.xlsx"),
    "lying zip": (lying_bomb, "a.xlsx"),
    "ods rows": (ods_bomb, "a.ods"),
    "ods corner": (ods_far_corner, "a.ods"),
    "xls corners": (xls_corners, "a.xls"),
    "long text": (long_text, "a.csv"),
    "wide text": (wide_text, "a.csv"),
    "many items": (many_items, "a.csv"),
}
_CHILD = """
import resource, sys
sys.path.insert(0, sys.argv[1])
from tests.workbook_maker import NOW, codes, stops
from planner.intake import read
data = open(sys.argv[2], "rb").read()
found = read(sys.argv[3], data, now=NOW)
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
print(f"{peak:.0f}", ",".join(sorted(stops(found))), found.scenario is None)
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="memory is measured on Unix")
@pytest.mark.parametrize("name", sorted(BOMBS))
def test_bombs_end_in_time_and_memory(name: str, tmp_path: Path) -> None:
    make, file_name = BOMBS[name]
    path = tmp_path / "bomb"
    path.write_bytes(make())
    start = time.monotonic()
    done = subprocess.run(
        [sys.executable, "-c", _CHILD, str(ROOT), str(path), file_name],
        capture_output=True, text=True, timeout=5 * LIMIT_S, check=True,
    )  # fmt: skip
    peak_mb, found, refused_ = done.stdout.split(" ")[:3]
    assert float(peak_mb) < LIMIT_MB
    assert time.monotonic() - start < 2 * LIMIT_S  # the machine may be shared
    if name in {"merged areas", "wide text", "many items"}:
        assert found != "reading-failed"
    else:
        assert refused_.strip() == "True"
        assert found in {
            "too-many-rows", "file-unpacks-too-big", "file-damaged", "file-too-big",
            "too-much-text",
        }  # fmt: skip


LOL = (
    '<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "lol"><!ENTITY b "&a;&a;&a;&a;">'
    '<!ENTITY c "&b;&b;&b;&b;">]><office:document-content>&c;</office:document-content>'
)


def test_billion_laughs_in_ods() -> None:
    assert refused(ods_package(LOL), "a.ods") == {"file-unsafe"}
    assert refused(ods_package("<x/>", LOL), "a.ods") == {"file-unsafe"}


def test_passwords_are_told_in_every_format() -> None:
    locked = ole({"EncryptionInfo": b"x" * 100, "EncryptedPackage": b"y" * 100})
    assert refused(locked, "a.xlsx") == {"file-locked"}
    assert refused(ods_package("<x/>", "<m><encryption-data/></m>"), "a.ods") == {
        "file-locked"
    }
    stream = struct.pack("<HHHHHHII", 0x0809, 16, 0x600, 5, 0, 0, 0, 0)
    stream += struct.pack("<HHH", 0x002F, 2, 1)
    assert refused(ole({"Workbook": stream}), "a.xls") == {"file-locked"}


@pytest.mark.parametrize(
    "data",
    [
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\xff" * 5000,
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(range(256)) * 20,
        GOOD_XLS[:700],
        GOOD_XLS[:512] + b"\0" * 4096,
        ole({"Other": b"hello"}),
        ole({"Workbook": b""}),
        ole({"Workbook": b"\x09\x08\x10\x00"}),
    ],
)
def test_xls_garbage(data: bytes) -> None:
    assert refused(data, "a.xls") <= {
        "file-damaged", "file-not-workbook", "file-no-rows",
    }  # fmt: skip


def test_a_chain_of_sectors_that_bites_its_tail() -> None:
    data = bytearray(GOOD_XLS)
    fat = len(data) - 512
    for number in range(10):
        data[fat + 4 * number : fat + 4 * number + 4] = struct.pack("<I", 0)
    start = time.monotonic()
    assert refused(bytes(data), "a.xls")
    assert time.monotonic() - start < 10


@pytest.mark.parametrize(
    "data",
    [
        ods_package(""),
        ods_package("<x/>"),
        ods_package("<office:spreadsheet><table:table>"),
        GOOD_ODS[:300],
        GOOD_ODS[:-30],
    ],
)
def test_ods_garbage(data: bytes) -> None:
    assert refused(data, "a.ods") <= {
        "file-damaged",
        "file-not-workbook",
        "file-no-rows",
    }


def test_the_reach_of_a_good_file_is_small() -> None:
    assert refusal(GOOD_XLS) == ""


def test_formulas_in_other_formats_are_read_by_their_values() -> None:
    cell = ('<table:table-cell table:formula="of:=1+1" office:value-type="float" '
            'office:value="2"><text:p>2</text:p></table:table-cell>')  # fmt: skip
    name = "<table:table-cell office:value-type='string'><text:p>{}</text:p></table:table-cell>"
    rows = (
        f"<table:table-row>{name.format('Item')}{name.format('Qty')}</table:table-row>"
        f"<table:table-row>{name.format('insulin lispro')}{cell}</table:table-row>"
    )
    found = read("a.ods", ods_sheet(rows), now=NOW)
    assert found.scenario.lines[0].quantity == 2


def test_links_to_other_files_are_not_followed() -> None:
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(["Item", "Quantity", "Notes"])
    sheet.append(
        ["insulin lispro", "='file:///etc/[x.xlsx]S'!A1", '=WEBSERVICE("http://x")']
    )
    found = read("a.xlsm", saved(made), now=NOW)
    assert at(found, "formula-no-value") == {("formula-no-value", 2)}
    assert found.scenario.lines[0].notes == ""


@QUICK
@given(
    at_=st.integers(0, 10_000), new=st.binary(min_size=1, max_size=8), cut=st.booleans()
)
@pytest.mark.parametrize(("name", "good"), [("a.xls", GOOD_XLS), ("a.ods", GOOD_ODS)])
def test_damaged_files_of_other_formats(
    name: str, good: bytes, at_: int, new: bytes, cut: bool
) -> None:
    at_ %= len(good)
    bad = good[:at_] if cut else good[:at_] + new + good[at_ + len(new) :]
    found = read(name, bad, now=NOW)
    assert found.issues or found.scenario is not None
    assert "reading-failed" not in codes(found)
    assert found.scenario is None or accounted(found)


CELLS = st.one_of(
    st.none(),
    st.text(st.characters(blacklist_categories=("Cs", "Cc"), max_codepoint=0xFFFF), max_size=12),
    st.sampled_from(["insulin lispro", "EBM frozen x3", "ditto", "2-8", "total", "yes", "3/4",
                     "1 new 1 open", "a + b; c", "some frozen some not"]),
    st.integers(-10, 10_000),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
)  # fmt: skip


@QUICK
@given(rows=st.lists(st.lists(CELLS, min_size=3, max_size=3), min_size=1, max_size=6))
@pytest.mark.parametrize(("name", "make"), [("a.xls", xls), ("a.ods", ods)])
def test_any_cells_of_other_formats(
    name: str, make: Callable[..., bytes], rows: list[list[object]]
) -> None:
    data = make({"Intake": [["Resident", "Item", "Quantity"], *rows]})
    found = read(name, data, now=NOW)
    assert "reading-failed" not in codes(found)
    if found.scenario is not None:
        assert accounted(found)


@QUICK
@given(
    data=st.binary(max_size=300),
    coding=st.sampled_from(["", "utf-16-le", "utf-8", "cp1252"]),
)
def test_any_bytes_as_text(data: bytes, coding: str) -> None:
    text = data.decode("latin-1").encode(coding, "replace") if coding else data
    for name in ("a.csv", "a.tsv", "a.txt", "a.xls"):
        found = read(name, text, now=NOW)
        assert "reading-failed" not in codes(found)
        assert found.issues


@QUICK
@given(st.text(max_size=200))
def test_any_pasted_text(text: str) -> None:
    found = read_pasted(text, now=NOW)
    assert "reading-failed" not in codes(found)
    assert found.scenario is None or accounted(found)


@pytest.mark.parametrize(
    "piece",
    ["insulin ", "1 ", "1/", "(", "some frozen ", "one open ", "a, ", "x2 ", "exp 3/4 ",
     "mixed mon ", "10U am ", "for the dog ", "half ", "2 new 1 open ", "1.5 boxes "],
)  # fmt: skip
def test_long_odd_cells_take_no_time(piece: str) -> None:
    text = (piece * 2000)[:1990].replace('"', "")
    start = time.process_time()
    found = read("a.csv", f'Item,Notes\n"{text}","{text}"\n'.encode(), now=NOW)
    assert time.process_time() - start < 3
    assert "reading-failed" not in codes(found)


def test_a_cell_with_hundreds_of_items_waits_in_review() -> None:
    data = book({"Intake": "Item\n" + "EBM; " * 300 + "\ninsulin lispro"})
    found = read("a.xlsx", data, now=NOW)
    assert [one.code for one in found.scenario.held_rows] == ["item-not-readable"]
    assert [line.row for line in found.scenario.lines] == [3]


def test_too_much_text_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.intake.intake_sheet.MAX_ITEM_TEXT", 10)
    assert refused(b"Item\ninsulin lispro\n", "a.csv") == {"too-much-text"}
