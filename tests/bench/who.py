"""What is plugged in, as a socket sees it."""

from dataclasses import dataclass

from planner.physics.profiles import start_surge_w
from planner.scenario import ColdUnit, Source, Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Who:
    """A unit or a load before the fridges, and the hours it is here."""

    id: str
    place: str
    supply: Supply
    running_w: float
    surge_w: float
    ready_h: int
    back_h: int


def who_of_unit(unit: ColdUnit, hours: int) -> Who:
    """A powered unit."""
    back_h = unit.availability.back_h
    return Who(
        id=unit.id,
        place=unit.place,
        supply=unit.supply,
        running_w=unit.running_w,
        surge_w=start_surge_w(unit),
        ready_h=min(unit.availability.ready_h, hours),
        back_h=hours if back_h is None else min(back_h, hours),
    )


def who_of_load(source: Source, hours: int) -> Who:
    """A load before the fridges; the hours it needs are in its watts."""
    return Who(
        id=source.id,
        place=source.place,
        supply=source.supply,
        running_w=source.max_w,
        surge_w=source.max_w,
        ready_h=0,
        back_h=hours,
    )
