"""Plugs, panels and chargers as they are set at one moment of a search.

Counts for every battery the energy that is missing below its reserve, topped
up as it goes, so that a search sees how far a wiring is from holding (R7).
"""

from dataclasses import dataclass, field

from planner.decide.alone import Sockets, hours_needed, wanted
from planner.decide.blocks import Block
from planner.decide.instance import Fed, Instance, charges_battery, sun_reaches
from planner.decide.plugged import charger_span, home, panel_span, source_socket
from planner.decide.sockets import Span, merge, number_sockets
from planner.decide.stretch import NONE, Packs
from planner.result import Hookup, Link, PortType


@dataclass(frozen=True, slots=True)
class Feeder:
    """A socket that may carry a plug: its kind, and the battery or source."""

    kind: PortType
    number: int
    source: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A consumer to be fed through one period."""

    consumer: int
    period: int
    first: int
    end: int
    energy_wh: float
    feeders: tuple[Feeder, ...]


@dataclass(slots=True, kw_only=True)
class Undo:
    """What a change replaced."""

    plugs: dict[int, Feeder | None] = field(default_factory=dict)
    panels: dict[int, int] = field(default_factory=dict)
    chargers: dict[int, int] = field(default_factory=dict)
    missing: dict[int, float] = field(default_factory=dict)


class Board:
    """Every plug of one wiring; batteries stand where they are."""

    def __init__(
        self, instance: Instance, fed: tuple[Fed, ...], periods: tuple[Block, ...]
    ) -> None:
        self.instance = instance
        self.fed = fed
        self.periods = periods
        self.tasks = self._tasks()
        n_b = len(instance.batteries)
        self.panel_choices = tuple(
            tuple(b for b in range(n_b) if sun_reaches(p, instance.batteries[b]))
            for p in instance.panels
        )
        self.charger_choices = tuple(
            tuple(
                s
                for s, source in enumerate(instance.feeds)
                if charges_battery(source, battery)
            )
            for battery in instance.batteries
        )
        self.plug: list[Feeder | None] = [None] * len(self.tasks)
        self.panel = [NONE] * len(instance.panels)
        self.charger = [NONE] * n_b
        self.on = self._nothing_on(n_b)
        self.direct = self._nothing_on(len(instance.feeds))
        self.short = [0.0] * n_b
        self.unfed_wh = 0.0
        self.packs = Packs(instance, fed, periods)

    def _tasks(self) -> tuple[Task, ...]:
        sockets = Sockets(self.instance)
        found = []
        for c, fed in enumerate(self.fed):
            who, ways = fed.consumer, fed.load_w[None, :]
            for k, period in enumerate(self.periods):
                if not wanted(who, period):
                    continue
                feeders = []
                dc, ac = sockets.of_batteries(who, ways, period)
                for b in range(len(self.instance.batteries)):
                    feeders += [Feeder(PortType.DC_12V, b)] if dc[b, 0] else []
                    feeders += [Feeder(PortType.AC, b)] if ac[b, 0] else []
                for s, source in enumerate(self.instance.feeds):
                    if sockets.of_source(who, s, period):
                        kind = source_socket(source, who)
                        feeders.append(Feeder(kind, s, source=True))
                hours = hours_needed(period, who)
                found.append(
                    Task(
                        consumer=c,
                        period=k,
                        first=int(hours[0]),
                        end=int(hours[-1]) + 1,
                        energy_wh=float(fed.load_w[hours].sum()),
                        feeders=tuple(feeders),
                    )
                )
        return tuple(found)

    def _nothing_on(self, feeders: int) -> list[list[int]]:
        """No plug in, feeder by feeder and period by period; a bit a plug."""
        return [[0] * len(self.periods) for _ in range(feeders)]

    def start(self) -> None:
        """Panels shared out, every task where it makes least short."""
        self.plug = [None] * len(self.tasks)
        self.panel = [NONE] * len(self.panel)
        self.charger = [NONE] * len(self.charger)
        self.on = self._nothing_on(len(self.on))
        self.direct = self._nothing_on(len(self.direct))
        self.short = [0.0] * len(self.short)
        self.unfed_wh = sum(task.energy_wh for task in self.tasks)
        self._share_out_panels()
        for b, sources in enumerate(self.charger_choices):
            for s in sources:
                if self.charger[b] == NONE:
                    self.change(chargers={b: s})
        hungry = [-float(fed.load_w.sum()) for fed in self.fed]
        order = sorted(
            range(len(self.tasks)),
            key=lambda t: (hungry[self.tasks[t].consumer], t),
        )
        for t in order:
            self._plug_best(t)

    def _share_out_panels(self) -> None:
        """The strongest panel to the battery with most room for it at its input."""
        inst = self.instance
        room = [x.solar_limit_w for x in inst.limits]
        for p in sorted(range(len(self.panel)), key=lambda p: -inst.sun_w[p].sum()):
            choices = self.panel_choices[p]
            if choices:
                b = max(choices, key=lambda b: (room[b], -b))
                room[b] -= float(inst.sun_w[p].max())
                self.change(panels={p: b})

    def _plug_best(self, t: int) -> None:
        """Plug a task in where least is missing, best where it was before."""
        best: tuple[float, bool] | None = None
        chosen = None
        for feeder in self.tasks[t].feeders:
            undo = self.change(plugs={t: feeder})
            if undo is None:
                continue
            moves = t == 0 or self.plug[t - 1] != feeder
            worth = self.missing_wh, moves
            if best is None or worth < best:
                best, chosen = worth, feeder
            self.restore(undo)
        if chosen is not None:
            self.change(plugs={t: chosen})

    # -- what is missing ---------------------------------------------------

    @property
    def missing_wh(self) -> float:
        """Energy missing in all: below reserves, and of what is not plugged in."""
        return sum(self.short) + self.unfed_wh

    def _short_of(self, b: int) -> float:
        """Energy missing at one battery [Wh]."""
        panels = tuple(p for p, at in enumerate(self.panel) if at == b)
        return self.packs.missing_wh(b, panels, self.charger[b], self.on[b])

    # -- changes -----------------------------------------------------------

    def change(
        self,
        *,
        plugs: dict[int, Feeder | None] | None = None,
        panels: dict[int, int] | None = None,
        chargers: dict[int, int] | None = None,
    ) -> Undo | None:
        """Set plugs, panels and chargers; ``None`` where a socket cannot take it.

        Then nothing has changed.
        """
        undo = Undo()
        touched: set[int] = set()
        sources: set[int] = set()
        for t, feeder in (plugs or {}).items():
            before = self.plug[t]
            undo.plugs[t] = before
            self._set_plug(t, feeder)
            for one in (before, feeder):
                if one is not None:
                    (sources if one.source else touched).add(one.number)
        for p, b in (panels or {}).items():
            undo.panels[p] = self.panel[p]
            touched |= {x for x in (b, self.panel[p]) if x != NONE}
            self.panel[p] = b
        for b, s in (chargers or {}).items():
            undo.chargers[b] = self.charger[b]
            sources |= {x for x in (s, self.charger[b]) if x != NONE}
            touched.add(b)
            self.charger[b] = s
        if not self._allowed(plugs or {}, sources):
            self.restore(undo)
            return None
        for b in sorted(touched):
            undo.missing[b] = self.short[b]
            self.short[b] = self._short_of(b)
        return undo

    def restore(self, undo: Undo) -> None:
        """Take a change back."""
        for t, feeder in undo.plugs.items():
            self._set_plug(t, feeder)
        for p, b in undo.panels.items():
            self.panel[p] = b
        for b, s in undo.chargers.items():
            self.charger[b] = s
        for b, missing in undo.missing.items():
            self.short[b] = missing

    def _set_plug(self, t: int, feeder: Feeder | None) -> None:
        task = self.tasks[t]
        for old, sign in ((self.plug[t], -1), (feeder, 1)):
            if old is None:
                self.unfed_wh += sign * task.energy_wh
                continue
            users = (self.direct if old.source else self.on)[old.number]
            users[task.period] ^= 1 << 2 * task.consumer + (old.kind is PortType.AC)
        self.plug[t] = feeder

    def _allowed(self, plugs: dict[int, Feeder | None], sources: set[int]) -> bool:
        """Sockets, watts and start surge where something changed (R7)."""
        spots = {
            (f.number, self.tasks[t].period)
            for t, f in plugs.items()
            if f is not None and not f.source
        }
        return all(self.carries(b, self.on[b][k]) for b, k in spots) and all(
            self.supplies(s) for s in sources
        )

    def carries(self, b: int, plugs: int) -> bool:
        """Whether a battery's sockets take some plugs at once; bits as in ``on``."""
        battery, top_w = self.instance.batteries[b], self.instance.limits[b].max_out_w
        watts = running = start = 0.0
        ports = outlets = 0
        c = 0
        while plugs:
            if plugs & 3:
                who = self.fed[c].consumer
                watts += who.running_w
                if plugs & 2:
                    outlets += 1
                    running += who.running_w
                    start = max(start, who.surge_w - who.running_w)
                else:
                    ports += 1
            plugs >>= 2
            c += 1
        return (
            ports <= battery.ports_12v
            and outlets <= battery.outlets_ac
            and watts <= top_w + 1e-9
            and running + start <= 2 * top_w + 1e-9
        )

    def supplies(self, s: int) -> bool:
        """Whether a source carries what hangs on it, chargers included."""
        chargers_w = sum(
            self.instance.batteries[b].max_charge_w
            for b, at in enumerate(self.charger)
            if at == s
        )
        used_w = max(
            sum(
                fed.consumer.running_w
                for c, fed in enumerate(self.fed)
                if plugs >> 2 * c & 3
            )
            for plugs in self.direct[s]
        )
        return used_w + chargers_w <= self.instance.feeds[s].max_w + 1e-9

    # -- reading -----------------------------------------------------------

    def hookups(self) -> tuple[Hookup, ...]:
        """The plugs as hookups, spans joined, sockets numbered."""
        return self.as_set(plug=self.plug, panel=self.panel, charger=self.charger)

    def as_set(
        self, *, plug: list[Feeder | None], panel: list[int], charger: list[int]
    ) -> tuple[Hookup, ...]:
        """Hookups of other plugs than those that are in now."""
        inst = self.instance
        spans: list[Span] = []
        for p, b in enumerate(panel):
            if b != NONE:
                spans.append(panel_span(inst, p, b, home(inst, b)))
        for b, s in enumerate(charger):
            if s != NONE:
                spans.append(charger_span(inst, b, s))
        for t, feeder in enumerate(plug):
            if feeder is None:
                continue
            task = self.tasks[t]
            who = self.fed[task.consumer].consumer
            feeders = inst.feeds if feeder.source else inst.batteries
            link = Link.SOURCE_TO_UNIT if feeder.source else Link.BATTERY_TO_UNIT
            spans.append(
                (
                    link,
                    feeders[feeder.number].id,
                    who.id,
                    feeder.kind,
                    who.place,
                    task.first,
                    task.end,
                )
            )
        return number_sockets(merge(spans))
