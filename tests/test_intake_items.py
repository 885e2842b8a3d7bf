"""Item texts as people write them (all invented), and the kinds they name."""

import pytest

from planner.catalogue import item_kind, item_kinds
from planner.intake.item_split import split_items
from planner.intake.items import match_item
from planner.intake.packs import count_in, liquid_l
from planner.scenario import Gate


def read_text(text: str) -> list[tuple[str, int | None, bool]]:
    """Kind, stated count and state of each part of a cell."""
    return [
        (
            part.match.kind.id,
            part.count or count_in(part.text, part.match.kind, part.match.used),
            part.opened,
        )
        for part in split_items(text)
    ]


@pytest.mark.parametrize(
    ("text", "kind_id", "count"),
    [
        ("2 boxes of 5 pens insulin glargine", "insulin-glargine-u100", 10),
        ("insulin glargine, 1 box", "insulin-glargine-u100", 5),
        ("insulina 2 frascos", "insulin-unknown", 2),
        ("insuline 3 stylos neufs", "insulin-unknown", 3),
        ("cat insulin, 1 vial (pet!)", "insulin-pet", 1),
        ("liraglutide 2 pens unopened", "liraglutide", 2),
        ("adalimumab 40mg/0.4 x 2 syringes", "adalimumab", 2),
        ("etanercept autoinj 3/4 left", "etanercept", 3),
        ("glatiramer syringes 12", "glatiramer", 12),
        ("interferon beta 1a - 1 box of four", "interferon-beta-1a", 4),
        ("epoetin 3 vials DO NOT SHAKE", "epoetin-alfa", 3),
        ("factor 8, 6 kits", "factor-viii", 6),
        ("promethazine supp. #6", "promethazine-suppository", 6),
        ("lorazepam oral conc 30ml", "lorazepam-oral", None),
        ("dornase alfa 30 ampoules", "dornase-alfa", 1),
        ("vaginal ring x1", "contraceptive-ring", 1),
        ("IV ceftriaxone premixed x5 home nurse", "iv-antibiotic-mixed", 5),
        ("EBM frozen 22 bags (4-6oz)", "human-milk-frozen", 22),
        ("leche materna 8 bolsas congeladas", "human-milk-frozen", 8),
        ("thawed milk from last night 3 btl", "human-milk-thawed", 3),
        ("milk, slushy", "human-milk-slushy", None),
        ("fortified EBM 24cal", "human-milk-fortified", None),
        ("blended diet 3 x 500ml", "blended-feed", 3),
        ("RTF 2oz bottles, case of 48 sealed", "rtf-sealed", 48),
        ("Insulin 10U am 8U pm", "insulin-unknown", None),
        ("teriparatide pen day 11 of 28", "teriparatide", None),
        ("mixed 70-30, half box", "insulin-premix-pen-unknown", 3),
    ],
)
def test_one_item(text: str, kind_id: str, count: int | None) -> None:
    found = read_text(text)
    assert [(kind, number) for kind, number, _ in found] == [(kind_id, count)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "insulin lispro pens x3 + 1 open",
            [("insulin-lispro", 3, False), ("insulin-lispro", 1, True)],
        ),
        (
            "Insulin / eye drops / yogurt",
            [
                ("insulin-unknown", None, False),
                ("eye-drops-unknown", None, False),
                ("food-perishable", None, False),
            ],
        ),
        (
            "latanoprost drops 1 new 1 open",
            [("latanoprost", 1, False), ("latanoprost-open", 1, True)],
        ),
        (
            "TPN bags 7 (1/day) + lipids",
            [("pn-compounded", 7, False), ("lipid-emulsion", None, False)],
        ),
        (
            "1. insulin lispro\n2. adalimumab x2",
            [("insulin-lispro", None, False), ("adalimumab", 2, False)],
        ),
        (
            "insulin glargine and adalimumab",
            [("insulin-glargine-u100", None, False), ("adalimumab", None, False)],
        ),
    ],
)
def test_several_items_in_one_cell(
    text: str, expected: list[tuple[str, int | None, bool]]
) -> None:
    assert read_text(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "amoxicillin / clavulanate",
        "lopinavir/ritonavir solution",
        "insulin degludec / liraglutide",
        "insulin 70/30",
        "eye drops, latanoprost",
        "insulin glargine, blue and grey",
    ],
)
def test_one_item_told_in_pieces_stays_whole(text: str) -> None:
    assert len(split_items(text)) == 1


def test_a_member_wins_over_its_group() -> None:
    assert match_item("insulin pen lispro").kind.id == "insulin-lispro"
    assert match_item("eye drops, latanoprost").kind.id == "latanoprost"


def test_a_state_does_not_hide_the_item() -> None:
    assert read_text("opened insulin lispro") == [("insulin-lispro", None, True)]
    assert match_item("dulaglutide or tirzepatide").rivals


def test_a_likeness_is_marked_as_guessed() -> None:
    found = match_item("adalimumb pens")
    assert (found.kind.id, found.guessed) == ("adalimumab", True)
    assert not match_item("adalimumab pens").guessed


def test_short_words_are_never_guessed() -> None:
    assert not match_item("rtg").known


@pytest.mark.parametrize("text", ["zorbitol", "bottles", "the usual", "???", "B12 vit"])
def test_unknown_items_are_the_cautious_kind(text: str) -> None:
    found = match_item(text)
    assert not found.known
    assert found.kind.id == "unknown-cold"
    assert (found.kind.keep_from_c, found.kind.keep_to_c) == (2, 8)
    assert found.kind.never_freeze


def test_words_not_understood_are_told() -> None:
    assert match_item("enoxaparin with zorbitol").left == ("zorbitol",)


def test_words_apart_name_only_items_that_stay_cold() -> None:
    # "carton of milk" is food, but not when other words stand between
    assert match_item("breast milk carton").kind.gate is not Gate.FOOD


def test_every_catalogue_name_finds_its_own_kind() -> None:
    lost = {
        word: kind.id
        for kind in item_kinds()
        for word in (kind.name, *kind.words)
        if match_item(word).kind.id != kind.id and not match_item(word).rivals
    }
    assert set(lost.values()) <= {kind.id for kind in item_kinds()}
    assert lost == {}


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("2 boxes", 10),
        ("1 box of 3", 3),
        ("3 pens", 3),
        ("half a box", 3),
        ("4-pack", 4),
        ("3 pens, 2 vials", None),
        ("x2 x3", None),
        ("10 mL", None),
        ("100 units/mL", None),
    ],
)
def test_counts_of_a_kind_with_five_in_a_box(text: str, count: int | None) -> None:
    kind = item_kind("insulin-lispro")
    assert kind.per_carton == 5
    assert count_in(text, kind) == count


def test_inner_pieces_are_counted_in_boxes() -> None:
    kind = item_kind("dornase-alfa")
    assert kind.pieces == 30
    assert count_in("30 ampoules", kind) == 1
    assert count_in("31 ampoules", kind) == 2


def test_liquid_sizes_in_text() -> None:
    # 6 US fl oz; NIST SP 811 appendix B.8 (from memory): 2.957353 E-05 m3 each
    assert liquid_l("22 bags (4-6 oz)") == pytest.approx(6 * 0.02957353, rel=1e-6)
    assert liquid_l("150 ml") == 0.15
    assert liquid_l("no size") is None
