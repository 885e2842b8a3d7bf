"""The paper from the command line, and from its page of the app."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext

from planner.screens.contents import TITLES
from tests import plan_fixture
from tests.browser_app import NEEDS_CHROMIUM, Served, go_to, make_plan, settled, tab
from tests.paper_reader import pages
from tests.screen_driver import XLSX, go, scarce_book, shown, with_work
from tests.test_cli import pipeline, run, workbook  # noqa: F401  (fixtures)


@pytest.mark.parametrize(("paper", "wide"), [("a4", 595), ("letter", 612)])
def test_paper_is_written_beside_the_plan(pipeline, workbook, tmp_path, paper, wide):  # noqa: F811
    out = tmp_path / "out"
    done = run("plan", workbook, "--out", out, "--paper", paper)
    assert done.exit_code == 1, done.output
    found = pages((out / "paper.pdf").read_bytes())
    assert int(found[0].width) == wide
    assert "Door sheet: North fridge" in {one.title for one in found}
    assert (out / "handcopy.txt").read_text().startswith("Cold storage plan ")
    assert f"Paper: {out / 'paper.pdf'} and {out / 'handcopy.txt'}" in done.output
    assert (out / "plan.xlsx").exists()


def test_paper_in_spanish(pipeline, workbook, tmp_path):  # noqa: F811
    run("plan", workbook, "--out", tmp_path, "--paper", "a4", "--language", "es")
    found = pages((tmp_path / "paper.pdf").read_bytes())
    assert "Hoja de puerta: North fridge" in {one.title for one in found}
    assert "para copiar a mano" in (tmp_path / "handcopy.txt").read_text()


def test_no_paper_unless_asked_for(pipeline, workbook, tmp_path):  # noqa: F811
    run("plan", workbook, "--out", tmp_path)
    assert not (tmp_path / "paper.pdf").exists()
    assert not (tmp_path / "handcopy.txt").exists()


@pytest.mark.parametrize(
    "wrong", [("--paper", "legal"), ("--paper", "a4", "--language", "xx")]
)
def test_another_paper_or_language_is_refused(pipeline, workbook, tmp_path, wrong):  # noqa: F811
    done = run("plan", workbook, "--out", tmp_path, *wrong)
    assert done.exit_code == 2
    assert not (tmp_path / "plan.xlsx").exists()


def test_paper_never_replaces_the_input(pipeline, workbook, tmp_path):  # noqa: F811
    taken = tmp_path / "handcopy.txt"
    taken.write_bytes(workbook.read_bytes())
    done = run("plan", taken, "--out", tmp_path, "--paper", "a4")
    assert done.exit_code == 2
    assert taken.read_bytes() == workbook.read_bytes()


def test_page_8_offers_both_papers_and_both_languages() -> None:
    made = plan_fixture.plan()
    at = go(
        with_work(
            list_name="list.xlsx", list_bytes=b"x", scenario=made.scenario, plan=made
        ),
        "take",
    )  # fmt: skip
    assert {"download_paper", "download_handcopy"} <= {
        one.key for one in at.get("download_button")
    }
    assert at.radio(key="paper_size").options == ["Letter", "A4"]
    at.radio(key="paper_language").set_value("Español").run()
    at.radio(key="paper_size").set_value("A4").run()
    labels = [one.label for one in at.get("download_button")]
    assert "Download the sheets to print (paper.pdf, A4, Español)" in labels
    assert "not reviewed by a native health worker" in shown(at)
    assert not at.exception


@pytest.mark.browser
@NEEDS_CHROMIUM
def test_the_sheets_come_out_of_a_real_browser(
    context: BrowserContext, app: Served
) -> None:
    page = tab(context, app)
    page.locator("input[type=file]").first.set_input_files(
        {"name": "list.xlsx", "mimeType": XLSX, "buffer": scarce_book()}
    )
    page.get_by_text("What was read").wait_for()
    settled(page)
    make_plan(page)
    go_to(page, TITLES["take"])
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download the sheets to print").click()
    done = waiting.value
    assert done.suggested_filename == "paper.pdf"
    data = Path(done.path()).read_bytes()
    assert "Door sheet: Little fridge" in {one.title for one in pages(data)}
    assert b"Sentinelname" not in data
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Download the same to copy by hand").click()
    text = Path(waiting.value.path()).read_text()
    assert re.search(r"Plan \w{5} Little fridge", text)


def test_paper_in_us_units_and_on_the_other_clock(pipeline, workbook, tmp_path):  # noqa: F811
    options = ("--paper", "a4", "--units", "us", "--clock", "12")
    run("plan", workbook, "--out", tmp_path, *options)
    text = (tmp_path / "handcopy.txt").read_text(encoding="utf-8")
    assert re.search(r"\d F \(\d+ C\)", text)
    assert re.search(r"\d:00 (am|pm)", text)
