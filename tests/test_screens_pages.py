"""Every page with nothing open, with a plan, with hostile words, with an old plan."""

import ast
import re
import string
from dataclasses import replace
from itertools import chain

import pytest

from planner.result import SHORTER_PLAN, Finding
from planner.screens.contents import TITLES
from planner.screens.show import plain
from planner.screens.state import Work
from tests import plan_fixture
from tests.screen_driver import (
    PAGES,
    ROOT,
    app,
    go,
    page_path,
    shown,
    sound,
    unescaped,
    with_work,
    work,
)

OUT = ("plan", "power", "short", "borrow", "take", "what_if")


def planned(plan=None) -> dict[str, object]:
    """Fields of a session in which the fixture's plan was made."""
    made = plan or plan_fixture.plan()
    return {
        "list_name": "list.xlsx",
        "list_bytes": b"x",
        "scenario": made.scenario,
        "plan": made,
    }


@pytest.mark.parametrize("name", PAGES)
def test_a_page_without_a_list_says_where_to_begin(name: str) -> None:
    at = go(app(), name)
    assert at.title
    said = shown(at)
    assert (
        "Nothing is open yet" in said
        or "Bring one in on page 1" in said
        or name in {"keep", "look_up"}
    )


@pytest.mark.parametrize("name", PAGES)
def test_a_page_with_a_plan_shows_codes_and_no_names(name: str) -> None:
    at = go(with_work(**planned()), name)
    said = shown(at)
    assert plan_fixture.RESIDENT not in said
    assert plan_fixture.HOUSEHOLD not in said
    assert "Sentinel" not in said
    if name in {"plan", "short"}:
        codes = {line.code for line in plan_fixture.scenario().lines}
        assert any(code in said for code in codes)


@pytest.mark.parametrize("name", OUT)
def test_a_page_without_a_plan_points_to_the_plan(name: str) -> None:
    fields = planned() | {"plan": None}
    assert "There is no plan yet" in shown(go(with_work(**fields), name))


@pytest.mark.parametrize("name", OUT)
def test_an_old_plan_says_so_on_every_page_that_shows_it(name: str) -> None:
    fields = planned()
    other = replace(plan_fixture.scenario(), rows_in=99)
    at = go(with_work(**(fields | {"scenario": other})), name)
    assert any("THIS PLAN IS OLD" in one.value for one in at.warning)
    assert "OLD, plan again" in shown(at)


@pytest.mark.parametrize("name", OUT)
def test_a_fresh_plan_is_not_called_old(name: str) -> None:
    said = shown(go(with_work(**planned()), name))
    assert "OLD," not in said
    assert "IS OLD" not in said


@pytest.mark.parametrize("name", ["status", "plan", "power"])
def test_a_load_before_the_fridges_that_goes_dark_is_said_first(name: str) -> None:
    dark = Finding(
        rule="R7", fatal=False, subject="life support", message="goes dark at 02:00"
    )
    made = plan_fixture.plan()
    at = go(with_work(**planned(replace(made, findings=(dark,)))), name)
    assert "LIFE SUPPORT" in at.error[0].value
    assert "goes dark at 02:00" in shown(at)


MARKUP = (
    "<script>alert(1)</script>",
    "![x](http://example.invalid/x.png)",
    "[go](javascript:alert(1))",
    "**bold** _it_ `code` ~~gone~~",
    "# heading",
    "1. list",
    "    code",
    ":red[danger] :smile: :material/home:",
    "$x^2$ $$y$$",
    "www.example.invalid and a@example.invalid",
    "a | b",
    "two\n\nlines",
    "&lt;b&gt; &#42;",
    "- item",
    "> quote",
    "***",
)


def disarmed(markdown: str) -> str:
    """What is left of a markdown text when its escaped signs are taken out."""
    return re.sub(r"\\.", "\0", markdown)


@pytest.mark.parametrize("name", ["plan", "short"])
def test_an_idle_unit_that_could_run_for_a_while_is_said(name: str) -> None:
    plan = plan_fixture.plan()
    text = "With what is here Fridge could run on Pack until Fri 01:00"
    idle = Finding(rule="R7", fatal=False, subject=SHORTER_PLAN, message=text)
    at = go(with_work(**planned(replace(plan, findings=(idle,)))), name)
    assert text in [unescaped(one.value) for one in at.warning]
    at = go(with_work(**planned(plan)), name)
    assert not [one.value for one in at.warning if "could run on" in one.value]


@pytest.mark.parametrize("text", [*MARKUP, *plan_fixture.HOSTILE])
def test_words_from_a_sheet_never_act_as_markup(text: str) -> None:
    fields = planned(plan_fixture.hostile_plan(text)) | {"list_name": text}
    at = with_work(**fields)
    seen = False
    for name in PAGES:
        go(at, name)
        for one in at.markdown:
            assert not one.allow_html
            seen = seen or plain(text) in one.value
        drawn = (*at.markdown, *at.warning, *at.error, *at.info, *at.success)
        for one in chain(drawn, at.header, at.subheader, at.expander):
            body = one.label if one.type == "expander" else one.value
            for part in {text, text.strip()} - {plain(text)}:
                # A text as short as "+1" may stand in our own words.
                assert len(part) < 3 or part not in disarmed(body)
    assert seen or not plain(text)


@pytest.mark.parametrize("text", MARKUP)
def test_escaping_keeps_the_words_and_disarms_every_mark(text: str) -> None:
    safe = plain(text)
    assert unescaped(safe) == " ".join(text.split())
    assert not set(disarmed(safe)) & set(string.punctuation)


def test_every_widget_has_a_key_of_its_own() -> None:
    keys: dict[str, str] = {}
    at = with_work(**planned())
    for name in PAGES:
        go(at, name)
        for kind in (
            "button", "checkbox", "radio", "selectbox", "multiselect", "number_input",
            "date_input", "file_uploader", "text_input", "download_button",
            "form_submit_button",
        ):  # fmt: skip
            for widget in at.get(kind):
                assert widget.key, f"{name}: {kind} {widget.label!r} has no key"
                if not widget.key.startswith("choice_"):  # at the side of each page
                    assert keys.setdefault(widget.key, name) == name


def screens_source() -> list[tuple[str, ast.Module]]:
    files = sorted((ROOT / "planner" / "screens").rglob("*.py"))
    return [
        (file.name, ast.parse(file.read_text(encoding="utf-8")))
        for file in (*files, ROOT / "app.py")
    ]


def test_screens_do_no_arithmetic_and_draw_no_html() -> None:
    sums = (ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.Pow)
    for name, tree in screens_source():
        for node in ast.walk(tree):
            assert not (isinstance(node, ast.BinOp) and isinstance(node.op, sums)), (
                f"{name}, line {node.lineno}: arithmetic belongs in a room"
            )
            assert not (
                isinstance(node, ast.keyword) and node.arg == "unsafe_allow_html"
            ), name
            assert not (isinstance(node, ast.Attribute) and node.attr == "html"), name


def test_no_domain_class_is_made_in_the_script_that_reruns() -> None:
    for name, tree in screens_source():
        if name in {"app.py", *(f"{page}.py" for page in PAGES)}:
            frozen = [
                node.name
                for node in ast.walk(tree)
                if isinstance(node, ast.ClassDef) and node.decorator_list
            ]
            assert frozen == [], name


def test_the_pages_of_the_router_are_those_on_disk() -> None:
    folder = ROOT / "planner" / "screens" / "pages"
    on_disk = {file.stem for file in folder.glob("*.py")} - {"__init__"}
    assert on_disk == set(PAGES)
    assert all((ROOT / page_path(name)).is_file() for name in PAGES)
    numbers = [int(title.split()[0]) for title in TITLES.values() if title[0].isdigit()]
    assert numbers == list(range(1, len(PAGES)))


def test_the_session_is_one_object_that_starts_empty() -> None:
    empty = Work()
    assert (empty.plan, empty.scenario, empty.issues) == (None, None, ())
    assert not empty.stale
    assert not empty.planning


def test_the_hours_of_a_battery_are_drawn_when_they_are_opened() -> None:
    at = with_work(**planned())
    shut = sound(at.switch_page(page_path("power")).run())
    assert not shut.dataframe
    opened = go(at, "power")
    (hours,) = (one.value for one in opened.dataframe)
    assert list(hours.columns)[:2] == ["From", "Sky"]
    assert len(hours) == work(opened).plan.scenario.conditions.window_h
