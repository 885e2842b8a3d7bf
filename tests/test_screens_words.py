"""The words of the pages: one place, two languages, remembered choices."""

import ast
import re
from pathlib import Path
from string import Formatter

import pytest

from planner.errors import UsageError
from planner.output.manner import PLAIN, Manner
from planner.output.wording import TABLES, Language, rows
from planner.output.words import Clock, Units
from planner.screens.choices import manner_of
from planner.store import load_choices, save_choices, work_file
from tests.screen_driver import ROOT, app, go, press, shown, sound, work

ROWS = [row for table in TABLES[1:] for row in rows(table)]
SPANISH = Manner(language=Language.ES)


def fields(text: str) -> list[str]:
    return sorted(name for _, name, _, _ in Formatter().parse(text) if name)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_every_message_has_both_languages_and_the_same_fields(row) -> None:
    assert set(row) == {"id", "en", "es", "note"}
    for language in Language:
        assert row[language].strip(), language
        assert set(fields(row[language])) == set(fields(row["en"]))
        assert row[language].count("**") == row["en"].count("**")


def test_no_id_stands_twice_in_the_tables() -> None:
    ids = [row["id"] for table in TABLES for row in rows(table)]
    assert len(ids) == len(set(ids))


def test_an_unknown_message_and_a_missing_field_are_faults() -> None:
    with pytest.raises(UsageError, match=r"no\.such"):
        PLAIN.say("no.such")
    with pytest.raises(UsageError, match="page"):
        PLAIN.say("at.frame.need_list")


def choose(at, name: str, value):
    return sound(at.selectbox(key=f"choice_{name}").set_value(value).run())


def test_choices_hold_on_every_page_and_survive_a_reload() -> None:
    at = choose(app(), "language", Language.ES)
    at = choose(at, "units", Units.US)
    at = choose(at, "clock", Clock.H12)
    wanted = Manner(language=Language.ES, units=Units.US, clock=Clock.H12)
    assert work(at).manner == wanted
    assert "Todavía no hay lista" in shown(go(at, "plan"))
    again = app()
    assert work(again).manner == wanted
    assert again.selectbox(key="choice_language").value is Language.ES
    assert "Lista: todavía ninguna" in shown(again)


def test_undo_and_putting_away_leave_the_language_alone() -> None:
    at = choose(press(app(), "sample_quiet_street"), "language", Language.ES)
    at = press(at, "put_away")
    assert work(at).manner == SPANISH
    at = press(at, "undo")
    assert work(at).list_name
    assert work(at).manner == SPANISH


def test_a_language_chosen_in_one_window_alarms_no_other() -> None:
    one = press(app(), "sample_quiet_street")
    two = app()
    choose(one, "language", Language.ES)
    two = sound(two.run())
    assert not work(two).changed_elsewhere
    assert work(two).manner == PLAIN


@pytest.mark.parametrize(
    "kept", [{}, {"language": "xx"}, {"clock": "25", "units": "cubits", "other": "1"}]
)
def test_choices_that_are_not_known_any_more_are_left_out(kept) -> None:
    assert manner_of(kept) == PLAIN


@pytest.mark.parametrize("text", ["", "[]", "{", '{"language": 3}', "\x00" * 20_000])
def test_a_damaged_file_of_choices_is_passed_over(text: str) -> None:
    assert save_choices(work_file(), {"language": "es"})
    file = work_file().with_name("choices.json")
    file.write_text(text)
    assert load_choices(work_file()) == {}
    assert work(app()).manner == PLAIN


def test_choices_that_cannot_be_kept_are_said_and_hold_all_the_same(
    monkeypatch,
) -> None:
    at = app()
    monkeypatch.setattr("planner.screens.choices.save_choices", lambda *_: False)
    at = choose(at, "language", Language.ES)
    assert work(at).manner == SPANISH
    assert "no se pudo guardar" in shown(at)


SAID_BY = {
    "say",
    "count",
    "step",
    "told",
    "heading_of",
    "title_of",
    "page_words",
    "path_of",
}
DRAWN = {
    "button", "caption", "checkbox", "code", "date_input", "download_button", "error",
    "expander", "file_uploader", "form_submit_button", "header", "info", "markdown",
    "multiselect", "number_input", "page_link", "progress", "radio", "selectbox",
    "spinner", "status", "subheader", "success", "tabs", "text", "text_area",
    "text_input", "title", "toast", "warning", "write",
}  # fmt: skip
SHOWN_FIELDS = {"label", "help", "placeholder", "alt", "text", "body"}
OWN_NAMES = {"English", "Español"}


def screens_files() -> list[Path]:
    return [*sorted((ROOT / "planner" / "screens").rglob("*.py")), ROOT / "app.py"]


def words_in(node: ast.AST) -> list[str]:
    """Literals with a word in them that no table was asked for."""
    if isinstance(node, ast.Call):
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ""
        name = node.func.id if isinstance(node.func, ast.Name) else name
        if name in SAID_BY:
            return []
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value] if re.search(r"[^\W\d_]{2,}", node.value) else []
    return [one for child in ast.iter_child_nodes(node) for one in words_in(child)]


def written_straight(tree: ast.AST) -> list[str]:
    """Words given to a drawing call, whatever it is called on."""
    found = []
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        if node.func.attr not in DRAWN:
            continue
        given = [*node.args[:1]]
        given += [one.value for one in node.keywords if one.arg in SHOWN_FIELDS]
        found += [word for one in given for word in words_in(one)]
    return found


@pytest.mark.parametrize("file", screens_files(), ids=lambda file: file.stem)
def test_no_page_writes_its_own_words(file: Path) -> None:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    assert written_straight(tree) == []
    notes = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    notes |= {id(one.value) for one in ast.walk(tree) if isinstance(one, ast.Expr)}
    sentences = [
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant)
        and isinstance(node.value, str)
        and id(node) not in notes
        and re.search(r"[^\W\d_]{2,} [^\W\d_]{2,}", node.value)
    ]
    assert [one for one in sentences if one not in BY_NAME] == []


BY_NAME = {
    "Cold units", "Other power", "Use or ask by", "Counts only up to",
    "What stands there", "Out of", "In the open list", "In the newer list",
    "Source and its country",
}  # fmt: skip
"""Names of sheets and columns, by which the code finds them."""


@pytest.mark.parametrize(
    "line",
    [
        'st.title("Borrow first")',
        'st.info(f"There is {n} left")',
        'left.button("Go", key="x")',
        'st.text_input(say("a.b"), help="No")',
        'st.button(label="Yes")',
        'place.markdown("a" + plain("Own words"))',
    ],
)
def test_the_watch_over_the_pages_sees_words_written_straight(line: str) -> None:
    assert written_straight(ast.parse(line))


@pytest.mark.parametrize(
    "line",
    ['st.title(say("a.b"))', 'st.markdown(f"**{x}**")', 'st.text_input(x, key="k")'],
)
def test_the_watch_over_the_pages_lets_tables_speak(line: str) -> None:
    assert not written_straight(ast.parse(line))


def asked_for() -> set[str]:
    """Ids in the code of screens and of the manner; a field ends the known part."""
    found = set()
    for file in [
        *screens_files(),
        *sorted((ROOT / "planner" / "output").rglob("*.py")),
    ]:
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            value = node.value if isinstance(node, ast.Constant) else None
            if isinstance(value, str) and re.fullmatch(
                r"(at|tell)\.[a-z_0-9.]+", value
            ):
                found.add(value)
    return found


def test_every_message_that_is_asked_for_exists_and_none_is_left_unasked() -> None:
    ids = {row["id"] for row in ROWS}
    asked = asked_for()
    for key in asked:
        assert any(one == key or one.startswith(key) for one in ids), key
    for one in ids:
        assert any(one == key or one.startswith(key) for key in asked), one
