"""What happens when: plugs, dark times, clocks of bags, dates, on one line."""

from dataclasses import dataclass
from datetime import datetime

import pandas as pd

from planner.output.daylight import nights
from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.paper.facts import paper_facts
from planner.output.paper.goods import units_on
from planner.output.paper.phrases import untied
from planner.output.paper.rota import Task, rota
from planner.output.pictures.svg import GREY, PALE, Drawing, spread
from planner.output.pictures.units import Picture
from planner.output.tables import Cell, frame
from planner.result import Plan
from planner.scenario import SunCase

_WIDTH, _HOUR_PX, _TOP = 380.0, 9.0, 14.0
_LINE_X, _WORDS_X, _GAP = 92.0, 118.0, 19.0
_TICK_H = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happens at a clock time, with the kind of it in a word.

    ``rank`` keeps the order of kinds at one hour the same in every language.
    """

    hour: float
    kind: str
    text: str
    rank: str


def events(plan: Plan, how: Manner = PLAIN) -> tuple[Event, ...]:
    """Everything inside the window that has a clock time, in order."""
    index = index_plan(plan, how)
    facts = paper_facts(plan, how.words, None, marked=False)
    # The rota names dark times too, but only those of the planned sun.
    dark = {facts.say("rota.dark", unit=facts.name(one.id)) for one in units_on(facts)}
    found = [
        *(
            Event(
                hour=float(one.hour),
                kind=how.say("tell.event.plugs"),
                text=_task_words(one, how),
                rank="PLUGS",
            )
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
            key=lambda one: (one.hour, one.rank, one.text),
        )
    )


def _task_words(task: Task, how: Manner) -> str:
    text, shows = untied(task.text), untied("; ".join(task.reading.split("\n")))
    return how.say("tell.event.task", text=text, shows=shows) if shows else text


def events_table(plan: Plan, how: Manner = PLAIN) -> pd.DataFrame:
    """List the events in words: the twin of the picture."""
    index = index_plan(plan, how)
    rows: list[tuple[Cell, ...]] = [
        (index.clock(one.hour), one.kind, one.text) for one in events(plan, how)
    ]
    return frame(("When", "Kind", "What"), rows)


def timeline_picture(plan: Plan, how: Manner = PLAIN) -> Picture:
    """Draw the window from top to bottom, nights shaded, events by the hour."""
    index = index_plan(plan, how)
    window_h = plan.scenario.conditions.window_h
    drawing = Drawing(_WIDTH)
    for first, last in nights(plan):
        y = _TOP + first * _HOUR_PX
        high = (last - first) * _HOUR_PX
        drawing.box(0, y, _LINE_X, high, fill=PALE, stroke=0)
        word_y = _free_of_ticks(first, last)
        if word_y is not None:
            drawing.text(2, word_y, how.say("tell.night"), size=12, colour=GREY)
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
        title=how.say("tell.event.title"),
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
    for one in events(index.plan, index.how):
        found.setdefault(float(int(one.hour)), []).append(one.kind)
    return [
        (
            hour,
            index.how.say(
                "tell.event.at",
                clock=index.clock(hour),
                kinds=", ".join(
                    _times(kind, kinds.count(kind), index.how)
                    for kind in dict.fromkeys(kinds)
                ),
            ),
        )
        for hour, kinds in sorted(found.items())
    ]


def _times(kind: str, count: int, how: Manner) -> str:
    if count == 1:
        return kind
    return how.say("tell.event.times", kind=kind, count=count)


def _dark(index: Index) -> list[Event]:
    planned, how = index.plan.scenario.conditions.sun_case, index.how
    return [
        Event(
            hour=float(one.dark_from_h),
            kind=how.say("tell.event.dark")
            if case is planned
            else how.say("tell.event.dark_if", sun=index.sun(case)),
            text=how.say(
                "tell.event.goes_dark", name=index.name(unit_id), sun=index.sun(case)
            ),
            rank="DARK" if case is planned else f"dark {case.value}",
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
        found += _clock(index, warm.line_id, warm.until, warm.count, "use_by")
    for short in index.plan.shortfalls:
        found += _clock(
            index, short.line_id, short.safe_until, short.count,
            "short_ends",
        )  # fmt: skip
    for line in index.plan.scenario.lines:
        if line.keep_by is not None:
            found += _clock(index, line.id, line.keep_by, line.quantity, "keep_by")
    return found


def _clock(
    index: Index, line_id: str, when: datetime | None, count: int, what: str
) -> list[Event]:
    if when is None:
        return []
    line, how = index.lines[line_id], index.how
    kind = "date" if what == "keep_by" else "clock"
    return [
        Event(
            hour=(when - index.start).total_seconds() / 3600,
            kind=how.say(f"tell.event.{kind}"),
            text=how.say(
                "tell.event.bags",
                code=line.code,
                bags=index.bags(count),
                kind=index.kind(line),
                what=how.say(f"tell.event.{what}"),
            ),
            rank=kind.upper(),
        )
    ]
