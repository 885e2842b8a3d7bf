"""The pages in the order of the work: which there are, and where their names are."""

from planner.output.manner import Manner
from planner.output.wording import wording
from planner.screens.say import manner, say

FOLDER = "planner/screens/pages"
CONTENTS: dict[str, tuple[str, ...]] = {
    "now": ("status",),
    "in": ("bring_list", "questions", "have", "conditions"),
    "out": ("plan", "power", "short", "borrow", "take", "what_if"),
    "end": ("keep",),
    "ask": ("look_up",),
    "change": ("one_more", "plan_again"),
}
"""Pages by heading; a page's file is its name with ``.py``.

Heading and page are named in ``screens.csv`` as ``at.contents.`` and the word
that stands here.
"""

FIRST = "bring_list"
"""Page that is open when nobody chose one."""

TITLES = {
    name: wording(Manner().language).say(f"at.contents.{name}")
    for pages in CONTENTS.values()
    for name in pages
}
"""English title of each page."""


def title_of(name: str) -> str:
    """Title of a page, or of a heading above pages, in the reader's language."""
    return say(f"at.contents.{name}")


def heading_of(name: str) -> str:
    """Title of a page as it stands at its top: without its number."""
    title = title_of(name)
    number, _, rest = title.partition(" ")
    return rest if number.isdigit() else title


def path_of(name: str) -> str:
    """Path of a page's file from the root of the program."""
    return f"{FOLDER}/{name}.py"


def page_words(name: str, how: Manner | None = None) -> str:
    """Name a page within a sentence: ``page 5``."""
    said = how or manner()
    title = said.say(f"at.contents.{name}")
    number, _, _ = title.partition(" ")
    if number.isdigit():
        return said.say("at.contents.page_number", number=number)
    return said.say("at.contents.page_title", title=title)
