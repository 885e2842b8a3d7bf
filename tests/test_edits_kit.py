"""Equipment typed over on screen: what counts, what follows, what is refused."""

from dataclasses import fields, replace

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.edits import KIT_SHEETS, apply_kit, choices, kit_frame
from planner.edits.kit import ASSUMED_COLUMN
from planner.scenario import (
    CameFrom,
    Chemistry,
    Flag,
    Origin,
    Scenario,
    SourceKind,
    Status,
    Supply,
    UnitType,
)
from tests import builders as make


def assumed(field: str, value: str = "1") -> Origin:
    return Origin(
        field=field, came_from=CameFrom.DEFAULT, value=value, flag=Flag.ESTIMATE
    )


def frames(scenario: Scenario) -> dict[str, pd.DataFrame]:
    return {name: kit_frame(scenario, name) for name in KIT_SHEETS}


def edit(scenario: Scenario, sheet: str, **cells: str):
    table = kit_frame(scenario, sheet)
    for heading, text in cells.items():
        assert heading in table.columns
        table.loc[1, heading] = text
    return apply_kit(scenario, {sheet: table})


FULL = make.scenario(
    units=(
        make.unit(zone_shares=(0.6, 0.4), usable_share=0.6543),
        make.unit(id="unit:Chest", name="Chest", kind=UnitType.ICE_CHEST,
                  conditioned=True, supply=Supply.NONE, running_w=0.0, row=3),
    ),
    sources=(
        make.source(to_hour=21.5, days=(0, 2)),
        make.life_support(from_hour=20.0, to_hour=8.0),
    ),
)  # fmt: skip


def test_an_untouched_table_changes_nothing_at_all() -> None:
    done = apply_kit(FULL, frames(FULL))
    assert done.applied
    assert done.issues == ()
    assert done.scenario == FULL


@pytest.mark.parametrize("sheet", sorted(KIT_SHEETS))
def test_a_touched_row_keeps_every_other_value_to_the_last_digit(sheet: str) -> None:
    table = kit_frame(FULL, sheet)
    name = table.columns[0]
    table[name] = [f"{one} x" for one in table[name]]
    done = apply_kit(FULL, {sheet: table})
    assert done.applied, done.issues
    attribute = KIT_SHEETS[sheet].attribute
    for old, new in zip(
        getattr(FULL, attribute), getattr(done.scenario, attribute), strict=True
    ):
        differ = {
            f.name for f in fields(old) if getattr(old, f.name) != getattr(new, f.name)
        }
        assert differ <= {"id", "name", "origins"}
        assert new.name == f"{old.name} x"


def test_a_typed_value_counts_and_is_on_record_as_typed() -> None:
    before = make.scenario(
        batteries=(make.battery(origins=(assumed("charge_now"), assumed("max_out_w"))),)
    )
    done = edit(before, "Batteries", **{"Charge now (%)": "40"})
    (battery,) = done.scenario.batteries
    assert battery.charge_now == pytest.approx(0.4)
    origins = {one.field: one.came_from for one in battery.origins}
    assert origins == {"max_out_w": CameFrom.DEFAULT, "charge_now": CameFrom.EDITED}


def test_every_change_is_read_back_in_words() -> None:
    table = kit_frame(FULL, "Cold units").drop(index=2)
    table.loc[1, "Lockable"] = "yes"
    batteries = kit_frame(FULL, "Batteries")
    batteries.loc[2] = None
    batteries.loc[2, ["Battery", "Capacity (Wh)"]] = ["Late pack", "500"]
    done = apply_kit(FULL, {"Cold units": table, "Batteries": batteries})
    assert done.changes == (
        "Cold units, Fridge one, Lockable: no is now yes",
        "Cold units, Chest: taken away",
        "Batteries, Late pack: new",
    )
    assert apply_kit(FULL, frames(FULL)).changes == ()


def test_units_typed_with_the_number_are_understood() -> None:
    done = edit(make.scenario(), "Cold units", **{"Gross volume (L)": "12 qt"})
    # 1 US quart = 0.946352946 L exactly (NIST Handbook 44, appendix C).
    assert done.scenario.units[0].gross_volume_l == pytest.approx(12 * 0.946352946)


def test_an_assumed_value_follows_what_it_was_assumed_from() -> None:
    before = make.scenario(
        batteries=(
            make.battery(
                max_charge_w=500.0, origins=(assumed("max_charge_w", "500 W"),)
            ),
        )
    )
    done = edit(before, "Batteries", **{"Capacity (Wh)": "400"})
    (battery,) = done.scenario.batteries
    assert battery.capacity_wh == 400
    assert battery.max_charge_w < 500
    assert [one.value for one in battery.origins if one.field == "max_charge_w"] == [
        f"{battery.max_charge_w:g} W"
    ]


def test_a_given_value_does_not_follow() -> None:
    done = edit(make.scenario(), "Batteries", **{"Capacity (Wh)": "400"})
    assert done.scenario.batteries[0].max_charge_w == 200.0


def test_a_chest_that_turns_out_a_fridge_gets_the_watts_of_a_fridge() -> None:
    chest = make.unit(
        kind=UnitType.ICE_CHEST, running_w=0.0, rated_wh_day=0.0, supply=Supply.NONE
    )
    before = make.scenario(units=(chest,))
    done = edit(before, "Cold units", Type="compressor")
    (unit,) = done.scenario.units
    assert unit.kind is UnitType.COMPRESSOR
    assert unit.running_w > 0
    assert unit.rated_wh_day > 0
    assert unit.supply is Supply.DC
    assert {"running_w", "rated_wh_day", "supply"} <= {o.field for o in unit.origins}


def test_the_word_conditioned_is_kept_and_can_be_chosen() -> None:
    words = choices(KIT_SHEETS["Cold units"], "type", FULL)
    assert "ice chest (conditioned packs)" in words
    assert (
        kit_frame(FULL, "Cold units").loc[2, "Type"] == "ice chest (conditioned packs)"
    )
    before = make.scenario(
        units=(make.unit(kind=UnitType.ICE_CHEST, supply=Supply.NONE),)
    )
    done = edit(before, "Cold units", Type="ice chest (conditioned packs)")
    assert done.scenario.units[0].conditioned


def test_brought_in_loans_are_ready_at_once() -> None:
    lent = make.loan(status=Status.OFFERED, ready_h=6, effort=3)
    before = make.scenario(units=(make.unit(availability=lent),))
    done = edit(before, "Cold units", Status="here")
    terms = done.scenario.units[0].availability
    assert (terms.status, terms.ready_h, terms.effort) == (Status.HERE, 0, 1)
    assert terms.lender == "Lender one"


def test_a_back_time_before_the_ready_time_is_refused() -> None:
    done = edit(
        make.scenario(),
        "Panels",
        **{"Ready in (h)": "30", "Back by": "2025-07-08 08:00"},
    )
    assert not done.applied
    assert [one.code for one in done.issues] == ["back-before-ready"]


@pytest.mark.parametrize(
    ("sheet", "heading", "text"),
    [
        ("Cold units", "Running W", "lots"),
        ("Cold units", "Gross volume (L)", ""),
        ("Cold units", "Gross volume (L)", "-4"),
        ("Cold units", "Type", "wardrobe"),
        ("Cold units", "Set points (C)", "2,5"),
        ("Cold units", "Zones", "70/70"),
        ("Batteries", "Charge now (%)", "180"),
        ("Batteries", "Capacity (Wh)", ""),
        ("Batteries", "Chemistry", "magic"),
        ("Panels", "Rated W", ""),
        ("Other power", "W", ""),
        ("Other power", "From", "25:99"),
        ("Other power", "To", ""),
        ("Other power", "Days", "someday"),
        ("Cold units", "Place", "Nowhere"),
        ("Cold units", "Status", "who knows"),
    ],
)
def test_a_wrong_cell_is_named_and_nothing_is_changed(
    sheet: str, heading: str, text: str
) -> None:
    table = kit_frame(FULL, sheet)
    table.loc[1, heading] = text
    other = kit_frame(FULL, "Batteries")
    other.loc[1, "Charge now (%)"] = "33"
    done = apply_kit(FULL, {"Batteries": other} | {sheet: table})
    assert not done.applied
    assert done.scenario == FULL
    assert done.issues
    name = getattr(FULL, KIT_SHEETS[sheet].attribute)[0].name
    assert all(one.sheet == f"{sheet}, {name}" for one in done.issues)
    assert all(one.message and one.remedy for one in done.issues)
    assert not any(
        "is assumed" in one.message for one in done.issues if one.severity == "review"
    )


def test_all_wrong_cells_are_named_at_once() -> None:
    units, panels = kit_frame(FULL, "Cold units"), kit_frame(FULL, "Panels")
    units.loc[1, "Running W"] = "many"
    panels.loc[1, "Rated W"] = "few"
    done = apply_kit(FULL, {"Cold units": units, "Panels": panels})
    assert {one.column for one in done.issues} == {"Running W", "Rated W"}


def test_a_cell_that_was_wrong_before_does_not_hinder_another() -> None:
    # Days before the window, as a moved start leaves them, cannot be typed.
    before = make.scenario(sources=(make.source(days=(-1, 0)),))
    done = edit(before, "Other power", W="700")
    assert done.applied, done.issues
    assert done.scenario.sources[0].max_w == 700
    assert done.scenario.sources[0].days == (-1, 0)


def test_a_new_row_is_a_new_thing_with_its_assumptions_on_record() -> None:
    table = kit_frame(FULL, "Batteries")
    table.loc[2] = None
    table.loc[2, ["Battery", "Capacity (Wh)"]] = ["Late pack", "12 V 100 Ah"]
    done = apply_kit(FULL, {"Batteries": table})
    assert done.applied, done.issues
    new = done.scenario.batteries[-1]
    assert (new.name, new.capacity_wh, new.place) == ("Late pack", 1200.0, "Hall")
    assert new.chemistry is Chemistry.AGM
    assert {one.came_from for one in new.origins} == {CameFrom.DEFAULT}
    assert len({(kit.sheet, kit.row) for kit in done.scenario.batteries}) == 2


def test_an_empty_new_row_is_nothing_and_a_half_one_is_asked_about() -> None:
    table = kit_frame(FULL, "Panels")
    table.loc[2] = None
    assert apply_kit(FULL, {"Panels": table}).scenario == FULL
    table.loc[2, "Panel"] = "Half a panel"
    done = apply_kit(FULL, {"Panels": table})
    assert not done.applied
    assert [one.sheet for one in done.issues] == ["Panels, Half a panel"]


def test_a_row_taken_away_is_gone_and_the_others_stay_themselves() -> None:
    table = kit_frame(FULL, "Cold units").drop(index=1)
    done = apply_kit(FULL, {"Cold units": table})
    assert done.scenario.units == FULL.units[1:]


def test_a_life_support_load_without_watts_is_refused() -> None:
    table = kit_frame(FULL, "Other power")
    table.loc[2, "W"] = ""
    done = apply_kit(FULL, {"Other power": table})
    assert FULL.sources[1].kind is SourceKind.PRIORITY_LOAD
    assert not done.applied


def test_the_mark_names_assumed_cells_and_typing_in_it_does_nothing() -> None:
    before = make.scenario(units=(make.unit(origins=(assumed("running_w"),)),))
    table = kit_frame(before, "Cold units")
    assert table.loc[1, ASSUMED_COLUMN] == "Running W"
    table.loc[1, ASSUMED_COLUMN] = "nothing"
    assert apply_kit(before, {"Cold units": table}).scenario == before


CELL = st.one_of(
    st.text(max_size=12), st.integers(-9999, 9999).map(str), st.just("1e9")
)


@settings(max_examples=60, deadline=None)
@given(
    sheet=st.sampled_from(sorted(KIT_SHEETS)),
    column=st.integers(0, 14),
    text=CELL,
    extra=st.lists(CELL, max_size=4),
)
def test_whatever_is_typed_never_raises_and_never_half_applies(
    sheet: str, column: int, text: str, extra: list[str]
) -> None:
    table = kit_frame(FULL, sheet)
    heading = table.columns[column % (len(table.columns) - 1)]
    table.loc[1, heading] = text
    if extra:
        table.loc[len(table) + 1] = [
            *extra,
            *[None] * (len(table.columns) - len(extra)),
        ]
    done = apply_kit(FULL, {sheet: table})
    if not done.applied:
        assert done.scenario == FULL
        assert any(one.severity == "review" for one in done.issues)
    for kit in done.scenario.equipment:
        assert kit.place in {"", "Hall"}
    assert replace(
        done.scenario, units=(), batteries=(), panels=(), sources=()
    ) == replace(FULL, units=(), batteries=(), panels=(), sources=())
