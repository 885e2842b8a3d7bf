"""Catalogue rows against published storage values, each with its source.

Days are turned into hours here; a published "month" counts as 28 days.
"""

import pytest

from planner.catalogue import item_kind
from planner.scenario import Clock, Gate, StockClass

FDA_INSULIN = (
    "FDA, Information Regarding Insulin Storage and Switching Between Products "
    "in an Emergency"
)
INSULIN_TABLE = "J Diabetes Sci Technol review, PMC7783014, Table 1"
SPS = "NHS Specialist Pharmacy Service monograph"
MILK = "CDC, Human Milk Storage Guidelines (table seen in copies)"
FORMULA = "CDC, Infant Formula Preparation and Storage (as restated)"
WHO_VOLUMES = "WHO prequalification data, PMC8800189, Table T1"
ASK_EXPERTS = "immunize.org, Ask the Experts"
DAY = 24.0

# kind id, field, expected value, published source
PUBLISHED = [
    # Insulin, unopened band and emergency allowance.
    ("insulin-unknown", "keep_from_c", 2.0, FDA_INSULIN),
    ("insulin-unknown", "keep_to_c", 8.0, FDA_INSULIN),
    ("insulin-unknown", "never_freeze", True, FDA_INSULIN),
    ("insulin-lispro", "warm_hours", 28 * DAY, FDA_INSULIN),
    ("insulin-lispro", "warm_max_c", 30.0, FDA_INSULIN),
    ("insulin-aspart", "warm_hours", 28 * DAY, FDA_INSULIN),
    ("insulin-regular-vial", "warm_hours", 28 * DAY, FDA_INSULIN),
    ("insulin-drawn-up", "warm_hours", 14 * DAY, FDA_INSULIN),
    # Insulin by type.
    ("insulin-degludec", "warm_hours", 56 * DAY, INSULIN_TABLE),
    ("insulin-degludec", "warm_max_c", 30.0, INSULIN_TABLE),
    ("insulin-detemir", "warm_hours", 42 * DAY, INSULIN_TABLE),
    ("insulin-detemir", "warm_max_c", 30.0, INSULIN_TABLE),
    ("insulin-glargine-u100", "warm_hours", 28 * DAY, INSULIN_TABLE),
    ("insulin-glargine-u100", "warm_max_c", 30.0, INSULIN_TABLE),
    ("insulin-glargine-u100", "clock", Clock.CALENDAR, f"{SPS}, insulin glargine"),
    ("insulin-nph-pen", "warm_hours", 14 * DAY, INSULIN_TABLE),
    ("insulin-nph-pen", "warm_max_c", 30.0, INSULIN_TABLE),
    ("insulin-degludec-liraglutide", "warm_hours", 21 * DAY, INSULIN_TABLE),
    (
        "insulin-regular-u500-vial",
        "warm_hours",
        40 * DAY,
        "manufacturer medical information page, regular insulin U-500",
    ),
    (
        "insulin-regular-u500-pen",
        "warm_hours",
        28 * DAY,
        "manufacturer medical information page, regular insulin U-500",
    ),
    ("insulin-regular-pen", "warm_hours", 28 * DAY, f"{SPS}, insulin soluble human"),
    ("insulin-regular-pen", "clock", Clock.ONCE, f"{SPS}, insulin soluble human"),
    ("insulin-porcine-isophane", "warm_max_c", 25.0, f"{SPS}, isophane porcine"),
    ("insulin-human-7030-pen", "warm_hours", 10 * DAY, "pharmacy pen charts"),
    ("insulin-lispro-mix-pen", "warm_hours", 10 * DAY, "pharmacy pen chart"),
    ("insulin-pump-reservoir", "warm_hours", 48.0, "FDA page, pump section, restated"),
    ("insulin-pump-reservoir", "warm_max_c", 37.0, "FDA page, pump section, restated"),
    # Other metabolic.
    ("semaglutide-pen", "warm_hours", 56 * DAY, "manufacturer storage page"),
    ("semaglutide-pen", "warm_max_c", 30.0, "manufacturer storage page"),
    ("semaglutide-pen", "clock", Clock.CALENDAR, "manufacturer storage page"),
    ("liraglutide", "warm_hours", 30 * DAY, "manufacturer storage page"),
    ("dulaglutide", "warm_hours", 14 * 24.0, "manufacturer EU page, Dec 2019"),
    ("dulaglutide", "clock", Clock.CUMULATIVE, "manufacturer EU page, Dec 2019"),
    ("teriparatide", "warm_hours", None, "manufacturer EU medical information page"),
    ("parathyroid-hormone", "warm_hours", 90 * DAY, f"{SPS}, parathyroid hormone"),
    ("dasiglucagon", "clock", Clock.ONCE, "US prescribing information, dasiglucagon"),
    ("somatropin", "warm_hours", 7 * DAY, f"{SPS}, somatropin"),
    ("somatropin", "clock", Clock.NESTED, f"{SPS}, somatropin"),
    ("octreotide", "warm_hours", 72.0, f"{SPS}, octreotide"),
    ("octreotide-originator", "warm_max_c", 30.0, f"{SPS}, octreotide"),
    # Biologics.
    ("adalimumab", "warm_hours", 14 * DAY, f"{SPS}, adalimumab"),
    ("adalimumab", "clock", Clock.CALENDAR, f"{SPS}, adalimumab"),
    ("alirocumab", "warm_hours", 30 * DAY, f"{SPS}, alirocumab"),
    ("alirocumab", "warm_max_c", 25.0, f"{SPS}, alirocumab"),
    ("alirocumab", "clock", Clock.ONCE, f"{SPS}, alirocumab"),
    ("omalizumab", "warm_hours", 48.0, f"{SPS}, omalizumab"),
    ("omalizumab", "clock", Clock.CUMULATIVE, f"{SPS}, omalizumab"),
    ("belimumab-pen", "warm_hours", 12.0, f"{SPS}, belimumab"),
    ("belimumab-pen", "warm_max_c", 25.0, f"{SPS}, belimumab"),
    ("belimumab-vial", "warm_hours", 3 * DAY, f"{SPS}, belimumab"),
    ("infliximab-vial", "warm_hours", 6 * 28 * DAY, f"{SPS}, infliximab"),
    ("infliximab-vial", "clock", Clock.ONCE, f"{SPS}, infliximab"),
    ("infliximab-sc", "warm_hours", 28 * DAY, f"{SPS}, infliximab"),
    ("galcanezumab", "warm_hours", 7 * DAY, "manufacturer EU page, galcanezumab"),
    ("galcanezumab", "clock", Clock.ONCE, "manufacturer EU page, galcanezumab"),
    # Blood, eye, inhaled.
    ("epoetin-beta-zeta", "warm_hours", 3 * DAY, f"{SPS}, epoetin beta and zeta"),
    ("epoetin-beta-zeta", "warm_max_c", 25.0, f"{SPS}, epoetin beta and zeta"),
    ("epoetin-beta-zeta", "clock", Clock.ONCE, f"{SPS}, epoetin beta and zeta"),
    ("cryoprecipitate", "keep_to_c", -18.0, "USP monograph, cryoprecipitate"),
    ("netarsudil", "warm_hours", 42 * DAY, "manufacturer storage page"),
    ("tobramycin-inhaled", "warm_hours", 28 * DAY, "US prescribing information"),
    ("dornase-alfa", "warm_hours", 24.0, "two patient information pages"),
    # Mixed liquids.
    (
        "amoxicillin-clavulanate-suspension",
        "cold_hours",
        10 * DAY,
        "US prescribing information, amoxicillin-clavulanate suspension",
    ),
    ("oseltamivir-suspension", "cold_hours", 17 * DAY, "label, as restated"),
    ("oseltamivir-suspension", "warm_hours", 10 * DAY, "label, as restated"),
    ("sirolimus-solution", "warm_hours", 24.0, f"{SPS}, sirolimus"),
    ("sirolimus-solution", "cold_hours", 30 * DAY, f"{SPS}, sirolimus"),
    ("omeprazole-compounded", "warm_hours", 14 * DAY, "Ann Pharmacother 2000"),
    ("omeprazole-compounded", "cold_hours", 45 * DAY, "Ann Pharmacother 2000"),
    ("lansoprazole-compounded", "warm_hours", 8.0, "Ann Pharmacother 2000"),
    ("pn-compounded", "warm_hours", 24.0, "home infusion pages"),
    # Vaccines.
    ("vaccine-fridge-unknown", "keep_from_c", 2.0, ASK_EXPERTS),
    ("vaccine-fridge-unknown", "keep_to_c", 8.0, ASK_EXPERTS),
    ("vaccine-varicella", "keep_from_c", -50.0, ASK_EXPERTS),
    ("vaccine-varicella", "keep_to_c", -15.0, ASK_EXPERTS),
    ("vaccine-varicella", "cold_hours", 72.0, ASK_EXPERTS),
    ("vaccine-influenza-syringe", "volume_l", 0.0865, WHO_VOLUMES),
    ("vaccine-single-dose-vial", "volume_l", 0.0184, WHO_VOLUMES),
    ("vaccine-hepatitis-b", "volume_l", 0.00286, WHO_VOLUMES),
    ("vaccine-rotavirus", "volume_l", 0.0463, WHO_VOLUMES),
    # Feeds.
    ("human-milk-fresh", "warm_hours", 4.0, MILK),
    ("human-milk-fresh", "warm_max_c", 25.0, MILK),
    ("human-milk-fresh", "keep_to_c", 4.0, MILK),
    ("human-milk-fresh", "cold_hours", 4 * DAY, MILK),
    ("human-milk-thawed", "cold_hours", 24.0, MILK),
    ("human-milk-thawed", "warm_hours", 1.0, MILK),
    ("human-milk-fortified", "cold_hours", 24.0, "milk bank, Handling Milk"),
    ("donor-milk-frozen", "keep_to_c", -20.0, "milk bank, Handling Milk"),
    ("formula-prepared", "cold_hours", 24.0, FORMULA),
    ("formula-prepared", "warm_hours", 2.0, FORMULA),
    ("rtf-opened", "warm_hours", 2.0, "FoodSafety.gov, refrigerated food chart"),
    ("human-milk-after-feed", "warm_hours", 2.0, "CDC, Breastfeeding FAQ"),
    ("formula-after-feed", "warm_hours", 1.0, FORMULA),
]


@pytest.mark.parametrize(
    ("kind_id", "field", "expected", "source"),
    PUBLISHED,
    ids=[f"{row[0]}-{row[1]}" for row in PUBLISHED],
)
def test_row_holds_the_published_value(kind_id, field, expected, source):
    assert source
    value = getattr(item_kind(kind_id), field)
    if isinstance(expected, float) and not isinstance(expected, bool):
        assert value == pytest.approx(expected, abs=1e-9)
    else:
        assert value is expected


# kind id, why it needs no fridge, published source
NO_COLD_SPACE = [
    ("epinephrine-auto-injector", "label: do not refrigerate, 20 to 25 C"),
    ("glucagon-kit", "kit instructions for use: 20 to 25 C"),
    ("clarithromycin-suspension", "label, as restated: do not refrigerate"),
    ("clindamycin-liquid", "label, as restated: do not refrigerate"),
    ("cefdinir-suspension", "label, as restated: do not refrigerate"),
    ("azithromycin-suspension", "label, as restated: 5 to 30 C"),
    ("medroxyprogesterone", "US label text: 20 to 25 C, upright"),
    ("pn-multichamber", "patient organisation guidance, Aug 2022: 25 C"),
    ("rtf-sealed", "CDC, Food Safety for Infants After a Disaster"),
    ("formula-powder-tin", "label restatements: cool and dry, no fridge"),
    ("travoprost", "label restatement"),
    ("interferon-beta-1b", "trade news on the label change"),
    ("chloramphenicol-ointment", "label restatement"),
    ("calcitonin-nasal-open", "label, as restated: room temperature once opened"),
    ("enoxaparin", "label, from memory: 20 to 25 C"),
    ("human-milk-after-feed", "CDC, Breastfeeding FAQ: discard 2 h after the feed"),
    ("formula-after-feed", "CDC, as restated: discard 1 h after the feed began"),
    ("misoprostol", "pharmacy sheet on storage of uterotonic drugs"),
]


@pytest.mark.parametrize(
    ("kind_id", "source"), NO_COLD_SPACE, ids=[r[0] for r in NO_COLD_SPACE]
)
def test_item_takes_no_cold_space(kind_id, source):
    assert source
    assert item_kind(kind_id).gate in {Gate.COOL_SHELF, Gate.WITH_PERSON}


def test_neighbours_of_the_room_items_do_take_cold_space():
    for kind_id in (
        "interferon-beta-1a",
        "calcitonin-nasal",
        "amoxicillin-clavulanate-suspension",
        "pn-compounded",
        "rtf-opened",
    ):
        assert item_kind(kind_id).gate is Gate.POOL


def test_hundred_flu_syringes_take_8_65_litres():
    # WHO prequalification data, PMC8800189, Table T1: 86.5 mL a dose.
    assert 100 * item_kind("vaccine-influenza-syringe").volume_l == pytest.approx(8.65)


def test_day_of_formula_for_one_infant_is_near_1_5_litres():
    # AAP rule as restated: at most 960 mL (32 oz) a day, four 240 mL bottles;
    # 1.5 L of fridge from outer bottle sizes (estimate).
    assert 4 * item_kind("formula-prepared").volume_l == pytest.approx(1.5, rel=0.1)


def test_vaccine_freezer_is_stricter_than_the_usp_freezer():
    # immunize.org: -15 C or colder; USP <659> freezer: -25 to -10 C.
    assert not item_kind("vaccine-varicella").keep_to_c >= -10


def test_frozen_items_lie_in_the_freezers_of_usp_659_and_cdc():
    # USP <659>: -25 to -10 C; CDC vaccine freezer: -50 to -15 C; the published
    # 0 F (-17.8 C) setting for milk must be allowed.
    milk = item_kind("human-milk-frozen")
    assert (milk.keep_from_c, milk.keep_to_c) == (-25, -15)
    assert milk.keep_from_c < (0 - 32) * 5 / 9 < milk.keep_to_c


def test_thawed_stock_is_marked_and_frozen_or_fresh_is_not():
    # CDC: milk once thawed is not frozen again; ice crystals are the exception.
    assert item_kind("human-milk-thawed").thawed
    assert item_kind("donor-milk-thawed").thawed
    for kind_id in ("human-milk-fresh", "human-milk-frozen", "human-milk-slushy"):
        assert not item_kind(kind_id).thawed


def test_milk_with_ice_crystals_may_stand_in_freezer_or_fridge():
    # CDC outage advice, as restated.
    slushy = item_kind("human-milk-slushy")
    assert slushy.keep_from_c <= -18
    assert slushy.keep_to_c >= 4


def test_freeze_tolerant_vials_say_so_and_are_still_kept_from_freezing():
    # NHS SPS: infliximab, belimumab, parathyroid hormone and filgrastim.
    for kind_id in (
        "infliximab-vial",
        "belimumab-vial",
        "parathyroid-hormone",
        "filgrastim",
    ):
        kind = item_kind(kind_id)
        assert kind.never_freeze
        assert "NHS SPS" in kind.freeze_note
        assert "hold apart" in kind.freeze_note


def test_controlled_items_are_marked():
    # Lorazepam and buprenorphine are controlled substances (US DEA schedules
    # IV and III); enoxaparin is not.
    for kind_id in ("lorazepam-injection", "lorazepam-oral", "buprenorphine-er"):
        assert item_kind(kind_id).controlled
    assert not item_kind("enoxaparin").controlled


def test_unknown_item_is_cautious():
    # Common practice, no source: 2 to 8 C, never freeze, no allowance, 0.5 L.
    kind = item_kind("unknown-cold")
    assert (kind.keep_from_c, kind.keep_to_c) == (2, 8)
    assert kind.never_freeze
    assert kind.warm_hours is None
    assert kind.clock is Clock.UNKNOWN
    assert kind.volume_l == 0.5
    assert kind.stock_class is StockClass.MEDICINE
    assert not kind.confirmed


# Where sources conflict the shortest credible value is used: kind id,
# other published values in hours that must not be exceeded.
CONFLICTS = [
    ("insulin-nph-pen", 28 * DAY),  # maker B pen, PMC7783014
    ("insulin-nph-vial", 31 * DAY),  # maker A vial, PMC7783014
    ("insulin-nph-vial", 42 * DAY),  # maker B vial, PMC7783014
    ("insulin-glargine-u300", 56 * DAY),  # PMC7783014
    ("insulin-premix-pen-unknown", 14 * DAY),  # aspart mix pen, chart
    ("adalimumab", 28 * DAY),  # one UK product, NHS SPS
    ("etanercept", 28 * DAY),  # EU label, PMC5531722
    ("filgrastim", 72.0),  # NHS SPS
    ("octreotide", 14 * DAY),  # originator, NHS SPS
    ("denosumab", 30 * DAY),  # a secondary page
    ("latanoprost", 42 * DAY),  # US label restatement
    ("pegfilgrastim", 72.0),  # EU
    ("lopinavir-ritonavir", 2 * 30 * DAY),  # label
    ("rocuronium", 12 * 7 * DAY),  # NHS SPS
    ("oxytocin", 3 * 28 * DAY),  # most labels
]


@pytest.mark.parametrize(("kind_id", "longer"), CONFLICTS)
def test_shortest_credible_value_is_used(kind_id, longer):
    allowance = item_kind(kind_id).warm_hours
    assert allowance is not None
    assert allowance < longer


def test_cephalexin_takes_the_shorter_of_the_us_and_uk_dates():
    # 14 days on the US label as restated, 10 days in UK practice.
    assert item_kind("cephalexin-suspension").cold_hours == 10 * DAY
