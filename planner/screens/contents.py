"""The pages in the order of the work: file and title, said in one place."""

FOLDER = "planner/screens/pages"
CONTENTS: dict[str, tuple[tuple[str, str], ...]] = {
    "Now": (("status", "Where we stand"),),
    "In": (
        ("bring_list", "1 Bring in the list"),
        ("questions", "2 Sort out questions"),
        ("have", "3 What we have"),
        ("conditions", "4 Conditions"),
    ),
    "Out": (
        ("plan", "5 The plan"),
        ("power", "6 Power by the hour"),
        ("short", "7 Who is short"),
        ("borrow", "8 Borrow first"),
        ("take", "9 Paper and files"),
        ("what_if", "10 What if"),
    ),
    "End": (("keep", "11 Keep, carry, close down"),),
    "Ask": (
        ("look_up", "12 Look up an item"),
        ("one_more", "13 Take one more"),
    ),
}
"""Pages by heading; a page's file is its name with ``.py``."""

FIRST = "bring_list"
"""Page that is open when nobody chose one."""

TITLES = {name: title for pages in CONTENTS.values() for name, title in pages}
"""Title of each page."""


def path_of(name: str) -> str:
    """Path of a page's file from the root of the program."""
    return f"{FOLDER}/{name}.py"


def page_words(name: str) -> str:
    """Name a page within a sentence: ``page 5``."""
    number, _, _ = TITLES[name].partition(" ")
    return f"page {number}" if number.isdigit() else f"the page {TITLES[name]}"
