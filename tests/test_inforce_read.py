"""A plan read back: by row and code, never raising, whatever the file holds."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.inforce import in_force_of, read_in_force
from planner.inforce import values as inforce_values
from planner.inforce.match import match_lines, old_line
from planner.issue import Severity
from planner.output.plan_json import plan_document
from planner.pipeline import make_plan
from planner.replanning import replan
from planner.result_moves import DESK
from planner.result_replan import Standing
from planner.scenario import Tier
from tests import builders as b
from tests.test_replan_moves import bag, box, hall

SCENE = b.scenario(
    lines=(bag(1, quantity=3), bag(2, quantity=2, tier_given=Tier.E)),
    batteries=(b.battery(), b.battery(id="B2", name="Battery two")),
)
PLAN = make_plan(SCENE, borrow=False)


def document():
    return json.loads(json.dumps(plan_document(PLAN)))


def read(doc, scene=SCENE):
    return read_in_force(json.dumps(doc).encode(), scene)


def codes(found):
    return [one.code for one in found.issues]


def test_the_file_as_written_is_read_without_an_issue():
    found = read(document())
    assert found.issues == ()
    assert found.in_force.standing == (
        Standing(line_id="L1", code="K1", unit_id="U1", zone=0, count=3),
        Standing(line_id="L2", code="K2", unit_id="U1", zone=0, count=2),
    )
    assert found.in_force.units_on == PLAN.units_on
    assert set(found.in_force.hookups) == set(PLAN.hookups)
    assert [r.sun_case for r in found.in_force.replays] == [
        r.sun_case for r in PLAN.replays
    ]


def test_hours_are_shifted_to_today():
    cond = replace(SCENE.conditions, start=SCENE.conditions.start + timedelta(hours=4))
    found = read(document(), replace(SCENE, conditions=cond)).in_force
    assert found.elapsed_h == 4
    # The plug was in to the end of its window: it is left in today.
    assert {(p.from_h, p.to_h) for p in found.hookups} == {(0, 6)}


def test_a_plug_that_ended_is_gone_and_one_to_come_comes_sooner():
    doc = document()
    first = doc["hookups"][0]
    doc["hookups"] = [first | {"from_h": 0, "to_h": 3}, first | {"from_h": 3, "to_h": 5},
                      first | {"from_h": 5, "to_h": 6}]  # fmt: skip
    cond = replace(SCENE.conditions, start=SCENE.conditions.start + timedelta(hours=4))
    found = read(doc, replace(SCENE, conditions=cond)).in_force
    assert [(p.from_h, p.to_h) for p in found.hookups] == [(0, 1), (1, 6)]


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "plan-not-readable"),
        (b"\xff\xfe\x00", "plan-not-readable"),
        (b"[" * 100_000, "plan-not-readable"),
        (b"[]", "plan-not-readable"),
        (b"null", "plan-not-readable"),
        (b'{"format": "something else"}', "plan-not-readable"),
        (b'{"format": "cold-storage-plan", "version": 2}', "plan-other-version"),
        (b'{"format": "cold-storage-plan", "version": true}', "plan-other-version"),
        (b'{"format": "cold-storage-plan", "version": 1}', "plan-not-readable"),
        (b'{"format": "cold-storage-plan", "version": 1, "window": {"start": "soon"}}',
         "plan-not-readable"),
        (b'{"a": ' + b"9" * 5000 + b"}", "plan-not-readable"),
    ],
)  # fmt: skip
def test_what_is_no_plan_stops_with_a_reason(data, code):
    found = read_in_force(data, SCENE)
    assert found.in_force is None
    assert codes(found) == [code]
    assert found.issues[0].severity is Severity.STOP
    assert found.issues[0].remedy


def test_a_file_that_is_too_large_is_not_opened(monkeypatch):
    monkeypatch.setattr(inforce_values, "MAX_BYTES", 10)
    assert codes(read_in_force(b"{" + b" " * 10, SCENE)) == ["plan-not-readable"]


@pytest.mark.parametrize(
    ("change", "code", "path"),
    [
        ({"line": "L9"}, "plan-line-unknown", "placements[0].line"),
        ({"unit": "U9"}, "plan-value-wrong", "placements[0].unit"),
        ({"count": 4}, "plan-too-many-bags", "placements[0].count"),
        ({"count": 0}, "plan-value-wrong", "placements[0].count"),
        ({"count": -1}, "plan-value-wrong", "placements[0].count"),
        ({"count": 2.0}, "plan-value-wrong", "placements[0].count"),
        ({"count": True}, "plan-value-wrong", "placements[0].count"),
        ({"count": "3"}, "plan-value-wrong", "placements[0].count"),
        ({"count": 10**30}, "plan-value-wrong", "placements[0].count"),
        ({"zone": 0}, "plan-value-wrong", "placements[0].zone"),
        ({"line": None}, "plan-value-wrong", "placements[0].line"),
        ({"unit": ["U1"]}, "plan-value-wrong", "placements[0].unit"),
    ],
)
def test_a_wrong_placement_is_located_and_the_rest_is_read(change, code, path):
    doc = document()
    doc["placements"][0] |= change
    found = read(doc)
    assert [(one.code, one.column) for one in found.issues] == [(code, path)]
    assert found.issues[0].sheet == "plan.json"
    second = Standing(line_id="L2", code="K2", unit_id="U1", zone=0, count=2)
    assert second in found.in_force.standing
    first = [s for s in found.in_force.standing if s.line_id == "L1"]
    # The neighbour: four bags of a line of three count as three.
    assert [s.count for s in first] == ([3] if code == "plan-too-many-bags" else [])


def test_lists_of_another_shape_are_told_and_passed_over():
    for key in ("lines", "units", "placements", "hookups", "replay"):
        for wrong in ("x", {"a": 1}, 7, [None], [[]], ["x"]):
            found = read(document() | {key: wrong})
            assert found.in_force is not None
            assert "plan-value-wrong" in codes(found), (key, wrong)


def test_a_line_that_left_keeps_its_code_and_goes_out():
    scene = replace(SCENE, lines=SCENE.lines[1:], rows_in=1)
    found = read(document(), scene)
    assert codes(found) == ["plan-line-gone"]
    assert "K1, row 2" in found.issues[0].message
    moves = replan(scene, found.in_force).plan.moves
    assert [(m.code, m.count, m.to_unit_id) for m in moves] == [("K1", 3, DESK)]


def test_a_unit_that_is_gone_goes_by_its_name():
    units = (b.unit(id="U5", name="Fridge five"),)
    found = read(document(), replace(SCENE, units=units))
    assert sorted(codes(found)) == ["plan-plug-gone", "plan-unit-gone"]
    assert {s.unit_id for s in found.in_force.standing} == {"Fridge one"}


def test_many_wrong_entries_are_not_all_listed():
    found = read(document() | {"placements": [None] * 5000})
    assert codes(found)[-1] == "plan-more-issues"
    assert len(found.issues) == inforce_values.MAX_ISSUES + 1


def test_text_that_a_spreadsheet_could_run_stays_short_and_plain():
    doc = document()
    doc["placements"][0]["line"] = "=cmd|' /c x'!A0\n" + "y" * 500
    (issue,) = read(doc).issues
    assert len(issue.value) <= 60
    assert "\n" not in issue.value


class TestMatching:
    def ids(self, old, now):
        return match_lines([old_line(one) for one in old], now)

    def test_rows_that_moved_are_found_by_what_they_hold(self):
        one = bag(1, code="K", row=5, volume_l=0.3)
        two = bag(2, code="K", row=9, volume_l=0.8)
        moved = [replace(two, id="A", row=4), replace(one, id="B", row=8)]
        assert self.ids([one, two], moved) == {"L1": "B", "L2": "A"}

    def test_a_row_whose_number_is_taken_by_another_of_the_person(self):
        # The first row left; the second moved up into its number and id.
        one, two = bag(1, code="K", volume_l=0.3), bag(2, code="K", volume_l=0.8)
        left = [replace(two, id="L1", row=one.row)]
        assert self.ids([one, two], left) == {"L2": "L1"}

    def test_another_person_or_kind_is_never_the_same(self):
        assert self.ids([bag(1)], [bag(1, code="other")]) == {}
        assert self.ids([bag(1)], [bag(1, kind_id="other")]) == {}

    def test_a_line_is_matched_once(self):
        old = [bag(1, code="K"), bag(2, code="K")]
        assert self.ids(old, [bag(3, code="K")]) == {"L1": "L3"}


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda some: (
        st.lists(some, max_size=3)
        | st.dictionaries(st.text(max_size=4), some, max_size=3)
    ),
    max_leaves=6,
)
PATHS = sorted(
    {
        (key, inner)
        for key, value in document().items()
        for inner in (
            value[0] if isinstance(value, list) and value else value if
            isinstance(value, dict) else {None: 0}
        )
    },
    key=str,
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PATHS), _JSON, st.integers(0, 3))
def test_any_value_anywhere_never_raises_and_can_be_planned_from(path, value, which):
    doc = document()
    key, inner = path
    holder = doc[key]
    if inner is None:
        doc[key] = value
    elif isinstance(holder, dict):
        holder[inner] = value
    else:
        holder[which % len(holder)][inner] = value
    found = read(doc)
    for issue in found.issues:
        assert issue.message
        assert issue.remedy
    if found.in_force is None:
        assert found.issues[0].severity is Severity.STOP
        return
    assert all(s.count > 0 and s.zone >= 0 for s in found.in_force.standing)
    assert sum(s.count for s in found.in_force.standing) <= 100_005


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(("placements", "units", "hookups", "lines")), _JSON)
def test_a_plan_comes_out_of_a_damaged_file(key, value):
    doc = document()
    for name in list(doc[key][0]):
        doc[key][0][name] = value
    found = read(doc)
    plan = replan(SCENE, found.in_force).plan
    assert sum(p.count for p in plan.placements) == 5


def test_bytes_at_random_never_raise():
    good = json.dumps(document()).encode()
    for at in range(0, len(good), 97):
        assert read_in_force(good[:at] + b"\x00" + good[at + 1 :], SCENE)
        assert read_in_force(good[:at], SCENE).in_force is None


def test_at_hand_and_read_back_are_the_same_for_zones():
    scene = hall([bag(1), bag(2)], [box(1, 2.0, zone_shares=(0.5, 0.5))])
    plan = make_plan(scene, borrow=False)
    read_back = read_in_force(json.dumps(plan_document(plan)).encode(), scene)
    assert read_back.in_force.standing == in_force_of(plan).standing
    assert {s.zone for s in read_back.in_force.standing} == {0, 1}


@pytest.mark.parametrize(
    ("hours", "told"),
    [(6, 6), (72, 72), (0, None), (-1, None), (True, None), ("6", None), (None, None)],
)
def test_the_file_says_when_its_plan_ends(hours, told):
    doc = document()
    doc["window"]["hours"] = hours
    ends_at = None if told is None else b.START + timedelta(hours=told)
    assert read(doc).in_force.ends_at == ends_at


def test_an_end_beyond_the_calendar_is_none():
    doc = document()
    doc["window"]["start"] = "9999-12-31T20:00"
    assert read(doc).in_force.ends_at is None


@pytest.mark.parametrize("from_file", [True, False])
@pytest.mark.parametrize(
    ("later_h", "window_h", "before", "until_h"),
    [(3, 30, 1, 30), (3, 14, 1, 17), (12, 30, 0, 30), (40, 30, 0, 30)],
)
def test_later_plugs_are_compared_until_the_first_of_both_plans_ends(
    from_file, later_h, window_h, before, until_h
):
    # Two batteries of 300 Wh: the fridge goes over to the other one at hour 12.
    packs = [b.battery(id=f"B{n}", name=f"Pack {n}", capacity_wh=300.0) for n in (1, 2)]
    scene = b.scenario(
        batteries=tuple(packs), panels=(), conditions=b.conditions(window_h=30)
    )
    plan = make_plan(scene, borrow=False)
    start = b.START + timedelta(hours=later_h)
    now = b.conditions(window_h=window_h, start=start)
    today = replace(scene, conditions=now)
    saved = json.dumps(plan_document(plan)).encode()
    found = (
        read_in_force(saved, today).in_force if from_file else in_force_of(plan, today)
    )
    change = replan(today, found).plan.changeover
    assert len(change.later_h) == 1
    assert change.later_before == before
    assert change.before_until == b.START + timedelta(hours=until_h)
