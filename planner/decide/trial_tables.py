"""A board in the numbers that ``trial_moves.py`` works with."""

from collections.abc import Iterable, Sequence

import numpy as np

from planner.decide import trial_moves as moves
from planner.decide.board import Board, Feeder, Task
from planner.decide.trial_moves import NOWHERE, Flags, Floats, Ints, Tables
from planner.physics.supply import BatteryLimits
from planner.result import PortType
from planner.scenario import Battery


def number_of(feeder: Feeder | None, batteries: int) -> int:
    """Number of a feeder: ports of battery b 2b, its outlets 2b + 1, then sources."""
    if feeder is None:
        return NOWHERE
    if feeder.source:
        return 2 * batteries + feeder.number
    return 2 * feeder.number + (feeder.kind is PortType.AC)


def feeder_of(number: int, task: Task, batteries: int) -> Feeder | None:
    """The feeder of a task that has a number."""
    return next((f for f in task.feeders if number_of(f, batteries) == number), None)


def tables_of(board: Board) -> Tables:
    """Everything that stays as it is while plugs are moved about."""
    inst = board.instance
    inst = board.instance
    hours, limits = inst.hours, inst.limits
    packs = zip(inst.batteries, limits, strict=True)
    return Tables(
        task=_rows(([t.consumer, t.period, t.first, t.end] for t in board.tasks), 4),
        energy_wh=np.array([t.energy_wh for t in board.tasks], dtype=np.float64),
        feeders=_lists(
            [number_of(f, len(limits)) for f in task.feeders] for task in board.tasks
        ),
        period=_rows(([p.first, p.end] for p in board.periods), 2),
        together=_lists(
            [t for t, task in enumerate(board.tasks) if task.period == k]
            for k in range(len(board.periods))
        ),
        load_w=_hourly([fed.load_w for fed in board.fed], hours),
        who=np.array(
            [[f.consumer.running_w, f.consumer.surge_w] for f in board.fed]
        ).reshape(-1, 2),
        battery=np.array([_columns(battery, x) for battery, x in packs]).reshape(
            -1, moves.COLUMNS
        ),
        limit_w=_hourly(
            [next(iter(inst.charge_at[x.id].values())) for x in inst.batteries], hours
        ),
        sun_w=_hourly(inst.sun_w, hours),
        source_on=_hourly(inst.feed_on, hours) > 0,
        source_w=np.array([float(x.max_w) for x in inst.feeds]),
        panel_to=_lists(board.panel_choices),
        charged_by=_lists(board.charger_choices),
    )


def _columns(battery: Battery, limits: BatteryLimits) -> list[float]:
    """A battery's row, in the order that the search names its columns."""
    row = [0.0] * moves.COLUMNS
    row[moves.DC_SHARE] = limits.dc_efficiency
    row[moves.AC_SHARE] = limits.ac_efficiency
    row[moves.IDLE_W] = limits.ac_idle_w
    row[moves.PORTS] = battery.ports_12v
    row[moves.OUTLETS] = battery.outlets_ac
    row[moves.TOP_W] = limits.max_out_w
    row[moves.START_WH] = limits.start_wh
    row[moves.FULL_WH] = limits.full_wh
    row[moves.LEAST_WH] = limits.floor_wh + limits.reserve_wh
    row[moves.SOLAR_W] = limits.solar_limit_w
    row[moves.LET_IN] = limits.charge_efficiency
    row[moves.CHARGER_W] = battery.max_charge_w
    return row


def _hourly(some: Sequence[Floats | Flags], hours: int) -> Floats:
    """One row of hours for each; none where there is none."""
    rows = [np.asarray(row, dtype=np.float64) for row in some]
    return np.array(rows).reshape(len(rows), hours)


def _rows(some: Iterable[list[int]], width: int) -> Ints:
    return np.array(list(some), dtype=np.int64).reshape(-1, width)


def _lists(some: Iterable[Sequence[int]]) -> Ints:
    """Lists of unequal length side by side, each with its length first."""
    lists = list(some)
    found = np.full(
        (len(lists), 1 + max(map(len, lists), default=0)), NOWHERE, dtype=np.int64
    )
    for row, mine in zip(found, lists, strict=True):
        row[: 1 + len(mine)] = [len(mine), *mine]
    return found
