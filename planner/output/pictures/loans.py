"""What stays short after each step of the borrow list, as bars."""

from planner.output.manner import PLAIN, Manner
from planner.output.pictures.svg import Drawing
from planner.output.pictures.units import Picture
from planner.output.words import clean
from planner.result import Plan
from planner.scenario import Tier

_WIDTH, _STEP, _BAR_HIGH, _LONGEST = 380.0, 44.0, 16.0, 330.0
_URGENT = (Tier.A, Tier.B, Tier.C)


def loans_picture(plan: Plan, how: Manner = PLAIN) -> Picture | None:
    """Draw the bags of tiers A to C that are short, now and after each step."""
    steps = sorted(plan.loans, key=lambda one: one.rank)
    if not steps:
        return None
    now = sum(
        one.count for one in plan.shortfalls if one.tier in _URGENT and not one.surplus
    )
    rows = [
        (how.say("tell.loans.now"), now),
        *(
            (
                how.say(
                    "tell.loans.after",
                    rank=one.rank,
                    names=" + ".join(map(clean, one.names)),
                ),
                one.still_short,
            )
            for one in steps
        ),
    ]
    most = max(1, *(count for _, count in rows))
    drawing = Drawing(_WIDTH)
    y = 16.0
    for words, count in rows:
        drawing.text(4, y, words, columns=50)
        wide = _LONGEST * count / most
        drawing.box(4, y + 6, max(wide, 2), _BAR_HIGH, fill="#8fb8d6")
        drawing.text(10 + wide, y + 19, str(count), bold=True)
        y += _STEP
    return Picture(
        title=how.say("tell.loans.title"),
        svg=drawing.done(),
        words=tuple(
            how.count("tell.loans.short", count, words=words) for words, count in rows
        ),
    )
