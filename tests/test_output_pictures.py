"""Pictures hold true numbers, whole words, and nothing that could run."""

import itertools
import json
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from planner.output.charts import charge_chart, dark_marks
from planner.output.manner import Manner
from planner.output.pictures import (
    events_table,
    hookup_pictures,
    loans_picture,
    spec_pictures,
    timeline_picture,
    unit_pictures,
    units,
)
from planner.output.pictures.svg import Drawing, spread
from planner.output.tables_power import unit_fill
from planner.output.wording import Language
from planner.output.words import Clock
from planner.scenario import SunCase, Tier
from tests import plan_fixture

SVG = "{http://www.w3.org/2000/svg}"
ALLOWED = {
    "svg", "defs", "pattern", "rect", "path", "circle", "polyline", "polygon", "text",
}  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    return plan_fixture.plan()


def all_pictures(plan):
    units = [one for use in plan.units_on for one in unit_pictures(plan, use.unit_id)]
    loans = loans_picture(plan)
    curves = [one for step in plan.loans for one in spec_pictures(plan, step)]
    return (*units, *hookup_pictures(plan), timeline_picture(plan), loans, *curves)


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def words_in(svg: str) -> list[str]:
    return ["".join(one.itertext()) for one in parsed(svg).iter(f"{SVG}text")]


def filled(svg: str) -> dict[str, float]:
    """Heights of the boxes filled with a pattern, by the pattern's name."""
    found: dict[str, float] = {}
    for one in parsed(svg).iter(f"{SVG}rect"):
        fill = one.get("fill", "")
        if fill.startswith("url(#"):
            found[fill[5:-1]] = float(one.get("height"))
    return found


def test_a_unit_is_filled_by_tier_as_the_litres_are(plan) -> None:
    for use in plan.units_on:
        (drawn,) = unit_pictures(plan, use.unit_id)
        fill = unit_fill(plan)
        name = next(u.name for u in plan.scenario.units if u.id == use.unit_id)
        (row,) = fill[fill["Unit"] == name].to_dict("records")
        lines = {line.id: line for line in plan.scenario.lines}
        for tier in Tier:
            litres = sum(
                one.count * lines[one.line_id].volume_l
                for one in plan.placements
                if one.unit_id == use.unit_id and one.tier is tier
            )
            high = filled(drawn.svg).get(f"tier{tier.value}", 0.0)
            assert high == pytest.approx(190 * litres / row["Room for (L)"], abs=0.1)


def test_every_shade_has_its_tier_in_words(plan) -> None:
    for use in plan.units_on:
        (drawn,) = unit_pictures(plan, use.unit_id)
        said = " ".join(words_in(drawn.svg))
        for name in filled(drawn.svg):
            assert f"Tier {name.removeprefix('tier')} (" in said
        assert "Free: " in "".join(drawn.words)
        assert "qt" in said


@pytest.mark.parametrize(("litres", "lower"), [(1.0, True), (30.0, False)])
def test_the_words_below_a_box_keep_clear_of_the_words_beside_it(litres, lower) -> None:
    """Three thin layers at the foot: their words hang lower than the box."""
    parts = tuple(
        units._Part(tier=tier, bags=1, packed_l=litres)
        for tier in (Tier.A, Tier.D, Tier.E)
    )
    words = ("Tier A: 1 bag", "Tier D: 1 bag", "Tier E: 1 bag")
    free_l = 100.0 - 3 * litres
    drawing, below = units._draw(parts, words, "Free: some", free_l, 100.0)
    drawn = ET.fromstring(drawing.done())
    lowest = max(float(one.attrib["y"]) for one in drawn.iter(f"{SVG}text"))
    assert below >= lowest + 14
    assert (lowest > 4 + units._BOX_HIGH) is lower


def test_a_unit_that_is_off_has_no_picture(plan) -> None:
    assert unit_pictures(plan, "unit-3") == ()


def test_no_words_of_a_picture_are_cut_in_the_fixture(plan) -> None:
    for drawn in all_pictures(plan):
        assert not [one for one in words_in(drawn.svg) if one.endswith("...")]


def test_every_plug_is_in_a_diagram_and_in_its_words(plan) -> None:
    names = {one.id: one.name for one in plan.scenario.equipment}
    drawn = hookup_pictures(plan)
    in_words = " ".join(line for one in drawn for line in one.words)
    in_svg = " ".join(text for one in drawn for text in words_in(one.svg))
    assert plan.hookups
    for plug in plan.hookups:
        for words in (in_words, in_svg):
            assert names[plug.from_id] in words
            assert names[plug.to_id] in words
            assert f"{plug.port.value} {plug.port_number}" in words


def test_a_plug_for_a_part_of_the_window_says_its_clock_times(plan) -> None:
    first = plan.hookups[0]
    short = replace(first, from_h=2, to_h=26)
    changed = replace(plan, hookups=(short, *plan.hookups[1:]))
    said = " ".join(line for one in hookup_pictures(changed) for line in one.words)
    assert "Mon 10:00 to Tue 10:00" in said


def test_the_bars_of_the_borrow_list_are_its_counts(plan) -> None:
    drawn = loans_picture(plan)
    (step,) = plan.loans
    urgent = sum(
        one.count
        for one in plan.shortfalls
        if one.tier in {Tier.A, Tier.B, Tier.C} and not one.surplus
    )
    assert f"Now: {urgent} bag" in drawn.words[0]
    assert f"{step.still_short} bag" in drawn.words[1]
    assert step.names[0] in drawn.words[1]
    assert loans_picture(replace(plan, loans=())) is None


def test_the_timeline_names_what_its_table_lists(plan) -> None:
    table = events_table(plan)
    kinds = set(table["Kind"])
    said = " ".join(timeline_picture(plan).words)
    assert {"PLUGS", "CLOCK"} <= kinds
    for kind in kinds:
        assert kind in said
    for when in table["When"]:
        # Events are drawn at the hour in which they fall.
        assert when[:-2] in said


def test_dark_hours_of_the_table_are_those_of_the_replay(plan) -> None:
    dark = {
        (one.dark_from_h, replay.sun_case)
        for replay in plan.replays
        for one in replay.endurance
        if one.dark_from_h is not None
    }
    assert {(hour, case) for hour, case, _ in dark_marks(plan, "Pack one")} == dark
    assert any(case is SunCase.NONE for _, case in dark)


def test_the_charge_chart_marks_dark_hours_in_words(plan) -> None:
    spec = json.dumps(charge_chart(plan, "Pack one"), ensure_ascii=False)
    assert "DARK Tue 16:00, no sun" in spec
    none = replace(
        plan,
        replays=tuple(
            replace(
                one,
                endurance=tuple(replace(e, dark_from_h=None) for e in one.endurance),
            )
            for one in plan.replays
        ),
    )
    assert "DARK" not in json.dumps(charge_chart(none, "Pack one"))


@pytest.mark.parametrize(
    "text", [*plan_fixture.HOSTILE, "<script>x</script>", "]]>", "\x00\ud800"]
)
def test_words_of_a_sheet_stay_words_in_a_picture(text: str) -> None:
    for drawn in all_pictures(plan_fixture.hostile_plan(text)):
        tags = {one.tag.removeprefix(SVG) for one in parsed(drawn.svg).iter()}
        assert tags <= ALLOWED
        for one in parsed(drawn.svg).iter():
            assert not [name for name in one.attrib if name.startswith("on")]
        assert plan_fixture.RESIDENT not in drawn.svg


def test_the_same_plan_gives_the_same_pictures(plan) -> None:
    again = plan_fixture.plan()
    assert [one.svg for one in all_pictures(plan)] == [
        one.svg for one in all_pictures(again)
    ]


def test_labels_never_touch() -> None:
    assert spread([5, 6, 7, 60], 19, 14) == (14, 33, 52, 71)
    assert spread([], 19, 14) == ()


def test_a_drawing_is_as_tall_as_what_is_in_it() -> None:
    drawing = Drawing(100)
    drawing.box(0, 0, 10, 250)
    assert re.search(r'viewBox="0 0 100 256"', drawing.done())


def test_a_curve_steps_up_at_the_amounts_that_were_planned_for(plan) -> None:
    (curve,) = spec_pictures(plan, plan.loans[0])
    assert curve.title == "What Lent fridge gives by its size"
    assert curve.words == (
        "4 L / 4.2 qt: nothing more",
        "6 L / 6.3 qt: 1 bag of tier B",
        "9 L / 9.5 qt: 1 bag of tier B, 2 bags of tier D",
    )
    assert {"B 1", "D 2", "from 9 L / 9.5 qt"} <= set(words_in(curve.svg))
    _axes, *lines = parsed(curve.svg).findall(f".//{SVG}polyline")
    tiers = [one for one in lines if one.get("stroke-width") == "2.5"]
    assert len(tiers) == 2
    for one in tiers:
        points = [tuple(map(float, p.split(","))) for p in one.get("points").split()]
        heights = [y for _, y in points]
        # Never down, and flat between two amounts.
        assert heights == sorted(heights, reverse=True)
        assert all(a[0] == z[0] or a[1] == z[1] for a, z in itertools.pairwise(points))


def test_no_curve_where_only_one_amount_was_planned_for(plan) -> None:
    assert spec_pictures(plan, plan.borrow.asked[0]) == ()


def test_no_clock_is_cut_in_a_hookup_with_the_longest_words() -> None:
    how = Manner(language=Language.ES, clock=Clock.H12)
    drawn = hookup_pictures(plan_fixture.plan(), how)
    assert any(" pm" in one.svg for one in drawn)
    for one in drawn:
        for text in re.findall(r">([^<]*(?: [ap]m|medi)[^<]*)<", one.svg):
            assert not text.endswith("..."), text
