"""A real browser: a loan comes, the site plans again, and the moves are on paper."""

import io
import re

import openpyxl
import pytest
from playwright.sync_api import BrowserContext, Page

from planner.screens.contents import TITLES
from planner.store import Saved
from tests.browser_app import (
    IN_A_BROWSER,
    Served,
    go_to,
    make_plan,
    opened_with,
    reload,
    settled,
    tab,
)
from tests.paper_reader import pages, sheets
from tests.screen_driver import SAMPLES, scarce_book
from tests.test_browser_journey import bring, fetched

pytestmark = IN_A_BROWSER
AGAIN = "Plan again with few moves"
ACCEPT = "Put this plan in force"
LIST_SHEETS = ("Sat AM", "Diary")


def messy_book() -> bytes:
    """The list in which all is wrong that can be, with equipment that is scarce."""
    book = openpyxl.load_workbook(SAMPLES / "every_fault.xlsx")
    kit = openpyxl.load_workbook(io.BytesIO(scarce_book()))
    for name in book.sheetnames:
        if name not in LIST_SHEETS:
            del book[name]
    for name in kit.sheetnames:
        if name == "Intake":
            continue
        sheet = book.create_sheet(name)
        for cell in (one for row in kit[name].iter_rows() for one in row):
            sheet[cell.coordinate].value = cell.value
            sheet[cell.coordinate].number_format = cell.number_format
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def body(page: Page) -> str:
    return page.inner_text("[data-testid=stMain]")


def press(page: Page, name: str) -> None:
    page.get_by_test_id("stMain").get_by_role("button", name=name).first.click()
    settled(page)


def plan_again(page: Page) -> None:
    go_to(page, TITLES["plan_again"])
    press(page, AGAIN)
    page.get_by_text("not in force yet").first.wait_for(timeout=120_000)
    settled(page)


def moves_shown(page: Page) -> list[list[str]]:
    """Rows of the move list on the page."""
    rows = page.get_by_test_id("stTable").last.locator("tbody tr").all()
    # A code is held together on screen by a joiner that paper does not need.
    return [
        [cell.replace("\u2060", "").strip() for cell in row.locator("td").all_inner_texts()]
        for row in rows
    ]  # fmt: skip


def moves_printed(pdf: bytes) -> list[list[str]]:
    found = sheets(pages(pdf), "Move list")
    return [row for page in found for row in page.rows() if row[0].isdigit()]


def planned_from_the_messy_list(context: BrowserContext, app: Served) -> Page:
    page = tab(context, app)
    bring(page, messy_book(), "messy.xlsx")
    go_to(page, TITLES["questions"])
    press(page, "Take the row off the list")
    assert "Undo takes back: Answer" in page.inner_text("body")
    make_plan(page)
    return page


@pytest.mark.parametrize("messy", [False, True], ids=["scarce", "messy"])
def test_from_a_shortfall_over_a_loan_to_the_moves_on_paper(
    context: BrowserContext, app: Served, planned: Saved, messy: bool
) -> None:
    if messy:
        page = planned_from_the_messy_list(context, app)
    else:
        page = opened_with(context, app, planned)
    go_to(page, TITLES["short"])
    assert "Inside its allowance until" in body(page)

    go_to(page, TITLES["borrow"])
    assert "Lent fridge, from Lender A" in body(page)
    press(page, "It is here: Lent fridge")
    assert "Counted in: Lent fridge" in body(page)
    reload(page)
    plan_again(page)
    said = body(page)
    assert "Lent fridge is here now" in said
    assert "Lent fridge: switch on, set to" in said
    shown = moves_shown(page)
    assert shown

    # The page is loaded again before anybody accepted: nothing is lost or done.
    reload(page)
    assert "not in force yet" in body(page)
    assert moves_shown(page) == shown
    assert "THIS PLAN IS OLD" not in body(page)
    press(page, ACCEPT)
    assert "This plan is in force now" in body(page)
    reload(page)
    assert "This plan is in force now" in body(page)
    assert "Undo takes back: New plan in force" in page.inner_text("body")

    go_to(page, TITLES["take"])
    file, pdf = fetched(page, "Download the sheets to print")
    assert file == "paper.pdf"
    printed = moves_printed(pdf)
    for on_paper, on_screen in zip(printed, shown, strict=True):
        order, code, bags, *_ = on_paper
        assert on_screen[:2] == [f"{order}. {code}", bags]
        assert set(on_screen[2:]) <= set(on_paper)
    titles = {one.title for one in pages(pdf)}
    assert {"Door sheet: Lent fridge", "Warm-exposure slip: Lent fridge"} <= titles
    go_to(page, TITLES["short"])
    assert page.locator("[data-testid=stException]").count() == 0
    assert not re.search("Sentinelname", body(page))


def test_a_reload_while_it_is_worked_out_finds_the_outcome(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    page = opened_with(context, app, planned)
    go_to(page, TITLES["plan_again"])
    page.get_by_test_id("stMain").get_by_role("button", name=AGAIN).first.click()
    page.get_by_text("Planning. You may look at other pages").wait_for()
    page.reload()
    settled(page)
    go_to(page, TITLES["plan_again"])
    page.get_by_text("not in force yet").first.wait_for(timeout=120_000)
    assert "No bag is carried" in body(page)


def test_readings_are_typed_with_their_clock(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    page = opened_with(context, app, planned)
    go_to(page, TITLES["plan_again"])
    page.get_by_test_id("stTimeInput").get_by_role("spinbutton").first.click()
    page.keyboard.type("1440", delay=60)
    field = page.get_by_label("Pack one: % shown")
    field.fill("61")
    field.press("Tab")
    page.get_by_role("button", name="Apply these readings").click(delay=100)
    page.get_by_text("Applied: the new plan begins").wait_for()
    settled(page)
    said = body(page)
    assert "Applied: the new plan begins Mon 13 Oct 2025 14:00" in said
    assert "Pack one shows 61 %; the plan counted on" in said
    reload(page)
    assert "Pack one shows 61 %" in body(page)
    plan_again(page)
    press(page, ACCEPT)
    assert "not in force yet" not in body(page)
    go_to(page, TITLES["power"])
    assert "THIS PLAN IS OLD" not in body(page)


def test_two_tabs_do_not_accept_over_each_other(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    one = opened_with(context, app, planned)
    go_to(one, TITLES["borrow"])
    press(one, "It is here: Lent fridge")
    plan_again(one)
    two = tab(context, app)
    go_to(two, TITLES["plan_again"])
    assert "not in force yet" in body(two)
    press(one, "Leave the plan as it is")
    press(two, ACCEPT)
    assert "NOT SAVED: another window changed the work" in body(two)
    press(two, "Show what the other window saved")
    assert "not in force yet" not in body(two)
    reload(one)
    assert "THIS PLAN IS OLD" not in body(one)
    assert two.locator("[data-testid=stException]").count() == 0
