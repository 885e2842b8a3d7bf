"""Nothing typed is lost: a reload puts it back, and says that it is not applied."""

import pytest

from planner.screens.state import Work
from tests.screen_driver import (
    SCARCE,
    app,
    ending,
    go,
    press,
    shown,
    sound,
    upload,
    work,
)
from tests.test_screens_edit import at_page, conditions_key, type_over
from tests.workbook_maker import book

WAITS = "These changes are not applied yet."
BACK = "not applied yet is put back"


def words(at) -> str:
    return shown(at).replace("**", "")


def type_cell(at, sheet: str = "Batteries", row: int = 0, **cells: str):
    """Leave a cell of a table, as the grid tells it."""
    at.session_state[f"kit_{sheet}_{ending(at)}"] = {
        "edited_rows": {row: cells}, "added_rows": [], "deleted_rows": [],
    }  # fmt: skip
    return sound(at.run())


CHARGE = {"Charge now (%)": "40"}
SAID = "Batteries, Pack one, Charge now (%): 100 % is now 40"


def test_a_cell_that_was_left_is_there_after_a_reload_and_can_be_applied() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    assert WAITS in words(at)
    assert SAID in words(at)
    assert BACK not in words(at)
    assert work(at).scenario.batteries[0].charge_now == 1.0
    # The cell is still the one that was typed in, not a table made anew.
    key = f"kit_Batteries_{ending(at)}"
    assert at.session_state[key]["edited_rows"] == {0: CHARGE}

    at = go(app(), "have")
    said = words(at)
    assert BACK in said
    assert WAITS in said
    assert SAID in said
    assert at.data_editor[1].value.loc[1, "Charge now (%)"] == "40"
    assert work(at).scenario.batteries[0].charge_now == 1.0

    at = press(at, "apply_kit")
    assert work(at).scenario.batteries[0].charge_now == pytest.approx(0.4)
    assert WAITS not in words(at)
    at = go(app(), "have")
    assert BACK not in words(at)
    assert work(at).scenario.batteries[0].charge_now == pytest.approx(0.4)


def test_a_second_cell_after_a_reload_is_kept_beside_the_first() -> None:
    type_cell(at_page("have"), **CHARGE)
    at = type_cell(go(app(), "have"), **{"Max out (W)": "250"})
    at = go(app(), "have")
    row = at.data_editor[1].value.loc[1]
    assert (row["Charge now (%)"], row["Max out (W)"]) == ("40", "250")


def test_a_new_row_and_one_less_come_back_and_are_applied_as_typed() -> None:
    at = at_page("have")
    at.session_state[f"kit_Batteries_{ending(at)}"] = {
        "edited_rows": {},
        "added_rows": [{"Battery": "Pack two", "Capacity (Wh)": "500"}],
        "deleted_rows": [0],
    }
    sound(at.run())
    at = go(app(), "have")
    assert list(at.data_editor[1].value["Battery"]) == ["Pack two"]
    at = press(at, "apply_kit")
    assert [one.name for one in work(at).scenario.batteries] == ["Pack two"]


def test_turning_the_page_keeps_what_was_typed() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    at = go(go(at, "plan"), "have")
    assert BACK in words(at)
    assert at.data_editor[1].value.loc[1, "Charge now (%)"] == "40"


def test_every_page_names_the_one_on_which_something_waits() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    assert "Typed and not applied yet: 3 What we have" in words(at)
    at = go(at, "short")
    assert "Typed and not applied yet: 3 What we have" in words(at)


def test_what_waits_can_be_dropped() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    at = press(at, "drop_have")
    assert WAITS not in words(at)
    assert at.data_editor[1].value.loc[1, "Charge now (%)"] == "100 %"
    assert "Typed and not applied yet" not in words(at)
    assert BACK not in words(go(app(), "have"))


def test_a_cell_put_back_by_hand_waits_no_more() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    at = type_cell(at, **{"Charge now (%)": "100 %"})
    assert WAITS not in words(at)
    assert BACK not in words(go(app(), "have"))


def test_a_cell_that_cannot_be_used_is_there_after_a_reload_too() -> None:
    type_over(at_page("have"), "Cold units", 0, **{"Running W": "lots"})
    at = go(app(), "have")
    assert at.data_editor[0].value.loc[1, "Running W"] == "lots"
    assert "Running W: 40 is now lots" in words(at)


def test_over_something_changed_since_it_is_said_and_not_put_back() -> None:
    at = type_cell(at_page("have"), **CHARGE)
    at = go(at, "conditions")
    at.number_input(key=conditions_key(at, "ice")).set_value(12.0)
    at = go(press(at, "apply_conditions"), "have")
    said = words(at)
    assert "not put back" in said
    assert SAID in said
    assert at.data_editor[1].value.loc[1, "Charge now (%)"] == "100 %"
    # Undo brings back what it was typed over, and with it the cell.
    again = go(press(at, "undo"), "have")
    assert again.data_editor[1].value.loc[1, "Charge now (%)"] == "40"
    at = press(go(press(again, "redo"), "have"), "left_have")
    assert "not put back" not in words(at)


def test_conditions_are_kept_as_they_are_typed() -> None:
    at = at_page("conditions")
    field = at.number_input(key=conditions_key(at, "hottest_0"))
    at = sound(field.set_value(33.0).run())
    assert WAITS in words(at)
    before = work(at).scenario
    at = go(app(), "conditions")
    assert BACK in words(at)
    assert at.number_input(key=conditions_key(at, "hottest_0")).value == 33.0
    assert work(at).scenario.places == before.places
    at = press(at, "apply_conditions")
    assert max(work(at).scenario.places[0].temp_c_by_clock_hour) == pytest.approx(33)
    assert BACK not in words(go(app(), "conditions"))


def test_the_other_scale_keeps_what_was_typed() -> None:
    at = at_page("conditions")
    field = at.number_input(key=conditions_key(at, "hottest_0"))
    at = sound(field.set_value(35.0).run())
    at = sound(at.radio(key="temperature_scale").set_value("F").run())
    field = at.number_input(key=conditions_key(at, "hottest_0", "F"))
    assert field.value == pytest.approx(95.0)
    at = sound(field.set_value(86.0).run())
    at = sound(at.radio(key="temperature_scale").set_value("C").run())
    field = at.number_input(key=conditions_key(at, "hottest_0"))
    assert field.value == pytest.approx(30.0)


def test_readings_are_kept_as_they_are_typed() -> None:
    at = press(at_page("plan"), "make_plan")
    at = go(at, "plan_again")
    at = sound(at.number_input(key=f"read_0_{ending(at)}").set_value(61.0).run())
    assert "Pack one: 61 %, read" in words(at)
    at = go(app(), "plan_again")
    assert at.number_input(key=f"read_0_{ending(at)}").value == 61.0
    assert work(at).scenario.batteries[0].charge_now == 1.0


UNCLEAR = SCARCE | {
    "Intake": SCARCE["Intake"].replace("see note", "quixamine 4 bottles")
}


def test_the_words_of_a_label_are_kept_until_they_are_used() -> None:
    at = go(upload(app(), book(UNCLEAR)), "questions")
    field = at.text_input[0]
    at = sound(field.set_value("amoxicillin suspension 4 bottles").run())
    assert WAITS in words(at)
    at = go(app(), "questions")
    assert at.text_input[0].value == "amoxicillin suspension 4 bottles"
    use = next(one for one in at.button if one.label.startswith("Read it again"))
    at = sound(use.click().run())
    assert "amoxicillin" in words(at).casefold()
    assert WAITS not in words(at)
    assert BACK not in words(go(app(), "questions"))


def test_without_saved_work_typing_goes_on(monkeypatch) -> None:
    at = at_page("have")
    monkeypatch.setattr("planner.screens.drafting.save_draft", _full)
    at = type_cell(at, **CHARGE)
    assert WAITS in words(at)
    at = sound(at.run())
    assert "the disk is full" in words(at)


def _full(*_: object, **__: object) -> bool:
    from planner.errors import SavedWorkError

    raise SavedWorkError("the disk is full")


def test_a_window_without_a_page_has_nothing_typed() -> None:
    assert Work().typing.page == ""
