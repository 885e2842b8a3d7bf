"""Each unit as a filled box: what stands in it by tier, and what is free."""

from dataclasses import dataclass

from planner.output.index import Index, index_plan
from planner.output.manner import PLAIN, Manner
from planner.output.pictures.svg import GREY, Drawing, spread
from planner.physics.profiles import room_temp_c, usable_l
from planner.result import Plan, UnitUse
from planner.scenario import Tier

_BOX_X, _BOX_WIDE, _BOX_HIGH = 4.0, 120.0, 190.0
_WORDS_X, _GAP, _LINE_PX = 152.0, 42.0, 18
_WIDTH = 380.0
_PATTERNS = {
    Tier.A: ('<path d="M0 0L8 8M8 0L0 8" stroke="#111" stroke-width="1.6"/>', 8),
    Tier.B: ('<path d="M0 8L8 0" stroke="#111" stroke-width="2"/>', 8),
    Tier.C: ('<path d="M0 4H8" stroke="#111" stroke-width="1.6"/>', 8),
    Tier.D: ('<circle cx="4" cy="4" r="1.5" fill="#111"/>', 8),
    Tier.E: ('<circle cx="6" cy="6" r="1" fill="#111"/>', 12),
}
_BREAK = ": "


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawing as SVG text, what it is called, and the same in words."""

    title: str
    svg: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Part:
    """Bags of one tier in one zone."""

    tier: Tier
    bags: int
    packed_l: float


def unit_pictures(plan: Plan, unit_id: str, how: Manner = PLAIN) -> tuple[Picture, ...]:
    """Draw a unit that is on, one picture a zone; empty when it is off."""
    index = index_plan(plan, how)
    use = index.uses.get(unit_id)
    if use is None:
        return ()
    unit = index.units[unit_id]
    room_c = room_temp_c(plan.scenario.place(unit.place), plan.scenario.conditions)
    usable = usable_l(unit, use.set_points_c, room_c)
    return tuple(
        _zone(index, use, zone, float(room_l)) for zone, room_l in enumerate(usable)
    )


def _zone(index: Index, use: UnitUse, zone: int, room_l: float) -> Picture:
    parts = _parts(index, use.unit_id, zone)
    packed_l = sum(one.packed_l for one in parts)
    free_l = max(0.0, room_l - packed_l)
    how, title = index.how, index.name(use.unit_id)
    if len(use.set_points_c) > 1:
        title = how.say("tell.zone_of", name=title, zone=zone + 1)
    words = tuple(
        how.say(
            "tell.box.tier",
            tier=one.tier.value,
            shade=how.say(f"tell.shade.{one.tier.value.lower()}"),
            bags=index.bags(one.bags),
            volume=how.volume(one.packed_l),
        )
        for one in parts
    )
    free = how.say("tell.box.free", volume=how.volume(free_l))
    room = how.say("tell.box.room", volume=how.volume(room_l))
    drawing, foot = _draw(parts, words, free, free_l, max(room_l, packed_l))
    drawing.text(_BOX_X, foot, room)
    return Picture(title=title, svg=drawing.done(), words=(room, free, *words))


def _parts(index: Index, unit_id: str, zone: int) -> tuple[_Part, ...]:
    """Bags by tier; A lies lowest in the box."""
    found: dict[Tier, _Part] = {}
    for one in index.plan.placements:
        if (one.unit_id, one.zone) == (unit_id, zone):
            before = found.get(one.tier)
            litres = one.count * index.lines[one.line_id].volume_l
            found[one.tier] = _Part(
                tier=one.tier,
                bags=one.count + (before.bags if before else 0),
                packed_l=litres + (before.packed_l if before else 0.0),
            )
    return tuple(found[tier] for tier in Tier if tier in found)


def _draw(
    parts: tuple[_Part, ...],
    words: tuple[str, ...],
    free: str,
    free_l: float,
    whole_l: float,
) -> tuple[Drawing, float]:
    """The box with its words, and where the next line has room below."""
    drawing = Drawing(_WIDTH)
    drawing.box(_BOX_X, 4, _BOX_WIDE, _BOX_HIGH, stroke=3)
    scale = _BOX_HIGH / whole_l if whole_l > 0 else 0.0
    marks = [(4 + free_l * scale / 2, free)]
    foot = 4 + _BOX_HIGH
    for part, said in zip(parts, words, strict=True):
        high = part.packed_l * scale
        body, step = _PATTERNS[part.tier]
        fill = drawing.pattern(f"tier{part.tier.value}", body, step)
        drawing.box(_BOX_X, foot - high, _BOX_WIDE, high, fill=fill)
        marks.append((foot - high / 2, said))
        foot -= high
    drawing.box(_BOX_X, 4, _BOX_WIDE, _BOX_HIGH, fill="none", stroke=3)
    marks.sort()
    places = spread([y for y, _ in marks], _GAP, 12)
    below = _BOX_HIGH + 24
    for (y, said), at in zip(marks, places, strict=True):
        edge = _BOX_X + _BOX_WIDE
        drawing.line([(edge, y), (edge + 10, y), (_WORDS_X - 4, at)], colour=GREY)
        # Two short lines: one long one would be cut on the right.
        first, _, second = said.partition(_BREAK)
        drawing.text(_WORDS_X, at + 5, first, columns=32, bold=True)
        drawing.text(_WORDS_X, at + 5 + _LINE_PX, second, columns=32)
        # Words of thin layers at the foot hang lower than the box.
        if at + 5 + _LINE_PX > below - _LINE_PX:
            below = at + 5 + 2 * _LINE_PX + 4
    return drawing, below
