"""The offers that are worth a look, and which of them stand for others.

Pure figures, no solving: what is alike is looked at once, and what is in no
figure better than another offer waits until that one is taken.
"""

from dataclasses import fields, replace

from planner.decide.instance import Instance
from planner.scenario import (
    Availability,
    Battery,
    ColdUnit,
    Equipment,
    Panel,
    Scenario,
    Source,
    Status,
)

_NAMES = {"id", "name", "sheet", "row", "origins", "availability"}
_MORE = {
    Battery: (
        "capacity_wh", "charge_now", "usable_share", "max_out_w", "ports_12v",
        "port_12v_max_w", "outlets_ac", "max_charge_w", "solar_input_max_w",
        "dc_efficiency", "ac_efficiency", "charge_efficiency",
    ),
    Panel: ("rated_w",),
    Source: ("max_w",),
    ColdUnit: ("lockable",),
}  # fmt: skip
"""Fields of which more is never worse."""
_LESS = {
    Battery: ("ac_idle_w",),
    Panel: ("shade_share",),
    Source: (),
    ColdUnit: ("running_w", "rated_wh_day", "ua_w_per_k"),
}
"""Fields of which less is never worse."""


def offers(scenario: Scenario) -> frozenset[str]:
    """Ids of everything that can be borrowed."""
    return frozenset(
        e.id for e in scenario.equipment if e.availability.status is Status.OFFERED
    )


def lent(instance: Instance) -> frozenset[str]:
    """Ids of the offers that an instance has as if they were here."""
    there: tuple[Equipment, ...] = (
        *instance.units,
        *instance.batteries,
        *instance.panels,
        *instance.feeds,
        *(load.source for load in instance.loads),
    )
    return frozenset(e.id for e in there if e.availability.status is Status.OFFERED)


def figures(kit: Equipment) -> tuple[object, ...]:
    """Everything of an offer but what it is called and whose it is."""
    known = replace(kit, id="", name="", sheet="", row=0, origins=())
    terms = replace(kit.availability, lender="")
    return (
        type(kit).__name__,
        terms.ready_h,
        terms.effort,
        terms.back_h is not None,
        terms.back_h or 0,
        *(
            _plain(getattr(known, f.name))
            for f in fields(known)
            if f.name not in _NAMES
        ),
    )


def _plain(value: object) -> object:
    """A value that sorts beside others of its field."""
    if isinstance(value, tuple):
        return tuple(float(v) for v in value)
    return str(value) if isinstance(value, str) else value


def waits_for(pool: tuple[Equipment, ...]) -> dict[str, frozenset[str]]:
    """For every offer those that are looked at before it.

    They are alike and come first by name, or no worse in every figure.
    """
    found = {}
    for kit in pool:
        found[kit.id] = frozenset(
            other.id
            for other in pool
            if other.id != kit.id
            and no_worse(other, kit)
            and (not no_worse(kit, other) or _order(other) < _order(kit))
        )
    return found


def _order(kit: Equipment) -> tuple[str, str, str]:
    return kit.name, kit.availability.lender, kit.id


def no_worse(one: Equipment, other: Equipment) -> bool:
    """True when an offer is in no figure worse than another of its kind."""
    kind = type(one)
    if kind is not type(other):
        return False
    up, down = _MORE[kind], _LESS[kind]
    same = [
        f.name for f in fields(one) if f.name not in _NAMES and f.name not in up + down
    ]
    return (
        all(getattr(one, f) == getattr(other, f) for f in same)
        and all(getattr(one, f) >= getattr(other, f) for f in up)
        and all(getattr(one, f) <= getattr(other, f) for f in down)
        and _terms_no_worse(one.availability, other.availability)
    )


def _terms_no_worse(one: Availability, other: Availability) -> bool:
    stays = one.back_h is None or (
        other.back_h is not None and one.back_h >= other.back_h
    )
    return one.ready_h <= other.ready_h and one.effort <= other.effort and stays


def ready_h(kit: tuple[Equipment, ...]) -> int:
    """Hour from which all of some offers are here."""
    return max((e.availability.ready_h for e in kit), default=0)


def effort(kit: tuple[Equipment, ...]) -> int:
    """Effort of fetching all of some offers."""
    return sum(e.availability.effort for e in kit)
