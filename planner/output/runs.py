"""Hours of a day in which a source runs, or a load is needed, while its lead stays in."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from planner.output.words import DAYS
from planner.result import Hookup
from planner.scenario import Scenario, Source, SourceKind

_DOES = {
    SourceKind.MAINS: "time.stays.power",
    SourceKind.GENERATOR: "time.stays.runs",
    SourceKind.VEHICLE: "time.stays.runs",
    SourceKind.PRIORITY_LOAD: "time.stays.needed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """Clock window of the source or load at a plug that stays in for longer.

    ``weekdays`` are those on which the window begins, 0 is Monday; empty is
    every day.
    """

    kind: SourceKind
    from_hour: float
    to_hour: float
    weekdays: tuple[int, ...]


def runs_at(scenario: Scenario, plug: Hookup) -> Runs | None:
    """Clock window at a plug; ``None`` where the plug says all there is to say."""
    found = [one for one in scenario.sources if one.id in (plug.from_id, plug.to_id)]
    if not found:
        return None
    source, start = found[0], scenario.conditions.start
    if all(source.on_in_hour(start, h) for h in range(plug.from_h, plug.to_h)):
        return None
    return Runs(
        kind=source.kind,
        from_hour=source.from_hour,
        to_hour=source.to_hour,
        weekdays=_weekdays(scenario, source),
    )


def runs_words(
    found: Runs, say: Callable[..., str], hour: Callable[[float], str]
) -> str:
    """Say that the lead stays in, and when there is or has to be power."""
    if found.weekdays:
        key = "time.hours.days"
    else:
        wraps = found.from_hour > found.to_hour
        key = "time.hours.nightly" if wraps else "time.hours.daily"
    days = [say(f"date.{DAYS[one].lower()}") for one in found.weekdays]
    hours = say(
        key,
        begins=hour(found.from_hour),
        ends=hour(found.to_hour),
        days=", ".join(days),
    )
    return say(_DOES[found.kind], hours=hours)


def _weekdays(scenario: Scenario, source: Source) -> tuple[int, ...]:
    """Weekdays of the window on which a source is there, where not on all."""
    conditions = scenario.conditions
    last = conditions.clock(conditions.window_h).date()
    days = [conditions.start.date() + timedelta(days=one) for one in source.days]
    return tuple(dict.fromkeys(one.weekday() for one in sorted(days) if one <= last))
