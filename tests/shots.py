"""Screenshot every page of the app, wide and phone width, into ./shots/.

Run ``python -m tests.shots`` (or with the path of a workbook).  It starts the
app by itself on a free port, opens the workbook, plans once, and walks the
pages in each width.  ``--language es --units us --clock 12`` show them as
such a reader sees them.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from planner.output.manner import Manner
from planner.output.wording import Language
from planner.output.words import Clock, Units
from planner.screens.choices import kept_form, manner_of
from planner.screens.contents import TITLES
from planner.store import save_choices
from tests.browser_app import CHROMIUM, FLAGS, Served, go_to, make_plan, settled

ROOT = Path(__file__).parents[1]
OUT = ROOT / "shots"
SAMPLE = ROOT / "sample_data" / "hall_in_heat.xlsx"
SIZES = {"wide": (1366, 800), "phone": (390, 844)}
TALLEST = 14000


def shoot(workbook: Path, how: Manner, names: Sequence[str]) -> None:
    """Walk the pages once a width and save a picture of each."""
    OUT.mkdir(exist_ok=True)
    with Served(workbook) as app, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 1366, "height": 800})
        page.goto(app.url)
        settled(page)
        make_plan(page)
        mark = ""
        if how != Manner():
            mark = "-".join(("", *kept_form(how).values()))
            save_choices(app.work_file, kept_form(how))
            page.reload()
            settled(page)
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            for number, name in enumerate(names):
                title = how.say(f"at.contents.{name}")
                go_to(page, title, phone=size == "phone")
                if name == "what_if":
                    work_out(page, how)
                file = OUT / f"{workbook.stem}-{number:02d}-{size}{mark}.png"
                save(page, file, width)
                page.set_viewport_size({"width": width, "height": height})
        browser.close()


def work_out(page: Page, how: Manner) -> None:
    """Ask for the what-ifs, where nobody did yet."""
    button = page.get_by_role("button", name=how.say("at.what_if.work_out"), exact=True)
    if button.count():
        button.click()
        page.wait_for_timeout(1000)
        settled(page)


def save(page: Page, file: Path, width: int) -> None:
    """Make the window as tall as the page, so that one picture holds it all."""
    tall = page.evaluate(
        "document.querySelector('[data-testid=stMainBlockContainer]').scrollHeight"
    )
    page.set_viewport_size({"width": width, "height": min(int(tall) + 80, TALLEST)})
    page.wait_for_timeout(1200)
    page.screenshot(path=str(file))


if __name__ == "__main__":
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("workbook", nargs="?", type=Path, default=SAMPLE)
    options.add_argument("--language", choices=list(Language), default="en")
    options.add_argument("--units", choices=list(Units), default="metric")
    options.add_argument("--clock", choices=list(Clock), default="24")
    options.add_argument(
        "--pages", nargs="*", choices=list(TITLES), default=list(TITLES)
    )
    given = vars(options.parse_args())
    shoot(given["workbook"], manner_of(given), given["pages"])
