"""What more kit brings on top of a plan whose plugs stay where they are.

A unit that is off, or is to hold more, is fed in relays: by one feeder as long
as that carries it, then by another, changed when plugs may be changed.  So a
question about a loan is one small placement, not a new wiring.  What is found
is a whole plan that holds hour by hour; a better one may need all plugs anew.
"""

from dataclasses import replace

from planner.decide.blocks import plug_periods
from planner.decide.goods import SlotKey
from planner.decide.hookup import fed_by_modes
from planner.decide.instance import Fed, Instance, Mode, consumer_of_unit
from planner.decide.on_top_feeders import TO_USER, InForce, Memory
from planner.decide.on_top_turns import Turns, free_feeds, relay, spare_wh
from planner.decide.placed import Placed
from planner.decide.placement import PlacementModel
from planner.decide.salvage import no_more, used
from planner.decide.simulate import thin_hours
from planner.decide.sockets import Span, merge, number_sockets
from planner.decide.solver import total
from planner.physics.profiles import Hourly
from planner.result import Hookup, ReasonFamily

_WH = 1000.0
_ROUNDS = 2
"""Placements thrown away before the turns are settled unit by unit."""


class OnTop(PlacementModel):
    """The placement on a wiring in force, with what more kit can carry."""

    def __init__(
        self,
        instance: Instance,
        fed: tuple[Fed, ...],
        hookups: tuple[Hookup, ...],
        memory: Memory | None = None,
    ) -> None:
        periods = plug_periods(instance, swaps=True)
        self.force = InForce(instance, fed, hookups, periods, memory)
        self.turns = Turns()
        self.fixed: dict[str, Mode] | None = None
        self._stays: dict[str, Fed] = {}
        self._rounds = 0
        self.favoured: frozenset[SlotKey] = frozenset()
        """Slots that the need in question can use."""
        self._known: dict[str, list[tuple[Hourly, bool]]] = {}
        self._first = Turns(feeds=free_feeds(self.force))
        able = self._able(instance)
        super().__init__(able, relax=frozenset({ReasonFamily.POWER}))
        self._add_pool()

    # -- what could be fed at all ------------------------------------------------

    def _able(self, instance: Instance) -> Instance:
        """The instance with the modes that are fed now or could be in relays."""
        return replace(
            instance,
            modes=tuple(
                tuple(m for m in mine if self._could_run(instance, m))
                for mine in instance.modes
            ),
        )

    def _could_run(self, instance: Instance, mode: Mode) -> bool:
        if not instance.units[mode.unit].powered or self._is_fed(mode):
            return True
        known = self._known.setdefault(mode.unit_id, [])
        for load_w, able in known:
            # What a heavier load can have a lighter one can, and so back.
            if able and no_more(mode.load_w, load_w):
                return True
            if not able and no_more(load_w, mode.load_w):
                return False
        turns = relay(self.force, _fed(instance, mode), self._first, self.force.fed)
        known.append((mode.load_w, turns is not None))
        return turns is not None

    def _is_fed(self, mode: Mode) -> bool:
        now = self.force.fed.get(mode.unit_id)
        return now is not None and no_more(mode.load_w, now.load_w)

    def _add_pool(self) -> None:
        """New loads together draw no more than all feeders have to spare."""
        inst = self.instance
        total_wh = sum(
            spare_wh(self.force, self._first.feeds, b)
            for b in range(len(inst.batteries))
        )
        total_wh += sum(
            float(on.sum()) * source.max_w
            for source, on in zip(inst.feeds, inst.feed_on, strict=True)
        )
        terms = []
        for u, options in enumerate(self.choices):
            now = self.force.fed.get(inst.units[u].id)
            has_wh = float(now.load_w.sum()) if now is not None else 0.0
            for i, c in enumerate(options):
                if inst.units[u].powered and not self._is_fed(c.mode):
                    more_wh = max(0.0, float(c.mode.load_w.sum()) - has_wh)
                    terms.append(more_wh / _WH * self.pick[u, i])
        if terms:
            self.model.add("R7", total(terms) <= total_wh / _WH)

    def cut_off(self, placed: Placed) -> bool:
        """Cut off units that cannot all be fed; False when they can."""
        new = self._new_modes(placed)
        if self.fixed is not None:
            powered = [
                c.mode
                for c in placed.choices
                if self.instance.units[c.mode.unit].powered
            ]
            return not all(self._in_turn(m) for m in powered)
        turns = self._turns_for(new)
        if turns is not None:
            self.turns = turns
            return False
        self._rounds += 1
        if self._rounds > _ROUNDS:
            self.fix(placed)
            return True
        terms = [
            self.pick[m.unit, i]
            for m in new
            for i, c in enumerate(self.choices[m.unit])
            if no_more(m.load_w, c.mode.load_w)
        ]
        self.model.add("R7", total(terms) <= len(new) - 1)
        return True

    def _staying(self, new: list[Mode]) -> dict[str, Fed]:
        """What stays on the plugs in force when some units are fed anew."""
        gone = {m.unit_id for m in new}
        return {w: f for w, f in self.force.fed.items() if w not in gone}

    def _new_modes(self, placed: Placed) -> list[Mode]:
        """Modes of a placement that the plugs in force do not feed."""
        new = [
            c.mode
            for c in placed.choices
            if self.instance.units[c.mode.unit].powered and not self._is_fed(c.mode)
        ]
        # The heaviest load is the hardest to find turns for.
        return sorted(new, key=lambda m: (-float(m.load_w.sum()), m.unit_id))

    def _turns_for(self, new: list[Mode]) -> Turns | None:
        turns = self._first
        staying = self._staying(new)
        for mode in new:
            more = relay(self.force, _fed(self.instance, mode), turns, staying)
            if more is None:
                return None
            turns = more
        return turns

    def fix(self, placed: Placed) -> None:
        """Feed what can be fed in relays, this placement's units first.

        From then on units run as these turns carry them, or as they do now.
        """
        if self.fixed is not None:
            return
        wanted_first = {m.unit_id: n for n, m in enumerate(self._new_modes(placed))}
        turns, fixed = self._first, {}
        staying = self._staying(self._new_modes(placed))
        units = sorted(
            (u for u, unit in enumerate(self.instance.units) if unit.powered),
            key=lambda u: (
                wanted_first.get(self.instance.units[u].id, len(wanted_first)),
                self.force.fed.get(self.instance.units[u].id) is not None,
                -self.instance.units[u].gross_volume_l,
                self.instance.units[u].id,
            ),
        )
        picked = {m.unit_id: m for m in self._new_modes(placed)}
        for u in units:
            mine = [m for m in self.instance.modes[u] if not self._is_fed(m)]
            mine.sort(key=lambda m: (not self.is_favoured(m), -float(m.load_w.sum())))
            first = picked.get(self.instance.units[u].id)
            for mode in ([first] if first is not None else []) + mine:
                more = relay(self.force, _fed(self.instance, mode), turns, staying)
                if more is not None:
                    turns = more
                    fixed[mode.unit_id] = mode
                    staying.pop(mode.unit_id, None)
                    break
        self.turns, self.fixed, self._stays = turns, fixed, staying
        for u, options in enumerate(self.choices):
            for i, c in enumerate(options):
                if self.instance.units[u].powered and not self._in_turn(c.mode):
                    self.model.add("R7", self.pick[u, i] <= 0)

    def is_favoured(self, mode: Mode) -> bool:
        """Whether the need in question has a use for a mode."""
        return any(
            (mode.unit, z, s) in self.favoured for z, s in enumerate(mode.set_points_c)
        )

    def bundle(self, mode: Mode, panels: int) -> frozenset[str] | None:
        """What takes turns to run a unit in a mode, the unit among it.

        ``panels`` is the most that each battery may have of those not plugged in.
        """
        if self._is_fed(mode):
            return None
        start = Turns(
            feeds={f: feeds[:panels] for f, feeds in self._first.feeds.items()}
        )
        fed = _fed(self.instance, mode)
        turns = (
            relay(self.force, fed, start, self.force.fed)
            if fed.consumer.needed.any()
            else None
        )
        if turns is None:
            return None
        used_feeds = {x.giver for f in turns.plugs for x in turns.feeds.get(f, ())}
        return frozenset({mode.unit_id, *turns.plugs, *used_feeds})

    def _in_turn(self, mode: Mode) -> bool:
        turn = (self.fixed or {}).get(mode.unit_id)
        stay = self._stays.get(mode.unit_id)
        return (turn is not None and no_more(mode.load_w, turn.load_w)) or (
            stay is not None and no_more(mode.load_w, stay.load_w)
        )

    def wired(self, placed: Placed) -> tuple[Hookup, ...] | None:
        """The wiring of a placement; ``None`` when it does not hold."""
        if self.cut_off(placed):
            return None
        force, turns = self.force, self.turns
        turned = {p.who for plugs in turns.plugs.values() for p, _ in plugs}
        in_use = {c.mode.unit_id for c in placed.choices} & turned
        turns = Turns(
            {
                f: [one for one in plugs if one[0].who in in_use]
                for f, plugs in turns.plugs.items()
            },
            turns.feeds,
        )
        moved = in_use
        hookups = [
            h for h in force.hookups if not (h.link in TO_USER and h.to_id in moved)
        ]
        for feeder, plugs in sorted(turns.plugs.items()):
            if not plugs:
                continue
            hookups += [force.hookup(p, fed.consumer) for p, fed in plugs]
            place = plugs[0][1].consumer.place
            hookups += [
                force.feed_hookup(f, place) for f in turns.feeds.get(feeder, ())
            ]
        fed = fed_by_modes(self.instance, tuple(c.mode for c in placed.choices))
        spans: list[Span] = [
            (h.link, h.from_id, h.to_id, h.port, h.place, h.from_h, h.to_h)
            for h in used(tuple(hookups), fed)
        ]
        found = number_sockets(merge(spans))
        return None if thin_hours(self.instance, fed, found) else found


def _fed(instance: Instance, mode: Mode) -> Fed:
    unit = instance.units[mode.unit]
    return Fed(consumer=consumer_of_unit(unit, instance.hours), load_w=mode.load_w)
