"""A real browser: a messy list, a heading changed, a question answered, a plan."""

import io

import openpyxl
import pytest
from playwright.sync_api import BrowserContext, Page

from planner.screens.contents import TITLES
from tests import workbook_maker
from tests.browser_app import IN_A_BROWSER, Served, go_to, make_plan, settled, tab
from tests.screen_driver import SCARCE, XLSX

pytestmark = IN_A_BROWSER
TABLES = {name: text for name, text in SCARCE.items() if name != "Intake"}


def messy_book() -> bytes:
    """A list under a title, with headings of its own and words of the hall."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_maker.book(TABLES)))
    sheet = book.create_sheet("Saturday", 0)
    for row in (
        ["Fridge things, Saturday"],
        [],
        ["Guest", "Hall", "Thing", "Amount", "Mood"],
        ["Ada Sentinelname", "Hall", "Zorbitol pens", 2, "calm"],
        ["Bo Sentinelname", "Hall", "quixamine 4 bottles", None, "tired"],
        ["Cy Sentinelname", "Hall", "breast milk fresh", 6, ""],
    ):
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.fixture
def page(context: BrowserContext, app: Served) -> Page:
    return tab(context, app)


def bring(page: Page, data: bytes, name: str, kind: str = XLSX, at: int = 0) -> None:
    page.locator("input[type=file]").nth(at).set_input_files(
        {"name": name, "mimeType": kind, "buffer": data}
    )
    page.wait_for_timeout(800)
    settled(page)


def main(page: Page) -> str:
    return page.inner_text("[data-testid=stMain]")


def choose(page: Page, heading: str, field: str) -> None:
    """Choose in a select box as a hand does: open it, type, press Enter."""
    box = page.get_by_role("combobox", name=f"{heading} is read as")
    box.click()
    page.wait_for_timeout(300)
    page.keyboard.type(field, delay=40)
    page.wait_for_timeout(300)
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)


def test_a_messy_list_becomes_a_plan(page: Page) -> None:
    bring(page, messy_book(), "saturday.xlsx")
    assert "This file cannot be planned yet" in main(page)
    assert "say which one it is" in main(page)
    choose(page, "Thing", "Item")
    page.get_by_role("button", name="Read the list with these headings").click()
    page.get_by_text("3 rows read").wait_for()
    settled(page)

    page.get_by_text("Your own words for items, remembered headings").click()
    words = b"Words,Kind\nzorbitol,adalimumab\n"
    bring(page, words, "hall words.csv", "text/csv", at=2)
    go_to(page, TITLES["questions"])
    asked = main(page)
    assert "quixamine" in asked
    assert "Zorbitol" not in asked
    box = page.get_by_label("What the label says").first
    box.fill("amoxicillin suspension 4 bottles")
    page.get_by_role("button", name="Read it again with this").first.click()
    page.get_by_text("quixamine").first.wait_for(state="detached")
    settled(page)

    make_plan(page)
    body = main(page)
    assert "Adalimumab" in body
    assert "Amoxicillin suspension" in body
    assert "Sentinelname" not in page.inner_text("body")
    assert page.locator("[data-testid=stException]").count() == 0

    go_to(page, TITLES["bring_list"])
    newer = b"Name,Item,Qty\nAda Sentinelname,adalimumab pens,1\n"
    bring(page, newer, "sunday.csv", "text/csv")
    assert "A newer list: nothing was taken over yet" in main(page)
    page.get_by_role("button", name="Use the newer list").click()
    page.get_by_text("1 row read").wait_for()
    settled(page)
    assert "2 cold units" in main(page)
    assert "OLD, plan again" in page.inner_text("body")


def test_any_item_can_be_looked_up(page: Page) -> None:
    go_to(page, TITLES["look_up"])
    box = page.get_by_label("Search: a generic name")
    box.fill("pramlintide")
    box.press("Enter")
    page.get_by_text("People also say").wait_for()
    settled(page)
    body = main(page)
    assert "Not confirmed, check the label: from memory" in body
    assert "US label, from memory (US)" in body
