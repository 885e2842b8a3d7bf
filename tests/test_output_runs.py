"""A lead that stays in says in which hours there is power at it."""

from dataclasses import replace

import pytest

from planner.output import cards, tables_power
from planner.output.manner import Manner
from planner.output.paper import hand_copy, paper_pdf
from planner.output.pictures import hookup_pictures
from planner.output.runs import Runs, runs_at, runs_words
from planner.output.wording import Language
from planner.output.words import Clock
from planner.scenario import Source, SourceKind
from tests import builders as b
from tests.paper_plans import one_plan
from tests.paper_reader import pages, sheets

EVENING = "lead stays in; runs 18:00 to 20:00 each day"
NIGHT = "lead stays in; needed 22:00 to 06:00 each night"


def said(source: Source, how: Manner, **plug: int) -> str:
    scene = b.scenario(sources=(source,))
    found = runs_at(scene, b.charger_plug(**({"to_h": 72} | plug)))
    return "" if found is None else runs_words(found, how.say, how.hour_clock)


def plan():
    """An engine for two hours of the evening, and a load for the nights."""
    scene = b.scenario(
        sources=(
            b.source(from_hour=18.0, to_hour=20.0),
            b.life_support(from_hour=22.0, to_hour=6.0),
        ),
        conditions=b.conditions(window_h=72),
    )
    return one_plan(
        scenario=scene,
        units_on=(b.use(),),
        hookups=(
            b.hookup(to_h=72),
            b.charger_plug(to_h=72),
            b.hookup(to_id="V1", port_number=2, from_h=14, to_h=70),
        ),
    )


def test_an_engine_says_its_hours_and_the_days_it_has_fuel_for():
    engine = b.source(from_hour=18.0, to_hour=20.0)
    assert said(engine, Manner()) == EVENING
    on = replace(engine, days=(0, 1))
    assert said(on, Manner()) == "lead stays in; runs 18:00 to 20:00 on Mon"
    longer = b.scenario(sources=(on,), conditions=b.conditions(window_h=72))
    found = runs_at(longer, b.charger_plug(to_h=72))
    assert found == Runs(
        kind=SourceKind.GENERATOR, from_hour=18.0, to_hour=20.0, weekdays=(0, 1)
    )


def test_what_never_stops_has_no_hours_and_neither_has_a_plug_for_those_alone():
    assert said(b.source(), Manner()) == ""
    evening = b.source(from_hour=18.0, to_hour=20.0)
    assert said(evening, Manner(), from_h=10, to_h=12) == ""
    assert said(evening, Manner(), from_h=10, to_h=13) == EVENING
    # As long as its hours, but not the same: it starts at 08:00, so hour 9 is 17:00.
    assert said(evening, Manner(), from_h=9, to_h=11) == EVENING
    one_day = b.source(days=(0,))
    assert said(one_day, Manner(), to_h=16) == ""
    assert said(one_day, Manner(), to_h=24) != ""
    assert runs_at(b.scenario(), b.hookup(to_h=72)) is None


@pytest.mark.parametrize(
    ("language", "clock", "words"),
    [
        (Language.EN, Clock.H24, "lead stays in; has power 22:00 to 06:00 each night"),
        (
            Language.EN,
            Clock.H12,
            "lead stays in; has power 10:00 pm to 6:00 am each night",
        ),
        (
            Language.ES,
            Clock.H24,
            "cable siempre puesto; tiene corriente de 22:00 a 06:00 cada noche",
        ),
    ],
)
def test_a_night_is_said_in_the_readers_manner(language, clock, words):
    mains = b.source(kind=SourceKind.MAINS, from_hour=22.0, to_hour=6.0)
    assert said(mains, Manner(language=language, clock=clock)) == words


def test_paper_and_pages_say_it_at_the_plug_and_never_the_whole_time():
    made = plan()
    card = " ".join(
        one.body for one in sheets(pages(paper_pdf(made)), "Wiring card: Battery one")
    )
    assert EVENING in card
    assert f"Mon 22:00 until Thu 06:00; {NIGHT}" in card
    assert card.count("the whole time") == 1  # the fridge
    copied = " ".join(hand_copy(made).split())
    assert EVENING in copied
    assert NIGHT in copied
    when = list(cards.plugs(made)["When"])
    assert [EVENING in one for one in when].count(True) == 1
    assert [NIGHT in one for one in when].count(True) == 1
    assert set(tables_power.hookups(made)["Hours of power"]) == {"", EVENING, NIGHT}
    (drawn,) = hookup_pictures(made)
    assert f">{EVENING}<" in drawn.svg
    assert f">{NIGHT}<" in drawn.svg
    assert sum("all the time" in one for one in drawn.words) == 1
    assert sum(EVENING in one for one in drawn.words) == 1
    assert sum(NIGHT in one for one in drawn.words) == 1
