"""What a thing of the borrow list gives by its size, as a step curve."""

from planner.output.lend_text import amount_words, gains_words, kit_of
from planner.output.manner import PLAIN, Manner
from planner.output.pictures.svg import GREY, Drawing
from planner.output.pictures.units import Picture
from planner.output.words import clean
from planner.result import LoanStep, Plan
from planner.result_spec import LeastSpec, Quantity, SpecPoint
from planner.scenario import Tier

_WIDTH, _HIGH = 380.0, 150.0
_LEFT, _RIGHT, _TOP = 30.0, 330.0, 30.0
_BEYOND = 1.15
_DASHES = {Tier.A: "", Tier.B: "8 3", Tier.C: "2 3", Tier.D: "8 3 2 3", Tier.E: "4 4"}
"""How the line of each tier is drawn."""


def spec_pictures(
    plan: Plan, step: LoanStep, how: Manner = PLAIN
) -> tuple[Picture, ...]:
    """Draw one curve a thing: its size across, bags by tier upwards.

    Only sizes that were planned for are drawn; between two of them the line
    stays at what the smaller one gives.
    """
    names = {e.id: clean(e.name) for e in kit_of(plan)}
    return tuple(
        _curve(spec, how.told(names.get(spec.item_id, spec.item_id)), how)
        for spec in step.specs
        if len(spec.points) > 1 and spec.quantity is not Quantity.CHARGE
    )


def _curve(spec: LeastSpec, name: str, how: Manner) -> Picture:
    tiers = [t for t in Tier if any(_bags(p, t) for p in spec.points)]
    most = max(1, *(_bags(p, t) for p in spec.points for t in tiers or [Tier.A]))
    widest = max(spec.offered, spec.least) * _BEYOND
    drawing = Drawing(_WIDTH)

    def x(amount: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * amount / widest

    def y(bags: int) -> float:
        return _TOP + _HIGH * (1 - bags / most)

    drawing.line([(_LEFT, _TOP), (_LEFT, y(0)), (_RIGHT, y(0))])
    for tier in tiers:
        path, bags = [(x(0.0), y(0))], 0
        for point in spec.points:
            path.append((x(point.amount), y(bags)))
            bags = _bags(point, tier)
            path.append((x(point.amount), y(bags)))
        path.append((x(widest), y(bags)))
        drawing.line(path, stroke=2.5, dash=_DASHES[tier])
        drawing.text(x(widest) + 4, y(bags) + 4, f"{tier.value} {bags}", bold=True)
    for point in spec.points:
        drawing.dot(x(point.amount), y(sum(g.bags for g in point.gains[:1])), 3.0)
    least = how.say(
        "tell.lend.point.from", amount=amount_words(spec.quantity, spec.least, how)
    )
    drawing.line([(x(spec.least), y(0)), (x(spec.least), y(0) + 8)])
    drawing.text(
        max(4.0, x(spec.least) - 120), y(0) + 24, least, columns=40, colour=GREY
    )
    return Picture(
        title=how.say("tell.lend.curve", name=name),
        svg=drawing.done(),
        words=tuple(
            how.say(
                "tell.lend.point",
                amount=amount_words(spec.quantity, p.amount, how),
                gains=gains_words(p.gains, how),
            )
            for p in spec.points
        ),
    )


def _bags(point: SpecPoint, tier: Tier) -> int:
    return sum(g.bags for g in point.gains if g.tier is tier)
