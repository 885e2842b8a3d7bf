"""Measure how long a person waits: the first screen, each page, the paper.

``python -m tests.page_times`` prints a table.  It is no test: on a busy
computer the same program takes twice as long.  Look at ``uptime`` first.
"""

import argparse
import io
import os
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from openpyxl import Workbook
from playwright.sync_api import Browser, Page, sync_playwright

from planner import pipeline
from planner.output.paper import PaperSize, hand_copy, paper_pdf
from planner.output.workbook import plan_workbook
from planner.result import Plan
from planner.scenario import Line
from planner.screens.contents import TITLES
from planner.store import Saved, edited_parts, put_back, save
from tests.bench.town import town
from tests.browser_app import CHROMIUM, FLAGS, Served, settled

NOW = datetime(2026, 7, 14, 7, 40)
NAME = "town.xlsx"
HEADINGS = (
    "Resident", "Household", "Place", "Item", "Quantity", "Volume each (L)",
    "Keep from (C)", "Keep to (C)", "Never freeze", "Warm hours", "Warm max (C)",
    "Daily use", "Locked", "Night need",
)  # fmt: skip
_CLICK = """async ([title, heading]) => {
    const link = [...document.querySelectorAll('[data-testid=stSidebarNavLink]')]
        .find(one => one.innerText.trim() === title);
    const app = document.querySelector('[data-testid=stApp]');
    const began = performance.now();
    link.click();
    while (performance.now() - began < 60000) {
        await new Promise(go => setTimeout(go, 15));
        const head = document.querySelector('[data-testid=stMain] h1');
        const idle = app.getAttribute('data-test-script-state') === 'notRunning';
        if (idle && head && head.innerText.trim() === heading) break;
    }
    return performance.now() - began;
}"""


def list_book(lines: tuple[Line, ...]) -> bytes:
    """The lines of a scenario as a list that is brought in."""
    made = Workbook()
    sheet = made.active
    sheet.title = "Intake"
    sheet.append(HEADINGS)
    for one in lines:
        sheet.append(
            (
                one.resident, one.household, one.place, one.item_text, one.quantity,
                one.volume_l, one.keep_from_c, one.keep_to_c,
                "yes" if one.never_freeze else "no", one.warm_hours, one.warm_max_c,
                one.daily_use, "yes" if one.locked else None,
                "yes" if one.night_need else None,
            )
        )  # fmt: skip
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def saved_town(size: str, seed: int, limit_s: float) -> Saved:
    """Work with a plan of an invented town, as the app keeps it."""
    drawn = town(size, seed)
    data = list_book(drawn.lines)
    reading = pipeline.read_files(NAME, data, now=NOW)
    if reading.scenario is None:
        raise SystemExit("the town could not be read back")
    parts = edited_parts(drawn)
    scenario = put_back(parts, reading.scenario)
    plan = pipeline.make_plan(scenario, time_limit_s=limit_s, borrow=False)
    return Saved(
        list_name=NAME, list_bytes=data, read_at=NOW, edited=edited_parts(scenario),
        plan=plan, borrow_asked=False,
    )  # fmt: skip


def first_screen(browser: Browser) -> tuple[float, float]:
    """Seconds from the start of the process to the first heading in a browser.

    The second number is the processor time of the program alone.
    """
    page = browser.new_page()
    began = time.perf_counter()
    served = Served()
    try:
        served.__enter__()  # waits until somebody listens
        page.goto(served.url)
        page.wait_for_selector("h1")
        return time.perf_counter() - began, served.cpu_s
    finally:
        page.close()
        served.__exit__(None, None, None)


def page_changes(
    page: Page, app: Served, rounds: int
) -> Iterator[tuple[str, list[float], list[float]]]:
    """Milliseconds of each page, from the click to the page at rest.

    Then the processor time of the program alone, in milliseconds.
    """
    took: dict[str, list[float]] = {name: [] for name in TITLES}
    worked: dict[str, list[float]] = {name: [] for name in TITLES}
    for _ in range(rounds):
        for name, title in TITLES.items():
            number, _, rest = title.partition(" ")
            heading = rest if number.isdigit() else title
            before_s = app.cpu_s
            took[name].append(page.evaluate(_CLICK, [title, heading]))
            worked[name].append(1000 * (app.cpu_s - before_s))
            page.wait_for_timeout(300)
    for name, found in took.items():
        yield name, found, worked[name]


def paper_times(plan: Plan) -> Iterator[tuple[str, float]]:
    """Seconds for each file of a plan."""
    ladder = pipeline.what_to_shed(plan)
    for name, make in (
        ("paper.pdf", lambda: paper_pdf(plan, size=PaperSize.LETTER, ladder=ladder)),
        ("handcopy.txt", lambda: hand_copy(plan, ladder=ladder)),
        ("plan.xlsx", lambda: plan_workbook(plan)),
        ("what if", lambda: pipeline.stress_plan(plan)),
    ):
        began = time.perf_counter()
        make()
        yield name, time.perf_counter() - began


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(prog="python -m tests.page_times")
    asked.add_argument("--size", default="M")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--limit", type=float, default=10.0, help="seconds to plan")
    asked.add_argument("--rounds", type=int, default=3)
    asked.add_argument("--picture", type=Path, help="save the last page as a picture")
    given = asked.parse_args()
    print("load", os.getloadavg())
    saved = saved_town(given.size, given.seed, given.limit)
    assert saved.plan is not None
    print(
        f"{len(saved.plan.scenario.lines)} lines, {len(saved.plan.units_on)} units on"
    )
    for name, took_s in paper_times(saved.plan):
        print(f"{name:15} {took_s:6.2f} s")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for _ in range(given.rounds):
            took_s, cpu_s = first_screen(browser)
            print(f"first screen    {took_s:6.2f} s, program {cpu_s:.2f} s")
        with Served() as app:
            save(app.work_file, saved, what="Town", mark=None, now=NOW)
            page = browser.new_page(viewport={"width": 1366, "height": 800})
            began = time.perf_counter()
            page.goto(app.url)
            settled(page)
            print(f"opened with it  {time.perf_counter() - began:6.2f} s")
            for name, found, worked in page_changes(page, app, given.rounds):
                shown = " ".join(f"{one:6.0f}" for one in found)
                alone = " ".join(f"{one:5.0f}" for one in worked)
                print(f"{name:15} {shown} ms, program {alone} ms")
            if given.picture:
                page.screenshot(path=str(given.picture))
        browser.close()
    print("load", os.getloadavg())


if __name__ == "__main__":
    main()
