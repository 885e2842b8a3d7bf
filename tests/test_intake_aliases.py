"""A site's own word list: what it adds, and what it can never change."""

import csv
import io
import time

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.catalogue import item_kinds
from planner.intake import read
from planner.intake.aliases import SHEET, read_aliases
from planner.intake.issues import Log
from planner.intake.items import match_item, tokens_of
from planner.intake.one_item import read_item
from planner.intake.site_words import using
from planner.issue import Severity
from tests import workbook_maker
from tests.screen_driver import NOW, ROOT, SCARCE

LIST = """
Resident | Place | Item | Quantity
Ada Sentinelname | Hall | Zorbitol pens | 2
Bo Sentinelname | Hall | zorbittol | 1
Cy Sentinelname | Hall | insulin lispro pen | 1
"""


def reading(csv: str | bytes, name: str = "words.csv", items: str = LIST):
    data = csv.encode() if isinstance(csv, str) else csv
    book = workbook_maker.book(SCARCE | {"Intake": items})
    return read("list.xlsx", book, now=NOW, aliases=(name, data))


def told(found, code: str):
    return [one for one in found.issues if one.code == code]


def kinds(found) -> list[str]:
    return [line.kind_id for line in found.scenario.lines]


def test_without_the_list_the_word_is_asked_about() -> None:
    book = workbook_maker.book(SCARCE | {"Intake": LIST})
    assert kinds(read("list.xlsx", book, now=NOW))[0] == "unknown-cold"


def test_a_word_of_the_site_is_read_and_says_where_it_comes_from() -> None:
    found = reading("Words,Kind\nzorbitol,adalimumab\n")
    assert kinds(found) == ["adalimumab", "adalimumab", "insulin-lispro"]
    first, second, third = found.scenario.lines
    assert first.quantity == 2
    sources = [
        next(o.source for o in line.origins if o.field == "kind_id")
        for line in (first, third)
    ]
    assert sources == ["the site's own word list", ""]
    # A slip of one letter is asked about, as with the catalogue's own words.
    assert [one.row for one in told(found, "item-guessed")] == [second.row]
    assert [one.message[:2] for one in told(found, "aliases-used")] == ["1 "]


def test_words_of_one_reading_are_not_known_in_the_next() -> None:
    reading("Words,Kind\nzorbitol,adalimumab\n")
    assert not match_item("zorbitol").known


def test_several_words_a_cell_and_kinds_by_name_or_word() -> None:
    found = reading(
        "Also called;Notes;Reads as\nzorbitol; quixamab;x;Insulin lispro\n"
        '"brumolin\nbrumolan";;teriparatide\n'.replace(
            "zorbitol; quixamab", '"zorbitol; quixamab"'
        )
    )
    assert kinds(found)[0] == "insulin-lispro"
    assert [one.message[:2] for one in told(found, "aliases-used")] == ["4 "]


def test_a_workbook_is_read_under_rows_of_a_title() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Words of the hall"])
    sheet.append(["Kind", "Words"])
    sheet.append(["adalimumab", "zorbitol"])
    out = io.BytesIO()
    book.save(out)
    assert kinds(reading(out.getvalue(), "words.xlsx"))[0] == "adalimumab"


def test_an_unknown_kind_is_told_with_its_place_and_what_is_near() -> None:
    found = reading("Words,Kind\nzorbitol,adalimumap\nother,tirzepatide\n")
    (one,) = told(found, "alias-kind-unknown")
    assert one.where == f"{SHEET}, row 2, column Kind"
    assert (one.value, one.severity) == ("adalimumap", Severity.REVIEW)
    assert "adalimumab" in one.remedy
    assert kinds(found)[0] == "unknown-cold"


@pytest.mark.parametrize(
    ("word", "kind", "reads"),
    [
        ("insulin lispro", "adalimumab", "Insulin lispro"),
        ("lispro red cap", "insulin-glargine-u100", "Insulin lispro"),
        ("blue insulin", "tablets-room", "Insulin, type not known"),
        ("breast milk", "formula-powder-tin", "Human milk"),
    ],
)
def test_the_list_never_changes_what_the_catalogue_reads(word, kind, reads) -> None:
    found = reading(f"Words,Kind\n{word},{kind}\n")
    (one,) = told(found, "alias-clash")
    assert one.where == f"{SHEET}, row 2, column Words"
    assert reads in one.message
    assert "insulin-lispro" in kinds(found)


def test_a_group_can_be_made_exact() -> None:
    items = LIST.replace("Zorbitol pens", "blue insulin")
    found = reading("Words,Kind\nblue insulin,insulin-lispro\n", items=items)
    assert not told(found, "alias-clash")
    assert kinds(found)[0] == "insulin-lispro"


def test_one_word_for_two_kinds_is_used_for_none() -> None:
    found = reading("Words,Kind\nzorbitol,adalimumab\nZorbitols,tirzepatide\n")
    (one,) = told(found, "alias-clash")
    assert (one.row, one.value) == (3, "Zorbitols")
    assert "row 2" in one.message
    assert kinds(found)[0] == "unknown-cold"
    same = reading("Words,Kind\nzorbitol,adalimumab\nZorbitol,adalimumab\n")
    assert not told(same, "alias-clash")


@pytest.mark.parametrize("word", ["pens", "10 ml", "fridge box", "zo", "2 x", "?"])
def test_words_that_stand_in_any_item_are_refused(word: str) -> None:
    found = reading(f"Words,Kind\n{word},adalimumab\n")
    assert [one.value for one in told(found, "alias-too-wide")] == [word]
    assert kinds(found)[2] == "insulin-lispro"


def test_an_item_that_leaves_the_cold_pool_is_asked_about() -> None:
    found = reading("Words,Kind\nzorbitol,enoxaparin\n")
    (one,) = told(found, "alias-no-cold")
    assert one.severity is Severity.ASSUMED
    assert "no cold space" in one.message


def test_half_a_row_is_told() -> None:
    found = reading("Words,Kind\nzorbitol,\n,adalimumab\n,\n")
    assert [(one.row, one.column) for one in told(found, "alias-blank")] == [
        (2, "Kind"), (3, "Words"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("words.csv", b""),
        ("words.xlsx", b"PK\x03\x04 broken"),
        ("words.csv", b"Fruit,Colour\napple,red\n"),
        ("words.pdf", b"%PDF-1.7"),
        ("words.csv", b"Words,Kind\n" + b"a b c,adalimumab\n" * 2001),
    ],
)
def test_a_list_that_cannot_be_read_leaves_the_plan_possible(name, data) -> None:
    found = reading(data, name)
    (one,) = told(found, "aliases-not-read")
    assert one.severity is Severity.REVIEW
    assert found.scenario is not None
    assert kinds(found)[2] == "insulin-lispro"


def test_every_kind_can_be_named_by_its_id() -> None:
    lines = "".join(f"zorb{n}x,{one.id}\n" for n, one in enumerate(item_kinds()))
    log = Log()
    words = read_aliases("w.csv", f"Words,Kind\n{lines}".encode(), log)
    assert [kind for _, kind in words.pairs] == [one.id for one in item_kinds()]


def test_the_example_of_the_docs_is_used_as_it_stands() -> None:
    text = (ROOT / "docs" / "intake.md").read_text(encoding="utf-8")
    part = text.split("## A site's own words")[1].split("\n## ")[0]
    rows = [
        [cell.strip() for cell in line.strip("|").split("|")]
        for line in part.splitlines()
        if line.startswith("|") and not line.startswith("|---")
    ]
    assert rows[0] == ["Words", "Kind"]
    table = "\n".join("\t".join(row) for row in rows)
    log = Log()
    words = read_aliases("words.tsv", table.encode(), log)
    assert [one.code for one in log.sorted()] == ["aliases-used"]
    assert len(words.pairs) == 3
    for refused in ("pens", "orange box"):
        assert f"*{refused}*" in part
        log = Log()
        assert not read_aliases(
            "w.csv", f"Words,Kind\n{refused},tirzepatide".encode(), log
        ).pairs


def test_five_hundred_words_cost_little_time() -> None:
    rows = "".join(f"zorb{chr(97 + n % 26)}{n}x,adalimumab\n" for n in range(500))
    items = "Resident | Item | Quantity\n" + "\n".join(
        f"R{n} | zorb{chr(97 + n % 26)}{n}x pens | 1" for n in range(500)
    )
    begin = time.process_time()
    found = reading(f"Words,Kind\n{rows}", items=items)
    assert set(kinds(found)) == {"adalimumab"}
    assert time.process_time() - begin < 10


@pytest.mark.parametrize("target", ["tirzepatide", "tablets-room"])
def test_no_word_of_the_site_makes_a_known_item_another_one_unasked(target) -> None:
    texts = [word for kind in item_kinds() for word in (kind.name, *kind.words)]
    tokens = sorted({token for text in texts for token in tokens_of(text)})
    taken = 0
    for token in tokens[::15]:
        table = f"Words,Kind\n{token},{target}\n".encode()
        words = read_aliases("words.csv", table, Log())
        for text in [one for one in texts if token in tokens_of(one)]:
            before = match_item(text)
            with using(words):
                after = match_item(text)
            taken += bool(words.pairs)
            asked = after.rivals or after.guessed or after.others or not after.known
            assert asked or after.kind.id == before.kind.id, (token, text)
    assert taken > 30


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.binary(max_size=300), st.sampled_from(["csv", "xlsx", "ods", "xls", "tsv"]))
def test_any_bytes_as_a_word_list(data: bytes, ending: str) -> None:
    assert read_aliases(f"words.{ending}", data, Log()).pairs == ()


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.text(max_size=40), st.text(max_size=40))
def test_any_text_in_the_cells_of_a_word_list(word: str, kind: str) -> None:
    out = io.StringIO()
    csv.writer(out).writerows([["Words", "Kind"], [word, kind], [word, "adalimumab"]])
    log = Log()
    words = read_aliases("words.csv", out.getvalue().encode("utf-8", "replace"), log)
    assert all(kind_id == "adalimumab" for _, kind_id in words.pairs)
    assert all(one.sheet == SHEET for one in log.sorted())


def test_one_more_item_is_read_with_the_words_of_the_site() -> None:
    scenario = reading("Words,Kind\nzorbitol,adalimumab\n").scenario
    table = b"Words,Kind\nzorbitol,adalimumab\nother,nonsense\n"
    item = {"item": "zorbitol pens", "quantity": "2"}
    found = read_item(item, scenario, ("words.csv", table))
    assert found.line is not None
    assert (found.line.kind_id, found.line.quantity) == ("adalimumab", 2)
    assert all(one.sheet != SHEET for one in found.issues)
    without = read_item(item, scenario)
    assert without.line is not None
    assert without.line.kind_id == "unknown-cold"
