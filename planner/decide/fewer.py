"""Less than was wished for: how much power a tier may have, and who goes without.

Where a placement cannot be wired, the next try asks for less energy at the
places that ran short, and after one that holds for a little more again; then
units are added one by one to what has power already.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from planner.decide.cuts import Cut
from planner.decide.grow import grow
from planner.decide.hookup import fed_by_modes, wire
from planner.decide.instance import Fed, Instance, Mode
from planner.decide.one_site import Wiring
from planner.decide.placed import Placed
from planner.decide.salvage import Wired
from planner.decide.stage_values import StageValue, got
from planner.decide.stations import roams

_WH = 1000.0
_CLOSE_KWH = 0.05
_STEP_SHARE = 0.01
"""Least share of the energy by which less is asked for, doubled at every try: what
nearly goes in one place may be far from going."""
_IN_VAIN = 3
"""Rounds without a gain after which the time is worth more to later tiers."""

Served = tuple[StageValue, Placed]
"""What a tier gets, and the placement that gives it."""
Option = tuple[Served, Wired]
"""A tier served, and the wiring that carries it."""


def better(one: Option | None, two: Option | None) -> Option | None:
    """The option that serves more; the first of equals."""
    if one is None or two is None:
        return one or two
    return max(one, two, key=lambda option: got(option[0][0]))


def energy_kwh(fed: tuple[Fed, ...]) -> dict[str, float]:
    """Energy that consumers take over the window, by place."""
    found: dict[str, float] = {}
    for f in fed:
        place = f.consumer.place
        found[place] = found.get(place, 0.0) + float(f.load_w.sum()) / _WH
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Less:
    """The search for a part of what a tier wished for.

    ``wired`` is what has power now, ``failed`` what was tried last and why it
    could not be wired.  ``ask`` gives the best placement under budgets and
    guesses, ``place`` the best in what a wiring feeds; ``tries`` is how often
    less is asked for, ``rounds`` how often units are added anew, none of them
    begun after ``rounds_end`` on the clock.
    """

    instance: Instance
    wired: Wired
    failed: tuple[tuple[Fed, ...], Wiring] | None
    ask: Callable[..., Served | None]
    place: Callable[[Wired], Option | None]
    ends: float
    tries: int
    rounds: int
    rounds_end: float
    quick: bool = False

    def serve(self, most: Served, best: Option | None) -> Option | None:
        """The best option found, at least as good as the one in hand."""
        if roams(self.instance) or not self.tries:
            return self._grown(most, best)
        found, wished = self._with_less(most, best)
        if found is None or found is best:
            return self._grown(wished, best)
        # What has power now may have room for a part of what was wished for last.
        return replace(self, wired=found[1], rounds=1)._grown(wished, found)

    def _with_less(
        self, most: Served, best: Option | None
    ) -> tuple[Option | None, Served]:
        """Ask for less energy until it can be wired, then for a little more.

        Returns also the last placement that could not be wired.
        """
        budgets = Budgets(held=energy_kwh(self.wired[0]))
        found: Served | None = most
        wished = most
        failed = 0
        for attempt in range(1 + self.tries):
            if attempt:
                found = self.ask(budgets=budgets.now)
            if found is None or no_gain(found, best):
                if not budgets.more():
                    break
                continue
            fed, wiring = self._wire(found, first=attempt == 0)
            if wiring.hookups is None:
                budgets.lower(fed, wiring, at_least=_STEP_SHARE * 2**failed)
                failed += 1
                wished = found
                continue
            best = better(best, (found, (fed, wiring.hookups)))
            if not budgets.raised(fed):
                break
        return best, wished

    def _wire(self, found: Served, *, first: bool) -> tuple[tuple[Fed, ...], Wiring]:
        if first and self.failed is not None:
            return self.failed
        fed = fed_by_modes(self.instance, tuple(c.mode for c in found[1].choices))
        wiring = wire(
            self.instance,
            fed,
            ends=self.ends,
            polish=False,
            prove=False,
            quick=self.quick,
        )
        return fed, wiring

    def _grown(self, wished: Served, best: Option | None) -> Option | None:
        """Add what is wished for unit by unit, and wish anew for what is left."""
        guesses: list[Cut] = []
        found: Served | None = wished
        in_vain = 0
        for n in range(self.rounds):
            if n:
                found = self.ask(guesses=guesses, stationed=roams(self.instance))
            if found is None or no_gain(found, best):
                break
            before = best
            refused, best = self._grow(found[1], best)
            if refused is None:
                break
            in_vain = in_vain + 1 if best is before else 0
            late = time.monotonic() > self.rounds_end
            if late or not refused or in_vain == _IN_VAIN:
                break
            guesses += [Cut(modes=m, absent=frozenset()) for m in refused]
        return best

    def _grow(
        self, placed: Placed, best: Option | None
    ) -> tuple[tuple[tuple[Mode, ...], ...] | None, Option | None]:
        """Add units one by one, then once more with those first that were refused.

        Returns what was refused at first (``None`` if nothing could be tried), and
        the best option.
        """
        grown = grow(self.instance, self.wired, placed, ends=self.ends)
        if grown is None:
            return None, best
        best = better(best, self.place(grown.wired))
        first = frozenset(modes[-1].unit_id for modes in grown.refused)
        if first and time.monotonic() <= self.rounds_end:
            again = grow(self.instance, self.wired, placed, ends=self.ends, first=first)
            if again is not None:
                best = better(best, self.place(again.wired))
        return grown.refused, best


def no_gain(found: Served, best: Option | None) -> bool:
    """True when a placement serves no more than an option in hand."""
    return best is not None and got(found[0]) <= got(best[0][0])


@dataclass(slots=True, kw_only=True)
class Budgets:
    """Energy for the units of each place [kWh]: what held, and what did not.

    ``now`` is what the next try may use.
    """

    held: dict[str, float]
    failed: dict[str, float] = field(default_factory=dict)
    now: dict[str, float] = field(default_factory=dict)

    def lower(self, fed: tuple[Fed, ...], wiring: Wiring, *, at_least: float) -> None:
        """Ask for less where energy was missing, by a share of it at the least."""
        used = energy_kwh(fed)
        for place, missing_wh in wiring.missing.items():
            self.failed[place] = used[place]
            low = self.held.get(place, 0.0)
            less = used[place] - max(missing_wh / _WH, at_least * used[place])
            if not low + _CLOSE_KWH < less < used[place] - _CLOSE_KWH:
                less = (low + used[place]) / 2
            self.now[place] = less

    def raised(self, fed: tuple[Fed, ...]) -> bool:
        """Ask for more after a try that held; False when there is no room."""
        self.held = energy_kwh(fed)
        return self._between()

    def more(self) -> bool:
        """Ask for more after a try that gained nothing."""
        self.held |= self.now
        return self._between()

    def _between(self) -> bool:
        wide = False
        for place, failed in self.failed.items():
            low = self.held.get(place, 0.0)
            self.now[place] = (low + failed) / 2
            wide = wide or failed - low > 2 * _CLOSE_KWH
        return wide
