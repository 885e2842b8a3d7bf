"""What a corpus row truly holds, written by hand, and the texts people use.

Each line: the text as typed, then the truth, parted by ``|``; several
items are parted by ``;``.  ``?`` as a count means that nobody could know
it from the text; ``/`` parts kinds that are all true readings.  ``open``
and ``thawed`` are states; every text and person is invented.
"""

from dataclasses import dataclass

CLEAR = """
insulin lispro 3 pens | insulin-lispro 3
insulin glargine x2 | insulin-glargine-u100 2
2 boxes of 5 pens insulin glargine | insulin-glargine-u100 10
insulin aspart 4 pens | insulin-aspart 4
insulin detemir 2 pens | insulin-detemir 2
insulin degludec 3 pens | insulin-degludec 3
NPH insulin 2 vials | insulin-nph-vial 2
regular insulin 1 vial | insulin-regular-vial 1
liraglutide 2 pens unopened | liraglutide 2
dulaglutide 4 pack - took 1 | dulaglutide 3
tirzepatide 4 pens | tirzepatide 4
adalimumab 40mg/0.4 x 2 syringes | adalimumab 2
etanercept autoinj 3/4 left | etanercept 3
glatiramer syringes 12 | glatiramer 12
interferon beta 1a - 1 box of four | interferon-beta-1a 4
epoetin 3 vials DO NOT SHAKE | epoetin-alfa 3
filgrastim 5 syr | filgrastim 5
immune globulin subcut 4 vials | immune-globulin 4
factor 8, 6 kits | factor-viii 6
somatropin 2 cartridges | somatropin 2
teriparatide 1 pen | teriparatide 1
ustekinumab 1 syringe | ustekinumab 1
dupilumab 2 pens | dupilumab 2
latanoprost drops 2 bottles | latanoprost 2
half a bottle amox-clav pink | amoxicillin-clavulanate-suspension 1
cephalexin suspension 1 bottle | cephalexin-suspension 1
promethazine supp. #6 | promethazine-suppository 6
lorazepam inj 2 vials | lorazepam-injection 2
lorazepam oral conc 1 bottle | lorazepam-oral 1
EBM frozen 22 bags (4-6oz) | human-milk-frozen 22
leche materna 8 bolsas congeladas | human-milk-frozen 8
frozen breast milk 12 bags | human-milk-frozen 12
EBM 6 bags in freezer | human-milk-frozen 6
fresh breast milk 3 bottles | human-milk-fresh 3
thawed milk 3 btl | human-milk-thawed 3 thawed
EBM was frozen, 2 bags | human-milk-thawed 2 thawed
formula mixed 3 bottles | formula-prepared 3
RTF opened 1 bottle | rtf-opened 1 open
Tube feed opened 2 ctns | enteral-opened 2 open
blended diet 3 x 500ml | blended-feed 3
TPN bags 7 | pn-compounded 7
IV ceftriaxone premixed x5 | iv-antibiotic-mixed 5
enoxaparin 10 syringes | enoxaparin 10
adrenaline auto injectors x2 | epinephrine-auto-injector 2
powder formula 1 can | formula-powder-tin 1
CGM sensors x2 | cgm-sensors 2
glucagon kit x1 | glucagon-kit 1
vaginal ring x1 | contraceptive-ring 1
omalizumab 2 syringes | omalizumab 2
desmopressin spray 1 bottle | desmopressin-nasal 1
insulin lispro 100 units/mL 2 pens | insulin-lispro 2
certolizumab 200 mg 2 syringes | certolizumab 2
sirolimus solution 1 bottle | sirolimus-solution 1
darbepoetin 4 syringes | darbepoetin 4
golimumab 1 pen | golimumab 1
"""
SEVERAL = """
insulin lispro 2 pens{}adalimumab x2 | insulin-lispro 2; adalimumab 2
EBM frozen 6 bags{}insulin glargine 1 pen | human-milk-frozen 6; insulin-glargine-u100 1
latanoprost 1 bottle{}epoetin 2 vials{}TPN 3 bags | latanoprost 1; epoetin-alfa 2; pn-compounded 3
enoxaparin 10 syringes{}insulin aspart 3 pens | enoxaparin 10; insulin-aspart 3
formula mixed 2 bottles{}fresh breast milk 3 bottles | formula-prepared 2; human-milk-fresh 3
"""
VAGUE = """
insulin 2 vials | insulin-unknown 2
BM 14 oz | human-milk-unknown/human-milk-fresh/human-milk-frozen/human-milk-thawed ?
shots for RA 2 left | biologic-unknown 2
zorbitol 2 boxes | ? 2
breastmilk x6 some frozen some not | human-milk-frozen ?; human-milk-fresh/human-milk-unknown ?
Insulin 10U am 8U pm | insulin-unknown ?
milk, slushy | human-milk-slushy ?
adalimumb 2 pens | adalimumab 2
insulin lispro | insulin-lispro ?
vaccine 1 box from clinic | vaccine-fridge-unknown ?
"""
HARD = """
3x lispro pens | insulin-lispro 3
insulin lispro 3mL pen x 5 | insulin-lispro 5
glargine U-300 1.5ml x3 pens | insulin-glargine-u300 3
2 vials of regular insulin & 1 NPH vial | insulin-regular-vial 2; insulin-nph-vial 1
adalimumab pen (1 left of 2) | adalimumab 1
EBM: 3 x 120ml bottles frozen | human-milk-frozen 3
5 frozen + 3 fresh bags EBM | human-milk-frozen 5; human-milk-fresh 3
10 bags bm frz | human-milk-frozen 10
TPN 3 bags + 3 lipids | pn-compounded 3; lipid-emulsion 3
insulin 70/30 vial x2 | insulin-human-7030-vial 2
lispro mix 75/25 2 pens | insulin-lispro-mix-pen 2
glargine 1 in use, 3 spare | insulin-glargine-u100 1 open; insulin-glargine-u100 3
3 glargine, 1 opened last week | insulin-glargine-u100 2; insulin-glargine-u100 1 open
semaglutide 1mg pen 3 doses left | semaglutide-pen ?
dulaglutide 1.5 mg 4 pens (1 used) | dulaglutide 3
adalimumab 2 pens due Friday | adalimumab 2
insulin needles 2 boxes | pen-needles 2
formula powder opened tin | formula-powder-tin ? open
cephalexin 250/5 100ml mixed yesterday | cephalexin-suspension ?
lorazepam 2mg/ml vial x3 | lorazepam-injection 3
lorazepam tablets | ? ?
morphine patches | ? ?
leche materna descongelada 2 biberones | human-milk-thawed 2 thawed
insulin degludec 100 units 3 pens 10 units nightly | insulin-degludec 3
tirzepatide 5mg/0.5ml 4 pens weekly | tirzepatide 4
2-3 vials insulin lispro | insulin-lispro ?
insulin lispro 1,5 boxes | insulin-lispro 8
frozen ebm 2 doz bags | human-milk-frozen 24
EBM frozen 30oz total in 6 bags | human-milk-frozen 6
adalimumab 40mg x1,etanercept 50mg x2 | adalimumab 1; etanercept 2
glargine and aspart, 3 pens each | insulin-glargine-u100 3; insulin-aspart 3
DO NOT FREEZE insulin lispro 3 pens | insulin-lispro 3
two pens of insulin aspart | insulin-aspart 2
insulin lispro - 2 new pens and one in use | insulin-lispro 2; insulin-lispro 1 open
Lispro 3 (three) pens | insulin-lispro 3
1 glargine pen, 1 aspart pen | insulin-glargine-u100 1; insulin-aspart 1
insulin (lispro) 2 pens, (glargine) 3 pens | insulin-lispro 2; insulin-glargine-u100 3
EBM 12 bottles 3oz, 4 bags frozen 6oz | human-milk-unknown/human-milk-fresh 12; human-milk-frozen 4
4 in fridge 10 in freezer EBM | human-milk-unknown/human-milk-fresh 4; human-milk-frozen 10
formula RTF 8oz x6 unopened | rtf-sealed 6
IV antibiotics 6 balls | iv-antibiotic-mixed 6
insulin lispro 1 pen + needles | insulin-lispro 1; pen-needles ?
insulin lispro 2 pens and glucometer | insulin-lispro ?
insulin lispro 2 pens keep away from freezer | insulin-lispro 2
cat's insulin glargine 1 pen | insulin-pet 1
insulin lispro 2 pens for Bo and 3 for Anh | insulin-lispro ?
amox clav susp 2 bottles made 10 Oct | amoxicillin-clavulanate-suspension 2
3 month supply adalimumab | adalimumab ?
insulin lispro 30 day supply 5 pens | insulin-lispro 5
insulin pens 5x3ml lispro | insulin-lispro 5
insulin lispro 300 units/3ml pens qty 5 | insulin-lispro 5
insulin lispro (qty 3) | insulin-lispro 3
4 units insulin lispro | insulin-lispro ?
calcitonin nasal opened 1 bottle | calcitonin-nasal-open 1 open
oxytocin 5 amps | oxytocin 5
growth hormone pen (day 3 of 28) | somatropin ? open
insulin lispro 4 pcs | insulin-lispro 4
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One item of a row as it truly is.

    ``kinds`` are the readings that are right; empty: nobody can know it.
    ``count`` ``None``: nobody can know it.  ``asks`` are fields that must be
    asked about, because the cell was damaged beyond knowing.
    """

    kinds: tuple[str, ...]
    count: int | None
    opened: bool = False
    thawed: bool = False
    band: tuple[float, float] | None = None
    asks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text and the items in it."""

    text: str
    items: tuple[Item, ...]


def texts(table: str) -> list[Text]:
    """Texts of a table with their truth."""
    return [_text(line) for line in table.strip().split("\n")]


def _text(line: str) -> Text:
    text, truth = line.rsplit(" | ", 1)
    return Text(text=text, items=tuple(item(one) for one in truth.split("; ")))


def item(truth: str) -> Item:
    """One item from its words."""
    kinds, count, *states = truth.split()
    return Item(
        kinds=() if kinds == "?" else tuple(kinds.split("/")),
        count=None if count == "?" else int(count),
        opened="open" in states,
        thawed="thawed" in states,
    )
