"""What happens when: plugs, dark times, clocks of bags, dates, on one line."""

from dataclasses import dataclass
from datetime import datetime

import pandas as pd

from planner.output.daylight import nights
from planner.output.index import SUN_CASES, SUN_WORDS, Index, index_plan
from planner.output.paper.facts import paper_facts
from planner.output.paper.goods import units_on
from planner.output.paper.phrases import untied
from planner.output.paper.rota import Task, rota
from planner.output.pictures.svg import GREY, PALE, Drawing, spread
from planner.output.pictures.units import Picture
from planner.output.tables import Cell, frame
from planner.output.wording import Language, wording
from planner.output.words import plural
from planner.result import Plan
from planner.scenario import SunCase

_WIDTH, _HOUR_PX, _TOP = 380.0, 9.0, 14.0
_LINE_X, _WORDS_X, _GAP = 92.0, 118.0, 19.0
_TICK_H = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happens at a clock time, with the kind of it in a word."""

    hour: float
    kind: str
    text: str


def events(plan: Plan) -> tuple[Event, ...]:
    """Everything inside the window that has a clock time, in order."""
    index = index_plan(plan)
    facts = paper_facts(plan, wording(Language.EN), None, marked=False)
    # The rota names dark times too, but only those of the planned sun.
    dark = {facts.say("rota.dark", unit=facts.name(one.id)) for one in units_on(facts)}
    found = [
        *(
            Event(hour=float(one.hour), kind="PLUGS", text=_task_words(one))
            for one in rota(facts)
            if one.text not in dark
        ),
        *_dark(index),
        *_clocks(index),
    ]
    window_h = plan.scenario.conditions.window_h
    return tuple(
        sorted(
            dict.fromkeys(one for one in found if 0 <= one.hour <= window_h),
            key=lambda one: (one.hour, one.kind, one.text),
        )
    )


def _task_words(task: Task) -> str:
    shows = "; ".join(task.reading.split("\n"))
    return f"{untied(task.text)} ({untied(shows)})" if shows else untied(task.text)


def events_table(plan: Plan) -> pd.DataFrame:
    """List the events in words: the twin of the picture."""
    index = index_plan(plan)
    rows: list[tuple[Cell, ...]] = [
        (index.clock(one.hour), one.kind, one.text) for one in events(plan)
    ]
    return frame(("When", "Kind", "What"), rows)


def timeline_picture(plan: Plan) -> Picture:
    """Draw the window from top to bottom, nights shaded, events by the hour."""
    index = index_plan(plan)
    window_h = plan.scenario.conditions.window_h
    drawing = Drawing(_WIDTH)
    for first, last in nights(plan):
        y = _TOP + first * _HOUR_PX
        high = (last - first) * _HOUR_PX
        drawing.box(0, y, _LINE_X, high, fill=PALE, stroke=0)
        word_y = _free_of_ticks(first, last)
        if word_y is not None:
            drawing.text(2, word_y, "night", size=12, colour=GREY)
    drawing.line([(_LINE_X, _TOP), (_LINE_X, _TOP + window_h * _HOUR_PX)], stroke=2.5)
    for hour in range(0, window_h + 1, _TICK_H):
        y = _TOP + hour * _HOUR_PX
        drawing.line([(_LINE_X - 5, y), (_LINE_X + 5, y)])
        if hour % (2 * _TICK_H) == 0:
            drawing.text(2, y + 5, index.clock(hour), size=13)
    words = _by_hour(index)
    wanted = [_TOP + hour * _HOUR_PX for hour, _ in words]
    for (happens_h, said), at in zip(words, spread(wanted, _GAP, _TOP), strict=True):
        y = _TOP + happens_h * _HOUR_PX
        drawing.dot(_LINE_X, y)
        drawing.line([(_LINE_X, y), (_LINE_X + 8, y), (_WORDS_X - 3, at)], colour=GREY)
        drawing.text(_WORDS_X, at + 5, said, size=13, columns=42)
    return Picture(
        title="What happens when",
        svg=drawing.done(),
        words=tuple(said for _, said in words),
    )


def _free_of_ticks(first: int, last: int) -> float | None:
    """Foot of a word inside a night that meets no clock time beside the line."""
    for hour in range(first, last):
        foot = _TOP + (hour + 1.5) * _HOUR_PX
        step_px = 2 * _TICK_H * _HOUR_PX
        away = (foot - 5 - _TOP) % step_px
        if min(away, step_px - away) > _GAP:
            return foot
    return None


def _by_hour(index: Index) -> list[tuple[float, str]]:
    """One short line for each hour at which something happens."""
    found: dict[float, list[str]] = {}
    for one in events(index.plan):
        found.setdefault(float(int(one.hour)), []).append(one.kind)
    return [
        (
            hour,
            f"{index.clock(hour)}: "
            + ", ".join(
                _times(kind, kinds.count(kind)) for kind in dict.fromkeys(kinds)
            ),
        )
        for hour, kinds in sorted(found.items())
    ]


def _times(kind: str, count: int) -> str:
    return kind if count == 1 else f"{kind} x{count}"


def _dark(index: Index) -> list[Event]:
    planned = index.plan.scenario.conditions.sun_case
    return [
        Event(
            hour=float(one.dark_from_h),
            kind="DARK" if case is planned else f"dark if {SUN_WORDS[case]}",
            text=f"{index.name(unit_id)} goes dark with {SUN_WORDS[case]}",
        )
        for case in SUN_CASES
        for (unit_id, found), one in index.endurance.items()
        if found is case and one.dark_from_h is not None and _counts(case, planned)
    ]


def _counts(case: SunCase, planned: SunCase) -> bool:
    """Cases kinder than the planned one say nothing new."""
    return SUN_CASES.index(case) <= SUN_CASES.index(planned)


def _clocks(index: Index) -> list[Event]:
    found: list[Event] = []
    for warm in index.plan.warm_clocks:
        found += _clock(
            index, warm.line_id, warm.until, warm.count, "use or ask by now"
        )
    for short in index.plan.shortfalls:
        found += _clock(
            index, short.line_id, short.safe_until, short.count,
            "SHORT, its allowance ends",
        )  # fmt: skip
    for line in index.plan.scenario.lines:
        if line.keep_by is not None:
            found += _clock(
                index, line.id, line.keep_by, line.quantity, "keep-by date is reached"
            )
    return found


def _clock(
    index: Index, line_id: str, when: datetime | None, count: int, what: str
) -> list[Event]:
    if when is None:
        return []
    line = index.lines[line_id]
    kind = "DATE" if what.startswith("keep-by") else "CLOCK"
    return [
        Event(
            hour=(when - index.start).total_seconds() / 3600,
            kind=kind,
            text=f"{line.code}, {plural(count, 'bag')} of {index.kind(line)}: {what}",
        )
    ]
