"""Exports of real plans: the comfortable sample, from file to file."""

import io
import json
import subprocess
import sys
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest

from planner import pipeline
from planner.intake import name_key
from planner.output.plan_json import plan_to_json
from planner.output.summary import COLUMNS, LINES, summary_text
from planner.output.words import width
from planner.output.workbook import plan_workbook

ROOT = Path(__file__).parents[1]
STREET = ROOT / "sample_data" / "quiet_street.xlsx"


@pytest.fixture(scope="module")
def reading():
    return pipeline.read_files(
        STREET.name, STREET.read_bytes(), now=datetime(2026, 5, 5, 8, 30)
    )


@pytest.fixture(scope="module")
def plan(reading):
    return pipeline.make_plan(reading.scenario, borrow=False)


@pytest.fixture(scope="module")
def document(plan):
    return json.loads(plan_to_json(plan))


def test_bags_in_the_json_add_up_row_by_row(document, plan):
    ended = {}
    for part in ("placements", "shortfalls", "warm_clocks"):
        for one in document[part]:
            ended[one["line"]] = ended.get(one["line"], 0) + one["count"]
    for row in document["rows"]:
        if row["line"] is not None:
            known = row["with_person"] + row["review"] + ended.get(row["line"], 0)
            assert known == row["quantity"]
    assert len({(r["sheet"], r["row"]) for r in document["rows"]}) == (
        plan.scenario.rows_in
    )


def test_charge_in_the_json_follows_from_its_load_and_harvest(document, plan):
    efficiency = {one.id: one.charge_efficiency for one in plan.scenario.batteries}
    for replay in document["replay"]:
        for one in replay["batteries"]:
            stored = one["start_wh"]
            hours = zip(
                one["load_wh"], one["harvest_wh"], one["charge_wh"], strict=True
            )
            for load, harvest, charge in hours:
                stored += efficiency[one["battery"]] * harvest - load
                stored = min(one["full_wh"], stored)
                # Each printed number is rounded to a tenth of a watt-hour.
                assert charge == pytest.approx(stored, abs=0.3)
                stored = charge


def test_every_plug_names_things_of_the_plan(document):
    units = {unit["unit"]: unit for unit in document["units"]}
    for plug in document["hookups"]:
        assert plug["from"] < plug["to"]
        assert plug["unit"] is None or units[plug["unit"]]["on"]
        assert sum(plug[key] is not None for key in ("panel", "source")) <= 1
    for placed in document["placements"]:
        unit = units[placed["unit"]]
        assert unit["on"]
        set_point = unit["set_points_c"][placed["zone"] - 1]
        line = next(one for one in document["lines"] if one["id"] == placed["line"])
        low, high = line["band_c"]
        assert low <= set_point <= high


def test_workbook_and_summary_hold_no_names(plan, reading):
    names = [name for _, name in name_key(plan.scenario)]
    assert names
    book = openpyxl.load_workbook(io.BytesIO(plan_workbook(plan)))
    cells = [
        str(cell.value)
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if cell.value is not None
    ]
    text = "\n".join([*cells, plan_to_json(plan), summary_text(plan, reading.issues)])
    for name in names:
        assert name not in text


def test_summary_of_a_real_plan_fits_one_screen(plan, reading):
    lines = summary_text(plan, reading.issues).splitlines()
    assert len(lines) <= LINES
    assert all(width(line) <= COLUMNS for line in lines)


def test_command_line_twice_gives_the_same_bytes_and_a_clean_screen(tmp_path):
    outputs = []
    for name in ("one", "two"):
        done = subprocess.run(
            [sys.executable, "-m", "planner", "plan", str(STREET), "--no-borrow",
             "--out", str(tmp_path / name)],
            capture_output=True, text=True, check=False, cwd=ROOT,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        # The solver prints a banner of its own; it must not reach the screen.
        assert done.stdout.startswith("COLD STORAGE PLAN")
        outputs.append(done.stdout.split("Written:")[0])
    assert outputs[0] == outputs[1]
    for file in ("plan.xlsx", "plan.json"):
        first = (tmp_path / "one" / file).read_bytes()
        assert first == (tmp_path / "two" / file).read_bytes()


def test_check_of_the_faulty_sample_ends_with_2():
    done = subprocess.run(
        [sys.executable, "-m", "planner", "check",
         str(ROOT / "sample_data" / "every_fault.xlsx")],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    assert done.returncode == 2
    assert "What to do:" in done.stdout
    assert "Traceback" not in done.stderr
