"""The data files as a whole: sourced, unique, sane; bad files are refused."""

import csv
import io
import re
from importlib.resources import files
from pathlib import Path

import pytest

from planner.catalogue import (
    UNKNOWN_COLD,
    item_kind,
    item_kinds,
    number_list,
    plain_word,
)
from planner.catalogue import kinds as kinds_module
from planner.catalogue.kinds import COLUMNS, FILES, parse_kinds
from planner.catalogue.render import render_catalogue_md
from planner.catalogue.table import parse_table, read_table
from planner.errors import CatalogueError
from planner.scenario import Clock, Consequence, Flag, Gate, StockClass

ROOT = Path(__file__).parents[1]


def test_there_are_at_least_110_kinds():
    assert len(item_kinds()) >= 110
    assert UNKNOWN_COLD in {kind.id for kind in item_kinds()}


def test_every_data_file_is_listed_and_read():
    folder = files("planner.catalogue")
    found = {f.name for f in folder.iterdir() if f.name.startswith("kinds_")}
    assert found == set(FILES)


def test_ids_and_words_are_unique():
    ids = [kind.id for kind in item_kinds()]
    assert len(ids) == len(set(ids))
    words = [plain_word(word) for kind in item_kinds() for word in kind.words]
    assert len(words) == len(set(words))


def test_ids_are_plain():
    for kind in item_kinds():
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", kind.id)


def test_every_fact_names_a_source():
    for kind in item_kinds():
        for fact in kind.facts:
            assert len(fact.source) >= 10, kind.id


def test_memory_and_estimates_are_never_flagged_published():
    doubtful = ("memory", "estimate", "planning value", "cautious reading")
    for kind in item_kinds():
        for fact in kind.facts:
            if fact.flag.confirmed:
                text = fact.source.lower()
                assert not any(word in text for word in doubtful), kind.id


def test_rows_from_memory_say_so():
    for kind in item_kinds():
        for fact in kind.facts:
            if "memory" in fact.source:
                assert fact.flag is Flag.MEMORY, kind.id


def test_volumes_are_estimates_unless_a_published_pack_size():
    published = {k.id for k in item_kinds() if k.volume_fact.flag.confirmed}
    assert published
    assert all(kind_id.startswith("vaccine-") for kind_id in published)


def test_bands_and_allowances_are_sane():
    for kind in item_kinds():
        assert -90 <= kind.keep_from_c < kind.keep_to_c <= 40, kind.id
        assert 0 < kind.volume_l <= 5, kind.id
        if kind.warm_hours is not None:
            assert 1 <= kind.warm_hours <= 366 * 24, kind.id
            assert kind.warm_max_c is not None
            assert 8 <= kind.warm_max_c <= 40, kind.id
        if kind.never_freeze:
            assert kind.keep_from_c >= 0, kind.id


def test_medicines_in_the_pool_have_a_label_band():
    # USP <659>: refrigerator 2 to 8 C; freezers -25 to -10 C (USP), -50 to
    # -15 C (CDC vaccines); the rest are named.
    others = {"cryoprecipitate", "vaccine-mmr", "vaccine-mrna-frozen"}
    bands = {(2, 8), (-50, -15), (-25, -20), (-25, -15)}
    for kind in item_kinds():
        if kind.gate is Gate.POOL and kind.stock_class is StockClass.MEDICINE:
            band = (kind.keep_from_c, kind.keep_to_c)
            assert band in bands or kind.id in others, kind.id


def test_feeds_and_medicines_are_kept_apart():
    feeds = {k.group for k in item_kinds() if k.stock_class is StockClass.FEED}
    medicines = {k.group for k in item_kinds() if k.stock_class is StockClass.MEDICINE}
    assert not feeds & medicines


def test_infants_feeds_in_the_pool_are_somebodys_only_feed():
    for kind in item_kinds():
        if kind.stock_class is StockClass.FEED and kind.gate is Gate.POOL:
            assert kind.consequence is Consequence.ONLY_FEED, kind.id


def test_insulin_for_people_is_life_critical_and_for_pets_is_not():
    for kind in item_kinds():
        if kind.group == "insulin":
            pet = kind.id == "insulin-pet"
            expected = Consequence.PET if pet else Consequence.LIFE
            assert kind.consequence is expected, kind.id


def test_unknown_clock_goes_with_unknown_allowance():
    for kind in item_kinds():
        if kind.warm_hours is None:
            assert kind.clock is Clock.UNKNOWN, kind.id


def test_default_set_points_suit_every_fridge_item():
    # R1 with the default swing of a compressor unit: some default set point
    # must fit each fridge item, else blank sheets could place nothing.
    low_highs = [(s - 2, s + 2) for s in number_list("compressor.set_points_c")]
    for kind in item_kinds():
        if kind.gate is not Gate.POOL or kind.keep_to_c < 0:
            continue
        floor = max(2.0, kind.keep_from_c) if kind.never_freeze else kind.keep_from_c
        fits = [
            low >= floor - 1e-9 and high <= kind.keep_to_c + 1e-9
            for low, high in low_highs
        ]
        assert any(fits), kind.id


def test_boxes_count_their_pieces():
    # Pens come five to a carton, eye unit doses 30 and inhalation ampoules
    # 56 to a box (pack sizes on labels).
    assert item_kind("insulin-lispro").per_carton == 5
    assert item_kind("tobramycin-inhaled").pieces == 56
    assert item_kind("tafluprost").pieces == 30


def test_unknown_id_raises():
    with pytest.raises(CatalogueError, match="no-such-kind"):
        item_kind("no-such-kind")


@pytest.mark.parametrize(
    ("text", "kind_id"),
    [
        ("breast milk", "human-milk-unknown"),
        ("ebm", "human-milk-unknown"),
        ("bm", "human-milk-unknown"),
        ("formula mixed", "formula-prepared"),
        ("long acting insulin", "insulin-long-unknown"),
        ("Leche materna", "human-milk-unknown"),
        ("leche materna congelada", "human-milk-frozen"),
        ("insuline", "insulin-unknown"),
        ("nutrição parenteral", "pn-compounded"),
        ("säuglingsnahrung", "formula-unknown"),
        ("tpn bags", "pn-compounded"),
        ("cat insulin", "insulin-pet"),
        ("factor 8", "factor-viii"),
        ("adrenaline auto injectors", "epinephrine-auto-injector"),
        ("yogurt", "food-perishable"),
    ],
)
def test_words_people_use_lead_to_one_kind(text, kind_id):
    wanted = plain_word(text)
    found = [
        kind.id
        for kind in item_kinds()
        if wanted in {plain_word(word) for word in kind.words}
    ]
    assert found == [kind_id]


def test_table_page_is_fresh():
    page = (ROOT / "docs" / "catalogue-table.md").read_text(encoding="utf-8")
    assert page == render_catalogue_md(), (
        "run: python -m planner.catalogue.render docs/catalogue-table.md"
    )


def test_table_page_marks_unconfirmed_rows():
    page = render_catalogue_md()
    assert "Golimumab (check the label)" in page
    assert "Alirocumab (check the label)" not in page


# Malformed files.


def good_values() -> dict[str, str]:
    cells = read_table(FILES[0], COLUMNS)[0]
    return {column: cell.text for column, cell in cells.items()}


def parse(*rows: dict[str, str], heading: tuple[str, ...] = COLUMNS):
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heading)
    writer.writerows(list(row.values()) for row in rows)
    return parse_kinds(parse_table("made.csv", io.StringIO(out.getvalue()), COLUMNS))


def test_good_row_parses():
    assert parse(good_values())[0].id == "insulin-unknown"


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("id", ""),
        ("name", ""),
        ("words", "Insulin"),
        ("words", "insulin;;pen"),
        ("stock_class", "food"),
        ("gate", "fridge"),
        ("consequence", "bad"),
        ("keep_from_c", "two"),
        ("keep_from_c", "nan"),
        ("keep_to_c", "1"),
        ("never_freeze", "y"),
        ("freeze_note", ""),
        ("warm_hours", "-3"),
        ("warm_hours", "0"),
        ("warm_max_c", ""),
        ("warm_max_c", "7"),
        ("clock", "sundial"),
        ("cold_hours", "soon"),
        ("volume_l", "0"),
        ("volume_l", "inf"),
        ("per_carton", "0"),
        ("per_carton", "1.5"),
        ("controlled", "maybe"),
        ("band_source", ""),
        ("band_jurisdiction", "Moon"),
        ("warm_flag", "sure"),
        ("volume_flag", ""),
    ],
)
def test_bad_cell_is_named_with_file_line_and_column(column, value):
    second = {**good_values(), "id": "other", "words": "other", column: value}
    with pytest.raises(CatalogueError, match=rf"made\.csv line 3, column {column}:"):
        parse(good_values(), second)


def test_band_below_freezing_contradicts_never_freeze():
    with pytest.raises(CatalogueError, match=r"line 2, column never_freeze"):
        parse({**good_values(), "keep_from_c": "-1"})


def test_second_row_with_the_same_id_is_refused():
    with pytest.raises(CatalogueError, match=r"line 3, column id: .*line 2"):
        parse(good_values(), {**good_values(), "words": "other"})


def test_word_that_means_two_kinds_is_refused_even_with_accents():
    second = {**good_values(), "id": "other", "words": "ínsulin"}
    with pytest.raises(CatalogueError, match=r"line 3, column words: 'insulin'"):
        parse(good_values(), second)


def test_wrong_heading_and_short_rows_are_refused():
    with pytest.raises(CatalogueError, match=r"made\.csv line 1: the heading"):
        parse(good_values(), heading=COLUMNS[1:])
    with pytest.raises(CatalogueError, match=r"made\.csv line 2: 33 cells"):
        parse(dict(list(good_values().items())[1:]))


def test_torn_quotes_are_refused():
    torn = io.StringIO(",".join(COLUMNS) + '\n"insulin" x,y\n')
    with pytest.raises(CatalogueError, match=r"made\.csv line 2"):
        parse_table("made.csv", torn, COLUMNS)


def test_empty_and_missing_files_are_refused():
    with pytest.raises(CatalogueError, match="no item kinds"):
        parse()
    with pytest.raises(CatalogueError, match=r"absent\.csv"):
        read_table("absent.csv", COLUMNS)


def test_all_kinds_are_read_once():
    assert item_kinds() is item_kinds()
    assert kinds_module.item_kind("insulin-lispro") is item_kind("insulin-lispro")
