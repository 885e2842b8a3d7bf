"""Kit that a wiring can do without, left for other places."""

from dataclasses import replace

from planner.decide.allocation import Allocation
from planner.decide.blocks import plug_periods
from planner.decide.hookup import fed_by_modes
from planner.decide.stations import kit_worth_wh, with_kit
from planner.decide.trial import Effort, try_wiring
from planner.result import Hookup

_EFFORT = Effort(starts=4, steps=5_000, kept=2, more_steps=10_000)
_IN_VAIN = 4
"""Tries in a row after which nothing is likely to be spared."""


def spared(plan: Allocation) -> Allocation:
    """The plan of one place with less kit, what is worth most spared first."""
    inst = plan.instance
    fed = fed_by_modes(inst, tuple(c.mode for c in plan.placed.choices))
    worth_wh = kit_worth_wh(inst)
    hookups = plan.hookups
    kit = _kit_of(hookups) & worth_wh.keys()
    in_vain = 0
    for item in sorted(kit, key=lambda i: (-worth_wh[i], i)):
        if item not in kit:
            continue
        if in_vain == _IN_VAIN:
            break
        in_vain += 1
        less = with_kit(inst, frozenset({h.place for h in hookups}), kit - {item})
        found = try_wiring(less, fed, plug_periods(less, swaps=True), _EFFORT)
        if found.hookups is not None:
            hookups, in_vain = found.hookups, 0
            kit = _kit_of(hookups) & worth_wh.keys()
    return replace(plan, hookups=hookups)


def _kit_of(hookups: tuple[Hookup, ...]) -> frozenset[str]:
    return frozenset(i for h in hookups for i in (h.from_id, h.to_id))
