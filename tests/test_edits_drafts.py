"""What is typed and not applied yet, as pure values: taken, put back, in words."""

from dataclasses import replace
from datetime import datetime

import pandas as pd
import pytest

from planner.edits import (
    KIT_SHEETS,
    KitDraft,
    ReadingsForm,
    apply_kit,
    conditions_draft,
    conditions_form,
    draft_frame,
    in_scale,
    kit_draft,
    kit_frame,
    labels_draft,
    readings_draft,
)
from tests import plan_fixture

SCENARIO = plan_fixture.scenario()


def frames() -> dict[str, pd.DataFrame]:
    return {name: kit_frame(SCENARIO, name) for name in KIT_SHEETS}


def put_back(draft: KitDraft) -> dict[str, pd.DataFrame]:
    return {name: draft_frame(SCENARIO, name, draft) for name in KIT_SHEETS}


def test_nothing_typed_is_no_draft() -> None:
    assert kit_draft(SCENARIO, frames()) is None


def test_a_cell_a_new_row_and_a_row_less_come_back_as_they_were_typed() -> None:
    typed = frames()
    typed["Batteries"].loc[1, "Charge now (%)"] = "40"
    typed["Cold units"] = typed["Cold units"].drop(index=1)
    new = {"Panel": "Roof two", "Rated W": "120"}
    typed["Panels"] = pd.concat([typed["Panels"], pd.DataFrame([new], index=[0])])
    found = kit_draft(SCENARIO, typed)
    assert found is not None
    draft, words = found
    assert {one.sheet for one in draft.tables} == {"Batteries", "Cold units", "Panels"}
    name = SCENARIO.batteries[0].name
    assert any(f"Batteries, {name}, Charge now (%)" in one for one in words)
    assert f"Cold units, {SCENARIO.units[0].name}: taken away" in words
    assert "Panels, Roof two: new" in words
    back = put_back(draft)
    assert kit_draft(SCENARIO, back) == found
    # Applied from there, it is what it would have been before the reload.
    assert apply_kit(SCENARIO, back) == apply_kit(SCENARIO, typed)


def test_a_cell_that_cannot_be_used_is_kept_too() -> None:
    typed = frames()
    typed["Batteries"].loc[1, "Capacity (Wh)"] = "big"
    found = kit_draft(SCENARIO, typed)
    assert found is not None
    assert put_back(found[0])["Batteries"].loc[1, "Capacity (Wh)"] == "big"
    assert not apply_kit(SCENARIO, put_back(found[0])).applied


def test_conditions_as_they_are_are_no_draft() -> None:
    form = conditions_form(SCENARIO, fahrenheit=False)
    assert conditions_draft(SCENARIO, form) is None
    typed = replace(form, ice_kg_day=form.ice_kg_day + 3)
    found = conditions_draft(SCENARIO, typed)
    assert found is not None
    assert found[0] == typed
    assert "is now" in found[1][0]


def test_a_field_that_cannot_be_used_is_named() -> None:
    form = conditions_form(SCENARIO, fahrenheit=False)
    wrong = replace(form, sun_from_place=False, peak_sun_hours=None)
    assert conditions_draft(SCENARIO, wrong) == (wrong, ("Peak sun hours",))


def test_a_typed_temperature_goes_to_the_other_scale_and_back() -> None:
    form = conditions_form(SCENARIO, fahrenheit=False)
    room = replace(form.rooms[0], hottest=35.0)
    typed = replace(form, rooms=(room, *form.rooms[1:]))
    in_f = in_scale(SCENARIO, typed, fahrenheit=True)
    assert in_f.fahrenheit
    assert in_f.rooms[0].hottest == pytest.approx(95.0)
    # What was not typed is what a fresh form shows, without rounding twice.
    fresh = conditions_form(SCENARIO, fahrenheit=True)
    assert in_f.rooms[0].coolest == fresh.rooms[0].coolest
    assert in_scale(SCENARIO, in_f, fahrenheit=False) == typed
    assert in_scale(SCENARIO, form, fahrenheit=True) == fresh


def test_readings_wait_once_one_is_typed() -> None:
    at = datetime(2025, 10, 13, 14, 40)
    (battery, *_) = SCENARIO.batteries
    assert readings_draft(SCENARIO, ReadingsForm(at=at, percents=())) is None
    blank = ReadingsForm(at=at, percents=((battery.id, None),))
    assert readings_draft(SCENARIO, blank) is None
    read = ReadingsForm(at=at, percents=((battery.id, 61.0),))
    assert readings_draft(SCENARIO, read) == (
        read, (f"{battery.name}: 61 %, read 14:40",),
    )  # fmt: skip


def test_labels_wait_once_one_is_typed() -> None:
    assert labels_draft({"a": "", "b": ""}) is None
    found = labels_draft({"a": "", "b": "insulin, 2 pens"})
    assert found is not None
    assert found[0].labels == (("b", "insulin, 2 pens"),)
    assert found[1] == ("insulin, 2 pens",)
