"""A real browser: nothing is lost on a reload, two tabs keep off each other's work."""

from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Route

from planner.screens.contents import TITLES
from planner.store import Saved
from tests.browser_app import (
    IN_A_BROWSER,
    Served,
    go_to,
    make_plan,
    opened_with,
    planned_to_the_end,
    reload,
    scarce_work,
    settled,
    tab,
)
from tests.screen_driver import SAMPLES, XLSX, scarce_book
from tests.test_browser_journey import bring, fetched

pytestmark = IN_A_BROWSER


def body(page: Page) -> str:
    return page.inner_text("body")


def set_coolest(page: Page, value: str) -> None:
    """Type another lowest room temperature on the page of conditions and apply it."""
    go_to(page, TITLES["conditions"])
    field = page.get_by_label("Coolest", exact=False).first
    field.fill(value)
    field.press("Tab")
    page.get_by_role("button", name="Apply these changes").click(delay=100)
    page.get_by_text("Applied.").wait_for()
    settled(page)


def coolest(page: Page) -> str:
    go_to(page, TITLES["conditions"])
    return page.get_by_label("Coolest", exact=False).first.input_value()


def test_the_plan_stands_whole_after_a_reload_though_a_part_of_the_page_comes_late(
    context: BrowserContext, app: Served
) -> None:
    def late(route: Route) -> None:
        """Hand the script on so that the browser itself waits before it is there."""
        script = route.fetch()
        wait = "await new Promise(go => setTimeout(go, 1500));"
        route.fulfill(response=script, body=wait + script.text())

    page = opened_with(context, app, scarce_work())
    go_to(page, TITLES["plan"])
    plan = page.inner_text("[data-testid=stMain]")
    assert page.locator("[data-testid=stTable]").count()
    page.route("**/static/js/Table.*", late)
    reload(page)
    assert page.inner_text("[data-testid=stMain]") == plan


def test_the_whole_work_on_a_messy_list_with_reloads_in_the_middle(
    context: BrowserContext, app: Served
) -> None:
    page = tab(context, app)
    bring(page, (SAMPLES / "every_fault.xlsx").read_bytes(), "messy.xlsx")
    reload(page)
    assert "messy.xlsx" in body(page)

    go_to(page, TITLES["questions"])
    open_before = page.get_by_text("It says:").count()
    assert open_before
    page.get_by_role("button", name="Take the row off the list").first.click()
    settled(page)
    assert "Undo takes back: Answer" in body(page)
    first = page.locator("[data-testid=stMain] h3").first.inner_text()
    reload(page)
    assert page.locator("[data-testid=stMain] h3").first.inner_text() == first
    assert "Undo takes back: Answer" in body(page)

    make_plan(page)
    plan = page.inner_text("[data-testid=stMain]")
    reload(page)
    assert page.inner_text("[data-testid=stMain]") == plan

    go_to(page, TITLES["short"])
    assert "Inside its allowance until" in body(page) or "Nobody is short" in body(page)
    go_to(page, TITLES["take"])
    name, data = fetched(page, "Download the sheets to print")
    assert name == "paper.pdf"
    assert data.startswith(b"%PDF")


def test_a_loan_that_came_is_planned_with(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    page = opened_with(context, app, planned)
    go_to(page, TITLES["borrow"])
    page.get_by_role("button", name="It is here: Lent fridge").first.click()
    settled(page)
    reload(page)
    assert "Counted in: Lent fridge" in body(page)
    go_to(page, TITLES["plan"])
    page.get_by_role("button", name="Plan again").click()
    page.get_by_text("Lent fridge, Hall").first.wait_for(timeout=120_000)
    planned_to_the_end(page)
    page.get_by_text("fits what is entered").wait_for()


def test_a_reload_while_it_searches_does_not_lose_the_search(
    context: BrowserContext, app: Served
) -> None:
    page = tab(context, app)
    bring(page, (SAMPLES / "hall_in_heat.xlsx").read_bytes(), "hall.xlsx")
    go_to(page, TITLES["plan"])
    page.get_by_role("button", name="Make the plan").click()
    page.get_by_text("Planning. You may look at other pages").wait_for()
    page.reload()
    page.get_by_text("Who is short?").first.wait_for(timeout=240_000)
    planned_to_the_end(page)
    page.get_by_text("fits what is entered").wait_for()


def test_two_tabs_do_not_overwrite_each_other(
    context: BrowserContext, app: Served
) -> None:
    one = tab(context, app)
    bring(one, scarce_book())
    two = tab(context, app)
    assert "list.xlsx" in body(two)
    set_coolest(one, "21")
    set_coolest(two, "25")
    assert "NOT SAVED: another window changed the work" in body(two)
    reload(one)
    assert coolest(one) == "21"

    two.get_by_role("button", name="Keep what stands in this window").click()
    settled(two)
    assert "NOT SAVED" not in body(two)
    reload(one)
    assert coolest(one) == "25"
    one.get_by_role("button", name="Undo").click()
    settled(one)
    assert coolest(one) == "21"

    reload(two)
    assert coolest(two) == "21"
    assert two.locator("[data-testid=stException]").count() == 0


def test_a_tab_that_is_behind_can_show_the_newer_work(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    one = opened_with(context, app, planned)
    two = tab(context, app)
    set_coolest(one, "21")
    go_to(two, TITLES["have"])
    two.get_by_role("button", name="Show what the other window saved").click()
    settled(two)
    assert coolest(two) == "21"


def test_closing_down_in_one_tab_empties_the_other(
    context: BrowserContext, app: Served, planned: Saved
) -> None:
    one = opened_with(context, app, planned)
    two = tab(context, app)
    go_to(one, TITLES["keep"])
    one.get_by_text("Yes, delete the saved work and all names").click()
    settled(one)
    one.get_by_role("button", name="Delete it all now").click()
    one.get_by_text("Closed down.").wait_for()
    settled(one)
    assert "gone: " in body(one)
    go_to(two, TITLES["have"])
    assert "closed down in another window" in body(two)
    assert "Little fridge" not in body(two)
    reload(two)
    assert "List: none yet" in body(two)


def test_a_file_that_is_too_big_is_refused_in_words(
    context: BrowserContext, app: Served, tmp_path: Path
) -> None:
    page = tab(context, app)
    big = tmp_path / "big.xlsx"
    big.write_bytes(b"\0" * 21_000_000)
    page.locator("input[type=file]").first.set_input_files(big)
    page.get_by_text("File must be 20.0MB or smaller").or_(
        page.get_by_text("20MB or smaller")
    ).first.wait_for()
    assert "List: none yet" in body(page)


def test_the_same_file_within_the_limit_gets_further(
    context: BrowserContext, app: Served
) -> None:
    page = tab(context, app)
    page.locator("input[type=file]").first.set_input_files(
        {"name": "big.xlsx", "mimeType": XLSX, "buffer": b"\0" * 1_000_000}
    )
    page.get_by_text("This file cannot be planned yet").wait_for()
