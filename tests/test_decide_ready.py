"""Loops made ready ahead of time are the ones that a plan runs."""

import random

from planner.decide import carry_steps, trial_moves
from planner.decide.blocks import plug_periods
from planner.decide.carriers import Carriers
from planner.decide.hookup import fed_by_modes
from planner.decide.ready import get_ready
from planner.decide.trial import try_wiring
from tests import builders as b
from tests.decide_cases import instance, some_modes

LOOPS = (
    trial_moves.count,
    trial_moves.anneal,
    trial_moves.settle,
    carry_steps.through,
    carry_steps.look_ahead,
    carry_steps.look_back,
)


def made_for():
    """Kinds of numbers that each loop was made for."""
    return [tuple(loop.signatures) for loop in LOOPS]


def test_a_plan_asks_for_no_loop_that_was_not_made_ready():
    get_ready()
    ready = made_for()
    assert all(ready)
    inst = instance(b.scenario())
    fed = fed_by_modes(inst, some_modes(inst, random.Random(5)))
    periods = plug_periods(inst, swaps=True)
    assert try_wiring(inst, fed, periods).hookups
    Carriers(inst, fed, periods).look(10_000, float("inf"))
    assert made_for() == ready
