"""Blocks of hours over which the placement model keeps its energy account."""

import itertools
from dataclasses import dataclass

import numpy as np

from planner.decide.instance import Instance
from planner.scenario import Equipment


@dataclass(frozen=True, slots=True)
class Block:
    """Hours ``first`` to ``end`` (exclusive) taken together."""

    first: int
    end: int

    @property
    def hours(self) -> int:
        """Length of the block."""
        return self.end - self.first

    @property
    def span(self) -> slice:
        """Slice of an hourly array."""
        return slice(self.first, self.end)


def source_edges(instance: Instance) -> set[int]:
    """Hours at which some source goes on or off."""
    edges: set[int] = set()
    for on in instance.feed_on:
        edges |= {int(h) + 1 for h in np.flatnonzero(np.diff(on.astype(int)))}
    return edges


def swap_edges(instance: Instance) -> set[int]:
    """Hours at which someone can move plugs."""
    cond = instance.scenario.conditions
    first_hour = cond.start.hour + (1 if cond.start.minute else 0)
    return {
        h for h in range(1, instance.hours) if (first_hour + h) % 24 in cond.swap_hours
    }


def cut(edges: set[int], hours: int) -> tuple[Block, ...]:
    """Blocks between the edges, over the whole window."""
    marks = sorted({0, hours} | {e for e in edges if 0 < e < hours})
    return tuple(Block(a, b) for a, b in itertools.pairwise(marks))


def energy_blocks(instance: Instance, step_h: int = 6) -> tuple[Block, ...]:
    """Blocks for the placement model: every few clock hours and every edge."""
    start = instance.scenario.conditions.start.hour
    clock = {h for h in range(instance.hours) if (start + h) % step_h == 0}
    kit: tuple[Equipment, ...] = (
        *instance.able,
        *instance.batteries,
        *instance.panels,
    )
    terms = [e.availability for e in kit]
    ready = {t.ready_h for t in terms} | {t.back_h for t in terms if t.back_h}
    edges = clock | source_edges(instance) | swap_edges(instance) | ready
    return cut(edges, instance.hours)


def plug_periods(instance: Instance, *, swaps: bool) -> tuple[Block, ...]:
    """Periods within which no plug moves."""
    if not swaps:
        return (Block(0, instance.hours),)
    return cut(swap_edges(instance) | source_edges(instance), instance.hours)


def rota_levels(instance: Instance) -> tuple[tuple[Block, ...], ...]:
    """Ways to divide the window, from plug and leave to a swap at every chance.

    Between them: one swap a day at the first swap time, and the swap times
    without those at which a source goes on or off.
    """
    edges = swap_edges(instance)
    begins = instance.scenario.conditions.start
    first_hour = begins.hour + (1 if begins.minute else 0)
    clocks = sorted({(first_hour + h) % 24 for h in edges})
    daily = {h for h in edges if (first_hour + h) % 24 == clocks[0]}
    levels: list[tuple[Block, ...]] = []
    for some in (set(), daily, edges, edges | source_edges(instance)):
        level = cut(some, instance.hours)
        if level not in levels:
            levels.append(level)
    return tuple(levels)


def charge_steps(
    instance: Instance,
    periods: tuple[Block, ...],
    *,
    sunny_h: int,
    marks: frozenset[int] = frozenset(),
) -> tuple[Block, ...]:
    """Steps at whose ends the charge is looked at.

    Hours in which nothing comes in are merged up to the next plug change:
    the charge only falls there, so nothing is lost by looking at the end
    alone.  Hours with income are merged ``sunny_h`` at a time; 1 is exact,
    more is kinder than the truth and must be checked hour by hour.
    ``marks`` are hours at which the steps are cut in any case.
    """
    hours = instance.hours
    income = np.zeros(hours)
    for sun in instance.sun_w:
        income += sun
    for on in instance.feed_on:
        income += on
    edges = {p.first for p in periods} | source_edges(instance) | marks
    run = 0
    for h in range(1, hours):
        if (income[h] > 0) != (income[h - 1] > 0) or h in edges:
            edges.add(h)
            run = 0
        elif income[h] > 0:
            run += 1
            if run % sunny_h == 0:
                edges.add(h)
    return cut(edges, hours)
