"""What is missing and what would place it, in words: every kind, both languages."""

from dataclasses import replace

import pytest

from planner.output.answers import who_is_short
from planner.output.cards import short_cards
from planner.output.change_text import shared_changes
from planner.output.index import index_plan
from planner.output.json_items import change_value
from planner.output.manner import Manner
from planner.output.paper import paper_pdf
from planner.output.tables import shortfalls
from planner.output.wording import Language
from planner.output.words import Units
from planner.result import Plan
from planner.result_reasons import Change, ChangeKind, Proof
from planner.scenario import Supply
from tests import builders as b
from tests.paper_plans import one_plan
from tests.paper_reader import pages

ROOM = {"place": "Hall", "low_c": 2.0, "high_c": 8.0, "item_id": ""}
SAID = [
    # (change, what is missing, what would place it)
    (
        {"kind": ChangeKind.ROOM_AT, "amount": 0.4, **ROOM},
        "0.4 L / 0.42 qt at 2 to 8 C / 36 to 46 F",
        (
            "0.4 L / 0.42 qt at 2 to 8 C / 36 to 46 F in a unit in Hall that is cold "
            "without power from here"
        ),
    ),
    (
        {"kind": ChangeKind.ROOM_AT, "amount": 1.5, **ROOM, "lockable": True},
        "1.5 L / 1.6 qt at 2 to 8 C / 36 to 46 F",
        (
            "1.5 L / 1.6 qt at 2 to 8 C / 36 to 46 F in a unit with a lock, in Hall, that "
            "is cold without power from here"
        ),
    ),
    (
        {"kind": ChangeKind.ROOM_AT, "amount": 1.5, **ROOM, "night": True},
        "1.5 L / 1.6 qt at 2 to 8 C / 36 to 46 F",
        (
            "1.5 L / 1.6 qt at 2 to 8 C / 36 to 46 F in a unit in Hall that is cold "
            "without power from here, and the place open at night"
        ),
    ),
    (
        {"kind": ChangeKind.ROOM_IN, "amount": 0.4, "set_point_c": 5.0},
        "0.4 L / 0.42 qt at 2 to 8 C / 36 to 46 F",
        "0.4 L / 0.42 qt more room in Fridge one, at 5 C / 41 F",
    ),
    (
        # 1,000 Wh at 50 %: 310 Wh more are 81 %.
        {"kind": ChangeKind.ENERGY, "amount": 310.0, "item_id": "B1", "by_h": 45},
        "310 Wh by Wed 05:00",
        "310 Wh more in Battery one by Wed 05:00: charge it to 81 %",
    ),
    (
        {"kind": ChangeKind.ENERGY, "amount": 610.0, "item_id": "B1", "by_h": 45},
        "610 Wh over the whole window, there by Wed 05:00",
        (
            "610 Wh more to draw from Battery one over the whole window: more than it "
            "holds, so a larger charged one in its place by Wed 05:00"
        ),
    ),
    (
        {"kind": ChangeKind.ENERGY, "amount": 310.0, "item_id": "B1"},
        "310 Wh from the start",
        "310 Wh more in Battery one from the start: charge it to 81 %",
    ),
    (
        {"kind": ChangeKind.ENERGY, "amount": 610.0, "item_id": "B1"},
        "610 Wh over the whole window, there from the start",
        (
            "610 Wh more to draw from Battery one over the whole window: more than it "
            "holds, so a larger charged one in its place from the start"
        ),
    ),
    (
        {
            "kind": ChangeKind.BATTERY,
            "item_id": "",
            "amount": 130.0,
            "watts": 45.0,
            "supply": Supply.DC,
        },
        "130 Wh, and a socket for 45 W",
        "one more battery in Hall, with 130 Wh to draw and a 12 V socket of 45 W",
    ),
    (
        {
            "kind": ChangeKind.SOCKET,
            "item_id": "B1",
            "watts": 45.0,
            "supply": Supply.DC,
        },
        "a 12 V socket",
        "one more 12 V socket on Battery one, for 45 W",
    ),
    (
        {
            "kind": ChangeKind.SOCKET,
            "item_id": "B1",
            "amount": 2.0,
            "watts": 90.0,
            "supply": Supply.AC,
        },
        "an AC outlet",
        "2 more AC outlets on Battery one, for 90 W",
    ),
    (
        {
            "kind": ChangeKind.WATTS,
            "item_id": "B1",
            "amount": 10.0,
            "supply": Supply.DC,
        },
        "10 W",
        "10 W more from the 12 V sockets of Battery one",
    ),
    ({"kind": ChangeKind.LOCK}, "a lock", "a lock on Fridge one"),
    (
        {"kind": ChangeKind.ICE, "amount": 1.5, "item_id": ""},
        "1.5 kg / 3.3 lb of ice a day",
        "1.5 kg / 3.3 lb more ice a day",
    ),
    ({"kind": ChangeKind.NIGHT}, "a way in at night", "open Hall at night"),
    (
        {"kind": ChangeKind.REACH, "to_place": "Shed"},
        "a way to Shed",
        "let people from Hall into Shed",
    ),
    (
        {"kind": ChangeKind.MOVE_UNIT, "to_place": "Shed"},
        "a unit in Shed",
        "move Fridge one to Shed",
    ),
    (
        {"kind": ChangeKind.SOONER, "amount": 1.0},
        "1 hour at the start",
        "Fridge one here 1 hour sooner",
    ),
    (
        {"kind": ChangeKind.LONGER, "amount": 3.0},
        "3 hours at the end",
        "Fridge one kept 3 hours longer",
    ),
    (
        {"kind": ChangeKind.COOLER, "high_c": 29.5},
        "a room of 29.5 C / 85 F or below",
        "Hall at 29.5 C / 85 F or below, all day",
    ),
]


def plan_with(*changes: Change, count: int = 2) -> Plan:
    plan = one_plan()
    scene = b.scenario(
        lines=plan.scenario.lines,
        batteries=(b.battery(charge_now=0.5),),
        places=(b.place(), b.place(name="Shed")),
    )
    line = scene.lines[0]
    short = b.shortfall(line_id=line.id, count=count, changes=changes)
    return replace(plan, scenario=scene, shortfalls=(short,))


@pytest.mark.parametrize(("fields", "missing", "placed_by"), SAID)
def test_each_kind_in_words(fields, missing, placed_by):
    plan = plan_with(b.change(**fields))
    card = short_cards(plan)[0]
    assert card.missing == missing
    sentence = placed_by[0].upper() + placed_by[1:]
    assert card.change.startswith(f"{sentence}. Places 2 bags.")
    assert f"What would place it: {placed_by}." in who_is_short(plan)[0] + "."


def every_change() -> list[Change]:
    return [
        b.change(
            kind=kind,
            supply=supply,
            watts=45.0,
            low_c=2.0,
            high_c=8.0,
            set_point_c=5.0,
            item_id="B1" if kind is ChangeKind.ENERGY else "U1",
            to_place="Shed",
        )
        for kind in ChangeKind
        for supply in (Supply.DC, Supply.AC)
    ]


@pytest.mark.parametrize("change", every_change(), ids=lambda one: one.kind.name)
@pytest.mark.parametrize("language", Language)
def test_every_kind_has_words_in_every_language(change, language):
    card = short_cards(plan_with(change), Manner(language=language))[0]
    assert card.missing
    assert card.change
    for text in (card.missing, card.change):
        assert "{" not in text
        assert "tell." not in text


@pytest.mark.parametrize(
    ("language", "said"),
    [
        (Language.EN, "What would place it:"),
        (Language.ES, "Qué le daría lugar:"),
    ],
)
def test_every_kind_stands_on_paper(language, said):
    plan = plan_with()
    shorts = tuple(
        replace(plan.shortfalls[0], changes=(change,)) for change in every_change()
    )
    made = paper_pdf(replace(plan, shortfalls=shorts), language=language)
    text = " ".join(one.body for one in pages(made))
    assert text.count(said) == len(shorts)


def test_less_is_ruled_out_only_where_that_is_proven():
    amount = {"kind": ChangeKind.ICE, "amount": 1.5}
    exact = plan_with(b.change(proof=Proof.EXACT, **amount))
    enough = plan_with(b.change(proof=Proof.ENOUGH, **amount))
    assert short_cards(exact)[0].change.endswith("Less is not enough.")
    assert short_cards(enough)[0].change.endswith("Less may be enough.")
    # A lock is a lock: there is no less of it.
    assert "Less" not in short_cards(plan_with(b.change()))[0].change


def test_a_change_for_some_of_the_bags_says_so():
    card = short_cards(plan_with(b.change(bags=1), count=3))[0]
    assert card.change == "A lock on Fridge one. Places 1 of 3 bags."


def test_another_way_stands_beside_the_first():
    other = b.change(kind=ChangeKind.ICE, amount=1.5)
    card = short_cards(plan_with(b.change(), other))[0]
    assert card.change == (
        "A lock on Fridge one. Places 2 bags. Or: 1.5 kg / 3.3 lb more ice a day."
    )


def test_without_a_change_nothing_is_said():
    card = short_cards(plan_with())[0]
    assert (card.missing, card.change) == ("", "")
    assert "What would place it" not in who_is_short(plan_with())[0]


def test_us_units_stand_first_where_they_are_chosen():
    plan = plan_with(b.change(kind=ChangeKind.ICE, amount=1.5))
    card = short_cards(plan, Manner(units=Units.US))[0]
    assert card.missing == "3.3 lb (1.5 kg) of ice a day"


def test_the_workbook_has_both_columns():
    table = shortfalls(plan_with(b.change()))
    assert table["Missing"][0] == "a lock"
    assert table["What would place it"][0].startswith("A lock on Fridge one")


def test_lines_that_one_change_would_place_are_named_together():
    plan = plan_with(b.change())
    first = plan.shortfalls[0]
    twice = replace(plan, shortfalls=(first, replace(first, surplus=True)))
    code = plan.scenario.lines[0].code
    assert shared_changes(twice) == (f"A lock on Fridge one: 2 lines, {code}",)
    assert shared_changes(plan) == ()


def test_json_says_by_when_and_of_what():
    plan = plan_with()
    energy = b.change(kind=ChangeKind.ENERGY, amount=310.0, item_id="B1", by_h=45)
    value = change_value(index_plan(plan), energy)
    assert value["by"] == "2025-07-09T05:00"
    assert (value["amount"], value["unit_of_amount"]) == (310.0, "Wh")
    assert (value["item"], value["zone"], value["lock"]) == ("B1", None, False)
    lock = change_value(index_plan(plan), b.change())
    assert (lock["by"], lock["unit_of_amount"], lock["item"]) == (None, None, "U1")
