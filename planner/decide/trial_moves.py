"""The moves of a search by trial, in numbers only and made into machine code.

Every plug, panel and charger has a place at once; what is missing below the
reserves is counted hour by hour, topped up as it goes.  ``trial.py`` says what
the numbers mean and reads them back as plugs.

All of it is in one file on purpose: machine code that is kept is made anew when
its own file changes, not when another does from which it took a part.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.decide.compiled import compiled, part

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

NOWHERE = -1
ENOUGH_WH = 1e-6
_COLD_WH = 5.0
_SLACK = 1e-9
_NOTHING, _PORTS, _OUTLETS = 0, 1, 2
"""What a battery feeds from in an hour; with outlets on its inverter idles."""
_WEAK = 0.7
_GO_ON = 0.4
_EVEN = 0.5
_SHIFT_A = np.uint64(12)
_SHIFT_B = np.uint64(25)
_SHIFT_C = np.uint64(27)
_SHIFT_D = np.uint64(11)
_APART = 0x9E3779B97F4A7C15
"""Seeds that follow each other begin far apart."""
_TIMES = np.uint64(2685821657736338717)
_UNIT = 1.0 / 9007199254740992.0


class Tables(NamedTuple):
    """What never changes in a search.

    Feeders are numbered: 12 V ports of battery b are 2b, its outlets 2b + 1,
    then come the sources.  Rows: ``task`` has consumer, period, first and end
    hour, those of a consumer after each other; ``period`` first and end hour;
    ``who`` running and start watts of a consumer; ``battery`` what the columns
    below name.  ``feeders``, ``together`` (tasks of a period), ``panel_to`` and
    ``charged_by`` are lists, each with its length first.
    """

    task: Ints
    energy_wh: Floats
    feeders: Ints
    period: Ints
    together: Ints
    load_w: Floats
    who: Floats
    battery: Floats
    limit_w: Floats
    sun_w: Floats
    source_on: Flags
    source_w: Floats
    panel_to: Ints
    charged_by: Ints


CONSUMER, PERIOD, FIRST, END = 0, 1, 2, 3
RUNNING, STARTING = 0, 1
DC_SHARE, AC_SHARE, IDLE_W, PORTS, OUTLETS, TOP_W = 0, 1, 2, 3, 4, 5
START_WH, FULL_WH, LEAST_WH, SOLAR_W, LET_IN, CHARGER_W = 6, 7, 8, 9, 10, 11
COLUMNS = 12
OUT, FEEDS, COME = 0, 1, 2
WHAT, TO, BEFORE = 0, 1, 2


class State(NamedTuple):
    """Where everything is plugged in, and what follows from it.

    ``hourly`` has what goes out of a battery, whether it feeds, and what comes
    in; ``short_wh`` what each lacks, and last what is not plugged in at all;
    ``draw`` the state of the draw of lots.
    """

    plug: Ints
    panel: Ints
    charger: Ints
    hourly: Floats
    short_wh: Floats
    draw: NDArray[np.uint64]


class Change(NamedTuple):
    """A change to be made, and what it replaced.

    ``n`` counts plugs, panels and chargers in it; their rows have what is
    changed, to what, and what it was before.
    """

    n: Ints
    plugs: Ints
    panels: Ints
    chargers: Ints
    touched: Flags
    hourly: Floats
    short_wh: Floats
    some: Ints


def new_state(tables: Tables, seed: int) -> State:
    """No plug in anywhere."""
    n_b, hours = len(tables.battery), tables.load_w.shape[1]
    return State(
        plug=np.full(len(tables.task), NOWHERE, dtype=np.int64),
        panel=np.full(len(tables.sun_w), NOWHERE, dtype=np.int64),
        charger=np.full(n_b, NOWHERE, dtype=np.int64),
        hourly=np.zeros((3, n_b, hours)),
        short_wh=np.zeros(n_b + 1),
        draw=np.full(1, (seed + 1) * _APART % 2**64, dtype=np.uint64),
    )


def new_change(tables: Tables) -> Change:
    """Room for the largest change."""
    n_t, n_p = len(tables.task), len(tables.sun_w)
    n_b, hours = len(tables.battery), tables.load_w.shape[1]
    return Change(
        n=np.zeros(3, dtype=np.int64),
        plugs=np.zeros((n_t, 3), dtype=np.int64),
        panels=np.zeros((n_p, 3), dtype=np.int64),
        chargers=np.zeros((n_b, 3), dtype=np.int64),
        touched=np.zeros(n_b + len(tables.source_w), dtype=np.bool_),
        hourly=np.zeros((3, n_b, hours)),
        short_wh=np.zeros(n_b + 1),
        some=np.zeros(max(n_t, n_p, n_b) + 1, dtype=np.int64),
    )


@part
def _draw(s: State) -> float:
    """A number from 0 to below 1 (xorshift*; Vigna, ACM TOMS 42, 2016)."""
    x = s.draw[0]
    x ^= x >> _SHIFT_A
    x ^= x << _SHIFT_B
    x ^= x >> _SHIFT_C
    s.draw[0] = x
    return float((x * _TIMES) >> _SHIFT_D) * _UNIT


@part
def _below(s: State, n: int) -> int:
    """A whole number from 0 to below ``n``."""
    return int(_draw(s) * n)


@part
def _missing(s: State) -> float:
    """Energy missing in all: below reserves, and of what is not plugged in."""
    missing = 0.0
    for b in range(len(s.short_wh)):
        missing += s.short_wh[b]
    return missing


@part
def _draw_on(tb: Tables, s: State, b: int, k: int) -> None:
    """What the plugs of a battery take out of its cells through a period.

    Its inverter's idle counts once, however many outlets are in use.
    """
    for h in range(tb.period[k, 0], tb.period[k, 1]):
        s.hourly[OUT, b, h] = 0.0
        s.hourly[FEEDS, b, h] = _NOTHING
    for i in range(1, tb.together[k, 0] + 1):
        t = tb.together[k, i]
        f = s.plug[t]
        if f // 2 != b or f == NOWHERE:
            continue
        c = tb.task[t, CONSUMER]
        share = tb.battery[b, DC_SHARE + f % 2]
        for h in range(tb.task[t, FIRST], tb.task[t, END]):
            s.hourly[OUT, b, h] += tb.load_w[c, h] / share
            if f == 2 * b:
                s.hourly[FEEDS, b, h] = max(s.hourly[FEEDS, b, h], _PORTS)
            elif s.hourly[FEEDS, b, h] != _OUTLETS:
                s.hourly[FEEDS, b, h] = _OUTLETS
                s.hourly[OUT, b, h] += tb.battery[b, IDLE_W]


@part
def _come_in(tb: Tables, s: State, b: int) -> None:
    """What comes into the cells of a battery, hour by hour."""
    hours = tb.load_w.shape[1]
    for h in range(hours):
        s.hourly[COME, b, h] = 0.0
    for p in range(len(s.panel)):
        if s.panel[p] == b:
            for h in range(hours):
                s.hourly[COME, b, h] += tb.sun_w[p, h]
    c = s.charger[b]
    for h in range(hours):
        come = min(s.hourly[COME, b, h], tb.battery[b, SOLAR_W])
        if c != NOWHERE and tb.source_on[c, h]:
            come = tb.limit_w[b, h]
        s.hourly[COME, b, h] = min(come, tb.limit_w[b, h]) * tb.battery[b, LET_IN]


@part
def _run_down(tb: Tables, s: State, b: int) -> None:
    """What is missing at a battery, topped up where it runs short."""
    charge, full_wh = tb.battery[b, START_WH], tb.battery[b, FULL_WH]
    least_wh = tb.battery[b, LEAST_WH]
    missing = 0.0
    for h in range(tb.load_w.shape[1]):
        charge = min(full_wh, charge + s.hourly[COME, b, h] - s.hourly[OUT, b, h])
        if s.hourly[FEEDS, b, h] != _NOTHING and charge < least_wh:
            missing += least_wh - charge
            charge = least_wh
    s.short_wh[b] = missing


@part
def _carries(tb: Tables, s: State, b: int, k: int) -> bool:
    """Whether a battery's sockets and watts take its plugs of a period."""
    watts = running = start = 0.0
    ports = outlets = 0
    for i in range(1, tb.together[k, 0] + 1):
        t = tb.together[k, i]
        f = s.plug[t]
        if f != 2 * b and f != 2 * b + 1:
            continue
        running_w = tb.who[tb.task[t, CONSUMER], RUNNING]
        watts += running_w
        if f == 2 * b:
            ports += 1
        else:
            outlets += 1
            running += running_w
            start = max(start, tb.who[tb.task[t, CONSUMER], STARTING] - running_w)
    top_w = tb.battery[b, TOP_W]
    return (
        ports <= tb.battery[b, PORTS]
        and outlets <= tb.battery[b, OUTLETS]
        and watts <= top_w + _SLACK
        and running + start <= 2 * top_w + _SLACK
    )


@part
def _used_w(tb: Tables, s: State, source: int) -> float:
    """Most that hangs on a source at once, chargers included."""
    n_b = len(tb.battery)
    chargers_w = 0.0
    for b in range(n_b):
        if s.charger[b] == source:
            chargers_w += tb.battery[b, CHARGER_W]
    most_w = 0.0
    for k in range(len(tb.period)):
        used_w = 0.0
        for i in range(1, tb.together[k, 0] + 1):
            t = tb.together[k, i]
            if s.plug[t] == 2 * n_b + source:
                used_w += tb.who[tb.task[t, CONSUMER], RUNNING]
        most_w = max(most_w, used_w)
    return most_w + chargers_w


@part
def _touch(tb: Tables, ch: Change, f: int) -> None:
    """Note the battery or source of a feeder."""
    n_b = len(tb.battery)
    if f != NOWHERE:
        ch.touched[f // 2 if f < 2 * n_b else f - n_b] = True


@part
def _set_plug(tb: Tables, s: State, t: int, f: int) -> None:
    if s.plug[t] == NOWHERE:
        s.short_wh[-1] -= tb.energy_wh[t]
    if f == NOWHERE:
        s.short_wh[-1] += tb.energy_wh[t]
    s.plug[t] = f


@part
def _put_back(tb: Tables, s: State, ch: Change) -> None:
    """Plugs, panels and chargers as they were."""
    for i in range(ch.n[0] - 1, -1, -1):
        _set_plug(tb, s, ch.plugs[i, WHAT], ch.plugs[i, BEFORE])
    for i in range(ch.n[1] - 1, -1, -1):
        s.panel[ch.panels[i, WHAT]] = ch.panels[i, BEFORE]
    for i in range(ch.n[2] - 1, -1, -1):
        s.charger[ch.chargers[i, WHAT]] = ch.chargers[i, BEFORE]


@part
def _set_all(tb: Tables, s: State, ch: Change) -> None:
    """Set plugs, panels and chargers, noting what they were and what is touched."""
    n_b = len(tb.battery)
    for x in range(len(ch.touched)):
        ch.touched[x] = False
    for i in range(ch.n[0]):
        t = ch.plugs[i, WHAT]
        ch.plugs[i, BEFORE] = s.plug[t]
        _touch(tb, ch, s.plug[t])
        _touch(tb, ch, ch.plugs[i, TO])
        _set_plug(tb, s, t, ch.plugs[i, TO])
    for i in range(ch.n[1]):
        p = ch.panels[i, WHAT]
        ch.panels[i, BEFORE] = s.panel[p]
        s.panel[p] = ch.panels[i, TO]
        for j in range(1, 3):
            if ch.panels[i, j] != NOWHERE:
                ch.touched[ch.panels[i, j]] = True
    for i in range(ch.n[2]):
        b = ch.chargers[i, WHAT]
        ch.chargers[i, BEFORE] = s.charger[b]
        s.charger[b] = ch.chargers[i, TO]
        ch.touched[b] = True
        for j in range(1, 3):
            if ch.chargers[i, j] != NOWHERE:
                ch.touched[n_b + ch.chargers[i, j]] = True


@part
def _allowed(tb: Tables, s: State, ch: Change) -> bool:
    """Sockets, watts and start surge where something changed."""
    n_b = len(tb.battery)
    for i in range(ch.n[0]):
        f = ch.plugs[i, TO]
        if f == NOWHERE or f >= 2 * n_b:
            continue
        if not _carries(tb, s, f // 2, tb.task[ch.plugs[i, WHAT], PERIOD]):
            return False
    for source in range(len(tb.source_w)):
        if not ch.touched[n_b + source]:
            continue
        if _used_w(tb, s, source) > tb.source_w[source] + _SLACK:
            return False
    return True


@part
def _follow(tb: Tables, s: State, ch: Change) -> None:
    """Work out anew what follows from a change, keeping what it was."""
    n_b = len(tb.battery)
    for b in range(n_b):
        if ch.touched[b]:
            _copy(b, s.hourly, s.short_wh, ch.hourly, ch.short_wh)
    for i in range(ch.n[0]):
        k = tb.task[ch.plugs[i, WHAT], PERIOD]
        for j in range(1, 3):
            f = ch.plugs[i, j]
            if f != NOWHERE and f < 2 * n_b:
                _draw_on(tb, s, f // 2, k)
    for b in range(n_b):
        if ch.touched[b]:
            if ch.n[1] + ch.n[2] > 0:
                _come_in(tb, s, b)
            _run_down(tb, s, b)


@part
def _apply(tb: Tables, s: State, ch: Change) -> bool:
    """Make a change; False, with nothing changed, where a socket cannot take it."""
    _set_all(tb, s, ch)
    if not _allowed(tb, s, ch):
        _put_back(tb, s, ch)
        return False
    _follow(tb, s, ch)
    return True


@part
def _copy(b: int, hourly: Floats, short: Floats, to: Floats, short_to: Floats) -> None:
    """What follows from the plugs of a battery, from here to there."""
    for what in range(3):
        for h in range(hourly.shape[2]):
            to[what, b, h] = hourly[what, b, h]
    short_to[b] = short[b]


@part
def _revert(tb: Tables, s: State, ch: Change) -> None:
    """Take a change back."""
    _put_back(tb, s, ch)
    for b in range(len(tb.battery)):
        if ch.touched[b]:
            _copy(b, ch.hourly, ch.short_wh, s.hourly, s.short_wh)


# -- what a move is -----------------------------------------------------------


@part
def _none(ch: Change) -> None:
    for i in range(3):
        ch.n[i] = 0


@part
def _set(ch: Change, kind: int, rows: Ints, what: int, to: int) -> None:
    rows[ch.n[kind], WHAT] = what
    rows[ch.n[kind], TO] = to
    ch.n[kind] += 1


@part
def _plug(ch: Change, t: int, f: int) -> None:
    _set(ch, 0, ch.plugs, t, f)


@part
def _lay(ch: Change, p: int, b: int) -> None:
    _set(ch, 1, ch.panels, p, b)


@part
def _charge(ch: Change, b: int, source: int) -> None:
    _set(ch, 2, ch.chargers, b, source)


@part
def _in_list(lists: Ints, row: int, wanted: int) -> bool:
    for i in range(1, lists[row, 0] + 1):  # noqa: SIM110 - any() is not compiled
        if lists[row, i] == wanted:
            return True
    return False


@part
def _some(ch: Change) -> bool:
    """True when there is anything to change."""
    return ch.n[0] + ch.n[1] + ch.n[2] > 0


@part
def _weak_task(tb: Tables, s: State, ch: Change) -> int:
    """A task of a battery that runs short, or one that hangs nowhere."""
    n = 0
    if _draw(s) < _WEAK:
        for t in range(len(s.plug)):
            f = s.plug[t]
            weak = f == NOWHERE
            if not weak and f < 2 * len(tb.battery):
                weak = s.short_wh[f // 2] > 0.0
            if weak:
                ch.some[n] = t
                n += 1
    if n == 0:
        return _below(s, len(s.plug))
    return int(ch.some[_below(s, n)])


@part
def _replug(tb: Tables, s: State, ch: Change) -> None:
    """Move a consumer to another feeder for one period or some in a row."""
    t = _weak_task(tb, s, ch)
    if tb.feeders[t, 0] == 0:
        return
    f = tb.feeders[t, 1 + _below(s, tb.feeders[t, 0])]
    c = tb.task[t, CONSUMER]
    while True:
        if s.plug[t] != f:
            _plug(ch, t, f)
        t += 1
        if t == len(s.plug) or tb.task[t, CONSUMER] != c:
            return
        if not _in_list(tb.feeders, t, f) or _draw(s) >= _GO_ON:
            return


@part
def _swap(tb: Tables, s: State, ch: Change) -> None:
    """Let two consumers change places for a period."""
    one = _weak_task(tb, s, ch)
    k = tb.task[one, PERIOD]
    two = tb.together[k, 1 + _below(s, tb.together[k, 0])]
    a, b = s.plug[one], s.plug[two]
    if a == b:
        return
    if a != NOWHERE and not _in_list(tb.feeders, two, a):
        return
    if b != NOWHERE and not _in_list(tb.feeders, one, b):
        return
    _plug(ch, one, b)
    _plug(ch, two, a)


@part
def _exchange(tb: Tables, s: State, ch: Change) -> None:
    """Let two batteries change all their plugs over some periods in a row."""
    n_b = len(tb.battery)
    f = s.plug[_weak_task(tb, s, ch)]
    if f == NOWHERE or f >= 2 * n_b:
        return
    one, two = f // 2, _below(s, n_b)
    first = _below(s, len(tb.period))
    last = first + _below(s, 4)
    if one == two:
        return
    for t in range(len(s.plug)):
        f = s.plug[t]
        if f == NOWHERE or tb.task[t, PERIOD] < first or tb.task[t, PERIOD] > last:
            continue
        if f // 2 == one:
            other = two
        elif f // 2 == two:
            other = one
        else:
            continue
        port = _in_list(tb.feeders, t, 2 * other)
        outlet = _in_list(tb.feeders, t, 2 * other + 1)
        if port and outlet:
            _plug(ch, t, 2 * other + _below(s, 2))
        elif port:
            _plug(ch, t, 2 * other)
        elif outlet:
            _plug(ch, t, 2 * other + 1)
        else:
            _none(ch)
            return


@part
def _panel(tb: Tables, s: State, ch: Change) -> None:
    """Plug a panel into another battery, or let two change places."""
    if len(s.panel) == 0:
        return
    p = _below(s, len(s.panel))
    if tb.panel_to[p, 0] == 0:
        return
    now = s.panel[p]
    b = tb.panel_to[p, 1 + _below(s, tb.panel_to[p, 0])]
    if b == now:
        return
    _lay(ch, p, b)
    if _draw(s) >= _EVEN:
        return
    n = 0
    for q in range(len(s.panel)):
        if s.panel[q] == b:
            ch.some[n] = q
            n += 1
    if n == 0:
        return
    q = ch.some[_below(s, n)]
    if now == NOWHERE or _in_list(tb.panel_to, q, now):
        _lay(ch, q, now)


@part
def _charger(tb: Tables, s: State, ch: Change) -> None:
    """Plug a battery's charger in or out, or give its place to another."""
    n_b = len(tb.battery)
    n = 0
    for b in range(n_b):
        if tb.charged_by[b, 0] > 0:
            ch.some[n] = b
            n += 1
    if n == 0:
        return
    b = ch.some[_below(s, n)]
    i = _below(s, tb.charged_by[b, 0] + 1)
    source = NOWHERE if i == 0 else tb.charged_by[b, i]
    if source == s.charger[b]:
        return
    _charge(ch, b, source)
    if source == NOWHERE:
        return
    # Others make way until the source can carry it.
    over_w = _used_w(tb, s, source) + tb.battery[b, CHARGER_W] - tb.source_w[source]
    n = 0
    for x in range(n_b):
        if x != b and s.charger[x] == source:
            ch.some[n] = x
            n += 1
    while n and over_w > _SLACK:
        i = _below(s, n)
        _charge(ch, ch.some[i], NOWHERE)
        over_w -= tb.battery[ch.some[i], CHARGER_W]
        n -= 1
        ch.some[i] = ch.some[n]


@part
def _trade(tb: Tables, s: State, ch: Change) -> None:
    """Let two batteries change their panels, and chargers where they can."""
    n_b = len(tb.battery)
    one, two = _below(s, n_b), _below(s, n_b)
    if one == two:
        return
    for p in range(len(s.panel)):
        if s.panel[p] == one and _in_list(tb.panel_to, p, two):
            _lay(ch, p, two)
        elif s.panel[p] == two and _in_list(tb.panel_to, p, one):
            _lay(ch, p, one)
    a, b = s.charger[one], s.charger[two]
    if a != NOWHERE and not _in_list(tb.charged_by, two, a):
        return
    if b != NOWHERE and not _in_list(tb.charged_by, one, b):
        return
    if a != b:
        _charge(ch, one, b)
        _charge(ch, two, a)


@part
def _move(tb: Tables, s: State, ch: Change) -> bool:
    """One change at random, most often where something is missing; False if none."""
    _none(ch)
    lot = _draw(s)
    if lot < 0.35:
        _replug(tb, s, ch)
    elif lot < 0.5:
        _swap(tb, s, ch)
    elif lot < 0.7:
        _exchange(tb, s, ch)
    elif lot < 0.85:
        _panel(tb, s, ch)
    elif lot < 0.95:
        _charger(tb, s, ch)
    else:
        _trade(tb, s, ch)
    return _some(ch) and _apply(tb, s, ch)


# -- searches -----------------------------------------------------------------


@compiled
def count(tb: Tables, s: State) -> None:
    """Work out what follows from the plugs, after they were set from outside."""
    s.short_wh[-1] = 0.0
    for t in range(len(s.plug)):
        if s.plug[t] == NOWHERE:
            s.short_wh[-1] += tb.energy_wh[t]
    for b in range(len(tb.battery)):
        for k in range(len(tb.period)):
            _draw_on(tb, s, b, k)
        _come_in(tb, s, b)
        _run_down(tb, s, b)


@compiled
def anneal(tb: Tables, s: State, ch: Change, steps: int, heat_wh: float) -> float:
    """Move plugs until nothing is missing; returns what is missing [Wh]."""
    now = _missing(s)
    cool = (_COLD_WH / heat_wh) ** (1.0 / max(1, steps))
    heat = heat_wh
    for _ in range(steps):
        if now <= ENOUGH_WH:
            break
        heat *= cool
        if not _move(tb, s, ch):
            continue
        after = _missing(s)
        if after <= now or _draw(s) < math.exp((now - after) / heat):
            now = after
        else:
            _revert(tb, s, ch)
    return now


@part
def _moves_of(tb: Tables, s: State) -> int:
    """Plugs that hang elsewhere than in the period before."""
    n = 0
    for t in range(1, len(s.plug)):
        same = tb.task[t, CONSUMER] == tb.task[t - 1, CONSUMER]
        if same and s.plug[t] != s.plug[t - 1]:
            n += 1
    return n


@part
def _put(tb: Tables, s: State, ch: Change, t: int, f: int) -> None:
    """Plug a consumer in there, changing places with who is in the way."""
    n = 0
    k = tb.task[t, PERIOD]
    for i in range(1, tb.together[k, 0] + 1):
        x = tb.together[k, i]
        if x != t and s.plug[x] == f and _in_list(tb.feeders, x, s.plug[t]):
            ch.some[n] = x
            n += 1
    _plug(ch, t, f)
    if n and _draw(s) < _EVEN:
        _plug(ch, ch.some[_below(s, n)], s.plug[t])


@compiled
def settle(tb: Tables, s: State, ch: Change, steps: int) -> None:
    """Fewer moves of plugs, as long as nothing runs short.

    A consumer is put where it hangs in the period before or after, alone or in
    exchange with another; what makes no more moves is kept.
    """
    now = _moves_of(tb, s)
    for _ in range(steps):
        if now == 0:
            return
        _none(ch)
        t = _below(s, len(s.plug))
        beside = t + 1 if _draw(s) < _EVEN else t - 1
        if beside < 0 or beside >= len(s.plug):
            continue
        f = s.plug[beside]
        if (
            tb.task[beside, CONSUMER] != tb.task[t, CONSUMER]
            or f == NOWHERE
            or f == s.plug[t]
            or not _in_list(tb.feeders, t, f)
        ):
            if _draw(s) < 0.2:
                _panel(tb, s, ch)
            else:
                _swap(tb, s, ch)
        else:
            _put(tb, s, ch, t, f)
        if not _some(ch) or not _apply(tb, s, ch):
            continue
        after = _moves_of(tb, s)
        if after <= now and _missing(s) <= ENOUGH_WH:
            now = after
        else:
            _revert(tb, s, ch)
