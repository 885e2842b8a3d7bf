"""Where bags can move when their unit is given up: into room that is left.

A simple greedy answer, bound by the rules as the audit has them; a new plan
may find better.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.check.ground import SMALL, Claim
from planner.check.stress_site import Site
from planner.result import Placement
from planner.result_stress import Move
from planner.scenario import Line, Segregation, Tier


def rehouse(
    site: Site,
    when_h: Mapping[Placement, int],
    cold: Sequence[str],
    until_h: Mapping[Placement, float],
) -> list[tuple[Placement, Move]]:
    """Carry bags into room left: by the hour, the tier and the shortest clock.

    Each goes to the zone with the most litres left that takes it, under R1
    to R6, R8, R11 and R12 as the audit has them.

    Parameters
    ----------
    site
        The claim; what stands in ``cold`` already keeps its room.
    when_h
        Bags to move, and the hour at which each can be carried.
    cold
        Units that stay cold to the end.
    until_h
        Hour until which the bags may be on their way.

    Returns
    -------
    list
        Each move beside the placement that it empties, wholly or in part.
    """
    if not when_h:
        return []
    rooms = _Rooms(site, cold)
    lines = site.ground.lines

    def order(put: Placement) -> tuple[int, Tier, float, str, str, int]:
        clock = put.tier, until_h[put], lines[put.line_id].code
        return when_h[put], *clock, put.unit_id, put.zone

    moves = []
    for put in sorted(when_h, key=order):
        line, left, at_h = lines[put.line_id], put.count, when_h[put]
        for unit_id, zone in rooms.by_room():
            count = min(left, rooms.takes(line, unit_id, zone, at_h))
            if count <= 0:
                continue
            rooms.put_in(line, unit_id, zone, count)
            left -= count
            moves.append((put, _move(put, unit_id, zone, count, at_h)))
    return moves


class _Rooms:
    """Litres left in each zone that can take bags, while they are filled."""

    def __init__(self, site: Site, cold: Sequence[str]) -> None:
        self._site = site
        self._apart = site.ground.conditions.segregation is Segregation.UNITS
        self._warm_l = {one: site.rooms[one].warm_l for one in cold}
        self._classes = {one: list(site.rooms[one].classes) for one in cold}
        self._zone_l = {
            (one, zone): litres
            for one in cold
            for zone, litres in enumerate(site.rooms[one].zone_l)
        }

    def by_room(self) -> list[tuple[str, int]]:
        """Zones with the most litres left first."""
        return sorted(self._zone_l, key=lambda spot: (-self._left_l(spot), spot))

    def takes(self, line: Line, unit_id: str, zone: int, at_h: int) -> int:
        """Bags of a line that a zone can take from an hour to the end."""
        there = self._site.rooms[unit_id].there
        if at_h not in there or there.stop < self._site.ground.window_h:
            return 0
        declared = self._site.uses[unit_id].stock_classes[zone]
        classes = self._classes[unit_id]
        if declared is not None and declared is not line.stock_class:
            return 0
        if self._apart and any(one is not line.stock_class for one in classes):
            return 0
        left_l = self._left_l((unit_id, zone)) + SMALL
        if left_l < line.volume_l or not self._site.fits(line, unit_id, zone):
            return 0
        return (
            math.floor(left_l / line.volume_l) if line.volume_l > 0 else line.quantity
        )

    def put_in(self, line: Line, unit_id: str, zone: int, count: int) -> None:
        """Take the litres of some bags."""
        self._zone_l[unit_id, zone] -= count * line.volume_l
        self._warm_l[unit_id] -= count * line.volume_l
        self._classes[unit_id].append(line.stock_class)

    def _left_l(self, spot: tuple[str, int]) -> float:
        return min(self._zone_l[spot], self._warm_l[spot[0]])


def after_moves(claim: Claim, moves: tuple[Move, ...]) -> Claim:
    """Give the claim with bags carried as told."""
    puts = list(claim.placements)
    for move in moves:
        left = move.count
        for number, put in enumerate(puts):
            same = put.line_id, put.unit_id, put.tier, put.surplus
            if same != (move.line_id, move.from_unit_id, move.tier, move.surplus):
                continue
            taken = min(put.count, left)
            left -= taken
            puts[number] = replace(put, count=put.count - taken)
            puts.append(
                replace(put, unit_id=move.to_unit_id, zone=move.to_zone, count=taken)
            )
    return replace(claim, placements=tuple(put for put in puts if put.count))


def _move(put: Placement, unit_id: str, zone: int, count: int, at_h: int) -> Move:
    return Move(
        line_id=put.line_id,
        from_unit_id=put.unit_id,
        to_unit_id=unit_id,
        to_zone=zone,
        count=count,
        tier=put.tier,
        surplus=put.surplus,
        at_h=at_h,
    )
