"""Item lines as people write them (all invented), with the reading wanted.

One line each: number, text as typed, what it becomes, the remarks wanted.
Parts are parted by ``;``: kind, packs, then ``open``, ``thawed``,
``locked``, ``review`` (planned, and in the review queue) and where it is
kept out of the cold pool (``person``, ``shelf``, ``food``).
"""

ITEM_LINES = """
1 | 2 boxes of 5 pens insulin glargine | insulin-glargine-u100 10 | -
2 | insulin lispro pens x3 + 1 open | insulin-lispro 3; insulin-lispro 1 open person | in-use-with-person item-split opened-when
3 | INSULIN ASPART 10ML VIAL (2) one opened 3/4 | insulin-aspart 1; insulin-aspart 1 open person | date-two-ways in-use-with-person item-split quantity-reckoned
4 | NPH 1 viall, regular 1 viall | insulin-nph-vial 1; insulin-regular-vial 1 | item-split
5 | Insulin 10U am 8U pm | insulin-unknown 1 | dose-not-count type-not-known
6 | insulin (the orange one) | insulin-unknown 1 | quantity-assumed type-not-known
7 | long acting + short acting insuline 1 ea | insulin-long-unknown 1; insulin-short-unknown 1 | item-split type-not-known
8 | insulina 2 frascos | insulin-unknown 2 | type-not-known
9 | insuline 3 stylos neufs | insulin-unknown 3 | type-not-known
10 | mixed 70-30, half box | insulin-premix-pen-unknown 3 | quantity-reckoned type-not-known
11 | pump cartridges prefilled x4 | insulin-pump-reservoir 4 person | check-label
12 | cat insulin, 1 vial (pet!) | insulin-pet 1 | pet-item
13 | semaglutide pen, weekly, started | semaglutide-pen 1 open | check-label opened-when quantity-assumed
14 | liraglutide 2 pens unopened | liraglutide 2 | -
15 | dulaglutide 4 pack - took 1 | dulaglutide 3 | -
16 | adalimumab 40mg/0.4 x 2 syringes | adalimumab 2 | -
17 | etanercept autoinj 3/4 left | etanercept 3 | -
18 | shots for RA every 2 wks — 2 left | biologic-unknown 2 | type-not-known
19 | teriparatide pen day 11 of 28 | teriparatide 1 open | in-use-day quantity-assumed
20 | growth hormone cartrige 2 kids 1 each | somatropin 2 review | quantity-reckoned several-people
21 | glatiramer syringes 12 | glatiramer 12 | -
22 | interferon beta 1a - 1 box of four | interferon-beta-1a 4 | -
23 | epoetin 3 vials DO NOT SHAKE | epoetin-alfa 3 | -
24 | filgrastim 5 syr (chemo pt) | filgrastim 5 | -
25 | octreotide amps, 1 tray | octreotide 5 | quantity-reckoned
26 | factor 8, 6 kits | factor-viii 6 | check-label
27 | immune globulin subcut 4 vials | immune-globulin 4 | -
28 | latanoprost drops 1 new 1 open | latanoprost 1; latanoprost-open 1 open shelf | check-label item-split opened-when
29 | eye drops chloramphenicol, opened sun | chloramphenicol-drops 1 open | quantity-assumed
30 | amoxicillin susp 150 ml mixed fri | amoxicillin-suspension 1 | keep-by-worked-out quantity-assumed
31 | half a bottle amox-clav pink | amoxicillin-clavulanate-suspension 1 | -
32 | azithromycin liquid | azithromycin-suspension 1 shelf | check-label quantity-assumed
33 | cefdinir suspension | cefdinir-suspension 1 shelf | check-label quantity-assumed
34 | kids antibiotic, unknown, in fridge door | antibiotic-liquid-unknown 1 | quantity-assumed type-not-known
35 | omeprazole compounded 90mL | omeprazole-compounded 1 | beyond-use-date quantity-assumed
36 | promethazine supp. #6 | promethazine-suppository 6 | -
37 | lorazepam oral conc 30ml | lorazepam-oral 1 locked | controlled-count quantity-assumed
38 | lorazepam inj 2 vials hospice kit | lorazepam-injection 2 locked | controlled-count kit-whole
39 | morphine liquid + lorazepam (hospice) | morphine-liquid 1 locked shelf; lorazepam-injection 1 locked | controlled-count item-split quantity-assumed
40 | enoxaparin 10 syringes | enoxaparin 10 shelf | -
41 | adrenaline auto injectors x2 | epinephrine-auto-injector 2 person | -
42 | glucagon kit | glucagon-kit 1 person | check-label quantity-assumed
43 | methotrexate pens 4 (cytotoxic) | methotrexate-pen 4 shelf | check-label handle-hazard
44 | dornase alfa nebs 1 box 30 | dornase-alfa 1 | -
45 | calcitonin spray unopened | calcitonin-nasal 1 | check-label quantity-assumed
46 | vaginal ring x1 | contraceptive-ring 1 | -
47 | fertility inj: ganirelix 3, hCG 1 | fertility-injection-unknown 3; fertility-injection-unknown 1 | item-split quantity-reckoned type-not-known
48 | vaccine?? 1 box from clinic | vaccine-fridge-unknown 1 | clinic-stock quantity-reckoned type-not-known
49 | TPN bags 7 (1/day) + lipids | pn-compounded 7; lipid-emulsion 1 shelf | beyond-use-date item-split quantity-assumed
50 | IV ceftriaxone premixed x5 home nurse | iv-antibiotic-mixed 5 | beyond-use-date
51 | Tube feed opened 2 ctns | enteral-opened 2 open | opened-when
52 | blended diet 3 x 500ml | blended-feed 3 | -
53 | BM 14 oz | human-milk-unknown 1 | quantity-assumed state-not-said
54 | EBM frozen 22 bags (4-6oz) | human-milk-frozen 22 | -
55 | breastmilk x6 some frozen some not | human-milk-frozen 3 review; human-milk-unknown 3 review | item-mixed item-split
56 | milk, slushy | human-milk-slushy 1 review | milk-slushy quantity-assumed
57 | thawed milk from last night 3 btl | human-milk-thawed 3 thawed | keep-by-worked-out
58 | donor milk 4 bottles | donor-milk-thawed 4 thawed | donor-milk state-not-said
59 | leche materna 8 bolsas congeladas | human-milk-frozen 8 | -
60 | fortified EBM 24cal | human-milk-fortified 1 | check-label quantity-assumed
61 | formula mixed 3 bottles 2am | formula-prepared 3 | keep-by-worked-out
62 | RTF 32oz opened | rtf-opened 1 open | opened-when quantity-assumed
63 | RTF 2oz bottles, case of 48 sealed | rtf-sealed 48 shelf | -
64 | powder formula 1 can | formula-powder-tin 1 shelf | -
65 | amino acid formula (CMPA!!) | formula-amino-prepared 1 | allergy-only quantity-assumed
66 | bottles | held: item-not-readable | item-not-readable
67 | Insulin / eye drops / yogurt | insulin-unknown 1; eye-drops-unknown 1; food-perishable 1 food | item-split quantity-assumed type-not-known
68 | same as above | held: item-not-readable | item-not-readable
68 | 〃 | held: item-not-readable | item-not-readable
68 | ditto | held: item-not-readable | item-not-readable
68 | idem | held: item-not-readable | item-not-readable
69 | see bag | held: item-not-readable | item-not-readable
69 | ask wife | held: item-not-readable | item-not-readable
69 | ? | held: item-not-readable | item-not-readable
70 | NONE - just ice packs for knee | left out: no-item | ice-wanted no-item
71 | CGM sensors, strips | cgm-sensors 1 shelf; test-strips 1 shelf | item-split quantity-assumed
72 | left Tues w/ daughter | left out: item-departed | item-departed
"""


def item_lines() -> list[tuple[str, str, list[str], list[str]]]:
    """Number, text, parts and codes of each line."""
    rows = []
    for line in ITEM_LINES.strip().split("\n"):
        number, text, parts, codes = (one.strip() for one in line.split(" | "))
        wanted = [] if codes == "-" else codes.split()
        rows.append((number, text, parts.split("; "), wanted))
    return rows
