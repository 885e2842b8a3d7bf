"""Screenshot every page of the app, wide and phone width, into ./shots/.

Run ``python -m tests.shots`` (or with the path of a workbook).  It starts the
app by itself on a free port, opens the sample, plans, and walks the pages.
"""

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser_app import CHROMIUM, FLAGS, Served, go_to, make_plan, settled

ROOT = Path(__file__).parents[1]
OUT = ROOT / "shots"
SAMPLE = ROOT / "sample_data" / "hall_in_heat.xlsx"
PAGES = (
    "1 Bring in the list",
    "2 What we have",
    "3 Conditions",
    "4 The plan",
    "5 Power by the hour",
    "6 Who is short",
    "7 Borrow first",
    "8 Take it with you",
)
SIZES = {"wide": (1366, 800), "phone": (390, 844)}


def shoot(workbook: Path) -> None:
    """Walk the pages once a width and save a picture of each."""
    OUT.mkdir(exist_ok=True)
    with Served(workbook) as app, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for size, (width, height) in SIZES.items():
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(app.url)
            settled(page)
            make_plan(page, phone=size == "phone")
            for title in PAGES:
                go_to(page, title, phone=size == "phone")
                save(page, OUT / f"{workbook.stem}-{title[0]}-{size}.png", width)
            page.close()
        browser.close()


def save(page: Page, file: Path, width: int) -> None:
    """Make the window as tall as the page, so that one picture holds it all."""
    tall = page.evaluate(
        "Math.max(...[...document.querySelectorAll('section, main, [data-testid]')]"
        ".map(e => e.scrollHeight))"
    )
    page.set_viewport_size({"width": width, "height": min(int(tall) + 60, 12000)})
    page.wait_for_timeout(1200)
    page.screenshot(path=str(file))
    page.set_viewport_size({"width": width, "height": 844})


if __name__ == "__main__":
    shoot(Path(sys.argv[1]) if len(sys.argv) > 1 else SAMPLE)
