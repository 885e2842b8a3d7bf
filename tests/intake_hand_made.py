"""Lists typed by hand as people keep them, whole, with their true readings.

Each has a sheet in the form of tests/workbook_maker.py and, under it, what
every row truly holds: row number, then items as in tests/intake_truth.py,
``-`` for a row that is no item, ``ask`` for one that must be asked about.
All people and places are invented.
"""

BLOCK_LIST = """
Block C door-to-door | | | | |
as of 6pm, Kim | | | | |
 | | | | |
Name | Apt | Meds needing cold | Keep at | Last cold | Comments
Testname Anh | 4B | insulin glargine 3 pens\\nlatanoprost 1 bottle | 2-8 | d:2025-10-13 06:00 | son collects
Sample, Bo | 2A | TPN bags 7 (1/day) + lipids 7 bags | 2-8 C | | pump at night
baby of above | 2A | EBM frozen 12 bags (4oz) | | | deep freezer till noon
Cy Invented | 1C | adrenaline auto injectors x2 | | |
Dee Madeup | 3D | left Tues w/ daughter | | |
Ed Unreal | 3A | see bag | | |
Flo Nobody | 5B | dog insulin vial x1 | 36-46 F | | for Rex
Total | | 6 | | |
"""
BLOCK_TRUTH = """
5 | insulin-glargine-u100 3; latanoprost 1
6 | pn-compounded 7; lipid-emulsion 7
7 | human-milk-frozen 12
8 | epinephrine-auto-injector 2
9 | -
10 | ask
11 | insulin-pet 1
12 | -
"""

SPANISH = """
Nombre y apellido | Medicamento | Cant. | \u00bfNecesita nevera? | Vence | Observaciones
Testname Rosa | insulina glargina plumas | 3 | s\u00ed | 08/26 |
Testname Luz | leche materna congelada bolsas | 8 | si | |
Testname Leo | enoxaparina jeringas | 10 | no | |
Testname Sol | adalimumab jeringas | 2 | x | 2026-01-31 |
Testname Mar | glucosa tiras reactivas | 2 | no | |
Testname Paz | insulina 2 frascos | | s\u00ed | |
"""
SPANISH_TRUTH = """
2 | insulin-glargine-u100 3
3 | human-milk-frozen 8
4 | enoxaparin 10
5 | adalimumab 2
6 | test-strips 2
7 | insulin-unknown 2
"""

NIGHT_LIST = """
GUEST | WRISTBAND | RX | QTY. | OPENED? | FROZEN? | NEEDS AT NIGHT | LOCKED?
Testname Hal | 101 | LIRAGLUTIDE PEN | 1 | Y | | |
Testname Ida | 102 | MORPHINE LIQUID | 1 | | | y | Y
" | " | LORAZEPAM INJ VIALS | 2 | | | | yes
Testname Jo | 103 | BREAST MILK BAGS | 6 | | Y | x |
Testname Jo | 103 | BREAST MILK BOTTLES | 2 | | N | |
Testname Kim | 104 | INSULIN LISPRO PENS | 5 | Y | | |
Testname Lu | 105 | INSULIN ASPART PENS | 4 | N | | |
Testname Mo | 106 | ETANERCEPT 50MG SYRINGES | 4 | | | |
NOTE: fridge key is with the night watch | | | | | | |
"""
NIGHT_TRUTH = """
2 | liraglutide 1 open
3 | morphine-liquid 1
4 | lorazepam-injection 2
5 | human-milk-frozen 6
6 | human-milk-unknown 2
7 | insulin-lispro 4; insulin-lispro 1 open
8 | insulin-aspart 4
9 | etanercept 4
10 | -
"""

KITCHEN_LIST = """
what | how many | where kept | who for
RTF 2oz bottles sealed | 48 | cupboard | Testname twins
formula mixed 2am | 3 bottles | fridge | baby Oz
powder formula | 1 can | room | baby Oz
tube feed opened | 1 | Fridge | Pia Testname
blended diet | 3 x 500ml | fridge | Ro Testname
yogurt | 4 | fridge | everyone
thawed milk from last night | 3 | fridge | baby Sal
partly thawed milk | 2 bags | freezer | baby Tam
"""
KITCHEN_TRUTH = """
2 | rtf-sealed 48
3 | formula-prepared 3
4 | formula-powder-tin 1
5 | enteral-opened 1 open
6 | blended-feed 3
7 | food-perishable 4
8 | human-milk-thawed 3 thawed
9 | human-milk-slushy 2
"""

CLINIC_LIST = """
Patient name | Drug + strength | # | Exp | BUD | Storage req
Testname Gus | filgrastim 300 mcg/0.5 mL syringes | 5 | d:2026-03-31 | | REFRIGERATE
Testname Nan | epoetin alfa 4,000 units/mL vials | 3 | 12/25 | | Keep refrigerated
Testname Oz | IV ceftriaxone 1 g/50 mL premixed bags | 6 | | d:2025-10-20 | fridge
Testname Pia | omeprazole 2 mg/mL compounded suspension | 1 | | d:2025-10-30 | FRIDGE
Testname Quin | sirolimus 1 mg/mL solution | 1 | d:2026-05-01 | | Fridge
Testname Ro | octreotide 100 mcg/mL amps | 10 | 3/4/2026 | | Fridge
Testname Sal | promethazine 25 mg suppositories | 6 | | | Fridge
Testname Tam | cefdinir 250 mg/5 mL suspension | 1 | | | Room temp
"""
CLINIC_TRUTH = """
2 | filgrastim 5
3 | epoetin-alfa 3
4 | iv-antibiotic-mixed 6
5 | omeprazole-compounded 1
6 | sirolimus-solution 1
7 | octreotide 10
8 | promethazine-suppository 6
9 | cefdinir-suspension 1
"""

LISTS = {
    "block list": (BLOCK_LIST, BLOCK_TRUTH),
    "Spanish list": (SPANISH, SPANISH_TRUTH),
    "night list": (NIGHT_LIST, NIGHT_TRUTH),
    "kitchen list": (KITCHEN_LIST, KITCHEN_TRUTH),
    "clinic list": (CLINIC_LIST, CLINIC_TRUTH),
}
"""Sheets and truths by name."""
