"""The commands that start from the plan in force, from bytes to bytes."""

import json

import openpyxl
import pypdf
import pytest
from click.testing import CliRunner

from planner import cli
from tests import workbook_maker

INTAKE = """
Resident | Item | Quantity | Volume each (L) | Tier
Resident one | insulin glargine pen | 4 | 0.5 | A
Resident two | insulin glargine pen | 2 | 0.5 | B
"""
UNITS = """
Unit | Place | Type | Gross volume (L) | Usable share | Set points (C) | Swing (C) | Running W | Rated Wh/day | Supply | Status
Small fridge | Hall | compressor | 5 | 0.8 | 5 | 1 | 40 | 200 | 12V | here
Other fridge | Hall | compressor | 5 | 0.8 | 5 | 1 | 40 | 200 | 12V | here
"""
BATTERIES = """
Battery | Place | Capacity (Wh) | Chemistry | Charge now (%) | 12V ports
First pack | Hall | 1500 | LFP | 100 | 2
"""
CONDITIONS = """
Setting | Place | Value
Start | | d:2025-10-13 08:00
Window (h) | | 24
Room temperature (C) | | 25
Peak sun hours | | 4
"""
SHEETS = {
    "Intake": INTAKE,
    "Cold units": UNITS,
    "Batteries": BATTERIES,
    "Conditions": CONDITIONS,
}


def run(*arguments):
    return CliRunner().invoke(cli.main, [str(one) for one in arguments])


@pytest.fixture
def hall(tmp_path):
    """Write the workbook, its sheets changed as asked, and plan it once."""

    def write(name="hall.xlsx", **changes):
        sheets = SHEETS | {k.replace("_", " "): v for k, v in changes.items()}
        file = tmp_path / name
        file.write_bytes(workbook_maker.book(sheets))
        return file

    result = run("plan", write(), "--out", tmp_path / "old", "--no-borrow")
    assert result.exit_code == 0, result.output
    return write


def plan_of(folder):
    return json.loads((folder / "plan.json").read_text())


def used(tmp_path):
    return {one["unit"] for one in plan_of(tmp_path / "old")["placements"]}


def test_nothing_changed_nothing_moves(hall, tmp_path):
    result = run("replan", hall(), "--from", tmp_path / "old" / "plan.json",
                 "--out", tmp_path / "new")  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "nothing is carried, 6 bags stay" in result.output
    old, new = plan_of(tmp_path / "old"), plan_of(tmp_path / "new")
    assert new["moves"] == []
    assert new == old


def test_a_broken_unit_gives_a_move_list_on_every_way_out(hall, tmp_path):
    (unit_id,) = used(tmp_path)
    name = unit_id.removeprefix("unit:")
    broken = "\n".join(
        row.replace("here", "out of order") if row.startswith(name) else row
        for row in UNITS.split("\n")
    )
    result = run("replan", hall("now.xlsx", Cold_units=broken), "--from",
                 tmp_path / "old" / "plan.json", "--out", tmp_path / "new",
                 "--paper", "a4")  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "0 bags stay, 6 move, 0 leave the cold, 0 come in" in result.output
    moves = plan_of(tmp_path / "new")["moves"]
    assert sum(one["count"] for one in moves) == 6
    assert {one["from_unit"] for one in moves} == {unit_id}
    book = openpyxl.load_workbook(tmp_path / "new" / "plan.xlsx")
    codes = [row[2].value for row in book["Moves"].iter_rows(min_row=4)]
    assert [one for one in codes if one] == [one["code"] for one in moves]
    done = [row[1].value for row in book["Moves"].iter_rows(min_row=4)]
    assert f"{name}: switch off, once it is empty" in done
    pages = pypdf.PdfReader(tmp_path / "new" / "paper.pdf").pages
    assert any("Move list" in page.extract_text() for page in pages)
    assert "Resident one" not in result.output


def test_a_leaver_is_told_and_taken_out(hall, tmp_path):
    fewer = "\n".join(INTAKE.strip("\n").split("\n")[:2])
    result = run("replan", hall("now.xlsx", Intake=fewer), "--from",
                 tmp_path / "old" / "plan.json", "--out", tmp_path / "new")  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "is not on the list any more" in result.output
    (move,) = plan_of(tmp_path / "new")["moves"]
    assert (move["what"], move["count"], move["line"]) == ("taken out", 2, None)


def test_measured_charge_is_counted(hall, tmp_path):
    later = CONDITIONS.replace("2025-10-13 08:00", "2025-10-13 20:00")
    result = run("replan", hall("now.xlsx", Conditions=later), "--from",
                 tmp_path / "old" / "plan.json", "--out", tmp_path / "new",
                 "--measured", "First pack=50%")  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "load counted 1.50 times" in result.output
    (told,) = [
        one
        for one in plan_of(tmp_path / "new")["assumptions"]
        if one["field"] == "load factor"
    ]
    assert told["source"].startswith("measured")


@pytest.mark.parametrize(
    "measured", ["First pack", "First pack=x", "=50", "First pack=130", "No pack=50"]
)
def test_a_measurement_that_cannot_be_read_is_refused(hall, tmp_path, measured):
    result = run("replan", hall(), "--from", tmp_path / "old" / "plan.json",
                 "--out", tmp_path / "new", "--measured", measured)  # fmt: skip
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert not (tmp_path / "new").exists()


def test_a_file_that_is_no_plan_stops_with_a_reason(hall, tmp_path):
    wrong = tmp_path / "wrong.json"
    wrong.write_text("[1, 2")
    for command in (("replan", hall(), "--out", tmp_path / "new"),
                    ("one-more", hall(), "insulin pen")):  # fmt: skip
        result = run(*command, "--from", wrong)
        assert result.exit_code == 2, result.output
        assert "not a saved plan" in result.output


def test_the_plan_in_force_is_not_overwritten(hall, tmp_path):
    file = tmp_path / "old" / "plan.json"
    before = file.read_bytes()
    result = run("replan", hall(), "--from", file, "--out", tmp_path / "old")
    assert result.exit_code == 2
    assert file.read_bytes() == before


class TestOneMore:
    def ask(self, hall, tmp_path, *arguments):
        file = tmp_path / "old" / "plan.json"
        return run("one-more", hall(), *arguments, "--from", file)

    def test_it_fits(self, hall, tmp_path):
        result = self.ask(hall, tmp_path, "2 insulin glargine pens", "--volume", "0.4")
        assert result.exit_code == 0, result.output
        assert "Read as: Insulin glargine U-100, 2 bags of 0.4 L" in result.output
        assert "Fits without moving anything." in result.output
        assert "from the desk to" in result.output

    def test_it_does_not_fit_because(self, hall, tmp_path):
        result = self.ask(hall, tmp_path, "insulin glargine pen", "--count", "400")
        assert result.exit_code == 1, result.output
        assert "Does not fit." in result.output

    def test_a_frozen_item_has_no_unit(self, hall, tmp_path):
        result = self.ask(hall, tmp_path, "breast milk", "--keep-from", "-25",
                          "--keep-to", "-15")  # fmt: skip
        assert result.exit_code == 1, result.output
        assert "What is lacking: band" in result.output

    @pytest.mark.parametrize(
        "more", [("--place", "Attic"), ("--count", "0"), ("--tier", "Z")]
    )
    def test_wrong_use(self, hall, tmp_path, more):
        result = self.ask(hall, tmp_path, "insulin glargine pen", *more)
        assert result.exit_code == 2
        assert "Traceback" not in result.output

    def test_two_items_at_once_are_refused(self, hall, tmp_path):
        result = self.ask(hall, tmp_path, "insulin pen; breast milk")
        assert result.exit_code == 2
        assert "several items" in result.output
