"""From when a unit is expected cold, on its card: no alarm before, and whom to ask."""

from planner.output.index import Index
from planner.output.late import bags_by_code, late_bags


def cold_facts(index: Index, unit_id: str) -> tuple[str, ...]:
    """From when the unit is expected cold, and for whom that is too late."""
    found, how = index.cooling(unit_id), index.how
    if found is None:
        return ()
    window_h = index.plan.scenario.conditions.window_h
    never = found.cold_h is None
    when = index.clock(window_h if found.cold_h is None else found.cold_h)
    said = how.say(f"tell.cards.cold{'_never' if never else ''}", when=when)
    late = late_bags(index, unit_id)
    if not late:
        return (said,)
    counts = bags_by_code(late)
    codes = ", ".join(
        how.say("tell.cards.late_code", code=code, bags=index.bags(count))
        for code, count in counts
    )
    return said, how.count(
        "tell.cards.late", sum(count for _, count in counts), codes=codes
    )
