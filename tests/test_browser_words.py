"""Language, units and clock in a real browser: chosen at the side, kept on reload."""

import pytest
from playwright.sync_api import BrowserContext, ViewportSize, expect

from planner.output.manner import Manner
from planner.output.wording import Language
from planner.screens.contents import TITLES
from tests.browser_app import IN_A_BROWSER, PHONE, WIDE, Served, go_to, settled, tab

pytestmark = IN_A_BROWSER
SPANISH = Manner(language=Language.ES)


def choose(page, label: str, option: str) -> None:
    """Choose one of the three at the side."""
    side = page.get_by_test_id("stSidebar").get_by_test_id("stSelectbox")
    button = side.filter(has_text=label).get_by_role("button")
    button.scroll_into_view_if_needed()
    page.wait_for_timeout(500)  # a list that opens while the side moves shuts again
    button.click()
    page.get_by_role("option", name=option, exact=True).click()
    settled(page)


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_a_reader_turns_the_language_and_a_reload_keeps_it(
    context: BrowserContext, app: Served, size: ViewportSize
) -> None:
    phone = size is PHONE
    page = tab(context, app, size)
    go_to(page, TITLES["plan"], phone=phone)
    if phone:
        page.get_by_test_id("stExpandSidebarButton").click()
    choose(page, "Language", "Español")
    choose(page, "Unidades", SPANISH.say("at.choices.us"))
    choose(page, "Reloj", SPANISH.say("at.choices.12"))
    expect(page.locator("h1")).to_have_text("El plan")
    page.reload()
    settled(page)
    expect(page.locator("h1")).to_have_text("El plan")
    go_to(page, SPANISH.say("at.contents.conditions"), phone=phone)
    expect(page.locator("h1")).to_have_text("Condiciones")
    # Nothing reaches over the edge of the page.
    assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
