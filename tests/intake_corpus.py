"""Damaged lists with their true readings, made with a seed.

Every kind of damage that lists arrive with has its own maker; a maker gives
the bytes of a file and what each of its rows truly holds.  Nothing here
imports the reader.
"""

import csv
import io
import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill

from tests.intake_files import ods, xls
from tests.intake_truth import CLEAR, HARD, SEVERAL, VAGUE, Item, item, texts

SEED = 20251013
VARIANTS = 3
_FIRST = [
    "Anh",
    "Bo",
    "Cy",
    "Dee",
    "Ed",
    "Flo",
    "Gus",
    "Hal",
    "Ida",
    "Jo",
    "Kim",
    "Lu",
    "Mo",
    "Nan",
    "Oz",
    "Pia",
    "Quin",
    "Ro",
    "Sal",
    "Tam",
]
_LAST = [
    "Testname",
    "Sample",
    "Example",
    "Invented",
    "Madeup",
    "Nobody",
    "Unreal",
    "Fiction",
    "Dummy",
    "Mock",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """What one row truly holds; no items: it must be left out or asked about."""

    sheet: str
    row: int
    items: tuple[Item, ...] = ()
    resident: str = ""
    keep_by: datetime | None = None
    may_ask: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CorpusFile:
    """One damaged file; ``stop`` when the right reading is to refuse it."""

    name: str
    damage: str
    data: bytes
    wants: tuple[Want, ...]
    stop: str = ""


@dataclass(slots=True)
class Entry:
    """One row before it is damaged."""

    name: str
    text: str
    items: tuple[Item, ...]
    count: object = None
    more: list[object] | None = None
    keep_by: datetime | None = None


HEAD = ["Resident", "Item", "Quantity"]
_TAIL = re.compile(
    r"^(.*?),? (?:x ?|#)?(\d+)(?: (pens?|vials?|syringes?|syr|bags|bottles?|btl|kits|cartridges))?$"
)


class Maker:
    """Draws rows of people and texts; the same seed gives the same rows."""

    def __init__(self, seed: str) -> None:
        self.random = random.Random(f"{SEED} {seed}")

    def people(self, count: int) -> list[str]:
        """Distinct names."""
        names = [f"{first} {last}" for first in _FIRST for last in _LAST]
        return self.random.sample(names, count)

    def entries(self, count: int = 10, vague: int = 1) -> list[Entry]:
        """Rows of clear texts with a few vague ones among them."""
        chosen = self.random.sample(texts(CLEAR), count - vague)
        chosen += self.random.sample(texts(VAGUE), vague)
        self.random.shuffle(chosen)
        return [
            Entry(name=name, text=one.text, items=one.items)
            for name, one in zip(self.people(count), chosen, strict=True)
        ]

    def counted(self, count: int = 10) -> list[Entry]:
        """Rows whose count stands in a column of its own."""
        found = []
        for one in self.random.sample(texts(CLEAR), 40):
            match = _TAIL.match(one.text)
            plain = not re.search(r"took|left|of four|half", one.text)
            if match and plain and len(one.items) == 1 and len(found) < count:
                found.append((f"{match[1]} {match[3] or ''}".strip(), one))
        return [
            Entry(name=name, text=bare, items=one.items, count=one.items[0].count)
            for name, (bare, one) in zip(self.people(len(found)), found, strict=True)
        ]


def wants_of(
    entries: Sequence[Entry], first: int, sheet: str = "Intake", **changes: object
) -> tuple[Want, ...]:
    """Truth of entries that stand one a row from ``first``."""
    return tuple(
        Want(sheet=sheet, row=first + at, items=one.items, resident=one.name,
             keep_by=one.keep_by, **changes)  # type: ignore[arg-type]
        for at, one in enumerate(entries)
    )  # fmt: skip


def grid(entries: Sequence[Entry], head: Sequence[object] = HEAD) -> list[list[object]]:
    """Headings and rows."""
    return [
        list(head),
        *([one.name, one.text, one.count, *(one.more or [])] for one in entries),
    ]


def xlsx(
    sheets: dict[str, list[list[object]]],
    dress: Callable[[Workbook], None] | None = None,
) -> bytes:
    """An .xlsx file, perhaps dressed up."""
    made = Workbook()
    del made[made.sheetnames[0]]
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for at, row in enumerate(rows, start=1):
            for column, value in enumerate(row, start=1):
                if value is not None:
                    sheet.cell(row=at, column=column, value=value)
    if dress is not None:
        dress(made)
    out = io.BytesIO()
    made.save(out)
    return out.getvalue()


def text_of(rows: Sequence[Sequence[object]], mark: str) -> str:
    """Rows as text with a separator."""
    out = io.StringIO()
    csv.writer(out, delimiter=mark, lineterminator="\r\n").writerows(
        [["" if value is None else value for value in row] for row in rows]
    )
    return out.getvalue()


def simple(
    name: str,
    damage: str,
    entries: Sequence[Entry],
    rows: list[list[object]],
    first: int = 2,
) -> CorpusFile:
    """A one-sheet .xlsx file."""
    return CorpusFile(
        name=f"{name}.xlsx", damage=damage, data=xlsx({"Intake": rows}),
        wants=wants_of(entries, first),
    )  # fmt: skip


def titles(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    above = make.random.randint(1, 10)
    lines = ["Evening list", "as of 6pm", None, "Hall B", "print me", None, "page 1",
             "do not lose", "second page", "see desk"]  # fmt: skip
    rows: list[list[object]] = [[line] for line in lines[:above]]
    return simple(name, "title rows", entries, rows + grid(entries), above + 2)


def two_row_headings(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    rows: list[list[object]] = [
        ["RESIDENT", None, "MEDICINE", None],
        ["Name", "Cot", "Name", "Qty"],
        *([one.name, at, one.text, one.count] for at, one in enumerate(entries, 1)),
    ]

    def merge(book: Workbook) -> None:
        book["Intake"].merge_cells("A1:B1")
        book["Intake"].merge_cells("C1:D1")

    return CorpusFile(name=f"{name}.xlsx", damage="two-row headings",
                      data=xlsx({"Intake": rows}, merge), wants=wants_of(entries, 3))  # fmt: skip


def units_in_second_row(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    rows: list[list[object]] = [
        ["Name", "Medication", "Qty", "Vol"],
        [None, None, "(packs)", "(L)"],
        *([one.name, one.text, one.count, None] for one in entries),
    ]
    return simple(name, "second heading row of units", entries, rows, 3)


def several_in_a_cell(make: Maker, name: str) -> CorpusFile:
    marks = ["\n", "; ", " + ", " & ", " / ", "\n2. "]
    entries = []
    for person, one in zip(make.people(5), texts(SEVERAL), strict=True):
        mark = make.random.choice(marks)
        start = "1. " if mark.endswith("2. ") else ""
        if start and one.text.count("{}") > 1:
            mark, start = "\n", ""
        text = start + one.text.replace("{}", mark)
        entries.append(Entry(name=person, text=text, items=one.items))
    return simple(name, "several items in one cell", entries, grid(entries))


def ditto(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(6, 0)
    mark = make.random.choice(['"', "same", "ditto", "\u3003"])
    rows: list[list[object]] = [list(HEAD)]
    wants: list[Want] = []
    for one in entries:
        rows.append([one.name, one.text, None])
        wants.append(
            Want(sheet="Intake", row=len(rows), items=one.items, resident=one.name)
        )
        again = make.random.choice(texts(CLEAR))
        rows.append([mark, again.text, None])
        wants.append(
            Want(sheet="Intake", row=len(rows), items=again.items, resident=one.name)
        )
    return CorpusFile(name=f"{name}.xlsx", damage="ditto marks",
                      data=xlsx({"Intake": rows}), wants=tuple(wants))  # fmt: skip


def merged_names(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(4, 0)
    rows: list[list[object]] = [list(HEAD)]
    wants: list[Want] = []
    areas = []
    for one in entries:
        start = len(rows) + 1
        for text in (one, *make.random.sample(texts(CLEAR), 2)):
            rows.append([one.name if len(rows) + 1 == start else None, text.text, None])
            wants.append(
                Want(sheet="Intake", row=len(rows), items=text.items, resident=one.name)
            )
        areas.append(f"A{start}:A{len(rows)}")

    def merge(book: Workbook) -> None:
        for area in areas:
            book["Intake"].merge_cells(area)

    return CorpusFile(name=f"{name}.xlsx", damage="merged names",
                      data=xlsx({"Intake": rows}, merge), wants=tuple(wants))  # fmt: skip


def totals_and_notes(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    rows = grid(entries)
    wants = list(wants_of(entries, 2))
    for text in ("Total", "NOTE: phone list is at the desk by the door", "page 1 of 2"):
        rows.append([text, None, 12 if text == "Total" else None])
        wants.append(Want(sheet="Intake", row=len(rows)))
    rows.insert(5, list(HEAD))
    wants = [replace(one, row=one.row + 1) if one.row >= 6 else one for one in wants]
    wants.append(Want(sheet="Intake", row=6))
    return CorpusFile(name=f"{name}.xlsx", damage="totals, notes, footers, headings again",
                      data=xlsx({"Intake": rows}), wants=tuple(wants))  # fmt: skip


def old_sheets(make: Maker, name: str) -> CorpusFile:
    entries, before = make.entries(), make.entries()
    old = make.random.choice(["OLD do not use", "backup", "Sat (old)"])
    data = xlsx({old: grid(before), "Sun AM": grid(entries)})
    return CorpusFile(name=f"{name}.xlsx", damage="old sheets beside the list", data=data,
                      wants=wants_of(entries, 2, "Sun AM"))  # fmt: skip


def block_sheets(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(12, 2)
    parts = {"Block A": entries[:6], "Block C": entries[6:]}
    data = xlsx({sheet: grid(rows) for sheet, rows in parts.items()})
    wants = [want for sheet, rows in parts.items() for want in wants_of(rows, 2, sheet)]
    return CorpusFile(name=f"{name}.xlsx", damage="one list on several sheets", data=data,
                      wants=tuple(wants))  # fmt: skip


def same_people_twice(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    data = xlsx({"Sat": grid(entries), "Sun": grid(entries[:-2])})
    return CorpusFile(name=f"{name}.xlsx", damage="the same people on two sheets", data=data,
                      wants=(), stop="several-intake-sheets")  # fmt: skip


def hidden(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    rows = make.random.sample(range(2, 12), 2)

    def hide(book: Workbook) -> None:
        for row in rows:
            book["Intake"].row_dimensions[row].hidden = True
        book["Intake"].column_dimensions["C"].hidden = True

    return CorpusFile(name=f"{name}.xlsx", damage="hidden rows and columns",
                      data=xlsx({"Intake": grid(entries)}, hide), wants=wants_of(entries, 2))  # fmt: skip


def struck_and_coloured(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    gone, red = make.random.sample(range(2, 12), 2)

    def dress(book: Workbook) -> None:
        sheet = book["Intake"]
        for column in "AB":
            sheet[f"{column}{gone}"].font = Font(strike=True)
            sheet[f"{column}{red}"].fill = PatternFill("solid", fgColor="FFFF0000")

    wants = [
        replace(one, items=tuple(replace(x, asks=("quantity",)) for x in one.items))
        if one.row == gone
        else one
        for one in wants_of(entries, 2)
    ]
    return CorpusFile(name=f"{name}.xlsx", damage="strike-through and colour",
                      data=xlsx({"Intake": grid(entries)}, dress), wants=tuple(wants))  # fmt: skip


def typed_badly(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    for one in entries:
        kind = make.random.randrange(5)
        if kind == 0:
            one.text = one.text.upper()
        elif kind == 1:
            one.text = one.text.replace(" ", "\u00a0") + "\u00a0 "
        elif kind == 2:
            one.text = f"  {one.text} \U0001f489"
        elif kind == 3:
            one.text = one.text.replace("-", "\u2013").replace("'", "\u2019")
        else:
            one.text = one.text.replace(" ", "  ")
    rows = grid(entries)
    for row in rows[1:]:
        row[2] = None
    return simple(name, "capitals, odd blanks, dashes and signs", entries, rows)


def text_numbers(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    for one in entries:
        count = str(one.count)
        one.count = make.random.choice([count, f"{count}\u00a0", f"x{count}", f" {count} ",
                                        f"{count}.0", f"about {count}"])  # fmt: skip
    return simple(name, "numbers as text", entries, grid(entries))


def misspelt(make: Maker, name: str) -> CorpusFile:
    """One letter of a long word changed: likely read, and asked about."""
    entries = make.entries(8, 0)
    for one in make.random.sample(entries, 2):
        words = [word for word in one.text.split() if len(word) >= 8 and word.isalpha()]
        if not words:
            continue
        word = words[0]
        at = make.random.randrange(2, len(word) - 2)
        wrong = word[:at] + word[at + 1] + word[at] + word[at + 2 :]
        if wrong == word:
            continue
        one.text = one.text.replace(word, wrong, 1)
        one.items = tuple(replace(x, asks=("kind_id",)) for x in one.items)
    return simple(name, "misspelt names", entries, grid(entries))


def range_dates(make: Maker, name: str) -> CorpusFile:
    """2-8 became 2 August or 8 February."""
    entries = make.counted()
    cold = [one for one in entries if not one.items[0].thawed]
    for one in entries:
        one.more = [None]
    for one in cold:
        if _cold_medicine(one):
            year = make.random.choice([2024, 2025])
            one.more = [
                make.random.choice([datetime(year, 8, 2), datetime(year, 2, 8), "2-8"])
            ]
    return simple(name, "2-8 made a date", entries, grid(entries, [*HEAD, "Temp"]))


def _cold_medicine(one: Entry) -> bool:
    kind = one.items[0].kinds[0]
    return kind.startswith(("insulin", "adalim", "dupil", "teri", "epoet", "tirze", "golim",
                            "filgr", "darb", "soma", "ustek", "omali"))  # fmt: skip


def count_dates(make: Maker, name: str) -> CorpusFile:
    """1-2 pens and 3/5 became dates: nobody can know the count."""
    entries = make.counted()
    for one in make.random.sample(entries, 2):
        one.count = make.random.choice([datetime(2025, 2, 1), datetime(2025, 3, 5)])
        one.items = tuple(replace(x, count=None) for x in one.items)
    return simple(name, "counts made dates", entries, grid(entries))


def odd_numbers(make: Maker, name: str) -> CorpusFile:
    """Codes such as 5E2, serial dates and telephone numbers in a count column."""
    entries = make.counted()
    wrong = [5.55e9, 45361, 1e6, -2, 0]
    for one, value in zip(make.random.sample(entries, 2), make.random.sample(wrong, 2),
                          strict=True):  # fmt: skip
        one.count = value
        one.items = tuple(replace(x, count=None) for x in one.items)
    return simple(name, "codes and serials made numbers", entries, grid(entries))


def cots_made_dates(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    rows: list[list[object]] = [["Cot", "Med", "Qty"]]
    for at, one in enumerate(entries, 1):
        cot = datetime(2025, 3, at) if at % 3 == 0 else at
        one.name = ""
        rows.append([cot, one.text, one.count])
    return simple(name, "cots made dates", entries, rows)


def code_pages(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    for one in entries[::2]:
        one.name = one.name.replace("o", "\u00f6").replace("e", "\u00e9")
    coding = make.random.choice(["cp1252", "utf-8", "utf-8-sig", "utf-16", "utf-16-le"])
    mark = make.random.choice([";", "\t", ","])
    data = text_of(grid(entries), mark).encode(coding)
    return CorpusFile(name=f"{name}.csv", damage="text in an old code page, any separator",
                      data=data, wants=wants_of(entries, 2))  # fmt: skip


def decimal_commas(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    rows = grid(entries, [*HEAD, "Volume each (L)"])
    for row in rows[1:]:
        row.append(make.random.choice(["0,5", "0,35", None]))
    return CorpusFile(name=f"{name}.csv", damage="decimal commas between semicolons",
                      data=text_of(rows, ";").encode(), wants=wants_of(entries, 2))  # fmt: skip


def old_formats(make: Maker, name: str) -> CorpusFile:
    entries = make.entries()
    kind = make.random.choice([xls, ods])
    ending = "xls" if kind is xls else "ods"
    return CorpusFile(name=f"{name}.{ending}", damage=".xls and .ods",
                      data=kind({"Intake": grid(entries)}), wants=wants_of(entries, 2))  # fmt: skip


def form_export(make: Maker, name: str) -> CorpusFile:
    """One column a question; the heading is the item."""
    head = ["Timestamp", "Full name", "Insulin lispro pens?", "Frozen breast milk (bags)",
            "Anything else?"]  # fmt: skip
    rows: list[list[object]] = [head]
    wants = []
    for person in make.people(8):
        pens, bags = (
            make.random.choice([None, 2, 4]),
            make.random.choice([None, 6, "no"]),
        )
        other = (
            make.random.choice(texts(CLEAR))
            if not pens and not isinstance(bags, int)
            else None
        )
        rows.append([datetime(2025, 10, 12, 9), person, pens, bags,
                     other.text if other else None])  # fmt: skip
        items = [item(f"insulin-lispro {pens}")] if pens else []
        items += [item(f"human-milk-frozen {bags}")] if isinstance(bags, int) else []
        items += list(other.items) if other else []
        wants.append(
            Want(sheet="Form", row=len(rows), items=tuple(items), resident=person)
        )
    return CorpusFile(name=f"{name}.xlsx", damage="form export, a column a question",
                      data=xlsx({"Form": rows}), wants=tuple(wants))  # fmt: skip


def chat(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(8, 0)
    stamp = make.random.choice(["", "[12/10/2025, 18:02] ", "12.10.25, 18:05 - "])
    dash = make.random.choice([": ", " - "]) if not stamp else ": "
    lines = "\n".join(f"{stamp}{one.name}{dash}{one.text}" for one in entries)
    return CorpusFile(name=f"{name}.txt", damage="pasted chat", data=lines.encode(),
                      wants=wants_of(entries, 1))  # fmt: skip


def no_headings(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(10, 0)
    rows = [[one.name, one.text] for one in entries]
    return CorpusFile(name=f"{name}.xlsx", damage="no headings at all",
                      data=xlsx({"Sheet1": rows}), wants=wants_of(entries, 1, "Sheet1"))  # fmt: skip


_DOSES = ["10U am", "100 units/mL", "twice daily", "40 mg", "1/day", "every 2 wks", "2x daily",
          "5 IU", "q8h", "U-100", "0.5 mg weekly"]  # fmt: skip


def doses(make: Maker, name: str) -> CorpusFile:
    """A dose or a strength beside the name; the count stands elsewhere."""
    entries = make.counted()
    for one in entries:
        one.text = f"{one.text} {make.random.choice(_DOSES)}"
    return simple(name, "doses and strengths beside names", entries, grid(entries))


def dose_only(make: Maker, name: str) -> CorpusFile:
    """Only a dose is given: nobody can know the count."""
    entries = make.counted(4)
    clear = make.entries(8, 0)
    for one in entries[:2]:
        one.text, one.count = f"{one.text} {make.random.choice(_DOSES)}", None
        one.items = tuple(replace(x, count=None) for x in one.items)
    both = entries[:2] + clear
    return simple(name, "only a dose", both, grid(both))


_HEADS = [
    ["Nombre y apellido", "Medicamento", "Cant."],
    ["Nom", "M\u00e9dicament", "Quantit\u00e9"],
    ["Name", "Medikament", "Menge"],
    ["Non", "Medikaman", "Konbyen"],
    ["H\u1ecd t\u00ean", "T\u00ean thu\u1ed1c", "S\u1ed1 l\u01b0\u1ee3ng"],
    ["\u59d3\u540d", "\u836f\u540d", "\u6570\u91cf"],
    ["\u0424\u0418\u041e", "\u041b\u0435\u043a\u0430\u0440\u0441\u0442\u0432\u043e",
     "\u041a\u043e\u043b-\u0432\u043e"],
    ["Pangalan", "Gamot", "Ilan"],
    ["\u0627\u0644\u0627\u0633\u0645", "\u0627\u0644\u062f\u0648\u0627\u0621",
     "\u0627\u0644\u0643\u0645\u064a\u0629"],
    ["WHO FOR?", "What is it", "How many"],
    ["Pt", "Rx", "No. of"],
    ["Last, First", "Meds needing cold", "QTY."],
]  # fmt: skip


def tongues(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    return simple(name, "headings in other words and tongues", entries,
                  grid(entries, make.random.choice(_HEADS)))  # fmt: skip


def misspelt_headings(make: Maker, name: str) -> CorpusFile:
    entries = make.counted()
    head = make.random.choice([
        ["Residnt", "Medcation", "Quanity"], ["Full nmae", "Medicne", "Quantty"],
        ["Resident", "Medicaton", "Amount"],
    ])  # fmt: skip
    return simple(name, "misspelt headings", entries, grid(entries, head))


def saved_formulas(make: Maker, name: str) -> CorpusFile:
    """Formulas without saved values: the count cannot be known."""
    entries = make.counted()
    rows = grid(entries)
    for at in make.random.sample(range(1, len(rows)), 2):
        rows[at][2] = "=1+1"
        entries[at - 1].items = tuple(
            replace(x, count=None) for x in entries[at - 1].items
        )
    return simple(name, "formulas without saved values", entries, rows)


def fahrenheit(make: Maker, name: str) -> CorpusFile:
    entries = [one for one in make.counted(20) if _cold_medicine(one)][:8]
    way = make.random.randrange(3)
    head = [["Temp (F)"], ["Storage temp"], ["Keep from", "Keep to", "F or C"]][way]
    for one in entries:
        cells: list[list[object]] = [["36-46"], ["36-46 F"], [36, 46, "F"]]
        one.more = cells[way]
    return simple(name, "Fahrenheit", entries, grid(entries, [*HEAD, *head]))


def storage_words(make: Maker, name: str) -> CorpusFile:
    """Freezer, fridge and room in a column; frozen milk only there."""
    entries = make.counted(8)
    for one in entries:
        kind = one.items[0].kinds[0]
        frozen = kind == "human-milk-frozen"
        room = kind in {
            "enoxaparin",
            "cgm-sensors",
            "powder-formula",
            "formula-powder-tin",
        }
        with_person = kind in {"epinephrine-auto-injector", "glucagon-kit"}
        if frozen:
            one.text = "EBM"
        word = "Freezer" if frozen else "room temp" if room else "Fridge"
        one.more = [None if with_person else make.random.choice([word, word.upper()])]
    return simple(name, "freezer, fridge or room in words", entries,
                  grid(entries, [*HEAD, "Fridge/Freezer/Room"]))  # fmt: skip


_YES = [
    "y",
    "Y.",
    "yes!!",
    "x",
    "\u2713",
    1,
    "si",
    "s\u00ed",
    "oui",
    "ja",
    "wi",
    "\u0434\u0430",
    "\u662f",
]
_NO = ["n", "no", "non", "nein", None, "No.", "\u043d\u0435\u0442", "\u5426"]


def yes_and_no(make: Maker, name: str) -> CorpusFile:
    """Frozen? and Opened? in many words."""
    entries = []
    for person in make.people(10):
        if make.random.random() < 0.5:
            frozen = make.random.random() < 0.6
            kind = "human-milk-frozen" if frozen else "human-milk-unknown"
            found = item(f"{kind} 4")
            if not frozen:
                found = replace(found, asks=("state",))
            mark = make.random.choice(_YES if frozen else _NO)
            entries.append(Entry(name=person, text="breast milk", items=(found,), count=4,
                                 more=[mark, None]))  # fmt: skip
        else:
            opened = make.random.random() < 0.4
            found = item(f"liraglutide 1{' open' if opened else ''}")
            mark = make.random.choice(_YES if opened else _NO)
            entries.append(Entry(name=person, text="liraglutide pen", items=(found,), count=1,
                                 more=[None, mark]))  # fmt: skip
    return simple(name, "yes and no in many words", entries,
                  grid(entries, [*HEAD, "Frozen?", "Opened?"]))  # fmt: skip


def expiry(make: Maker, name: str) -> CorpusFile:
    entries = make.counted(9)
    ways: list[tuple[object, datetime | None]] = [
        ("08/26", datetime(2026, 8, 31, 23, 59)), ("Aug 2026", datetime(2026, 8, 31, 23, 59)),
        ("2026-08-15", datetime(2026, 8, 15, 23, 59)), (datetime(2026, 8, 15), datetime(2026, 8, 15, 23, 59)),
        ("25/12/2025", datetime(2025, 12, 25, 23, 59)), ("12/25/2025", datetime(2025, 12, 25, 23, 59)),
        ("08/2026", datetime(2026, 8, 31, 23, 59)), (None, None), ("n/a", None),
    ]  # fmt: skip
    make.random.shuffle(ways)
    for one, (typed, wanted) in zip(entries, ways, strict=False):
        one.more = [typed]
        feed = (
            one.items[0]
            .kinds[0]
            .startswith(("human", "formula", "rtf", "enteral", "blended"))
        )
        one.keep_by = None if feed and wanted is None else wanted
    return simple(name, "expiry in many ways", entries, grid(entries, [*HEAD, "Exp"]))


def two_way_dates(make: Maker, name: str) -> CorpusFile:
    entries = make.counted(8)
    for one in entries:
        one.more = [None]
    for one in make.random.sample(entries, 2):
        one.more = [make.random.choice(["3/4/2026", "3/4", "01/02/26"])]
        one.items = tuple(replace(x, asks=("keep_by",)) for x in one.items)
    return simple(name, "d/m or m/d", entries, grid(entries, [*HEAD, "Use by"]))


def milk_in_ounces(make: Maker, name: str) -> CorpusFile:
    entries = []
    for person in make.people(8):
        count, ounces = make.random.randint(2, 9), make.random.choice([2, 4, 5, 6])
        text = make.random.choice([
            f"EBM frozen {count} bags {ounces}oz", f"frozen breast milk {count} x {ounces} oz",
            f"{count} bags frozen EBM ({ounces}oz)",
        ])  # fmt: skip
        entries.append(
            Entry(name=person, text=text, items=(item(f"human-milk-frozen {count}"),))
        )
    return simple(name, "ounces of milk are a volume", entries, grid(entries))


def open_ones(make: Maker, name: str) -> CorpusFile:
    entries = []
    ways = ["insulin lispro pens x{n} + 1 open", "insulin lispro {t} pens, 1 open",
            "insulin lispro pens ({t}) one opened", "insulin lispro {n} new 1 open"]  # fmt: skip
    for person in make.people(8):
        count = make.random.randint(2, 5)
        text = make.random.choice(ways).format(n=count, t=count + 1)
        items = (item(f"insulin-lispro {count}"), item("insulin-lispro 1 open"))
        entries.append(Entry(name=person, text=text, items=items))
    return simple(name, "unopened and open packs", entries, grid(entries))


def states_of_milk(make: Maker, name: str) -> CorpusFile:
    table = """
EBM not frozen, 4 bags | human-milk-unknown/human-milk-fresh 4
breast milk never frozen 3 bags | human-milk-unknown/human-milk-fresh 3
unfrozen EBM 2 bags | human-milk-unknown/human-milk-fresh 2
previously frozen EBM 5 bags | human-milk-thawed 5 thawed
defrosted breast milk 2 bottles | human-milk-thawed 2 thawed
EBM 6 frozen 4 fresh | human-milk-frozen 6; human-milk-fresh 4
frozen milk 8 bags (deep freezer) | human-milk-frozen 8
partly thawed milk 2 bags | human-milk-slushy 2
donor milk frozen 4 bottles | donor-milk-frozen 4
thawed donor milk 2 bottles | donor-milk-thawed 2 thawed
"""
    chosen = make.random.sample(texts(table), 6)
    clear = make.random.sample(texts(CLEAR), 12)
    people = make.people(18)
    entries = [Entry(name=name_, text=one.text, items=one.items)
               for name_, one in zip(people, [*chosen, *clear], strict=True)]  # fmt: skip
    return simple(name, "frozen, not frozen, thawed", entries, grid(entries))


def pets(make: Maker, name: str) -> CorpusFile:
    ways = ["cat insulin, 1 vial (pet!)", "dog insulin vial x1", "insulin for the dog, 1 vial",
            "vet insulin 1 vial", "insulin (cat) 1 vial"]  # fmt: skip
    entries = make.entries(12, 0)
    for one in make.random.sample(entries, 2):
        one.text, one.items = make.random.choice(ways), (item("insulin-pet 1"),)
    return simple(name, "pets", entries, grid(entries))


def names_oddly(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(10, 0)
    odd = ["Garcia x3", "baby of above", "J.", "unk male cot 31\u219244", "Rm 12 both", "(self)",
           "Staff \u2013 Pat", "grandma apt 4B"]  # fmt: skip
    for one in make.random.sample(entries, 4):
        one.name = make.random.choice(odd)
    return simple(name, "odd name cells", entries, grid(entries))


def hard_texts(make: Maker, name: str) -> CorpusFile:
    """Texts that look simple and are not; all of them over the variants."""
    table = texts(HARD)
    third = int(name[-1]) % VARIANTS
    chosen = table[third::VARIANTS]
    entries = [
        Entry(name=person, text=one.text, items=one.items)
        for person, one in zip(make.people(len(chosen)), chosen, strict=True)
    ]
    return simple(name, "texts that look simple", entries, grid(entries))


_PATTERNS = [
    "{n} {form} {name}", "{name} {form} x{n}", "{name} ({n} {form})", "{n}x {name} {form}",
    "{name} - {n} {form}", "{n} {form} of {name}", "{name} {strength} {n} {form}",
    "{strength} {name}, {n} {form}", "{name}; {n} {form}", "{name} {form} #{n}",
    "{name} {form} qty {n}", "{n} {form} - {name} - {strength}", "{name}: {n} {form}, {dose}",
    "{name} {dose} {n} {form}", "{n} unopened {name} {form}", "{name} {n} {form} new",
    "{name} {n} {form} (fridge)", "has {n} {form} {name}", "{name} {n}{form}",
    "{n} new {form} {name} {strength}",
]  # fmt: skip
_PRODUCTS = [
    ("insulin lispro", "insulin-lispro", "pens"), ("insulin aspart", "insulin-aspart", "pens"),
    ("glargine", "insulin-glargine-u100", "pens"), ("detemir", "insulin-detemir", "pens"),
    ("NPH insulin", "insulin-nph-vial", "vials"), ("adalimumab", "adalimumab", "syringes"),
    ("dupilumab", "dupilumab", "pens"), ("etanercept", "etanercept", "syringes"),
    ("omalizumab", "omalizumab", "syringes"), ("filgrastim", "filgrastim", "syringes"),
    ("epoetin", "epoetin-alfa", "vials"), ("octreotide", "octreotide", "amps"),
    ("liraglutide", "liraglutide", "pens"), ("tirzepatide", "tirzepatide", "pens"),
    ("enoxaparin", "enoxaparin", "syringes"), ("lorazepam inj", "lorazepam-injection", "vials"),
    ("latanoprost", "latanoprost", "bottles"), ("TPN", "pn-compounded", "bags"),
    ("immune globulin", "immune-globulin", "vials"), ("somatropin", "somatropin", "cartridges"),
    ("golimumab", "golimumab", "pens"), ("ustekinumab", "ustekinumab", "syringes"),
]  # fmt: skip
_STRENGTHS = [
    "100 units/mL",
    "40mg/0.8mL",
    "U-100",
    "50 mg",
    "3 mL",
    "0.5 mg",
    "10 mg/ml",
]
_TAKEN = [
    "10 units daily",
    "once weekly",
    "2x daily",
    "1/day",
    "every 2 wks",
    "twice a week",
]


def patterns(make: Maker, name: str) -> CorpusFile:
    """Names, forms, counts, strengths and doses in any order."""
    entries = []
    for person in make.people(24):
        product, kind, form = make.random.choice(_PRODUCTS)
        count = make.random.randint(2, 9)
        text = make.random.choice(_PATTERNS).format(
            n=count, name=product, form=form, strength=make.random.choice(_STRENGTHS),
            dose=make.random.choice(_TAKEN),
        )  # fmt: skip
        entries.append(Entry(name=person, text=text, items=(item(f"{kind} {count}"),)))
    return simple(name, "names, counts, strengths in any order", entries, grid(entries))


_MILK = [
    "EBM",
    "breast milk",
    "BM",
    "expressed milk",
    "mom's breast milk",
    "leche materna",
]
_MILK_STATES = [
    ("frozen", "human-milk-frozen", ""), ("in freezer", "human-milk-frozen", ""),
    ("(frozen solid)", "human-milk-frozen", ""), ("thawed", "human-milk-thawed", "thawed"),
    ("defrosted", "human-milk-thawed", "thawed"), ("was frozen", "human-milk-thawed", "thawed"),
    ("fresh", "human-milk-fresh", ""), ("not frozen", "human-milk-unknown/human-milk-fresh", ""),
    ("half thawed", "human-milk-slushy", ""), ("never frozen", "human-milk-unknown/human-milk-fresh", ""),
]  # fmt: skip
_MILK_WAYS = [
    "{n} bags {state} {milk}", "{milk} {n} bags {state}", "{milk} {state} x{n}",
    "{milk}, {state}, {n} bottles", "{n} bottles of {milk} {state}", "{milk} {state} {n} bags 4oz",
    "{state} {milk} {n} bags (120 ml)", "{milk} ({state}) {n} bottles",
]  # fmt: skip


def milk_patterns(make: Maker, name: str) -> CorpusFile:
    """Milk in every state, said in any order."""
    entries = []
    for person in make.people(20):
        state, kind, flag = make.random.choice(_MILK_STATES)
        count = make.random.randint(2, 9)
        text = make.random.choice(_MILK_WAYS).format(
            n=count, state=state, milk=make.random.choice(_MILK)
        )
        found = item(f"{kind} {count} {flag}".strip())
        entries.append(Entry(name=person, text=text, items=(found,)))
    return simple(name, "milk in every state, in any order", entries, grid(entries))


def not_items(make: Maker, name: str) -> CorpusFile:
    entries = make.entries(9, 0)
    rows = grid(entries)
    wants = list(wants_of(entries, 2))
    lines = ["left Tues w/ daughter", "NONE - just ice packs for knee", "see bag", "?", "ask wife",
             "bottles", "gone home", "n/a"]  # fmt: skip
    for text in make.random.sample(lines, 4):
        rows.append([make.people(1)[0], text, None])
        wants.append(Want(sheet="Intake", row=len(rows)))
    return CorpusFile(name=f"{name}.xlsx", damage="texts that are no items",
                      data=xlsx({"Intake": rows}), wants=tuple(wants))  # fmt: skip


MAKERS: tuple[Callable[[Maker, str], CorpusFile], ...] = (
    titles, two_row_headings, units_in_second_row, several_in_a_cell, ditto, merged_names,
    totals_and_notes, old_sheets, block_sheets, same_people_twice, hidden, struck_and_coloured,
    typed_badly, text_numbers, misspelt, range_dates, count_dates, odd_numbers, cots_made_dates,
    code_pages, decimal_commas, old_formats, form_export, chat, no_headings, doses, dose_only,
    tongues, misspelt_headings, saved_formulas, fahrenheit, storage_words, yes_and_no, expiry,
    two_way_dates, milk_in_ounces, open_ones, states_of_milk, pets, names_oddly, hard_texts,
    patterns, milk_patterns, not_items,
)  # fmt: skip


def corpus(variants: int = VARIANTS) -> list[CorpusFile]:
    """All files, in a fixed order."""
    return [
        maker(Maker(f"{maker.__name__} {at}"), f"{maker.__name__}_{at}")
        for maker in MAKERS
        for at in range(variants)
    ]
