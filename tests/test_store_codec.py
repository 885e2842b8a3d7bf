"""Nouns to JSON and back: the same, or refused."""

import json
from dataclasses import replace
from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.edits import GivenAnswer
from planner.errors import SavedWorkError
from planner.intake.answers import Answer
from planner.result import Plan, TierGain
from planner.scenario import Conditions, Place, Scenario, Tier
from planner.store.carried import carried, opened
from planner.store.codec import from_json, to_json
from planner.store.saved import PLAN_LOST, Saved, edited_parts, put_back, saved_of
from tests import plan_fixture


def through_json(value: object) -> object:
    return json.loads(json.dumps(to_json(value)))


def test_a_whole_plan_comes_back_the_same() -> None:
    plan = plan_fixture.plan()
    assert from_json(Plan, through_json(plan)) == plan
    assert from_json(Scenario, through_json(plan.scenario)) == plan.scenario


@pytest.mark.parametrize("text", plan_fixture.HOSTILE)
def test_words_from_a_sheet_come_back_to_the_letter(text: str) -> None:
    plan = plan_fixture.hostile_plan(text)
    assert from_json(Plan, through_json(plan)) == plan


@given(
    st.floats(allow_nan=False),
    st.text(st.characters(exclude_categories=())),
    st.binary(max_size=80),
    st.datetimes(),
)
def test_values_come_back_to_the_last_digit(
    number: float, text: str, data: bytes, moment: datetime
) -> None:
    kept = Saved(
        list_name=text,
        list_bytes=data,
        read_at=moment,
        accepted=((text, "Intake", None, text),),
        answers=(GivenAnswer(sheet=text, row=3, answer=Answer(label=text)),),
    )
    assert opened(carried(kept)) == (kept, ())
    room = Place(name=text, temp_c_by_clock_hour=(number,) * 24)
    assert from_json(Place, through_json(room)) == room


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (TierGain, {"tier": "A", "bags": 1.5, "households": 1}),
        (TierGain, {"tier": "A", "bags": True, "households": 1}),
        (TierGain, {"tier": "Z", "bags": 1, "households": 1}),
        (TierGain, {"tier": "A", "bags": 1}),
        (TierGain, {"tier": "A", "bags": 1, "households": 1, "__class__": "x"}),
        (TierGain, [1, 2, 3]),
        (TierGain, None),
        (Place, {"name": "Hall", "temp_c_by_clock_hour": [20.0] * 23}),
        (Place, {"name": "Hall", "temp_c_by_clock_hour": "warm"}),
        (Conditions, {"start": "yesterday"}),
        (Conditions, {"start": 7}),
        (Saved, {"list_bytes": "not base64!"}),
    ],
)
def test_what_does_not_fit_is_refused(kind: type, value: object) -> None:
    with pytest.raises(SavedWorkError):
        from_json(kind, value)


def test_a_neighbour_that_fits_is_taken() -> None:
    found = from_json(TierGain, {"tier": "A", "bags": 1, "households": 1})
    assert found == TierGain(tier=Tier.A, bags=1, households=1)


def test_only_nouns_can_be_kept() -> None:
    with pytest.raises(TypeError):
        to_json({"a": 1})
    with pytest.raises(TypeError):
        to_json(object())


def test_a_plan_of_another_version_is_left_out_and_said() -> None:
    found, notes = saved_of({"list_name": "a.xlsx", "plan": {"of": "old"}})
    assert (found.plan, found.list_name) == (None, "a.xlsx")
    assert notes == (PLAN_LOST,)


def test_any_other_part_of_another_version_is_refused() -> None:
    with pytest.raises(SavedWorkError):
        saved_of({"list_name": 3})
    with pytest.raises(SavedWorkError):
        saved_of({"of_tomorrow": 3})


def test_edits_hold_no_names_and_go_back_onto_a_list_read_again() -> None:
    plan = plan_fixture.plan()
    edited = edited_parts(plan.scenario)
    assert "Sentinel" not in json.dumps(to_json(edited))
    fresh = replace(plan.scenario, units=(), batteries=())
    assert put_back(edited, fresh) == plan.scenario


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"PK\x03\x04",
        b"[]",
        b"{}",
        b'{"format": "cold-storage-work", "version": 2, "work": {}}',
        b'{"format": "cold-storage-work", "version": 1, "work": 3}',
        b'{"format": "cold-storage-work", "version": 1, "work": {"list_name": []}}',
        b"[" * 100_000,
        b"\xff\xfe",
    ],
)
def test_a_file_that_is_no_saved_work_is_refused(data: bytes) -> None:
    with pytest.raises(SavedWorkError):
        opened(data)
