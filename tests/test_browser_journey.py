"""A real browser, from opening the app to the files in the downloads folder."""

import io
import json
from pathlib import Path
from urllib.parse import urlparse

import openpyxl
import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from planner.screens.contents import TITLES
from planner.store import Saved
from tests import workbook_maker
from tests.browser_app import (
    IN_A_BROWSER,
    PAGES,
    PHONE,
    Served,
    go_to,
    make_plan,
    opened_with,
    reload,
    settled,
    tab,
)
from tests.screen_driver import SCARCE, XLSX, scarce_book

pytestmark = IN_A_BROWSER
HOSTILE = "<img src=x onerror=alert(1)> **B** [l](javascript:alert(2)) $x$"


@pytest.fixture
def page(context: BrowserContext, app: Served) -> Page:
    return tab(context, app)


def bring(page: Page, data: bytes, name: str = "list.xlsx") -> None:
    """Choose a file on the first page."""
    page.locator("input[type=file]").first.set_input_files(
        {"name": name, "mimeType": XLSX, "buffer": data}
    )
    page.get_by_text("What was read").wait_for()
    settled(page)


def fetched(page: Page, label: str) -> tuple[str, bytes]:
    """Press a download button and read the file."""
    with page.expect_download() as waiting:
        page.get_by_role("button", name=label).click()
    done = waiting.value
    return done.suggested_filename, Path(done.path()).read_bytes()


def test_from_the_list_to_the_files(page: Page) -> None:
    assert page.title()
    bring(page, scarce_book())
    assert page.get_by_text("4 rows read").is_visible()
    make_plan(page)
    go_to(page, TITLES["short"])
    body = page.inner_text("body")
    assert "Parenteral nutrition" in body
    assert "Inside its allowance until" in body
    assert "Sentinelname" not in body
    go_to(page, TITLES["borrow"])
    assert "Lent fridge, from Lender A" in page.inner_text("body")
    go_to(page, TITLES["take"])
    name, data = fetched(page, "Download the plan as a workbook")
    assert name == "plan.xlsx"
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert {"Summary", "Assignments", "Shortfalls", "Cautions"} <= set(book.sheetnames)
    name, data = fetched(page, "Download the plan for another program")
    assert name == "plan.json"
    assert json.loads(data)["format"] == "cold-storage-plan"
    assert b"Sentinelname" not in data


def test_a_blank_workbook_can_be_fetched(page: Page) -> None:
    name, data = fetched(page, "Download a blank workbook")
    assert name == "blank_list.xlsx"
    assert "Intake" in openpyxl.load_workbook(io.BytesIO(data)).sheetnames


def test_it_asks_nothing_of_the_network(browser: Browser, app: Served) -> None:
    app.forget()
    context = browser.new_context()
    hosts: set[str] = set()
    page = context.new_page()
    page.on("request", lambda one: hosts.add(urlparse(one.url).hostname or ""))
    page.on("websocket", lambda one: hosts.add(urlparse(one.url).hostname or ""))
    page.goto(app.url)
    settled(page)
    bring(page, scarce_book())
    make_plan(page)
    for title in PAGES:
        go_to(page, title)
    context.close()
    assert hosts <= {"localhost", ""}


def test_words_from_a_sheet_stay_words(page: Page) -> None:
    dialogs: list[str] = []
    page.on("dialog", lambda one: (dialogs.append(one.message), one.dismiss()))
    named = {
        sheet: text.replace("Little fridge", HOSTILE).replace("Pack one", HOSTILE)
        for sheet, text in SCARCE.items()
    }
    bring(page, workbook_maker.book(named), f"{HOSTILE}.xlsx".replace("/", ""))
    make_plan(page)
    for title in PAGES:
        go_to(page, title)
        if title in {TITLES["have"], TITLES["plan"]}:
            assert HOSTILE in page.inner_text("[data-testid=stMain]")
        assert page.locator("img[src=x]").count() == 0
        assert page.locator("[data-testid=stMain] a[href^=javascript]").count() == 0
        assert page.locator("[data-testid=stMain] .katex").count() == 0
    assert dialogs == []


def test_a_phone_never_scrolls_sideways(context: BrowserContext, app: Served) -> None:
    page = tab(context, app, PHONE)
    bring(page, scarce_book())
    make_plan(page, phone=True)
    for title in PAGES:
        go_to(page, title, phone=True)
        wide = page.evaluate(
            "document.querySelector('[data-testid=stMainBlockContainer]').scrollWidth"
        )
        assert wide <= PHONE["width"], title


def test_a_double_click_plans_once(page: Page) -> None:
    bring(page, scarce_book())
    go_to(page, TITLES["plan"])
    page.get_by_role("button", name="Make the plan").dblclick()
    page.get_by_text("Who is short?").first.wait_for()
    settled(page)
    assert page.get_by_text("Little fridge, Hall").first.is_visible()
    assert page.locator("[data-testid=stException]").count() == 0


def type_in_the_grid(page: Page, text: str) -> None:
    """Type over the charge of the first battery, and leave the grid as it is."""
    box = page.get_by_test_id("stDataFrame").nth(1).bounding_box()
    assert box is not None
    # The grid is drawn on a canvas: second column of the first row.
    page.mouse.click(box["x"] + 190, box["y"] + 55)
    page.wait_for_timeout(300)
    page.keyboard.press("Enter")
    page.wait_for_timeout(300)
    page.keyboard.press("Control+A")
    page.keyboard.type(text, delay=60)
    page.wait_for_timeout(200)


def test_a_cell_typed_in_the_grid_counts_without_enter(page: Page) -> None:
    page.set_viewport_size({"width": 1280, "height": 2000})
    bring(page, scarce_book())
    go_to(page, TITLES["have"])
    type_in_the_grid(page, "35")
    # A person holds the button down for a moment, a script does not.
    page.get_by_role("button", name="Apply these changes").click(delay=100)
    page.get_by_text("Applied.").wait_for()
    settled(page)
    body = page.inner_text("[data-testid=stMain]")
    assert "Batteries, Pack one, Charge now (%): 100 % is now 35" in body
    assert "35 % charged" in body


def test_a_cell_that_was_left_is_there_after_a_reload(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    page = opened_with(context, app, planned)
    page.set_viewport_size({"width": 1280, "height": 2000})
    go_to(page, TITLES["have"])
    type_in_the_grid(page, "35")
    page.keyboard.press("Tab")
    page.get_by_text("These changes are not applied yet.").wait_for()
    settled(page)
    reload(page)
    body = page.inner_text("[data-testid=stMain]")
    assert "not applied yet is put back" in body
    assert "Batteries, Pack one, Charge now (%): 100 % is now 35" in body
    assert "100 % charged" in body
    # A field of a form on another page, left by the tabulator, is kept alike.
    go_to(page, TITLES["conditions"])
    field = page.get_by_label("Coolest", exact=False).first
    field.fill("21")
    field.press("Tab")
    page.get_by_text("These changes are not applied yet.").wait_for()
    settled(page)
    reload(page)
    assert page.get_by_label("Coolest", exact=False).first.input_value() == "21"
    side = page.get_by_test_id("stSidebar").inner_text()
    assert "Typed and not applied yet: 3 What we have; 4 Conditions" in side

    go_to(page, TITLES["have"])
    page.get_by_role("button", name="Apply these changes").click(delay=100)
    page.get_by_text("Applied.").wait_for()
    settled(page)
    body = page.inner_text("[data-testid=stMain]")
    assert "35 % charged" in body
    assert "not applied yet" not in body
