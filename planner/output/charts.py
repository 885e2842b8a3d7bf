"""Charts that also read in black and white: dashes and words, not only colour."""

import json

import altair as alt
import pandas as pd

from planner.errors import UsageError
from planner.output.daylight import nights
from planner.output.index import SUN_CASES, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.tables import frame
from planner.output.tables_power import (
    battery_lines,
    hours_of_battery,
    unit_fill,
)
from planner.output.words import cut
from planner.result import Plan
from planner.scenario import SunCase

_DASHES = [[2, 3], [7, 3], [1, 0]]
_COLOURS = ["#5e3c99", "#c05a00", "#1b6ca8"]
_FULL_PERCENT = 95.0
_TICK_H = 12
_LABEL_GAP = 0.07
_HEADROOM, _HEADROOM_DARK = 1.08, 1.34


def charge_points(plan: Plan, battery: str, how: Manner = PLAIN) -> pd.DataFrame:
    """Charge of one battery at the start and at every hour's end, by sun case.

    Columns: hour (0 = start of the window), clock, sun, charge_wh.  Raises
    ``UsageError`` when no battery of that name is replayed.
    """
    index = index_plan(plan, how)
    start_wh = _limits(plan, battery)["Start (Wh)"]
    hours = hours_of_battery(plan, battery, how)
    points = []
    for sun in dict.fromkeys(hours["Sun"]):
        ends = hours.loc[hours["Sun"] == sun, "Charge at the end (Wh)"]
        for hour, charge in enumerate([start_wh, *ends]):
            points.append((hour, index.clock(hour), str(sun), float(charge)))
    return frame(("hour", "clock", "sun", "charge_wh"), list(points))


def charge_chart(plan: Plan, battery: str, how: Manner = PLAIN) -> alt.LayerChart:
    """Charge of one battery over the window, one line a sun case.

    Nights are shaded and named; the floor and the reserve line are ruled and
    named; each line carries its own name at its end.
    """
    points = charge_points(plan, battery, how)
    suns = [how.say(f"sun.{case.name.lower()}") for case in SUN_CASES]
    title = how.say("tell.chart.charge_of", battery=battery)
    limits = _limits(plan, battery)
    full_wh = limits["Full (Wh)"]
    # Words of dark hours stand above the lines, where nothing crosses them.
    top = _HEADROOM_DARK if dark_marks(plan, battery) else _HEADROOM
    x = alt.X(
        "hour:Q",
        title=how.say("tell.chart.clock"),
        scale=alt.Scale(domain=[0, plan.scenario.conditions.window_h], nice=False),
        axis=_clock_axis(plan, how),
    )
    y = alt.Y(
        "charge_wh:Q",
        title=how.say("tell.chart.charge_wh"),
        scale=alt.Scale(domain=[0, full_wh * top]),
    )
    sun = alt.Color("sun:N", scale=alt.Scale(domain=suns, range=_COLOURS), legend=None)
    dash = alt.StrokeDash(
        "sun:N", scale=alt.Scale(domain=suns, range=_DASHES), legend=None
    )
    tips = [
        alt.Tooltip("clock:N", title=how.say("tell.chart.tip_clock")),
        alt.Tooltip("sun:N", title=how.say("tell.chart.tip_sun")),
        alt.Tooltip(
            "charge_wh:Q", title=how.say("tell.chart.charge_wh"), format=",.0f"
        ),
    ]
    drawn = alt.Chart(points)
    charges = drawn.mark_line(strokeWidth=2.5, clip=True).encode(
        x=x, y=y, color=sun, strokeDash=dash, tooltip=tips
    )
    named = (
        alt.Chart(_end_labels(points, full_wh))
        .mark_text(align="left", dx=5, fontSize=13)
        .encode(x=x, y=alt.Y("label_wh:Q"), color=sun, text=alt.Text("sun:N"))
    )
    layers = [
        *_night_layers(plan, full_wh * top, how),
        *_limit_layers(limits, how),
        *_dark_layers(plan, battery, full_wh, how),
        charges,
        named,
    ]
    return alt.LayerChart(layer=layers).properties(
        title=cut(title, 80),
        height=300,
        padding={"left": 5, "top": 5, "bottom": 5, "right": 70},
        description=how.say("tell.chart.charge_alt", battery=battery),
    )


def fill_chart(plan: Plan, how: Manner = PLAIN) -> alt.LayerChart:
    """How full each zone is, as bars that carry their litres in words."""
    fill = unit_fill(plan)
    rows = []
    for unit, zone, packed_l, room_l, percent in fill.itertuples(
        index=False, name=None
    ):
        many = (fill["Unit"] == unit).sum() > 1
        name = how.say("tell.zone_of", name=unit, zone=zone) if many else str(unit)
        words = how.say(
            "tell.chart.fill",
            packed=how.volume_number(packed_l),
            room=how.volume_only(room_l),
            percent=f"{percent:.0f}",
        )
        if percent >= _FULL_PERCENT:
            words = how.say("tell.chart.full", words=words)
        rows.append((name, float(percent), 100.0, words))
    data = frame(("unit", "percent", "whole", "words"), list(rows))
    y = alt.Y("unit:N", title=None, sort=None, axis=alt.Axis(labelLimit=280))
    whole = alt.Scale(domain=[0, 100], clamp=True)
    base = alt.Chart(data)
    outline = base.mark_bar(filled=False, stroke="#555555").encode(
        x=alt.X("whole:Q", scale=whole, title=how.say("tell.chart.fill_axis")),
        y=y,
    )
    bars = base.mark_bar(color="#8fb8d6").encode(
        x=alt.X("percent:Q", scale=whole, title=how.say("tell.chart.fill_axis")),
        y=y,
        tooltip=[
            alt.Tooltip("unit:N", title=how.say("tell.chart.unit")),
            alt.Tooltip("words:N", title=how.say("tell.chart.fill_tip")),
        ],
    )
    words_layer = base.mark_text(
        align="left", dx=6, fontSize=13, color="#111111"
    ).encode(x=alt.value(0), y=y, text=alt.Text("words:N"))
    return alt.LayerChart(layer=[outline, bars, words_layer]).properties(
        title=how.say("tell.chart.fill_title"),
        height=alt.Step(34),
        description=how.say("tell.chart.fill_alt"),
    )


def _end_labels(points: pd.DataFrame, full_wh: float) -> pd.DataFrame:
    """Names of the lines at their last hour, moved apart where they would touch."""
    ends = points[points["hour"] == points["hour"].max()].sort_values("charge_wh")
    heights: list[float] = []
    for charge_wh in ends["charge_wh"]:
        lowest = heights[-1] + _LABEL_GAP * full_wh if heights else 0.0
        heights.append(max(float(charge_wh), lowest))
    labels = pd.DataFrame(ends)
    labels["label_wh"] = heights
    return labels


def _clock_axis(plan: Plan, how: Manner) -> alt.Axis:
    # Labels are looked up by hour, so the browser's time zone has no say.
    index = index_plan(plan, how)
    window_h = plan.scenario.conditions.window_h
    step = _TICK_H if window_h <= 7 * _TICK_H else 2 * _TICK_H
    ticks = list(range(0, window_h + 1, step))
    words = json.dumps({str(hour): index.clock(hour) for hour in ticks})
    return alt.Axis(
        values=ticks, labelExpr=f"{words}[datum.value]", labelAngle=0, labelFontSize=12
    )


def _night_layers(plan: Plan, top_wh: float, how: Manner) -> list[alt.Chart]:
    spans = [
        (first, last, top_wh, how.say("tell.night")) for first, last in nights(plan)
    ]
    if not spans:
        return []
    chart = alt.Chart(frame(("first", "last", "top", "word"), list(spans)))
    shade = chart.mark_rect(color="#d9d9d9", opacity=0.6).encode(
        x=alt.X("first:Q", title=how.say("tell.chart.clock")), x2=alt.X2("last:Q")
    )
    word = chart.mark_text(
        align="left", dx=3, dy=9, fontSize=12, color="#333333"
    ).encode(
        x=alt.X("first:Q"),
        y=alt.Y("top:Q", title=how.say("tell.chart.charge_wh")),
        text=alt.Text("word:N"),
    )
    return [shade, word]


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


def _dark_layers(
    plan: Plan, battery: str, full_wh: float, how: Manner
) -> list[alt.Chart]:
    """Ruled hours from which something is dark, each named with its clock time."""
    index = index_plan(plan, how)
    rows = [
        (hour, full_wh * (1.16 - _LABEL_GAP * number),
         how.say("tell.chart.dark", clock=index.clock(hour), sun=index.sun(case)))
        for number, (hour, case, _) in enumerate(dark_marks(plan, battery))
    ]  # fmt: skip
    if not rows:
        return []
    late_h = plan.scenario.conditions.window_h * 0.6
    layers = []
    for late in (False, True):
        part = [row for row in rows if (row[0] > late_h) is late]
        if not part:
            continue
        chart = alt.Chart(frame(("first", "top", "word"), list(part)))
        x = alt.X("first:Q", title=how.say("tell.chart.clock"))
        layers += [
            chart.mark_rule(color="#7a1420", strokeWidth=2.5).encode(x=x),
            chart.mark_text(
                align="right" if late else "left",
                dx=-4 if late else 4,
                fontSize=13,
                fontWeight="bold",
                color="#7a1420",
            ).encode(
                x=x,
                y=alt.Y("top:Q", title=how.say("tell.chart.charge_wh")),
                text=alt.Text("word:N"),
            ),
        ]
    return layers


def _limits(plan: Plan, battery: str) -> dict[str, float]:
    for row in battery_lines(plan).to_dict("records"):
        if row["Battery"] == battery:
            return {str(key): row[key] for key in row if key != "Battery"}
    msg = f"no battery called {battery!r} is replayed in this plan"
    raise UsageError(msg)


def _limit_layers(limits: dict[str, float], how: Manner) -> list[alt.Chart]:
    # One word above its line and one below: the two lines may lie close together.
    rows = [
        (limits["Reserve line (Wh)"], how.say("tell.chart.reserve"), -7),
        (limits["Floor (Wh)"], how.say("tell.chart.floor"), 9),
    ]
    layers: list[alt.Chart] = []
    for level, word, down in rows:
        chart = alt.Chart(frame(("level", "word"), [(level, word)]))
        y = alt.Y("level:Q", title=how.say("tell.chart.charge_wh"))
        layers += [
            chart.mark_rule(color="#333333", strokeDash=[1, 3], strokeWidth=1.5).encode(
                y=y
            ),
            chart.mark_text(
                align="left", dx=4, dy=down, fontSize=12, color="#333333"
            ).encode(x=alt.value(0), y=y, text=alt.Text("word:N")),
        ]
    return layers
