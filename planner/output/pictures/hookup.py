"""The hookup as a diagram: what charges a battery, and what hangs on it."""

from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.pictures.svg import FONT_PX, Drawing
from planner.output.pictures.units import Picture
from planner.output.runs import runs_at, runs_words
from planner.output.tables_power import end_words
from planner.output.words import energy, power, width
from planner.result import Hookup, Link, Plan

_WIDTH = 380.0
_BUS_X, _BOX_X, _BOX_HIGH, _STEP, _LINE_HIGH = 18.0, 48.0, 46.0, 58.0, 17.0
_USUAL_COLUMNS, _SMALL_COLUMNS, _MOST_COLUMNS = 44, 60, 78
_SMALL_PX, _LEAST_PX = 11, 9
_INTO = (Link.PANEL_TO_BATTERY, Link.SOURCE_TO_BATTERY)


def hookup_pictures(plan: Plan, how: Manner = PLAIN) -> tuple[Picture, ...]:
    """Draw one diagram for each thing that feeds others, by its name."""
    index = index_plan(plan, how)
    feeders = {one.from_id for one in plan.hookups if one.link not in _INTO}
    feeders |= {one.to_id for one in plan.hookups if one.link in _INTO}
    return tuple(
        _picture(index, one)
        for one in sorted(feeders, key=lambda one: (index.name(one), one))
    )


def _picture(index: Index, feeder_id: str) -> Picture:
    plugs = sorted(
        index.plan.hookups,
        key=lambda one: (one.from_h, one.port.value, one.port_number, one.to_id),
    )
    into = [one for one in plugs if one.to_id == feeder_id and one.link in _INTO]
    out = [one for one in plugs if one.from_id == feeder_id and one.link not in _INTO]
    name = index.name(feeder_id)
    words = (
        *(
            index.how.say(
                "tell.hookup.into",
                thing=_thing(index, one.from_id),
                socket=_both(index, one),
                name=name,
            )
            for one in into
        ),
        *(
            index.how.say(
                "tell.hookup.out",
                name=name,
                socket=_both(index, one),
                thing=_thing(index, one.to_id),
            )
            for one in out
        ),
    )
    return Picture(title=name, svg=_draw(index, feeder_id, into, out), words=words)


def _draw(index: Index, feeder_id: str, into: list[Hookup], out: list[Hookup]) -> str:
    drawing = Drawing(_WIDTH)
    y = 4.0
    for plug in into:
        its = index.how.say("tell.hookup.its", socket=_socket(index, plug))
        runs = _runs(index, plug)
        _node(drawing, y, _thing(index, plug.from_id), its, runs)
        middle = y + _BOX_HIGH / 2
        y += _step(runs)
        end = y + _BOX_HIGH / 2
        drawing.line([(_BOX_X, middle), (_BUS_X, middle), (_BUS_X, end)])
    if into:
        drawing.arrow(_BUS_X, y + 1, down=True)
    drawing.box(4, y, _WIDTH - 8, _BOX_HIGH, fill="#e4e4e0", stroke=3)
    drawing.text(14, y + 29, _thing(index, feeder_id), bold=True, columns=44)
    foot = y + _BOX_HIGH
    y += _STEP
    for plug in out:
        middle = y + _BOX_HIGH / 2
        drawing.line([(_BUS_X, foot), (_BUS_X, middle), (_BOX_X, middle)])
        drawing.arrow(_BOX_X, middle, down=False)
        runs = _runs(index, plug)
        _node(drawing, y, _thing(index, plug.to_id), _socket(index, plug), runs)
        y += _step(runs)
    return drawing.done()


def _node(drawing: Drawing, y: float, name: str, below: str, runs: str) -> None:
    """One box; the hours with power have a line of their own."""
    high = _step(runs) - (_STEP - _BOX_HIGH)
    drawing.box(_BOX_X, y, _WIDTH - _BOX_X - 4, high)
    drawing.text(_BOX_X + 10, y + 19, name, bold=True, columns=38)
    for line, said in enumerate((below, runs)):
        # A clock time that is cut says another time: long lines are set smaller.
        wide = width(said)
        size = FONT_PX if wide <= _USUAL_COLUMNS else _SMALL_PX
        size = size if wide <= _SMALL_COLUMNS else _LEAST_PX
        low = y + 38 + line * _LINE_HIGH
        drawing.text(_BOX_X + 10, low, said, columns=_MOST_COLUMNS, size=size)


def _step(runs: str) -> float:
    """From the top of one box to the top of the next."""
    return _STEP + (_LINE_HIGH if runs else 0)


def _runs(index: Index, plug: Hookup) -> str:
    """Hours of a day with power while the lead stays in."""
    runs = runs_at(index.plan.scenario, plug)
    return runs_words(runs, index.how.say, index.how.hour_clock) if runs else ""


def _both(index: Index, plug: Hookup) -> str:
    """Socket and hours on one line, for the words beside the picture."""
    runs, socket = _runs(index, plug), _socket(index, plug)
    if not runs:
        return socket
    return index.how.say("tell.hookup.runs", socket=socket, runs=runs)


def _socket(index: Index, plug: Hookup) -> str:
    """Socket, and its clock times when it is not the whole window; see ``_runs``."""
    how = index.how
    socket = how.say(
        "tell.hookup.socket", port=index.port(plug), number=plug.port_number
    )
    window_h = index.plan.scenario.conditions.window_h
    if plug.from_h == 0 and plug.to_h >= window_h:
        if _runs(index, plug):
            return socket
        return how.say("tell.hookup.always", socket=socket)
    return how.say(
        "tell.hookup.span",
        socket=socket,
        begins=index.clock(plug.from_h),
        ends=end_words(index, plug.to_h),
    )


def _thing(index: Index, thing_id: str) -> str:
    """Name of a thing with the one number that matters at its plug."""
    name, how = index.name(thing_id), index.how
    if thing_id in index.panels:
        rated = power(index.panels[thing_id].rated_w)
        return how.say("tell.hookup.panel", name=name, power=rated)
    if thing_id in index.batteries:
        full = energy(index.batteries[thing_id].capacity_wh)
        return how.say("tell.hookup.battery", name=name, energy=full)
    watts = 0.0
    if thing_id in index.units:
        watts = index.units[thing_id].running_w
    elif thing_id in index.sources:
        watts = index.sources[thing_id].max_w
    if not watts:
        return name
    return how.say("tell.hookup.watts", name=name, power=power(watts))
