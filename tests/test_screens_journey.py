"""The whole way through the app: bring in, look, change, plan, read, take away."""

import threading
import time
from io import BytesIO

import openpyxl
import pytest

from planner import pipeline
from planner.errors import PlanRefusedError, SolverError
from planner.issue import Severity
from planner.output.headlines import life_support_warnings
from planner.output.issue_text import HEADINGS
from planner.output.plan_json import plan_to_json
from planner.screens.changes import SAMPLE_VARIABLE
from planner.screens.job import Job, stage_words
from planner.screens.state import plan_book
from tests import workbook_maker
from tests.screen_driver import (
    SAMPLES,
    SCARCE,
    app,
    go,
    press,
    scarce_book,
    shown,
    sound,
    upload,
    work,
)


def with_scarce_list():
    return upload(app(), scarce_book())


def with_plan():
    at = go(with_scarce_list(), "plan")
    return press(at, "make_plan")


def test_an_uploaded_list_is_accounted_for_row_by_row() -> None:
    at = with_scarce_list()
    said = shown(at)
    assert (
        "4 rows read = 3 with items + 1 waiting for you + 0 that hold no item" in said
    )
    assert f"{HEADINGS[Severity.REVIEW]} (1)" in said
    assert "Intake, row 5, column Item" in said
    assert "Look at the label and write its generic name." in said
    assert "Sentinelname" not in said


def test_the_read_back_table_has_codes_bands_and_both_units() -> None:
    at = with_scarce_list()
    assert not at.dataframe  # made when somebody opens it
    at = go(at, "bring_list")
    (table,) = [one.value for one in at.dataframe]
    assert list(table["Bags"]) == [3, 3, 6]
    assert all(code for code in table["Code"])
    assert "2 to 8 C / 36 to 46 F" in list(table["Keep between"])
    assert table["Volume each"].iloc[0] == "0.4 L / 0.42 qt"


def test_the_journey_on_a_scarce_site() -> None:
    at = with_plan()
    said = shown(at)
    made = work(at).plan
    assert made is not None
    assert "Who is short?" in said
    assert "What goes dark, and when?" in said
    assert "What to borrow first?" in said
    assert "Little fridge, Hall" in said
    assert "Proven: no plan serves more." in said
    assert "Pack one, 12V port 1" in said
    assert "Ask: a licensed electrician" in said

    said = shown(go(at, "power"))
    assert "When does each unit go dark?" in said
    assert "holds to Tue 08:00" in said

    said = shown(go(at, "short"))
    short = {line.id: line for line in made.scenario.lines}
    assert made.shortfalls
    for one in made.shortfalls:
        assert short[one.line_id].code in said
    assert "Ask: a pharmacist" in said

    said = shown(go(at, "borrow"))
    assert "Lent fridge, from Lender A" in said
    assert "We ask to borrow: Lent fridge" in said

    at = go(at, "take")
    keys = {one.key for one in at.get("download_button")}
    assert {"download_xlsx", "download_json"} <= keys
    assert "download_key" not in keys
    book = openpyxl.load_workbook(BytesIO(plan_book(work(at), made)))
    assert "Shortfalls" in book.sheetnames
    assert '"format": "cold-storage-plan"' in plan_to_json(made)


def test_the_name_key_asks_who_is_asking() -> None:
    at = go(with_plan(), "take")
    assert "PRIVATE" in shown(at)
    at = sound(at.checkbox(key="keeper").check().run())
    assert "download_key" in {one.key for one in at.get("download_button")}
    assert "Sentinelname" not in shown(at)


def test_the_quiet_sample_serves_everybody() -> None:
    at = press(app(), "sample_quiet_street")
    at = press(go(at, "plan"), "make_plan")
    assert "Nobody" in shown(at)
    # Everybody has a place, but a car fridge that starts warm takes hours to cool.
    said = shown(go(at, "short"))
    assert "Nobody." in said
    assert "Tiers A to C, needed in these days" not in said
    assert "Not cold in time if the unit starts warm" in said
    assert "Nobody is short, so nothing has to be asked for." in shown(go(at, "borrow"))


def test_the_sample_with_every_fault_is_read_grouped_and_can_be_planned() -> None:
    at = press(app(), "sample_every_fault")
    labels = [one.label for one in at.expander]
    assert [one.split()[0].rstrip("\\:") for one in labels[2:]] == [
        "Read",
        "Headings",
        "REVIEW",
        "ASSUMED",
        "NOTE",
    ]
    assert [one.proto.expanded for one in at.expander][4:] == [True, False, False]
    found = work(at)
    tables = [len(one.value) for one in at.table]
    assert sum(tables) == len(found.issues)
    at = press(go(at, "plan"), "make_plan")
    assert work(at).plan is not None
    assert work(at).failure == ""
    warned = bool(life_support_warnings(work(at).plan))
    assert [one.value for one in at.error if "LIFE SUPPORT" in one.value] == (
        ["**LIFE SUPPORT**: act on this first."] if warned else []
    )


@pytest.mark.parametrize(
    ("name", "data", "word"),
    [
        ("photo.jpg", b"\xff\xd8\xff\xe0 not a workbook", "not a workbook"),
        ("empty.xlsx", b"", "empty"),
        ("old.xls", bytes.fromhex("d0cf11e0a1b11ae1") + b"\0" * 600, "not a workbook"),
        ("torn.xlsx", b"PK\x03\x04 torn", "damaged"),
    ],
)
def test_a_file_that_is_no_workbook_is_refused_in_words(
    name: str, data: bytes, word: str
) -> None:
    at = upload(app(), data, name)
    said = shown(at)
    assert "This file cannot be planned yet" in said
    assert word in said
    assert "What to do" in said
    for page in ("have", "conditions", "plan", "take"):
        assert "page 1 says what has to be mended" in shown(go(at, page))


def test_equipment_may_come_in_a_second_file() -> None:
    intake = {"Intake": SCARCE["Intake"]}
    rest = {name: text for name, text in SCARCE.items() if name != "Intake"}
    at = upload(app(), workbook_maker.book(intake))
    assert work(at).scenario.units == ()
    at = upload(at, workbook_maker.book(rest), "kit.xlsx", "upload_kit")
    assert [one.name for one in work(at).scenario.units] == [
        "Little fridge",
        "Lent fridge",
    ]
    assert "list.xlsx and kit.xlsx" in shown(at)


def test_the_equipment_may_come_before_the_list() -> None:
    rest = {name: text for name, text in SCARCE.items() if name != "Intake"}
    at = upload(app(), workbook_maker.book(rest), "kit.xlsx", "upload_kit")
    at = upload(at, workbook_maker.book({"Intake": SCARCE["Intake"]}))
    assert len(work(at).scenario.units) == 2


def test_a_plan_outlives_turning_pages_and_putting_away_forgets_all() -> None:
    at = with_plan()
    for page in ("bring_list", "have", "conditions", "plan"):
        go(at, page)
        assert work(at).plan is not None
    at = press(go(at, "bring_list"), "put_away")
    assert work(at).plan is None
    assert work(at).list_bytes == b""
    assert "Nothing is open yet" in shown(at)


def test_another_list_makes_the_plan_old() -> None:
    at = with_plan()
    fewer = SCARCE | {
        "Intake": SCARCE["Intake"].replace("TPN bags | 3", "TPN bags | 1")
    }
    at = upload(go(at, "bring_list"), workbook_maker.book(fewer), "second.xlsx")
    assert "OLD, plan again" not in shown(at)
    at = press(at, "take_newer")
    assert "OLD, plan again" in shown(at)
    at = press(go(at, "plan"), "make_plan")
    assert "fits what is entered" in shown(at)


def test_the_sample_of_the_command_line_is_open_at_the_start(monkeypatch) -> None:
    monkeypatch.setenv(SAMPLE_VARIABLE, str(SAMPLES / "quiet_street.xlsx"))
    assert "quiet_street.xlsx" in shown(app())


def test_a_missing_sample_is_said_and_nothing_breaks(monkeypatch) -> None:
    monkeypatch.setenv(SAMPLE_VARIABLE, "/nowhere/gone.xlsx")
    said = shown(app())
    assert "The sample gone.xlsx could not be opened." in said
    assert "/nowhere" not in said


class SlowPlan:
    """Stands for a long search: counts its starts and waits to be let go."""

    def __init__(self) -> None:
        self.starts = 0
        self.let_go = threading.Event()
        self.made = None

    def __call__(self, scenario, **options):
        self.starts += 1
        options["progress"]("tier A", 0.1)
        for _ in range(200):
            if self.let_go.wait(0.05):
                break
            options["progress"]("hookup", 0.2)
        return self.made


def test_a_second_click_does_not_start_a_second_search(monkeypatch) -> None:
    at = with_plan()
    slow = SlowPlan()
    slow.made = work(at).plan
    monkeypatch.setattr(pipeline, "make_plan", slow)
    running = Job(work(at).scenario, time_limit_s=1.0, borrow=False)
    work(at).job = running
    threading.Timer(0.8, slow.let_go.set).start()
    at = press(at, "make_plan")
    assert slow.starts == 1
    assert work(at).job is None
    assert work(at).plan is slow.made


def test_while_it_searches_the_page_says_so_and_other_pages_work(monkeypatch) -> None:
    at = with_plan()
    slow = SlowPlan()
    slow.made = work(at).plan
    monkeypatch.setattr(pipeline, "make_plan", slow)
    work(at).job = Job(work(at).scenario, time_limit_s=1.0, borrow=False)
    said = shown(go(at, "short"))
    assert "A new plan is being worked out" in said
    assert "being worked out" in said
    slow.let_go.set()
    work(at).job.wait(5)
    assert "fits what is entered" in shown(go(at, "short"))


def test_before_the_first_plan_a_page_says_that_it_comes(monkeypatch) -> None:
    at = with_scarce_list()
    slow = SlowPlan()
    monkeypatch.setattr(pipeline, "make_plan", slow)
    work(at).job = Job(work(at).scenario, time_limit_s=1.0, borrow=False)
    assert "The first plan is being worked out." in shown(go(at, "short"))
    slow.let_go.set()
    work(at).job.wait(5)


def test_a_sample_takes_the_place_of_an_uploaded_file() -> None:
    at = press(with_scarce_list(), "sample_quiet_street")
    assert [one.value for one in at.file_uploader] == [None] * 4
    assert "Open now: **quiet_street.xlsx**" in shown(at)


def test_a_search_can_be_stopped(monkeypatch) -> None:
    at = with_scarce_list()
    slow = SlowPlan()
    monkeypatch.setattr(pipeline, "make_plan", slow)
    running = Job(work(at).scenario, time_limit_s=1.0, borrow=False)
    running.stop()
    assert "Stopping" in running.words()
    assert running.wait(5)
    assert running.plan is None
    assert running.failure == "at.job.stopped"


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (PlanRefusedError(("R3 unit: too full",)), "failed its own check"),
        (SolverError("no"), "Time ran out before any plan was found"),
        (ZeroDivisionError("boom"), "fault in this program"),
    ],
)
def test_a_failure_is_one_clear_sentence_and_the_plan_before_stays(
    monkeypatch, error: Exception, words: str
) -> None:
    at = with_plan()
    before = work(at).plan

    def fail(*_args: object, **_options: object):
        raise error

    monkeypatch.setattr(pipeline, "make_plan", fail)
    at = press(at, "make_plan")
    (said,) = [one.value for one in at.error]
    assert words in said
    assert "Traceback" not in shown(at)
    assert work(at).plan is before
    monkeypatch.undo()
    at = press(at, "make_plan")
    assert not at.error


def test_the_borrow_list_can_be_left_out() -> None:
    at = go(with_scarce_list(), "plan")
    at.checkbox(key="with_borrow").uncheck()
    at = press(at, "make_plan")
    assert work(at).plan.loans == ()
    said = shown(at)
    assert "Not worked out" in said
    assert "Nothing that is offered would place another bag." not in said
    assert "Not worked out" in shown(go(at, "borrow"))
    assert "without working out what to borrow, and its files say so" in shown(
        go(at, "take")
    )


def test_stages_are_said_in_words() -> None:
    assert stage_words("tier A surplus") == "Finding places: tier A surplus"
    assert stage_words("loan 2") == "Trying what could be borrowed, step 2"
    assert stage_words("place Hall, Shed") == "Looking for more room at Hall, Shed"
    assert stage_words("hookup") == "Looking for a hookup that lasts"
    assert stage_words("something new") == "Something new"


def test_a_job_takes_no_time_of_the_page() -> None:
    began = time.monotonic()
    at = with_scarce_list()
    running = Job(work(at).scenario, time_limit_s=30.0, borrow=True)
    assert running.wait(30)
    assert running.plan is not None
    assert time.monotonic() - began < 60
