"""Look-ups every table needs: from the ids of a plan to its nouns and words.

The only door to a line's identity on exports is ``Line.code``; the text of
the resident and household columns is never read in this room.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.output.manner import PLAIN, Manner
from planner.output.words import safe_text
from planner.result import Cooling, Demand, Hookup, Plan, UnitEndurance, UnitUse
from planner.scenario import Battery, ColdUnit, Line, Panel, Source, SunCase

SUN_CASES = (SunCase.NONE, SunCase.POOR, SunCase.MEAN)
"""Order in which sun cases are always shown."""

SUN_WORDS = {
    SunCase.NONE: "no sun",
    SunCase.POOR: "poor sun",
    SunCase.MEAN: "mean sun",
}


@dataclass(frozen=True, slots=True)
class Index:
    """Nouns of one plan by id, made once a table or export.

    ``how`` is the manner in which everything about the plan is said.
    """

    plan: Plan
    lines: dict[str, Line]
    units: dict[str, ColdUnit]
    batteries: dict[str, Battery]
    panels: dict[str, Panel]
    sources: dict[str, Source]
    uses: dict[str, UnitUse]
    endurance: dict[tuple[str, SunCase], UnitEndurance]
    life_support: dict[tuple[str, SunCase], UnitEndurance]
    names: dict[str, str]
    how: Manner = PLAIN

    def cooling(self, unit_id: str) -> Cooling | None:
        """When a unit is expected cold; ``None`` where it is cold from the start.

        Nothing is known of plans that were kept before this was worked out.
        """
        found = [one for one in self.plan.cooling if one.unit_id == unit_id]
        return found[0] if found and found[0].cold_h != 0 else None

    @property
    def start(self) -> datetime:
        """Start of the window."""
        return self.plan.scenario.conditions.start

    def clock(self, hour: float) -> str:
        """Words for the clock time at an hour of the window."""
        return self.how.day_clock(self.plan.scenario.conditions.clock(hour), self.start)

    def moment(self, moment: datetime | None, unknown: str = "unknown") -> str:
        """Words for a clock time, or ``unknown`` when there is none."""
        return unknown if moment is None else self.how.day_clock(moment, self.start)

    def name(self, thing_id: str) -> str:
        """Name of a piece of equipment as its owner calls it."""
        return self.names.get(thing_id, safe_text(thing_id))

    def kind(self, line: Line) -> str:
        """Kind of item in catalogue words; never the text of the sheet."""
        name = safe_text(line.kind_name)
        return self.how.told(name) if name else self.how.say("tell.no_item")

    def bags(self, count: int) -> str:
        """Count of bags with its noun."""
        return self.how.count("bags", count)

    def sun(self, case: SunCase) -> str:
        """Name of a sun case."""
        return self.how.say(f"sun.{case.name.lower()}")

    def with_sun(self, case: SunCase) -> str:
        """Name of a sun case at the start of a sentence: ``With no sun``."""
        return self.how.say(f"tell.with_sun.{case.name.lower()}")

    def port(self, plug: Hookup) -> str:
        """Kind of the socket of a plug."""
        return self.how.say(f"tell.port.{plug.port.name.lower()}")

    def demand(self, line_id: str) -> Demand | None:
        """Demand that speaks for a line: its need before its surplus."""
        found = [d for d in self.plan.demands if d.line_id == line_id]
        return min(found, key=lambda d: (d.surplus, d.tier), default=None)


def index_plan(plan: Plan, how: Manner = PLAIN) -> Index:
    """Build the look-ups of one plan, said in a manner."""
    scenario = plan.scenario
    return Index(
        plan=plan,
        lines={line.id: line for line in scenario.lines},
        units={unit.id: unit for unit in scenario.units},
        batteries={battery.id: battery for battery in scenario.batteries},
        panels={panel.id: panel for panel in scenario.panels},
        sources={source.id: source for source in scenario.sources},
        uses={use.unit_id: use for use in plan.units_on},
        endurance={
            (one.unit_id, replay.sun_case): one
            for replay in plan.replays
            for one in replay.endurance
        },
        life_support={
            (one.unit_id, replay.sun_case): one
            for replay in plan.replays
            for one in replay.loads
        },
        names={
            **_names(scenario.units),
            **_names(scenario.batteries),
            **_names(scenario.panels),
            **_names(scenario.sources),
        },
        how=how,
    )


def _names(things: Sequence[ColdUnit | Battery | Panel | Source]) -> dict[str, str]:
    """Names by id; things with the same name are told apart by their row."""
    counts = Counter(safe_text(thing.name) for thing in things)
    names: dict[str, str] = {}
    for thing in things:
        name = safe_text(thing.name)
        unique = counts[name] == 1 and name
        names[thing.id] = name if unique else f"{name} (row {thing.row})".strip()
    return names
