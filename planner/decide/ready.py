"""The compiled loops made ready before anybody waits for them.

On a computer that has never planned this takes some ten seconds, later a
fraction of one.
"""

import numpy as np

from planner.decide import trial_moves as moves
from planner.decide.carry_steps import Ways, look_ahead, look_back, through

_HOURS = 1


def get_ready() -> None:
    """Run every compiled loop once, on next to nothing."""
    tables = _one_of_each()
    state, change = moves.new_state(tables, 0), moves.new_change(tables)
    moves.count(tables, state)
    moves.anneal(tables, state, change, 1, 1.0)
    moves.settle(tables, state, change, 1)
    span, hour = np.array([[0, _HOURS]]), np.zeros((1, _HOURS))
    rows, able = through(
        span, hour, np.zeros((1, _HOURS), dtype=bool), hour[0], 1.0, 0.0
    )
    (plugs,) = np.nonzero(able)
    first = np.zeros(1, dtype=np.int64)
    ways = Ways(rows[plugs], plugs, np.searchsorted(first, np.arange(2)), first)
    earned = np.zeros(1)
    look_back(ways, earned, look_ahead(ways, earned, 1.0), 1.0, 0.0)


def _one_of_each() -> moves.Tables:
    """One fridge, battery, panel and source for an hour; none can feed another."""

    def ints(*rows: int) -> moves.Ints:
        return np.array([rows], dtype=np.int64)

    hour = np.zeros((1, _HOURS))
    return moves.Tables(
        task=ints(0, 0, 0, _HOURS),
        energy_wh=np.ones(1),
        feeders=ints(0),
        period=ints(0, _HOURS),
        together=ints(1, 0),
        load_w=hour,
        who=np.zeros((1, 2)),
        battery=np.ones((1, moves.COLUMNS)),
        limit_w=hour,
        sun_w=hour,
        source_on=hour > 0,
        source_w=np.zeros(1),
        panel_to=ints(0),
        charged_by=ints(0),
    )
