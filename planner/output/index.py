"""Look-ups every table needs: from the ids of a plan to its nouns and words.

The only door to a line's identity on exports is ``Line.code``; the text of
the resident and household columns is never read in this room.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.output.words import day_clock, safe_text
from planner.result import Demand, Plan, UnitEndurance, UnitUse
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
    """Nouns of one plan by id, made once a table or export."""

    plan: Plan
    lines: dict[str, Line]
    units: dict[str, ColdUnit]
    batteries: dict[str, Battery]
    panels: dict[str, Panel]
    sources: dict[str, Source]
    uses: dict[str, UnitUse]
    endurance: dict[tuple[str, SunCase], UnitEndurance]
    names: dict[str, str]

    @property
    def start(self) -> datetime:
        """Start of the window."""
        return self.plan.scenario.conditions.start

    def clock(self, hour: float) -> str:
        """Words for the clock time at an hour of the window."""
        return day_clock(self.plan.scenario.conditions.clock(hour), self.start)

    def moment(self, moment: datetime | None, unknown: str = "unknown") -> str:
        """Words for a clock time, or ``unknown`` when there is none."""
        return unknown if moment is None else day_clock(moment, self.start)

    def name(self, thing_id: str) -> str:
        """Name of a piece of equipment as its owner calls it."""
        return self.names.get(thing_id, safe_text(thing_id))

    def kind(self, line: Line) -> str:
        """Kind of item in catalogue words; never the text of the sheet."""
        return safe_text(line.kind_name) or "item not recognised"

    def demand(self, line_id: str) -> Demand | None:
        """Demand that speaks for a line: its need before its surplus."""
        found = [d for d in self.plan.demands if d.line_id == line_id]
        return min(found, key=lambda d: (d.surplus, d.tier), default=None)


def index_plan(plan: Plan) -> Index:
    """Build the look-ups of one plan."""
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
        names={
            **_names(scenario.units),
            **_names(scenario.batteries),
            **_names(scenario.panels),
            **_names(scenario.sources),
        },
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
