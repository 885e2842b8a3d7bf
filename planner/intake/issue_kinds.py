"""Every issue the intake can raise: its grade, its sentence, its remedy.

Wording is kept here and nowhere else; docs/issues.md is made from it.
``{value}``, ``{column}`` and ``{sheet}`` stand for the cell; other words
are filled in where the issue is found.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from planner.issue import Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueKind:
    """One kind of issue."""

    code: str
    severity: Severity
    message: str
    remedy: str


_STOP = (
    ("file-empty", "The file is empty.", "Choose the saved workbook again."),
    ("file-too-big", "The file is too big to be an intake workbook ({detail}).",
     "Save only the sheets of this site in a new workbook."),
    ("file-not-workbook", "The file is not a workbook.",
     "Open it in a spreadsheet program and save it as .xlsx."),
    ("file-old-format", "The file is in another spreadsheet format.",
     "Open it in a spreadsheet program and save it as .xlsx."),
    ("file-locked", "The workbook is locked with a password.",
     "Open it, take the password off, save it again."),
    ("file-damaged", "The workbook is damaged and cannot be read.",
     "Open it in a spreadsheet program, let it repair the file, save it as .xlsx."),
    ("file-unsafe", ("The workbook holds definitions that no spreadsheet needs "
     "and that can harm this computer; it was not opened."),
     "Copy the cells into the blank workbook."),
    ("file-unpacks-too-big", ("The workbook unpacks to far more than an intake list "
     "holds; it was not opened."),
     "Copy the cells in use into the blank workbook."),
    ("file-no-rows", "The workbook has no filled cell.",
     "Fill in the Intake sheet, save, and choose the file again."),
    ("too-many-rows", "There are more rows than an intake list can hold ({detail}).",
     "Keep the rows of this site only, and delete the empty formatted rows."),
    ("reading-failed", ("The workbook could not be read because of a fault in this "
     "program ({value})."),
     "Copy the cells into the blank workbook; keep the file and report the fault."),
    ("no-intake-sheet", "No sheet has a heading row with an Item column.",
     "Name the sheet Intake and give its item column the heading Item."),
    ("several-intake-sheets", ("More than one sheet looks like the intake list: "
     "{names}."),
     "Rename the right one to Intake."),
    ("no-header", "No heading row was found in the first 12 rows of this sheet.",
     "Put the headings of the blank workbook above the rows."),
    ("heading-missing", "The column {column} is missing.",
     "Add the column, or rename the one that holds it."),
    ("no-intake-rows", "The Intake sheet has headings but no rows.",
     "Add one row for each item."),
    ("window-not-usable", "The window of {value} cannot be planned.",
     "Give a whole number of hours from 1 to 240."),
    ("load-without-watts", ("A load that comes before the fridges has no usable "
     "watts, so nothing can be promised from the same power."),
     "Read the watts from its type plate, or delete the row."),
)  # fmt: skip
_REVIEW = (
    ("item-missing", "The row has no item.", "Ask what is in the bag; fill in Item."),
    ("item-not-readable", "'{value}' does not say which item it is.",
     "Look at the label and write its generic name."),
    ("item-unknown", ("'{value}' is not in the catalogue; it is held at 2-8 C, not "
     "frozen, with no time out of the cold."),
     "Check the label with a pharmacist; fill in Keep from, Keep to and Warm hours."),
    ("item-ambiguous", ("'{value}' could be {names}; it is held at 2-8 C, not frozen, "
     "with no time out of the cold."),
     "Write one item a row, with its generic name."),
    ("item-guessed", "'{value}' was read as {name}, by likeness.",
     "Check the label and write the name as the catalogue spells it."),
    ("item-mixed", "'{value}' holds packs in different states; all are planned alike.",
     "Write one row for each state: frozen, thawed, open."),
    ("words-left", ("'{value}' was read as {name}, which takes no cold space, but these "
     "words were not understood: {words}."),
     "Check the label, and write one item a row."),
    ("maybe-pet", ("An animal is named beside {name}; it is planned as a person's until "
     "somebody has asked."),
     "Ask whose it is; write 'for the dog' or the person's name."),
    ("several-people", "'{value}' is for several people; it is one line for now.",
     "Write one row for each person."),
    ("milk-slushy", ("'{value}' is partly thawed; it is kept as cold as it can be."),
     ("Look at it now: with ice crystals it goes into a freezer; without, it is thawed "
      "milk and is never frozen again.")),
    ("struck-through", "The row is struck through; it is still planned.",
     "Delete the row when the item has gone, or take the line away."),
    ("band-not-usable", "'{value}' is not a temperature range.",
     ("Fill in both edges, as on the label: 2-8 C or 36-46 F. Until then the "
     "catalogue's range is used: {used}.")),
    ("band-one-edge", "'{value}' is one temperature, not a range.",
     ("Fill in both edges, as on the label. Until then the catalogue's range is "
     "used: {used}.")),
    ("band-upside-down", "Keep from is above Keep to: {value}.",
     "Correct the two. Until then the catalogue's range is used: {used}."),
    ("freezer-conflict", ("The row says freezer or frozen, but {name} must not freeze; "
     "it is planned at {used}."),
     "Read the label; ask a pharmacist whether it is still good."),
    ("pool-conflict", ("{name} usually needs no cold space ({gate}), but the row says "
     "that it must be cold."),
     "Read the label: correct the row, or the item."),
    ("cold-not-wanted", ("{name} usually needs the cold ({used}), but the row says that "
     "it does not; it is planned cold."),
     "Read the label; fill in Keep from and Keep to."),
    ("room-band", ("The row's range of {used} is room temperature; it is kept on a "
     "cool shelf, not in the cold pool."),
     "Read the label; correct Keep from and Keep to if it must be cold."),
    ("past-keep-by", "The date on the label is before the start: {value}.",
     "Ask a pharmacist or the parent before it is used."),
    ("formula-no-value", "The cell holds a formula without a saved value.",
     "Open the workbook in a spreadsheet program and save it once."),
    ("unit-type-unknown", "'{value}' is not a type of cold unit; it is left out.",
     "Choose a type from the list of the blank workbook."),
    ("unit-type-ambiguous", ("'{value}' may be a compressor or a thermoelectric box; "
     "it is planned as thermoelectric, the weaker one."),
     "Look at its label: write compressor or thermoelectric."),
    ("unit-no-volume", "A cold unit without a usable volume is left out.",
     "Measure the inside, or read the litres from its label."),
    ("battery-no-capacity", ("A battery without a capacity is left out; it does not "
     "count as 0 Wh."),
     "Fill in Capacity (Wh), or both Ah and Volts."),
    ("panel-no-watts", "A panel without watts is left out.",
     "Read the watts from the back of the panel."),
    ("source-no-watts", "A source without usable watts is left out.",
     "Read the watts from its type plate."),
    ("source-no-clock", "A source without the clock times it runs at is left out.",
     "Fill in From and To, such as 06:00 and 22:00."),
    ("source-kind-unknown", "'{value}' is no kind of power; the row is left out.",
     "Write mains, generator, vehicle or life support."),
    ("status-unknown", ("'{value}' does not say whether it is here; it is planned "
     "only as an offer."),
     "Write here, can borrow or out of order."),
)  # fmt: skip
_ASSUMED = (
    ("quantity-assumed", "The quantity was not given or not clear; 1 is assumed.",
     "Count the packs and fill in Quantity."),
    ("quantity-reckoned", "'{value}' is read as {used} packs: {why}.",
     "Count the packs and fill in Quantity."),
    ("dose-not-count", "'{value}' is a dose, not a number of packs; 1 is assumed.",
     "Count the packs and fill in Quantity."),
    ("type-not-known", ("'{value}' does not name the product; it is planned by the "
     "strictest of its kind: {name}."),
     "Read the label, or take a picture of it; write the generic name."),
    ("state-not-said", ("'{value}' does not say whether it is fresh or was frozen; it is "
     "planned as milk that must not be frozen again."),
     "Ask: fresh, frozen or thawed, and since when."),
    ("pet-item", ("'{value}' is read as an animal's; it comes after people's items and "
     "has a bag of its own."),
     "Correct the row if it is a person's."),
    ("part-left", ("'{value}' beside {name} was not understood; it may be a second item."),
     "Write one item a row."),
    ("storage-word-unclear", ("'{value}' does not say fridge, freezer or room; the "
     "catalogue's {used} is used."),
     "Write the label's range, such as 2-8 C, or fridge, freezer or room."),
    ("keep-by-worked-out", ("Made or opened at {value}: {name} is counted to keep until "
     "{used}."),
     "Write the date on the label into Keep by, if it is another one."),
    ("in-use-day", ("'{value}' is in use and has {used} days left of its own count."),
     "Write the last day into Keep by."),
    ("beyond-use-date", ("{name} was made up for one person and has a last day of its "
     "own, which is not given."),
     "Read the beyond-use date on the label; write it into Keep by."),
    ("kit-whole", "{name} may be one part of a kit; only this part is planned.",
     "Look into the kit; write one row for each thing that must be cold."),
    ("quantity-rounded", "The quantity {value} was rounded up to {used}.",
     "Fill in whole packs."),
    ("number-not-usable", "'{value}' is not a usable number for {what}; {used}.",
     "Fill in {what} as a number, in{unit}."),
    ("number-out-of-range", ("'{value}' is not likely for {what}, which should lie in "
     "{low} to {high}{unit}; {used}."),
     "Check the number and its unit."),
    ("number-two-ways", "'{value}' can be read as two numbers; {used}.",
     "Write it without a thousands mark, and say the unit."),
    ("unit-not-known", "The unit of '{value}' is not known; {used}.",
     "Write the number in{unit}."),
    ("choice-not-known", "'{value}' is not one of: {choices}; {used}.",
     "Choose one from the list."),
    ("yes-no-unclear", "'{value}' is neither yes nor no; {used}.",
     "Write yes or no."),
    ("clock-not-usable", "'{value}' is not a clock time; {used}.",
     "Write it as 14:30."),
    ("date-not-usable", "'{value}' is not a date; {used}.",
     "Write it as 2025-03-31, with a clock time if one matters."),
    ("date-two-ways", "'{value}' can be two dates; {used}.",
     "Write it as 2025-03-31."),
    ("date-turned-back", ("The spreadsheet made a date out of a range; it was read as "
     "{used}."),
     "Format the column as text, or write 2 to 8."),
    ("fahrenheit-assumed", "'{value}' is not likely in C; it was read as F: {used}.",
     "Put the unit into the heading or the cell."),
    ("cell-error", "The cell holds a spreadsheet error ({value}); it counts as blank.",
     "Mend the formula, or write the value."),
    ("ditto-copied", "A ditto mark was replaced by the cell above.",
     "Check the row; write the value out."),
    ("split-quantity", ("One quantity stands for several items; each part was given "
     "{used}."),
     "Write one item a row."),
    ("never-freeze-kept", ("The row says that it may freeze, but {name} must not; never "
     "freeze is kept."),
     "Read the label; ask a pharmacist."),
    ("band-wider", ("The row's range of {value} is wider than the catalogue's {used}; "
     "the row's is planned."),
     "Check it against the label."),
    ("out-since-future", "{value} is after the start; it counts as out from the start.",
     "Check the date and the clock time."),
    ("same-item-twice", ("The same person has the same item in row {other}; both are "
     "counted."),
     "Delete one, if it is an update and not a second pack."),
    ("row-hidden", "The row is hidden in the spreadsheet; it was read all the same.",
     "Delete the row, or show it again."),
    ("text-cut", "The cell is very long; its end was not read.",
     "Shorten the text."),
    ("place-blank", "No place is given; {used} is assumed.", "Fill in Place."),
    ("name-blank", "The row has no name; it is called {used}.", "Name it."),
    ("name-twice", "{value} is used twice; this one is called {used}.",
     "Give each its own name, and write it on the thing."),
    ("heading-twice", "Two columns are read as {column}; the left one is used.",
     "Rename or delete one of them."),
    ("equipment-twice", ("Both workbooks have rows in this sheet; those of the intake "
     "workbook are used."),
     "Delete the sheet in one of them."),
    ("zones-not-usable", ("'{value}' does not say how the inside is divided; one zone "
     "is assumed."),
     "Write 2, or shares such as 60/40, or litres such as 20+15 L."),
    ("set-points-not-usable", "'{value}' does not list usable set points; {used}.",
     "Write them with semicolons between: 5; -18."),
    ("default-used", "{what} is not given; {used} is assumed.",
     "Fill it in, if you can read or measure it."),
    ("status-assumed", ("A lender is named but no status; it is planned only as an "
     "offer."),
     "Write here when it has come."),
    ("warm-longer", ("The row's time out of the cold of {value} is longer than the "
     "catalogue's {used}; the row's is planned."),
     "Check it against the label."),
    ("charge-small", "'{value}' in a percent column is read as {used}.",
     "Write percent as 80 or 80%."),
    ("days-not-usable", ("'{value}' does not name days of the window; every day is "
     "assumed."),
     "Write day numbers from the start, 0; 1; 2, or names: Tue, Wed."),
    ("start-assumed", "No start is given; {used} is assumed.",
     "Fill in Start with day and clock time."),
    ("start-rounded", "The start {value} was moved to the next full hour, {used}.",
     "Give a full hour."),
    ("setting-not-known", "'{value}' is not a setting; the row was not used.",
     "Use the names of the blank workbook."),
    ("setting-twice", ("The setting stands in row {other} already; this row was not "
     "used."),
     "Delete one of them."),
    ("setting-place-unknown", "The place {value} is in no other sheet.",
     "Write places the same way in every sheet."),
    ("window-rounded", "The window {value} was cut down to {used} h.",
     "Give whole hours."),
    ("sun-unknown", ("Neither latitude and longitude nor peak sun hours are given; "
     "{used} peak sun hours are assumed."),
     "Fill in Latitude and Longitude, or Peak sun hours."),
    ("back-before-ready", ("It goes back before it is ready; it is left out as not "
     "usable in the window."),
     "Check Ready in and Back by."),
)  # fmt: skip
_NOTE = (
    ("sheet-taken", "This sheet was read as the intake list.",
     "Nothing to do if that is right."),
    ("sheet-not-read", "This sheet was not read; it has {used} filled rows.",
     "Rename it as in the blank workbook if it should count."),
    ("column-not-read", "The column {column} was not read.",
     "Rename it as in the blank workbook if it should count."),
    ("priority-not-read", ("The column {column} was not used: which end is high is not "
     "known."),
     "Use Tier, A to E."),
    ("total-row", "A row of totals was left out.", "Nothing to do."),
    ("note-row", "A row of notes was left out.", "Nothing to do if it is no item."),
    ("header-repeated", "A second row of headings was left out.", "Nothing to do."),
    ("item-departed", "'{value}' says that the item has gone; the row was left out.",
     "Write the item again if it is still here."),
    ("no-item", "'{value}' says that there is no item; the row was left out.",
     "Nothing to do if that is right."),
    ("resident-blank", "The row has no resident; it was given a code of its own.",
     "Write the name, or write the code on the bag."),
    ("item-split", "The cell names {used} items; each became a line of its own.",
     "Check that nothing is missing."),
    ("in-use-with-person", ("{name} in use stays with the person and takes no cold "
     "space."),
     "Check the label for how long."),
    ("opened-when", "{name} is in use; the day of opening is not given.",
     "Write the day of opening on the pack and into the row."),
    ("check-label", "Labels of {name} differ in where and how long it is kept.",
     "Read this one's label."),
    ("controlled-count", "{name} is controlled: locked away, counted by two people.",
     "Write down every count with two initials."),
    ("handle-hazard", "{name} is marked as hazardous to handle.",
     "Wear gloves; keep it in a closed bag of its own."),
    ("allergy-only", "{name} is for an allergy.",
     "Never share it, and give no other in its place."),
    ("donor-milk", "{name} comes from a donor.",
     "Keep it apart, with its batch number."),
    ("clinic-stock", "'{value}' may be a clinic's stock.",
     "Call the clinic; keep it apart from residents' bags."),
    ("ice-wanted", "'{value}' asks for ice, not for cold space.",
     "Put it on the ice list."),
    ("maybe-same-person", "Rows {used} may be the same person.",
     "Write the name and the household the same way, if so."),
    ("tier-given", "Tier {value} was set by hand and is not worked out.",
     "Nothing to do if that is right."),
    ("energy-over-power", ("Its Wh a day are more than its running watts give in "
     "24 hours."),
     "Read both again from the type plate."),
    ("unit-out-of-order", "It is out of order and not planned.", "Nothing to do."),
    ("places-alike", "{value} and {used} may be the same place.",
     "Write places the same way in every sheet."),
)  # fmt: skip


def _kinds() -> Mapping[str, IssueKind]:
    graded = (
        (Severity.STOP, _STOP),
        (Severity.REVIEW, _REVIEW),
        (Severity.ASSUMED, _ASSUMED),
        (Severity.NOTE, _NOTE),
    )
    return MappingProxyType(
        {
            code: IssueKind(
                code=code, severity=severity, message=message, remedy=remedy
            )
            for severity, rows in graded
            for code, message, remedy in rows
        }
    )


ISSUE_KINDS: Mapping[str, IssueKind] = _kinds()
"""All issue kinds by code, gravest first."""
