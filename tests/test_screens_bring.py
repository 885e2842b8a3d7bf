"""Bringing in: headings, own words, pasted text, a newer list beside the open one."""

import json

import pytest

from planner.catalogue import item_kinds
from planner.intake.diff import compare
from planner.intake.mapping import loaded
from planner.output.kind_text import NOT_CONFIRMED, find_defaults
from planner.output.tables_diff import change_rows
from tests import workbook_maker
from tests.screen_driver import (
    SCARCE,
    app,
    go,
    press,
    scarce_book,
    shown,
    sound,
    unescaped,
    upload,
    work,
)

MESSY = """
Guest | Hall | Thing | Amount | Mood
Ada Sentinelname | Hall | zorbitol | 2 | calm
Bo Sentinelname | Hall | insulin lispro | 4 | tired
"""
WORDS = b"Words,Kind\nzorbitol,adalimumab\n"


def messy() -> bytes:
    return workbook_maker.book(SCARCE | {"Intake": MESSY})


def newer_book(**intake: str) -> bytes:
    text = SCARCE["Intake"]
    for old, new in intake.items():
        text = text.replace(old.replace("_", " "), new)
    return workbook_maker.book(SCARCE | {"Intake": text})


def select(at, heading: str):
    return next(
        one
        for one in at.selectbox
        if unescaped(one.label).startswith(f"{heading} is read as")
    )


def use_headings(at):
    return sound(
        next(one for one in at.button if "with these headings" in one.label)
        .click()
        .run()
    )


def mapped():
    at = upload(app(), messy(), "messy.xlsx")
    select(at, "Thing").set_value("item")
    return use_headings(at)


# Headings


def test_headings_are_shown_with_how_sure_and_can_be_changed() -> None:
    at = upload(app(), messy(), "messy.xlsx")
    said = shown(at)
    assert work(at).scenario is None
    assert "say which one it is" in said
    assert "likely: please look" in said  # Amount
    assert "not known: look whether it matters" in said  # Mood
    assert select(at, "Amount").value == "quantity"
    assert select(at, "Mood").value == ""
    select(at, "Thing").set_value("item")
    at = use_headings(at)
    lines = work(at).scenario.lines
    assert [line.quantity for line in lines] == [2, 4]
    assert "These headings were confirmed" in shown(at)


def test_swapped_columns_are_to_be_looked_at() -> None:
    rows = ("2,insulin glargine pens,Ada", "3,TPN bags,Bo", "6,insulin lispro,Cy")
    at = upload(app(), "\n".join(("Item,Resident,Quantity", *rows)).encode(), "a.csv")
    said = shown(at)
    assert "3 to look at" in said
    assert "Hardly a cell under Item fits that heading: 3 of 3" in said


def test_columns_in_order_need_no_look() -> None:
    rows = ("2,insulin glargine pens,Ada", "3,TPN bags,Bo", "6,insulin lispro,Cy")
    good = "\n".join(("Quantity,Item,Resident", *rows)).encode()
    assert "nothing to look at" in shown(upload(app(), good, "b.csv"))


def test_confirmed_headings_are_saved_undone_and_carried() -> None:
    at = mapped()
    (kept,) = loaded(work(at).headings)
    assert ("Thing", "item") in [(one.typed, one.field_key) for one in kept.choices]
    assert "Sentinelname" not in work(at).headings.decode()
    again = app()  # the page is loaded again
    assert work(again).scenario == work(at).scenario
    at = press(at, "undo")
    assert work(at).scenario is None
    # The file of one list reads the next one like it.
    fresh = press(go(app(), "bring_list"), "put_away")
    fresh = upload(fresh, kept_file(kept), "headings.json", "upload_headings")
    fresh = upload(fresh, messy(), "next week.xlsx")
    assert [line.quantity for line in work(fresh).scenario.lines] == [2, 4]


def kept_file(mapping) -> bytes:
    pairs = [[one.typed, one.field_key] for one in mapping.choices]
    content = {"format": "intake headings 1", "shapes": {mapping.shape: pairs}}
    return json.dumps(content).encode()


def test_a_file_that_holds_no_headings_is_said() -> None:
    at = upload(app(), b"{}", "headings.json", "upload_headings")
    assert "headings.json holds no headings; nothing was changed." in shown(at)
    assert work(at).headings == b""


def test_a_heading_answered_among_the_questions_shows_as_confirmed() -> None:
    text = "Name | Item | Amount\nAda Sentinelname | insulin lispro | 4"
    data = workbook_maker.book(SCARCE | {"Intake": text})
    at = go(upload(app(), data), "questions")
    button = next(one for one in at.button if unescaped(one.label) == "Yes, Quantity")
    at = go(sound(button.click().run()), "bring_list")
    assert "confirmed by somebody" in shown(at)
    assert select(at, "Amount").value == "quantity"
    select(at, "Amount").set_value("notes")
    at = use_headings(at)
    assert select(at, "Amount").value == "notes"
    assert [line.notes for line in work(at).scenario.lines] == ["4"]
    assert not any(one.answer.headings for one in work(at).answers)


def test_headings_with_markup_stay_words() -> None:
    bad = "<b>Medcation</b> $x$"
    text = f"Name | Item | {bad}\nAda Sentinelname | insulin lispro | 4"
    at = upload(app(), workbook_maker.book(SCARCE | {"Intake": text}))
    assert bad in shown(at)
    assert not any(bad in one.value for one in at.markdown)


# Own words


def test_own_words_are_used_until_put_away() -> None:
    at = mapped()
    assert work(at).scenario.lines[0].kind_id == "unknown-cold"
    at = upload(at, WORDS, "hall words.csv", "upload_words")
    assert work(at).scenario.lines[0].kind_id == "adalimumab"
    assert "In use: **hall words.csv**" in shown(at)
    assert work(app()).scenario == work(at).scenario
    at = press(at, "drop_words")
    assert work(at).scenario.lines[0].kind_id == "unknown-cold"
    at = press(at, "undo")
    assert work(at).scenario.lines[0].kind_id == "adalimumab"


def test_what_is_wrong_in_own_words_is_shown_with_its_row() -> None:
    at = upload(app(), scarce_book())
    at = upload(at, b"Words,Kind\nzorb,nonsense\n", "w.csv", "upload_words")
    assert "Word list, row 2, column Kind" in shown(at)
    assert work(at).scenario is not None


def test_own_words_keep_what_was_typed_over() -> None:
    from tests.test_screens_edit import type_over

    at = upload(app(), scarce_book())
    at = type_over(go(at, "have"), "Batteries", 0, **{"Charge now (%)": "40"})
    at = upload(go(at, "bring_list"), WORDS, "w.csv", "upload_words")
    assert work(at).scenario.batteries[0].charge_now == pytest.approx(0.4)


# A newer list


def newer(**intake: str):
    return upload(upload(app(), scarce_book()), newer_book(**intake), "newer.xlsx")


def test_a_newer_list_is_compared_and_nothing_is_taken_over() -> None:
    at = upload(app(), scarce_book())
    before = work(at).scenario
    at = upload(
        at,
        newer_book(
            **{
                "TPN bags | 3": "TPN bags | 1",
                "Cy Sentinelname": "Eve Sentinelname",
                "Ada Sentinelname": "Sentinelname Ada",
            }
        ),
        "newer.xlsx",
    )
    said = shown(at)
    assert work(at).scenario == before
    assert work(at).list_name == "list.xlsx"
    assert "1 new, 1 changed, 1 gone and 1 perhaps only renamed" in said
    assert "Open now: **list.xlsx**. Newer: **newer.xlsx**." in said
    frames = [one.value for one in at.table]
    changed = next(one for one in frames if "In the open list" in one.columns)
    assert list(changed.iloc[0])[3:] == ["bags", "3", "1"]
    codes = {line.code for line in before.lines}
    gone = next(one for one in frames if list(one.columns)[:2] == ["Row", "Code"])
    assert codes
    assert len(gone)
    assert "Sentinelname" not in said
    assert "**A newer list waits** on page 1" in shown(go(at, "plan"))
    assert work(app()).scenario == before  # a reload loses only the question


def test_the_newer_list_is_used_when_somebody_says_so() -> None:
    at = press(newer(**{"TPN bags | 3": "TPN bags | 1"}), "take_newer")
    assert work(at).list_name == "newer.xlsx"
    assert [line.quantity for line in work(at).scenario.lines] == [3, 1, 6]
    assert "A newer list" not in shown(at)
    at = press(at, "undo")
    assert [line.quantity for line in work(at).scenario.lines] == [3, 3, 6]


def test_the_open_list_can_be_kept() -> None:
    at = press(newer(**{"TPN bags | 3": "TPN bags | 1"}), "keep_open")
    assert work(at).list_name == "list.xlsx"
    assert work(at).newer is None
    assert "A newer list" not in shown(at)


def test_the_same_words_read_as_another_kind_are_one_changed_line() -> None:
    at = upload(mapped(), WORDS, "w.csv", "upload_words")
    before = work(at).scenario
    at = press(at, "drop_words")
    after = work(at).scenario
    found = compare(before, after)
    assert (found.new, found.gone) == ((), ())
    (change,) = found.changed
    (row, *_) = change_rows(found.changed).itertuples(index=False)
    assert change.fields[0][0] == "kind_name"
    assert list(row)[3:] == ["read as", "Adalimumab", "Cold item, kind not known"]


def test_a_long_difference_can_be_scrolled() -> None:
    rows = "\n".join(f"R{n} | Hall | insulin lispro pens | 1" for n in range(70))
    text = f"Resident | Place | Item | Quantity\n{rows}"
    at = upload(app(), scarce_book())
    at = upload(at, workbook_maker.book(SCARCE | {"Intake": text}), "newer.xlsx")
    assert any(len(one.value) == 70 for one in at.dataframe)
    assert not any(len(one.value) == 70 for one in at.table)


def test_the_same_list_again_says_so() -> None:
    said = shown(newer())
    assert "Every one of 3 lines is as in the list that is open." in said


@pytest.mark.parametrize("keep", [True, False])
def test_a_list_without_equipment_does_not_lose_the_equipment(keep: bool) -> None:
    at = upload(app(), scarce_book())
    csv = b"Name,Item,Qty\nAda Sentinelname,insulin lispro pens,2\n"
    at = upload(at, csv, "newer.csv")
    assert "brings no equipment" in unescaped(at.checkbox(key="keep_changes").label)
    at.checkbox(key="keep_changes").set_value(keep).run()
    at = press(at, "take_newer")
    assert len(work(at).scenario.lines) == 1
    assert len(work(at).scenario.units) == (2 if keep else 0)
    assert work(app()).scenario == work(at).scenario


def test_a_newer_list_that_cannot_be_planned_says_why() -> None:
    at = upload(upload(app(), scarce_book()), b"PK broken", "newer.xlsx")
    said = shown(at)
    assert "The newer list cannot be planned as it is:" in said
    assert "damaged" in said
    assert press(at, "keep_open")
    assert work(at).scenario is not None


def test_a_pasted_list_is_compared_too() -> None:
    at = upload(app(), scarce_book())
    at.text_area(key="pasted_0").input("Ada Sentinelname: insulin lispro 2 pens")
    at = press(at, "read_pasted")
    assert work(at).list_name == "list.xlsx"
    assert "A newer list" in shown(at)
    at = press(at, "take_newer")
    assert work(at).list_name == "pasted.txt"
    assert len(work(at).scenario.units) == 2
    assert at.text_area(key=f"pasted_{work(at).opened}").value == ""


def test_undo_while_a_newer_list_waits_forgets_the_question() -> None:
    at = upload(newer(), WORDS, "w.csv", "upload_words")
    at = press(at, "undo")
    assert work(at).newer is None


def test_the_fields_name_every_format() -> None:
    at = go(app(), "bring_list")
    labels = [unescaped(one.label) for one in at.get("file_uploader")]
    for ending in (".xlsx", ".xlsm", ".xls ", ".ods", ".csv", ".tsv", ".txt"):
        assert ending in labels[0]
        assert ending in labels[1]


# Looking up


def test_every_kind_can_be_looked_up() -> None:
    at = go(app(), "look_up")
    assert f"{len(item_kinds())} kinds of item." in shown(at)
    for kind in (item_kinds()[0], item_kinds()[50], item_kinds()[-1]):
        at.text_input(key="look_up_word").input(kind.id)
        said = shown(sound(at.run()))
        assert kind.name in said
        assert kind.band_fact.source in said
        assert kind.words[-1] in said
        assert kind.band_fact.jurisdiction in said


def test_a_row_from_memory_says_that_it_is_not_confirmed() -> None:
    at = go(app(), "look_up")
    at.text_input(key="look_up_word").input("pramlintide")
    said = shown(sound(at.run()))
    assert f"Pramlintide pen: {NOT_CONFIRMED}" in said
    assert f"{NOT_CONFIRMED.capitalize()}: from memory" in said
    at.text_input(key="look_up_word").input("insulin-detemir")
    sure = shown(sound(at.run()))
    assert f"Insulin detemir: {NOT_CONFIRMED}" not in sure
    assert "Published" in sure


def test_a_word_nobody_knows_says_what_to_do() -> None:
    at = go(app(), "look_up")
    at.text_input(key="look_up_word").input("<b>zorbitol</b>")
    said = shown(sound(at.run()))
    assert "No kind has a name like <b>zorbitol</b>" in said
    assert "generic name" in said


def test_values_for_equipment_can_be_looked_up() -> None:
    at = go(app(), "look_up")
    at.text_input(key="look_up_default").input("agm")
    said = shown(sound(at.run()))
    (one, *_) = find_defaults("agm")
    assert one.source in said
    at.text_input(key="look_up_default").input("zzzz")
    assert "0 values." in shown(sound(at.run()))
