"""Wording of the issues that stop the plan or wait for a person."""

STOP = (
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
    ("too-much-text", "The item cells hold far more text than an intake list can.",
     "Keep the rows of this site only, and write one item a row."),
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
REVIEW = (
    ("column-misfit", ("Hardly a cell under {column} fits that heading: {odd} of "
     "{used} do not. Two columns may be swapped."),
     ("Look at the list. Change as what its headings are read where it was brought "
      "in, or move the headings in the file and bring it in again.")),
    ("item-missing", "The row has no item.", "Ask what is in the bag; fill in Item."),
    ("item-not-readable", "'{value}' does not say which item it is.",
     "Look at the label and write its generic name."),
    ("item-unknown", ("'{value}' is not in the catalogue; it is held at 2 to 8 C, not "
     "frozen, with no time out of the cold."),
     "Check the label with a pharmacist; fill in Keep from, Keep to and Warm hours."),
    ("item-ambiguous", ("'{value}' could be {names}; it is held at 2 to 8 C, not frozen, "
     "with no time out of the cold."),
     "Write one item a row, with its generic name."),
    ("item-guessed", "'{value}' was read as {name}, by likeness.",
     "Check the label and write the name as the catalogue spells it."),
    ("item-two-names", "'{value}' names {names} as well; only {name} is planned.",
     "Write one item a row."),
    ("form-differs", "'{value}' is of another form than {name}, which is planned.",
     "Read the label: tablets and patches usually need no cold space."),
    ("item-mixed", "'{value}' holds packs in different states; all are planned alike.",
     "Write one row for each state: frozen, thawed, open."),
    ("words-left", ("'{value}' was read as {name}, which takes no cold space, but these "
     "words were not understood: {words}."),
     "Check the label, and write one item a row."),
    ("maybe-pet", ("An animal is named beside {name}; it is planned as a person's until "
     "somebody has asked."),
     "Ask whose it is; write 'for the dog' or the person's name."),
    ("maybe-gone", "'{value}' may say that {name} is no longer here; it is still planned.",
     "Look into the bag; take the row off the list when it has gone."),
    ("several-people", "'{value}' is for several people; it is one line for now.",
     "Write one row for each person."),
    ("milk-slushy", ("'{value}' is partly thawed; it is kept as cold as it can be."),
     ("Look at it now: with ice crystals it goes into a freezer; without, it is thawed "
      "milk and is never frozen again.")),
    ("colour-not-read", ("Rows {used} have cells of a colour of their own ({value}); "
     "what it means is not known."),
     "Ask what it means: urgent, gone, done. Write it in words."),
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
    ("aliases-not-read", ("The site's own word list cannot be used: {detail}. Its words "
     "are asked about."),
     "Save it as .xlsx or .csv with the headings Words and Kind, and load it again."),
    ("alias-blank", "A row of the word list lacks its words or its kind; it is not used.",
     "Fill in both, or delete the row."),
    ("alias-kind-unknown", ("'{value}' is no kind of the catalogue; this row of the word "
     "list is not used."),
     "Write the id of a kind, as the catalogue lists it. Near to it: {near}."),
    ("alias-clash", ("'{value}' already stands for {used}; it is not read as {name}."),
     "Take the row out of the word list, or write words that mean one thing only."),
    ("alias-too-wide", ("'{value}' is no name: it would be found in items of any kind; "
     "this row of the word list is not used."),
     "Write the name on the label, at least 3 letters."),
)  # fmt: skip
