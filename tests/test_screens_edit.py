"""Typing over equipment and conditions on the pages, and what becomes of it."""

import pytest

from planner.scenario import SunCase
from tests import workbook_maker
from tests.screen_driver import (
    SCARCE,
    app,
    ending,
    go,
    press,
    scarce_book,
    shown,
    sound,
    upload,
    work,
)


def at_page(name: str):
    return go(upload(app(), scarce_book()), name)


def type_over(at, sheet: str, row: int, **cells: str):
    """Edit cells of one row of a table, as the grid would send them."""
    key = f"kit_{sheet}_{ending(at)}"
    at.session_state[key] = {
        "edited_rows": {row: cells},
        "added_rows": [],
        "deleted_rows": [],
    }
    return press(at, "apply_kit")


def conditions_key(at, name: str, scale: str = "C") -> str:
    return f"conditions_{name}_{ending(at)}_{scale}"


def test_each_table_stands_in_words_and_cells() -> None:
    at = at_page("have")
    said = shown(at)
    assert "Little fridge: here, at Hall; compressor, room for 8.4 L / 8.9 qt" in said
    assert "Lent fridge: can borrow from Lender A" in said
    assert "Pack one: here, at Hall; 2,000 Wh LFP, 100 % charged" in said
    assert [one.editing_mode for one in at.data_editor] == ["dynamic"] * 4
    assert "Type over what is wrong" in said


def test_assumed_values_are_marked_with_their_source() -> None:
    said = shown(at_page("have"))
    assert "Values that nobody here supplied" in said
    assert "most that one 12V port gives (W)" in said
    assert "not confirmed (common practice, no source)" in said


def test_a_typed_cell_counts_after_apply_and_the_next_edit_is_not_lost() -> None:
    at = at_page("have")
    at = type_over(at, "Batteries", 0, **{"Charge now (%)": "40"})
    said = shown(at)
    assert "Applied." in said
    assert "Batteries, Pack one, Charge now (%): 100 % is now 40" in said
    assert work(at).scenario.batteries[0].charge_now == pytest.approx(0.4)
    # The second edit in a row is the one that gets lost where a table's
    # output is written back into its own input.
    at = type_over(at, "Batteries", 0, **{"Max out (W)": "250"})
    (battery,) = work(at).scenario.batteries
    assert battery.max_out_w == 250
    assert battery.charge_now == pytest.approx(0.4)
    at = go(go(at, "plan"), "have")
    assert "40 % charged" in shown(at)


def test_a_wrong_cell_is_named_and_stays_typed() -> None:
    at = at_page("have")
    before = work(at).scenario
    at = type_over(at, "Cold units", 0, **{"Running W": "lots"})
    said = shown(at)
    assert "Nothing was changed yet" in said
    assert "Cold units, Little fridge, column Running W" in said
    assert work(at).scenario == before
    key = f"kit_Cold units_{ending(at)}"
    assert at.session_state[key]["edited_rows"] == {0: {"Running W": "lots"}}


def test_a_new_row_and_a_taken_away_one() -> None:
    at = at_page("have")
    at.session_state[f"kit_Batteries_{ending(at)}"] = {
        "edited_rows": {},
        "added_rows": [{"Battery": "Pack two", "Capacity (Wh)": "500"}],
        "deleted_rows": [0],
    }
    at = press(at, "apply_kit")
    assert [one.name for one in work(at).scenario.batteries] == ["Pack two"]


def test_a_change_makes_the_plan_old_until_it_is_planned_again() -> None:
    at = press(at_page("plan"), "make_plan")
    at = type_over(go(at, "have"), "Batteries", 0, **{"Charge now (%)": "15"})
    assert "OLD, plan again" in shown(at)
    at = go(at, "plan")
    assert any("THIS PLAN IS OLD" in one.value for one in at.warning)
    at = press(at, "make_plan")
    assert not any("OLD" in one.value for one in at.warning)


def test_applying_nothing_changes_nothing() -> None:
    at = press(at_page("plan"), "make_plan")
    at = press(go(at, "have"), "apply_kit")
    assert "Nothing was different, so nothing was changed." in shown(at)
    assert "fits what is entered" in shown(at)
    at = press(go(at, "conditions"), "apply_conditions")
    assert "fits what is entered" in shown(at)


def test_conditions_show_where_each_value_came_from() -> None:
    said = shown(at_page("conditions"))
    assert "As the workbook says." in said
    assert "ASSUMED, not told:" in said
    assert "27 C / 81 F all day" in said


def test_conditions_count_after_apply() -> None:
    at = at_page("conditions")
    at.radio(key=conditions_key(at, "sun_case")).set_value(SunCase.MEAN)
    at.number_input(key=conditions_key(at, "ice")).set_value(12.0)
    at.number_input(key=conditions_key(at, "window")).set_value(48)
    at.number_input(key=conditions_key(at, "hottest_0")).set_value(33.0)
    at.multiselect(key=conditions_key(at, "swaps")).set_value([7, 19])
    at = press(at, "apply_conditions")
    now = work(at).scenario
    assert now.conditions.sun_case is SunCase.MEAN
    assert now.conditions.ice_kg_day == 12
    assert now.conditions.window_h == 48
    assert now.conditions.swap_hours == (7, 19)
    assert max(now.place("Hall").temp_c_by_clock_hour) == pytest.approx(33.0)
    assert "27 C / 81 F at 05:00, up to 33 C / 91 F at 15:00" in shown(at)
    assert "Typed in on this page." in shown(at)


def test_temperatures_can_be_typed_in_fahrenheit() -> None:
    at = at_page("conditions")
    at = sound(at.radio(key="temperature_scale").set_value("F").run())
    field = at.number_input(key=conditions_key(at, "hottest_0", "F"))
    assert field.value == pytest.approx(80.6)
    field.set_value(95.0)
    at = press(at, "apply_conditions")
    assert max(work(at).scenario.place("Hall").temp_c_by_clock_hour) == pytest.approx(
        35
    )


def test_an_unlikely_room_is_refused_in_words() -> None:
    at = at_page("conditions")
    before = work(at).scenario
    at.number_input(key=conditions_key(at, "hottest_0")).set_value(90.0)
    at = press(at, "apply_conditions")
    said = shown(at)
    assert "Nothing was changed yet" in said
    assert "Check whether it is in C or in F." in said
    assert work(at).scenario == before


@pytest.mark.parametrize("keep", [True, False])
def test_a_new_list_keeps_what_was_typed_when_asked(keep: bool) -> None:
    at = type_over(at_page("have"), "Batteries", 0, **{"Charge now (%)": "40"})
    at = go(at, "bring_list")
    more = SCARCE | {
        "Intake": SCARCE["Intake"]
        + "Ed Sentinelname | Hall | insulin lispro pens | 1\n"
    }
    at = upload(at, workbook_maker.book(more), "second.xlsx")
    at.checkbox(key="keep_changes").set_value(keep).run()
    at = press(at, "take_newer")
    now = work(at).scenario
    assert len(now.lines) == 4
    assert now.batteries[0].charge_now == pytest.approx(0.4 if keep else 1.0)
