"""A wiring for what stands in one place, or is carried about as one problem.

First a wiring that never changes ("plug and leave"); else one that changes
once a day, at every swap time, or also when a source goes on or off, with the
fewest moves found.  Sockets, watts, caps, idle, efficiencies and reserve are
all counted hour by hour (R7).
"""

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace

from planner.decide.blocks import Block, plug_periods, rota_levels
from planner.decide.carriers import Carriers, Seen
from planner.decide.instance import Fed, Instance
from planner.decide.plugged import read_hookups
from planner.decide.simulate import around, thin_hours
from planner.decide.solver import Answer, Expr, Outcome, total
from planner.decide.stations import roams
from planner.decide.trial import LONG, Tried, nearly, try_wiring
from planner.decide.wiring import WiringModel
from planner.result import Hookup

FIND_NODES = 200
_SMALL_COLUMNS = 900
_SMALL_NODES = 1500
"""A small model earns a longer search: it often has an answer, soon found."""
_SOON_SAID = 150
_POLISH_NODES = 30
_PROOF_NODES = 100
_RATHER_NEAR = 0.1
"""Share of the energy that may be missing for schedules to be asked without proof."""
_WORK = 400_000_000
_WORK_QUICK = 50_000_000
_WORK_UNPROVEN = 30_000_000
"""Steps in looking for schedules of batteries; a hundred million take some seconds."""
_HALVED_SOON = 80
_HALVED = 160
"""Looks at how schedules are shared out; a hundred take two to four seconds."""
STEPS_H = (6, 6, 6, 6, 3, 3, 1)
"""Sunny hours merged: small kind models, cut finer where they were too kind,
and the exact one last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """Hookups found, or the fact that there are none.

    ``proven`` is False when the search ended at a limit without an answer.
    ``missing`` has the energy [Wh] that the best try lacked, by place.
    """

    hookups: tuple[Hookup, ...] | None
    proven: bool
    missing: dict[str, float] = field(default_factory=dict)


def wire_site(
    instance: Instance,
    fed: tuple[Fed, ...],
    *,
    ends: float,
    polish: bool,
    prove: bool,
    quick: bool,
) -> Wiring:
    """Wire what can be wired in one place, or carried about, as one problem.

    Parameters as for ``wire``.
    """
    levels = rota_levels(instance)
    alone = not roams(instance)
    if not polish and len(levels) > 1:
        # Whether it can be done shows at the ends; fewest moves between them.
        levels = (levels[0], levels[-1])
    if len(levels) > 2 and not alone and cannot(instance, fed, ends=ends):
        return Wiring(hookups=None, proven=True)
    found = Wiring(hookups=None, proven=False)
    for n, periods in enumerate(levels):
        if n and alone:
            found = _by_trial(
                instance,
                fed,
                periods,
                ends=ends,
                polish=polish,
                prove=prove,
                quick=quick,
            )
        else:
            found = _solve(instance, fed, periods, ends=ends, polish=polish)
        if found.hookups is not None:
            break
    return found if prove or found.hookups is not None else replace(found, proven=False)


def _by_trial(
    instance: Instance,
    fed: tuple[Fed, ...],
    periods: tuple[Block, ...],
    *,
    ends: float,
    polish: bool,
    prove: bool,
    quick: bool,
) -> Wiring:
    """Try, then ask whether there is any; longer where it is worth it."""
    small = prove and soon_said(instance, fed, periods)
    if small and cannot(instance, fed, periods, ends=ends):
        # How much is missing nobody knows.
        missing = {fed[0].consumer.place: 0.0}
        return Wiring(hookups=None, proven=True, missing=missing)
    tried = try_wiring(instance, fed, periods)
    known = _wiring(fed, tried)
    if known.proven:
        return known
    if quick and not prove:
        return known
    carriers = None
    if prove or nearly(fed, tried.missing_wh, _RATHER_NEAR):
        carriers = Carriers(instance, fed, periods)
        work = (_WORK_QUICK if quick else _WORK) if prove else _WORK_UNPROVEN
        known = _by_schedules(
            carriers, work, known, prove=prove and not small, ends=ends
        )
    if carriers is not None and not (known.proven or quick):
        known = _seen(known, carriers.halve(_HALVED_SOON))
    if not (known.proven or quick):
        tried = tried.or_else(try_wiring(instance, fed, periods, LONG))
        known = _wiring(fed, tried)
    if carriers is not None and not (known.proven or quick):
        known = _seen(known, carriers.halve(_HALVED))
    if carriers is not None and carriers.too_many and prove and not known.proven:
        solved = _solve(instance, fed, periods, ends=ends, polish=polish)
        known = replace(solved, missing=known.missing)
    return known


def _by_schedules(
    carriers: Carriers, work: int, tried: Wiring, *, prove: bool, ends: float
) -> Wiring:
    """Ask whole schedules of batteries, and to ``prove`` the model of plugs beside.

    ``tried`` where they know nothing yet.  Whichever proves it first, the answer
    is the same.
    """
    if not prove:
        return _seen(tried, carriers.look(work, ends))
    inst, fed, periods = carriers.instance, carriers.board.fed, carriers.board.periods
    with ThreadPoolExecutor(1) as thread:
        model = thread.submit(cannot, inst, fed, periods, ends=ends)
        seen = carriers.look(work, ends, until=lambda: model.done() and model.result())
        if model.result():
            return replace(tried, proven=True)
    return _seen(tried, seen)


def _seen(tried: Wiring, seen: Seen) -> Wiring:
    if seen.hookups is not None:
        return replace(tried, hookups=seen.hookups, proven=True)
    return replace(tried, proven=True) if seen.answer is Answer.INFEASIBLE else tried


def _wiring(fed: tuple[Fed, ...], tried: Tried) -> Wiring:
    """What a trial found; that it found none proves nothing."""
    return Wiring(
        hookups=tried.hookups,
        proven=tried.hookups is not None,
        missing={fed[0].consumer.place: tried.missing_wh},
    )


def _solve(
    instance: Instance,
    fed: tuple[Fed, ...],
    periods: tuple[Block, ...],
    *,
    ends: float,
    polish: bool,
) -> Wiring:
    """Solve the model of one rota, looking closer where it was too kind."""
    marks: frozenset[int] = frozenset()
    answer = Answer.UNKNOWN
    for sunny_h in STEPS_H:
        model = WiringModel(instance, fed, periods, sunny_h=sunny_h, marks=marks)
        search = _Search(model=model, ends=ends, marks=marks)
        answer = search.solve(polish=polish)
        if search.hookups is not None:
            return Wiring(hookups=search.hookups, proven=True)
        if answer is not Answer.OPTIMAL:
            break
        marks = search.marks
    return Wiring(hookups=None, proven=answer is Answer.INFEASIBLE)


def soon_said(
    instance: Instance, fed: tuple[Fed, ...], periods: tuple[Block, ...]
) -> bool:
    """True when the model of plugs is so small that it is asked sooner than tried."""
    return len(fed) * len(periods) * len(instance.batteries) <= _SOON_SAID


def cannot(
    instance: Instance,
    fed: tuple[Fed, ...],
    periods: tuple[Block, ...] | None = None,
    *,
    ends: float,
) -> bool:
    """True when it is soon proven that no wiring feeds everything in ``fed``.

    Looks at the kindest model alone, so False says nothing.  Without
    ``periods`` plugs may move at every chance.
    """
    if not fed:
        return False
    periods = periods or plug_periods(instance, swaps=True)
    model = WiringModel(instance, fed, periods, sunny_h=STEPS_H[0], marks=frozenset())
    outcome = model.model.minimise(
        0,
        time_limit_s=max(0.1, ends - time.monotonic()),
        lean=True,
        node_limit=_PROOF_NODES,
    )
    return outcome.answer is Answer.INFEASIBLE


@dataclass(slots=True, kw_only=True)
class _Search:
    """Solves one wiring model; ``marks`` gathers hours to look at closer."""

    model: WiringModel
    ends: float
    marks: frozenset[int]
    hookups: tuple[Hookup, ...] | None = None

    def solve(self, *, polish: bool) -> Answer:
        """Any wiring first; then fewest moves; then most charge at the end.

        ``hookups`` is set only to wirings that hold hour by hour.
        """
        wm = self.model
        first = self._try(0)
        if not first.found:
            return first.answer
        if not polish or self.hookups is None:
            return Answer.OPTIMAL
        if wm.moved:
            moves = total(wm.moved)
            fewer = self._try(moves, whole_objective=True)
            if fewer.found:
                wm.model.add("M", moves <= round(fewer.objective))
        self._try(wm.charge_spent())
        return Answer.OPTIMAL

    def _try(self, objective: Expr, *, whole_objective: bool = False) -> Outcome:
        """Solve for an objective and keep the wiring if it holds."""
        wm = self.model
        outcome = wm.model.minimise(
            objective,
            time_limit_s=max(0.1, self.ends - time.monotonic()),
            whole_objective=whole_objective,
            lean=True,
            node_limit=_find_nodes(wm) if self.hookups is None else _POLISH_NODES,
        )
        if outcome.found:
            found = read_hookups(wm)
            thin = thin_hours(wm.instance, wm.fed, found)
            if not thin:
                self.hookups = found
            # Look closer next time at the hours that were seen too kindly.
            self.marks |= around(thin)
        return outcome


def _find_nodes(wm: WiringModel) -> int:
    """Nodes to look for a first wiring in."""
    columns, _ = wm.model.size
    return _SMALL_NODES if columns <= _SMALL_COLUMNS else FIND_NODES
