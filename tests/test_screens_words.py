"""The words of the pages: one place, two languages, remembered choices."""

from string import Formatter

import pytest

from planner.errors import UsageError
from planner.output.manner import PLAIN, Manner
from planner.output.wording import TABLES, Language, rows
from planner.output.words import Clock, Units
from planner.screens.choices import manner_of
from planner.store import load_choices, save_choices, work_file
from tests.screen_driver import app, go, press, shown, sound, work

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
