"""Re-planning in plain text: what changes, what is carried, what fits."""

from dataclasses import dataclass, replace

from planner.output.index import Index, index_plan
from planner.output.moves import item_words, spot_words
from planner.output.words import band, plural, safe_text, temperature, volume
from planner.result import Hookup, Plan, PlanStatus
from planner.result_moves import Carry, CarryKind
from planner.result_replan import Fits, OneMore, Replanned, Setting
from planner.scenario import Line, Scenario

_SHOWN = 30


def replan_text(made: Replanned) -> str:
    """Say what changes against the plan in force, in the order of doing it."""
    index = index_plan(made.plan)
    lines = [f"WHAT CHANGES: {change_words(made)}"]
    factor = made.factor
    lines.append(f"  load counted {factor.used:.2f} times: {safe_text(factor.why)}")
    for heading, rows in (
        ("SET FIRST", [setting_words(index, one) for one in made.settings]),
        ("UNPLUG", [plug_words(index, one) for one in made.unplugged]),
        ("PLUG IN", [plug_words(index, one) for one in made.plugged]),
        ("CARRY, in this order", [carry_words(index, x) for x in made.plan.moves]),
    ):
        if rows:
            lines += ["", heading, *(f"  {row}" for row in rows[:_SHOWN])]
        if len(rows) > _SHOWN:
            lines.append(f"  and {len(rows) - _SHOWN} more in plan.xlsx")
    return "\n".join(lines) + "\n\n"


def change_words(made: Replanned) -> str:
    """Count the bags that stay, move, leave and come."""
    if not made.plan.moves:
        return f"nothing is carried, {plural(made.kept, 'bag')} stay"
    return (
        f"{plural(made.kept, 'bag')} stay, {made.carried} move, "
        f"{made.out} leave the cold, {made.put_in} come in"
    )


def setting_words(index: Index, one: Setting) -> str:
    """Say how a unit is to be set."""
    name = index.name(one.unit_id)
    if not one.after_c:
        return f"{name}: off once it is empty"
    points = " and ".join(temperature(value) for value in one.after_c)
    return f"{name}: {'set to' if one.before_c else 'on, at'} {points}"


def plug_words(index: Index, plug: Hookup) -> str:
    """Name both ends of a plug."""
    ends = f"{index.name(plug.from_id)} to {index.name(plug.to_id)}"
    return f"{ends} ({plug.port.value} {plug.port_number})"


def carry_words(index: Index, one: Carry) -> str:
    """Say one move in one line."""
    start = spot_words(index, one.from_unit_id, one.from_zone)
    end = spot_words(index, one.to_unit_id, one.to_zone)
    text = (
        f"{one.order}. {safe_text(one.code)} {item_words(index, one)}: "
        f"{plural(one.count, 'bag')} from {start} to {end}"
    )
    if one.kind is CarryKind.ASIDE:
        text += f", waits outside at most {one.wait_min} min"
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class OneMoreSaid:
    """The answer in words: what was read, the answer, why, and what to do in order."""

    read_as: str
    answer: str
    why: tuple[str, ...]
    steps: tuple[str, ...]


_ADVICE = {
    Fits.AS_IT_IS: "",
    Fits.WITH_MOVES: "Move in this order; every bag keeps a cold place.",
    Fits.TAKES_A_PLACE: "Bags of later tiers leave the cold for it; agree to that first.",
    Fits.NOT: "",
    Fits.NOT_COLD: "",
}


def one_more_text(answer: OneMore, scenario: Scenario, line: Line) -> str:
    """Answer in plain text, with what the item was read as."""
    said = one_more_said(answer, scenario, line)
    steps = [f"  {step}" for step in said.steps]
    return "\n".join([said.read_as, said.answer, *said.why, *steps]) + "\n"


def one_more_said(answer: OneMore, scenario: Scenario, line: Line) -> OneMoreSaid:
    """Put the answer into sentences."""
    index = index_plan(_only(replace(scenario, lines=(*scenario.lines, line))))
    size = f"{plural(line.quantity, 'bag')} of {volume(line.volume_l)}"
    kept = band(line.keep_from_c, line.keep_to_c)
    why: list[str] = []
    if answer.reason is not None:
        why.append(f"What is lacking: {answer.reason.value}")
    if answer.detail:
        why.append(safe_text(answer.detail))
    if answer.answer is Fits.NOT and not answer.sure:
        why.append("Not everything was tried in the time; plan again to be sure.")
    if _ADVICE[answer.answer]:
        why.append(_ADVICE[answer.answer])
    return OneMoreSaid(
        read_as=f"Read as: {index.kind(line)}, {size}, kept at {kept}",
        answer=f"{answer.answer.value.capitalize()}.",
        why=tuple(why),
        steps=(
            *(setting_words(index, one) for one in answer.settings),
            *(carry_words(index, one) for one in answer.carries),
        ),
    )


def _only(scenario: Scenario) -> Plan:
    """A plan that lends the names of a scenario and says nothing else."""
    return Plan(
        scenario=scenario,
        status=PlanStatus.NOTHING_TO_PLAN,
        demands=(),
        units_on=(),
        placements=(),
        hookups=(),
        warm_clocks=(),
        shortfalls=(),
        tiers=(),
        replays=(),
        findings=(),
        loans=(),
        accounts=(),
        assumptions=(),
    )
