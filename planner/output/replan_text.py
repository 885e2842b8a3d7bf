"""Re-planning in plain text: what changes, what is carried, what fits."""

from dataclasses import dataclass, replace

from planner.output.answers import life_support_dark
from planner.output.change_text import capital
from planner.output.changeover import changeover_words, later_words
from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.moves import item_words, spot_words
from planner.output.tables_power import NO_DIAL
from planner.output.words import safe_text
from planner.result import Plan, PlanStatus
from planner.result_moves import Carry, CarryKind
from planner.result_replan import Fits, OneMore, Replanned, Setting
from planner.scenario import Line, Scenario

_SHOWN = 30


def replan_text(made: Replanned) -> str:
    """Say what changes against the plan in force, in the order of doing it."""
    index = index_plan(made.plan)
    lines = [f"WHAT CHANGES: {change_words(made)}"]
    lines += [f"  {line}" for line in life_support_dark(made.plan)]
    if later := later_words(index):
        lines.append(f"  {later}")
    factor = made.factor
    lines.append(f"  load counted {factor.used:.2f} times: {safe_text(factor.why)}")
    first, last = changeover_words(index)
    moves = tuple(carry_words(index, one) for one in made.plan.moves)
    for heading, rows in (
        ("FIRST, plugs and thermostats, in this order", first),
        ("THEN CARRY, in this order", moves),
        ("LAST, when all bags are out", last),
    ):
        if rows:
            lines += ["", heading, *(f"  {row}" for row in rows[:_SHOWN])]
        if len(rows) > _SHOWN:
            lines.append(f"  and {len(rows) - _SHOWN} more in plan.xlsx")
    return "\n".join(lines) + "\n\n"


def change_words(made: Replanned) -> str:
    """Count the bags that stay, move, leave and come."""
    if not made.plan.moves:
        return PLAIN.count("tell.move.none", made.kept)
    return PLAIN.count(
        "tell.move.counts",
        made.kept,
        moved=made.carried,
        out=made.out,
        come=made.put_in,
    )


def setting_words(index: Index, one: Setting) -> str:
    """Say how a unit is to be set."""
    name, how = index.name(one.unit_id), index.how
    if not one.after_c:
        return how.say("tell.move.off", name=name)
    points = how.say("tell.move.and").join(how.temperature(x) for x in one.after_c)
    key = "tell.move.set" if one.before_c else "tell.move.on"
    if index.units[one.unit_id].kind in NO_DIAL:
        key = "tell.move.use"
    return how.say(key, name=name, points=points)


def carry_words(index: Index, one: Carry) -> str:
    """Say one move in one line."""
    text = index.how.say(
        "tell.move.carry",
        order=one.order,
        code=safe_text(one.code),
        kind=item_words(index, one),
        bags=index.bags(one.count),
        start=spot_words(index, one.from_unit_id, one.from_zone),
        end=spot_words(index, one.to_unit_id, one.to_zone),
    )
    if one.kind is CarryKind.ASIDE:
        return index.how.say("tell.move.aside", carry=text, minutes=one.wait_min)
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
    Fits.WITH_MOVES: "tell.more.with_moves",
    Fits.TAKES_A_PLACE: "tell.more.takes_a_place",
    Fits.NOT: "",
    Fits.NOT_COLD: "",
}


def one_more_text(answer: OneMore, scenario: Scenario, line: Line) -> str:
    """Answer in plain text, with what the item was read as."""
    said = one_more_said(answer, scenario, line)
    steps = [f"  {step}" for step in said.steps]
    return "\n".join([said.read_as, said.answer, *said.why, *steps]) + "\n"


def one_more_said(
    answer: OneMore, scenario: Scenario, line: Line, how: Manner = PLAIN
) -> OneMoreSaid:
    """Put the answer into sentences."""
    index = index_plan(_only(replace(scenario, lines=(*scenario.lines, line))), how)
    size = how.say(
        "tell.more.size",
        bags=index.bags(line.quantity),
        volume=how.volume(line.volume_l),
    )
    kept = how.band(line.keep_from_c, line.keep_to_c)
    why: list[str] = []
    if answer.reason is not None:
        reason = how.told(answer.reason.value)
        why.append(how.say("tell.more.lacking", reason=reason))
    if answer.detail:
        why.append(how.told(safe_text(answer.detail)))
    if answer.answer is Fits.NOT and not answer.sure:
        why.append(how.say("tell.more.not_sure"))
    if _ADVICE[answer.answer]:
        why.append(how.say(_ADVICE[answer.answer]))
    return OneMoreSaid(
        read_as=how.say(
            "tell.more.read_as", kind=index.kind(line), size=size, band=kept
        ),
        answer=_answer_words(answer, how),
        why=tuple(why),
        steps=(
            *(setting_words(index, one) for one in answer.settings),
            *(carry_words(index, one) for one in answer.carries),
        ),
    )


def _answer_words(answer: OneMore, how: Manner) -> str:
    """The answer; where others' bags are carried for it, their number first."""
    own = [one for one in answer.carries if one.line_id == answer.line_id]
    others = [one for one in answer.carries if one not in own]
    out = sum(one.count for one in others if one.kind is CarryKind.OUT)
    moved = sum(
        one.count for one in others if one.kind in {CarryKind.OVER, CarryKind.ASIDE}
    )
    if answer.answer is Fits.TAKES_A_PLACE and out:
        takes = how.count("tell.more.takes", out)
        moves = how.count("tell.more.and_moves", moved) if moved else ""
        return how.say("tell.more.only_then", takes=takes, moves=moves)
    return how.say("tell.more.answer", answer=capital(how.told(answer.answer.value)))


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
