"""Options of reading on the command line, and the commands that show something."""

import json
import re

import pytest
from click.testing import CliRunner

from planner import cli
from planner.catalogue import equipment_defaults, item_kinds, text_defaults
from planner.scenario import Flag
from tests import workbook_maker
from tests.screen_driver import SCARCE

LIST = """
Guest | Hall | Thing | Amount | Mood
Ada Sentinelname | Hall | zorbitol | 2 | calm
Bo Sentinelname | Hall | insulin lispro | 4 | tired
"""


def run(*arguments: object):
    return CliRunner().invoke(cli.main, [str(one) for one in arguments])


@pytest.fixture
def workbook(tmp_path):
    file = tmp_path / "list.xlsx"
    file.write_bytes(workbook_maker.book(SCARCE | {"Intake": LIST}))
    return file


def headings_of(workbook, tmp_path, **changes: str):
    """The mapping file of a list, some headings changed by hand."""
    out = tmp_path / "headings.json"
    assert run("headings", workbook, "--out", out).exit_code == 0
    content = json.loads(out.read_text())
    for pairs in content["shapes"].values():
        for pair in pairs:
            pair[1] = changes.get(pair[0], pair[1])
    out.write_text(json.dumps(content))
    return out


def test_headings_are_shown_with_how_sure_they_are(workbook) -> None:
    result = run("headings", workbook)
    assert result.exit_code == 0
    assert "Guest  ->  Resident  (a known heading)" in result.output
    assert "Amount  ->  Quantity  (likely: please look)" in result.output
    assert "Mood  ->  Do not read  (not known: look whether it matters)" in (
        result.output
    )
    assert "Sentinelname" not in result.output


def test_a_changed_heading_is_used_by_check_and_plan(workbook, tmp_path) -> None:
    before = run("check", workbook)
    assert before.exit_code == 2
    mapping = headings_of(workbook, tmp_path, Thing="item", Amount="quantity")
    after = run("check", workbook, "--mapping", mapping)
    assert "No heading row was found" in before.output
    assert "No heading row" not in after.output
    assert "column Amount" not in after.output  # it was confirmed as well
    out = tmp_path / "out"
    made = run("plan", workbook, "--mapping", mapping, "--out", out, "--no-borrow")
    assert made.exit_code in {0, 1}, made.output
    lines = json.loads((out / "plan.json").read_text())
    assert "insulin-lispro" in json.dumps(lines)


def test_a_mapping_for_other_lists_is_told(workbook, tmp_path) -> None:
    mapping = headings_of(workbook, tmp_path)
    other = tmp_path / "other.xlsx"
    other.write_bytes(workbook_maker.book(SCARCE))
    result = run("check", other, "--mapping", mapping)
    assert "is for lists with other headings than other.xlsx" in result.stderr


def test_a_file_that_is_no_mapping_is_refused(workbook, tmp_path) -> None:
    wrong = tmp_path / "wrong.json"
    wrong.write_text("{}")
    result = run("check", workbook, "--mapping", wrong)
    assert result.exit_code == 2
    assert "wrong.json holds no headings" in result.stderr


def test_headings_never_overwrite(workbook, tmp_path) -> None:
    out = headings_of(workbook, tmp_path)
    assert run("headings", workbook, "--out", out).exit_code == 2
    assert run("headings", workbook, "--out", tmp_path / "a.txt").exit_code == 2


def test_a_file_without_headings_says_so(tmp_path) -> None:
    file = tmp_path / "pasted.txt"
    file.write_text("Ada: insulin lispro 2 pens\nBo: adalimumab 1\n")
    result = run("headings", file)
    assert result.exit_code == 3
    assert "no row of headings" in result.stderr


@pytest.mark.parametrize("command", ["check", "plan", "stress"])
def test_the_sites_words_are_read(command, workbook, tmp_path) -> None:
    words = tmp_path / "words.csv"
    words.write_text("Words,Kind\nzorbitol,adalimumab\nnothing,nonsense kind\n")
    mapping = headings_of(workbook, tmp_path, Thing="item")
    more = ["--out", tmp_path / "o", "--no-borrow"] if command == "plan" else []
    result = run(command, workbook, "--aliases", words, "--mapping", mapping, *more)
    assert result.exit_code in {0, 1, 2}, result.output
    assert "'zorbitol' is not in the catalogue" not in result.output
    if command == "check":
        assert "Word list, row 3, column Kind" in result.output


def test_an_alias_file_is_never_overwritten_by_the_plan(workbook, tmp_path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    words = out / "plan.xlsx"
    words.write_bytes(workbook_maker.book({"Words": "Words | Kind\nzorb | adalimumab"}))
    result = run("plan", workbook, "--aliases", words, "--out", out)
    assert result.exit_code == 2
    assert "would overwrite" in result.stderr


def test_every_kind_is_shown_with_words_source_place_and_trust() -> None:
    result = run("kinds")
    assert result.exit_code == 0
    cards = {
        re.search(r"\] id (\S+)", text)[1]: text
        for text in (" ".join(one.split()) for one in result.output.split("\n\n"))
        if text
    }
    assert list(cards) == [kind.id for kind in item_kinds()]
    assert len(cards) >= 110
    for kind in item_kinds():
        said = cards[kind.id]
        for word in kind.words:
            assert " ".join(word.split()) in said
        for fact in kind.facts:
            sure = fact.flag.value
            if fact.flag is not Flag.PUBLISHED:
                sure = f"not confirmed, check the label: {sure}"
            source = " ".join(fact.source.split())
            assert f"({source}; {fact.jurisdiction}; {sure})" in said


def test_values_for_equipment_are_shown_with_their_source() -> None:
    result = run("kinds", "--equipment")
    for row in (*equipment_defaults(), *text_defaults()):
        assert f"{row.key}: " in result.output
    assert "not confirmed: from memory" in result.output
    narrow = run("kinds", "--equipment", "battery usable share")
    assert narrow.exit_code == 2
    one = run("kinds", "--equipment", "agm usable share")
    assert one.output.startswith("battery.agm.usable_share: ")
    assert run("kinds", "--equipment", "zzz").exit_code == 2
