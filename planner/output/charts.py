"""Charts that also read in black and white: dashes and words, not only colour.

A chart is a Vega-Lite description as plain values.  A library that builds
such descriptions checks every part anew, which takes ten times as long as
all the rest; here a test checks the whole against the schema.
"""

import json
from dataclasses import replace
from typing import Any, TypedDict

from planner.errors import UsageError
from planner.output.daylight import nights
from planner.output.index import SUN_CASES, Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables_power import Limits, battery_limits_wh, traces, unit_fill
from planner.output.words import Units, cut
from planner.result import Plan
from planner.scenario import SunCase

Spec = dict[str, Any]
"""A Vega-Lite description, or a part of one."""

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
"""Name of the language; nothing is fetched from there."""

_DASHES = [[2, 3], [7, 3], [1, 0]]
_COLOURS = ["#5e3c99", "#c05a00", "#1b6ca8"]
_DARK = "#7a1420"
_FULL_PERCENT = 95.0
_TICK_H = 12
_LABEL_GAP = 0.07
_HEADROOM, _HEADROOM_DARK = 1.08, 1.34


class Point(TypedDict):
    """Charge of a battery at an hour of the window; 0 is its start."""

    hour: int
    clock: str
    sun: str
    charge_wh: float


def charge_points(plan: Plan, battery: str, how: Manner = PLAIN) -> list[Point]:
    """Charge of one battery at the start and at every hour's end, by sun case.

    Raises ``UsageError`` when no battery of that name is replayed.
    """
    return _points(index_plan(plan, how), battery, _limits(plan, battery))


def charge_chart(plan: Plan, battery: str, how: Manner = PLAIN) -> Spec:
    """Charge of one battery over the window, one line a sun case.

    Nights are shaded and named; the floor and the reserve line are ruled and
    named; each line carries its own name at its end.  Raises ``UsageError``
    when no battery of that name is replayed.
    """
    index = index_plan(plan, how)
    limits = _limits(plan, battery)
    points = _points(index, battery, limits)
    full_wh = limits.full_wh
    dark = dark_marks(plan, battery)
    # Words of dark hours stand above the lines, where nothing crosses them.
    top_wh = full_wh * (_HEADROOM_DARK if dark else _HEADROOM)
    suns = [index.sun(case) for case in SUN_CASES]
    x = _q(
        "hour",
        title=how.say("tell.chart.clock"),
        scale={"domain": [0, plan.scenario.conditions.window_h], "nice": False},
        axis=_clock_axis(index),
    )
    y = _q(
        "charge_wh",
        title=how.say("tell.chart.charge_wh"),
        scale={"domain": [0, top_wh]},
    )
    sun = _n("sun", scale={"domain": suns, "range": _COLOURS}, legend=None)
    dash = _n("sun", scale={"domain": suns, "range": _DASHES}, legend=None)
    charges = {
        "data": _data(points),
        "mark": {"type": "line", "strokeWidth": 2.5, "clip": True},
        "encoding": {
            "x": x,
            "y": y,
            "color": sun,
            "strokeDash": dash,
            "tooltip": [
                _n("clock", title=how.say("tell.chart.tip_clock")),
                _n("sun", title=how.say("tell.chart.tip_sun")),
                _q("charge_wh", title=how.say("tell.chart.charge_wh"), format=",.0f"),
            ],
        },
    }
    named = _text(
        _end_labels(points, full_wh), "sun",
        {"align": "left", "dx": 5, "fontSize": 13},
        x=x, y=_q("label_wh"), color=sun,
    )  # fmt: skip
    layers = [
        *_night_layers(plan, top_wh, how),
        *_limit_layers(limits, how),
        *_dark_layers(index, dark, full_wh),
        charges,
        named,
    ]
    title = how.say("tell.chart.charge_of", battery=battery)
    return _chart(
        layers,
        title=cut(title, 80),
        height=300,
        description=how.say("tell.chart.charge_alt", battery=battery),
    )


def fill_chart(plan: Plan, how: Manner = PLAIN) -> Spec:
    """How full each zone is, as bars that carry their litres in words."""
    fill = unit_fill(plan)
    us = how.units is Units.US
    other = replace(how, units=Units.METRIC if us else Units.US)
    rows = []
    for unit, zone, packed_l, room_l, percent in fill.itertuples(
        index=False, name=None
    ):
        many = (fill["Unit"] == unit).sum() > 1
        name = how.say("tell.zone_of", name=unit, zone=zone) if many else str(unit)
        # The other unit on a line of its own: a phone has no room beside it.
        words = "\n".join(
            how.say(
                key,
                packed=one.volume_number(packed_l),
                room=one.volume_only(room_l),
                percent=f"{percent:.0f}",
            )
            for key, one in (("tell.chart.fill", how), ("tell.chart.fill_too", other))
        )
        if percent >= _FULL_PERCENT:
            words = how.say("tell.chart.full", words=words)
        rows.append(
            {"unit": name, "percent": float(percent), "whole": 100.0, "words": words}
        )
    y = _n("unit", title=None, sort=None, axis={"labelLimit": 280})
    whole = {"domain": [0, 100], "clamp": True}
    axis_title = how.say("tell.chart.fill_axis")
    layers: list[Spec] = [
        {
            "mark": {"type": "bar", "filled": False, "stroke": "#555555"},
            "encoding": {"x": _q("whole", scale=whole, title=axis_title), "y": y},
        },
        {
            "mark": {"type": "bar", "color": "#8fb8d6"},
            "encoding": {
                "x": _q("percent", scale=whole, title=axis_title),
                "y": y,
                "tooltip": [
                    _n("unit", title=how.say("tell.chart.unit")),
                    _n("words", title=how.say("tell.chart.fill_tip")),
                ],
            },
        },
        {
            "mark": {
                "type": "text", "align": "left", "dx": 6, "dy": -8, "fontSize": 13,
                "color": "#111111", "lineBreak": "\n",
            },
            "encoding": {"x": {"value": 0}, "y": y, "text": _n("words")},
        },
    ]  # fmt: skip
    return _chart(
        layers,
        data=_data(rows),
        title=how.say("tell.chart.fill_title"),
        height={"step": 48},
        description=how.say("tell.chart.fill_alt"),
    )


def dark_marks(plan: Plan, battery: str) -> tuple[tuple[int, SunCase, str], ...]:
    """Hours from which units on a battery are dark: hour, sun, names."""
    index = index_plan(plan)
    found: dict[tuple[int, SunCase], list[str]] = {}
    for (unit_id, case), one in index.endurance.items():
        hour = one.dark_from_h
        if hour is not None and any(
            index.name(plug.from_id) == battery
            and plug.to_id == unit_id
            and plug.from_h <= hour < plug.to_h
            for plug in plan.hookups
        ):
            found.setdefault((hour, case), []).append(index.name(unit_id))
    return tuple(
        (hour, case, ", ".join(sorted(names)))
        for (hour, case), names in sorted(
            found.items(), key=lambda one: (one[0][0], SUN_CASES.index(one[0][1]))
        )
    )


def _chart(layers: list[Spec], **parts: object) -> Spec:
    return {"$schema": SCHEMA, "layer": layers, **parts}


def _data(rows: Any) -> Spec:
    return {"values": rows}


def _q(field: str, **parts: object) -> Spec:
    """Give a channel that is a number."""
    return {"field": field, "type": "quantitative", **parts}


def _n(field: str, **parts: object) -> Spec:
    """Give a channel that is a name."""
    return {"field": field, "type": "nominal", **parts}


def _text(rows: Any, field: str, look: Spec, **channels: Spec) -> Spec:
    """Words of a field, placed by the channels."""
    return {
        "data": _data(rows),
        "mark": {"type": "text", **look},
        "encoding": {**channels, "text": _n(field)},
    }


def _points(index: Index, battery: str, limits: Limits) -> list[Point]:
    return [
        Point(
            hour=hour,
            clock=index.clock(hour),
            sun=index.sun(case),
            charge_wh=round(charge, 1),
        )
        for case, trace in traces(index, battery)
        for hour, charge in enumerate([limits.start_wh, *trace.charge_wh])
    ]


def _end_labels(points: list[Point], full_wh: float) -> list[Spec]:
    """Names of the lines at their last hour, moved apart where they would touch."""
    last = max((one["hour"] for one in points), default=0)
    ends = sorted(
        (one for one in points if one["hour"] == last),
        key=lambda one: one["charge_wh"],
    )
    labels: list[Spec] = []
    for one in ends:
        lowest = labels[-1]["label_wh"] + _LABEL_GAP * full_wh if labels else 0.0
        labels.append({**one, "label_wh": max(one["charge_wh"], lowest)})
    return labels


def _clock_axis(index: Index) -> Spec:
    # Labels are looked up by hour, so the browser's time zone has no say.
    window_h = index.plan.scenario.conditions.window_h
    step = _TICK_H if window_h <= 7 * _TICK_H else 2 * _TICK_H
    ticks = list(range(0, window_h + 1, step))
    words = json.dumps({str(hour): index.clock(hour) for hour in ticks})
    return {
        "values": ticks,
        "labelExpr": f"{words}[datum.value]",
        "labelAngle": 0,
        "labelFontSize": 12,
    }


def _night_layers(plan: Plan, top_wh: float, how: Manner) -> list[Spec]:
    rows = [
        {"first": first, "last": last, "top": top_wh, "word": how.say("tell.night")}
        for first, last in nights(plan)
    ]
    if not rows:
        return []
    shade = {
        "data": _data(rows),
        "mark": {"type": "rect", "color": "#d9d9d9", "opacity": 0.6},
        "encoding": {
            "x": _q("first", title=how.say("tell.chart.clock")),
            "x2": {"field": "last"},
        },
    }
    word = _text(
        rows, "word",
        {"align": "left", "dx": 3, "dy": 9, "fontSize": 12, "color": "#333333"},
        x=_q("first"), y=_q("top", title=how.say("tell.chart.charge_wh")),
    )  # fmt: skip
    return [shade, word]


def _dark_layers(
    index: Index, dark: tuple[tuple[int, SunCase, str], ...], full_wh: float
) -> list[Spec]:
    """Ruled hours from which something is dark, each named with its clock time."""
    how = index.how
    rows: list[Spec] = [
        {
            "first": hour,
            "top": full_wh * (1.16 - _LABEL_GAP * number),
            "word": how.say(
                "tell.chart.dark", clock=index.clock(hour), sun=index.sun(case)
            ),
        }
        for number, (hour, case, _) in enumerate(dark)
    ]
    late_h = index.plan.scenario.conditions.window_h * 0.6
    layers: list[Spec] = []
    for late in (False, True):
        part = [row for row in rows if (row["first"] > late_h) is late]
        if not part:
            continue
        x = _q("first", title=how.say("tell.chart.clock"))
        layers += [
            {
                "data": _data(part),
                "mark": {"type": "rule", "color": _DARK, "strokeWidth": 2.5},
                "encoding": {"x": x},
            },
            _text(
                part, "word",
                {
                    "align": "right" if late else "left", "dx": -4 if late else 4,
                    "fontSize": 13, "fontWeight": "bold", "color": _DARK,
                },
                x=x, y=_q("top", title=how.say("tell.chart.charge_wh")),
            ),
        ]  # fmt: skip
    return layers


def _limits(plan: Plan, battery: str) -> Limits:
    found = battery_limits_wh(plan).get(battery)
    if found is None:
        msg = f"no battery called {battery!r} is replayed in this plan"
        raise UsageError(msg)
    return found


def _limit_layers(limits: Limits, how: Manner) -> list[Spec]:
    # One word above its line and one below: the two lines may lie close together.
    layers: list[Spec] = []
    for level, word, down in (
        (limits.reserve_line_wh, how.say("tell.chart.reserve"), -7),
        (limits.floor_wh, how.say("tell.chart.floor"), 9),
    ):
        rows = [{"level": level, "word": word}]
        y = _q("level", title=how.say("tell.chart.charge_wh"))
        layers += [
            {
                "data": _data(rows),
                "mark": {
                    "type": "rule", "color": "#333333", "strokeDash": [1, 3],
                    "strokeWidth": 1.5,
                },
                "encoding": {"y": y},
            },
            _text(
                rows, "word",
                {"align": "left", "dx": 4, "dy": down, "fontSize": 12,
                 "color": "#333333"},
                x={"value": 0}, y=y,
            ),
        ]  # fmt: skip
    return layers
