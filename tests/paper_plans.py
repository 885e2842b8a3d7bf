"""Plans made by hand for the tests of the paper; all of it invented.

``rich_plan`` has one of everything a sheet may have to show; ``hall`` is as
large as a pack gets: many residents, several units and chains.
"""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

from planner.result import (
    BatteryTrace,
    Changeover,
    Cooling,
    LoanStep,
    Plan,
    PlanStatus,
    PortType,
    ReasonFamily,
    Replay,
    TierGain,
    UnitEndurance,
)
from planner.result_borrow import LoanBags, LoanNeed
from planner.result_moves import Setting
from planner.result_stress import Gained, Later, Move, ShedStep, Stranded
from planner.scenario import (
    Availability,
    Clock,
    ColdUnit,
    HeldRow,
    Line,
    Source,
    SourceKind,
    Status,
    SunCase,
    Supply,
    Tier,
    UnitType,
)
from tests import builders as b

WINDOW_H = 72
RESIDENT = "Zebedee Sentinelname"
OFFERED = Availability(status=Status.OFFERED, lender="Depot", ready_h=6)


def one_plan(**fields: object) -> Plan:
    """A plan with nothing in it but what is given."""
    values: dict[str, object] = {
        "scenario": b.scenario(),
        "status": PlanStatus.PROVEN,
        "demands": (),
        "units_on": (),
        "placements": (),
        "hookups": (),
        "warm_clocks": (),
        "shortfalls": (),
        "tiers": (),
        "replays": (),
        "findings": (),
        "loans": (),
        "accounts": (),
        "assumptions": (),
    }
    return Plan(**(values | fields))


def empty_plan() -> Plan:
    """Nothing to keep cold, nothing to keep it in."""
    scenario = b.scenario(lines=(), units=(), batteries=(), panels=())
    return one_plan(scenario=scenario, status=PlanStatus.NOTHING_TO_PLAN)


def rich_plan() -> Plan:
    """One of everything: two zones, ice, frost, swaps, engines, every reason."""
    reasons = list(ReasonFamily)
    lines = (
        item(2, never_freeze=True, night_need=True, quantity=3),
        item(3, keep_from_c=-25.0, keep_to_c=-15.0, never_freeze=False, quantity=2),
        item(4, thawed=True, keep_from_c=0.0, keep_to_c=4.0, never_freeze=False),
        item(5, keep_from_c=0.0, keep_to_c=8.0, quantity=30),
        item(6, warm_hours=672.0, warm_max_c=30.0, clock=Clock.CALENDAR, quantity=30),
        item(7, warm_hours=672.0, quantity=1),
        *(item(10 + at, quantity=2) for at in range(len(reasons))),
        item(40, keep_from_c=-25.0, keep_to_c=-15.0, never_freeze=False),
    )
    return one_plan(
        scenario=b.scenario(
            lines=lines,
            places=(b.place(), b.place(name="Annex garage", open_at_night=False)),
            units=_units(),
            batteries=(
                b.battery(),
                b.battery(id="B2", name="Battery two", outlets_ac=0, row=3),
                b.battery(id="B3", name="Battery lent", ports_12v=0, availability=OFFERED),
            ),
            panels=(b.panel(), b.panel(id="P2", name="Panel lent", availability=OFFERED)),
            sources=_sources(),
            conditions=b.conditions(window_h=WINDOW_H, sun_case=SunCase.POOR, ice_kg_day=9.0),
        ),
        units_on=(
            b.use(set_points_c=(5.0, -18.0), stock_classes=(None, None), warm_fill=0.5),
            b.use(unit_id="U2", set_points_c=(4.0,), warm_fill=1.0),
            b.use(unit_id="U3"),
            b.use(unit_id="U4", set_points_c=(4.0,)),
        ),
        placements=(
            b.placement(line_id="L2", count=2),
            b.placement(line_id="L2", count=1, tier=Tier.D, surplus=True),
            b.placement(line_id="L3", zone=1, count=2, tier=Tier.B),
            b.placement(line_id="L4", unit_id="U2", count=2, tier=Tier.B),
            b.placement(line_id="L5", unit_id="U3", count=30, tier=Tier.C),
        ),
        hookups=(
            b.hookup(to_h=20),
            b.hookup(from_id="B2", from_h=20, to_h=40),
            b.hookup(to_id="V1", port=PortType.AC, to_h=WINDOW_H),
            b.sun_plug(to_h=20),
            b.charger_plug(to_h=WINDOW_H),
            b.source_plug(from_id="S2", to_id="U3", to_h=WINDOW_H, place="Annex garage"),
        ),
        warm_clocks=(
            b.warm_clock(line_id="L6", count=30),
            b.warm_clock(line_id="L7", count=1, until=None),
        ),
        shortfalls=(
            *(
                b.shortfall(
                    line_id=f"L{10 + at}",
                    reason=reason,
                    tier=list(Tier)[at % 5],
                    surplus=at % 2 == 1,
                    safe_until=(None, b.START, b.START + timedelta(hours=30))[at % 3],
                    changes=(b.change(bags=1 + at % 2),) if at else (),
                )
                for at, reason in enumerate(reasons)
            ),
            b.shortfall(line_id="L40", reason=ReasonFamily.POWER, tier=Tier.B),
        ),
        replays=tuple(_replay(case) for case in SunCase),
        loans=_loans(),
        changeover=_changeover(),
    )  # fmt: skip


def hall(residents: int, units: int = 8) -> Plan:
    """A hall with three lines a resident, most of them placed."""
    lines = tuple(
        item(row, code=f"K-{person:03d}AX", resident=f"{RESIDENT} {person}", quantity=2)
        for person in range(residents)
        for row in range(2 + 3 * person, 5 + 3 * person)
    )
    names = [f"U{at}" for at in range(1, units + 1)]
    kit = tuple(
        b.unit(id=one, name=f"Fridge {at}", sheet="Cold units", row=at + 1)
        for at, one in enumerate(names, start=1)
    )
    placed = [one for one in lines if one.row % 5]
    return one_plan(
        scenario=b.scenario(
            lines=lines, units=kit, conditions=b.conditions(window_h=WINDOW_H)
        ),
        units_on=tuple(b.use(unit_id=one) for one in names),
        placements=tuple(
            b.placement(line_id=one.id, unit_id=names[at % units])
            for at, one in enumerate(placed)
        ),
        hookups=tuple(
            b.hookup(to_id=one, port_number=at, to_h=WINDOW_H)
            for at, one in enumerate(names, start=1)
        ),
        shortfalls=tuple(
            b.shortfall(line_id=one.id) for one in lines if one.row % 5 == 0
        ),
        replays=(_replay(SunCase.NONE),),
    )


def item(row: int, **fields: object) -> Line:
    """A line whose id, code and row say the same number."""
    values: dict[str, object] = {
        "id": f"L{row}", "row": row, "code": f"K-{row}", "resident": RESIDENT,
        "item_text": f"pens of {RESIDENT}", "notes": f"call {RESIDENT}",
    }  # fmt: skip
    return b.line(**(values | fields))


def _units() -> tuple[ColdUnit, ...]:
    on_offer = [
        b.unit(id=f"O{at}", name=f"Lent {kind.name}", kind=kind, supply=supply,
               availability=OFFERED, row=20 + at)
        for at, (kind, supply) in enumerate(
            (kind, list(Supply)[at % 4]) for at, kind in enumerate(UnitType)
        )
    ]  # fmt: skip
    return (
        b.unit(name="Two zone fridge", zone_shares=(0.5, 0.5), row=2),
        b.unit(id="U2", name="Blue chest", kind=UnitType.ICE_CHEST, supply=Supply.NONE, row=3),
        b.unit(id="U3", name="Garage fridge", place="Annex garage", supply=Supply.AC, row=4),
        b.unit(id="U4", name="Clinic fridge", kind=UnitType.ELSEWHERE, row=5),
        b.unit(id="U5", name="Spare fridge", row=6),
        *on_offer,
    )  # fmt: skip


def _sources() -> tuple[Source, ...]:
    return (
        b.source(from_hour=18.0, to_hour=20.0),
        b.source(id="S2", name="Garage mains", kind=SourceKind.MAINS, from_hour=6.0, to_hour=22.0, days=(0, 1, 3)),
        b.source(id="S3", name="Lent car", kind=SourceKind.VEHICLE, availability=OFFERED),
        b.source(id="S4", name="Lent mains", kind=SourceKind.MAINS, availability=OFFERED),
        b.life_support(from_hour=22.0, to_hour=6.0),
    )  # fmt: skip


def _changeover() -> Changeover:
    """Every kind of step: plugs over, units begun, set anew and given up."""
    return Changeover(
        settings=(
            Setting(unit_id="U1", before_c=(8.0, -18.0), after_c=(5.0, -18.0)),
            Setting(unit_id="U2", before_c=(), after_c=(4.0,)),
            Setting(unit_id="U3", before_c=(), after_c=(5.0,)),
            Setting(unit_id="U4", before_c=(4.0,), after_c=()),
            Setting(unit_id="U5", before_c=(5.0,), after_c=()),
        ),
        pulled=(
            b.hookup(from_id="B3", port=PortType.AC),
            b.hookup(from_id="B3", to_id="U5", port=PortType.AC, port_number=2),
            b.sun_plug(to_id="B2"),
        ),
        put_in=(b.hookup(), b.sun_plug()),
        later_h=(10, 10, *range(12, 40)),
        later_before=2,
        before_until=b.START + timedelta(hours=30),
    )


def _replay(case: SunCase) -> Replay:
    full, dark = (1000.0,) * WINDOW_H, 16 if case is SunCase.NONE else None
    return Replay(
        sun_case=case,
        batteries=tuple(
            BatteryTrace(
                battery_id=one, load_wh=full, harvest_wh=full, charge_wh=full,
                floor_wh=100.0, full_wh=1000.0, start_wh=900.0,
            )
            for one in ("B1", "B2")
        ),
        unit_load_wh=(),
        endurance=(
            UnitEndurance(unit_id="U1", sun_case=case, dark_from_h=40, held_h=40),
            UnitEndurance(unit_id="U3", sun_case=case, dark_from_h=dark, held_h=16),
        ),
        loads=(UnitEndurance(unit_id="V1", sun_case=case, dark_from_h=dark, held_h=16),),
    )  # fmt: skip


def _need(item_id: str, rank: int) -> LoanNeed:
    """Everything that can be asked of a unit, cold, freezing, or both."""
    both = (5.0, -18.0)
    asked = {2: (both, 1), 3: ((-18.0,), 1), 4: (both, 2), 6: ((5.0,), 1)}
    points, at_once = asked[rank]
    return LoanNeed(
        item_id=item_id, set_points_c=points, compartments=at_once, lock=True,
        running_w=45.0, day_wh=480.0, supply=Supply.DC,
    )  # fmt: skip


def _bags() -> tuple[LoanBags, ...]:
    """Who gets a place by a step, and who loses one."""
    return (
        LoanBags(line_id="L40", surplus=False, bags=2),
        LoanBags(line_id="L40", surplus=True, bags=1),
        LoanBags(line_id="L5", surplus=False, bags=-1),
        LoanBags(line_id="L5", surplus=True, bags=-2),
    )


def _loans() -> tuple[LoanStep, ...]:
    kinds = [f"O{at}" for at in range(len(UnitType))]
    steps = [*pairwise(kinds), ("B3", "P2"), ("S3", "S4")]
    return tuple(
        LoanStep(
            rank=rank,
            item_ids=ids,
            names=ids,
            lenders=("Depot", "") if rank % 2 else ("", ""),
            ready_h=6,
            gains=(TierGain(tier=Tier.A, bags=rank, households=1),) if rank % 3 else (),
            hours_gained=12.0 * (rank % 3 - 1),
            ask_for=("a fridge",),
            refuse=("a phone power bank",),
            line_ids_served=("L10", "L11") if rank % 2 else (),
            still_short=max(0, 3 - rank),
            needs=(_need(ids[0], rank),) if rank in {2, 3, 4, 6} else (),
            bags=_bags() if rank % 2 else (),
        )
        for rank, ids in enumerate(steps, start=1)
    )


def held_plan(rows: int = 1) -> Plan:
    """No row of the list could be planned."""
    return replace(
        empty_plan(),
        scenario=b.scenario(
            lines=(), units=(), batteries=(), panels=(), held_rows=held(rows)
        ),
    )


def late_plan() -> Plan:
    """Nobody short; rows not planned; a fridge cold late, another one never."""
    items = (
        item(2, quantity=1),
        item(3, quantity=2),
        item(4, quantity=3),
        item(5, quantity=1),
    )
    cold_at = b.START + timedelta(hours=14)
    untils = (cold_at - timedelta(minutes=1), cold_at, None, None)
    units = (
        b.unit(),
        b.unit(id="U2", name="Fridge two"),
        b.unit(id="U3", name="Fridge three"),
    )
    where = ("U1", "U1", "U2", "U3")
    return one_plan(
        scenario=b.scenario(
            lines=items,
            units=units,
            held_rows=held(8),
            conditions=b.conditions(window_h=WINDOW_H),
        ),
        demands=tuple(
            b.demand(line_id=one.id, count=one.quantity, safe_until=until)
            for one, until in zip(items, untils, strict=True)
        ),
        units_on=tuple(b.use(unit_id=one.id) for one in units),
        placements=tuple(
            b.placement(line_id=one.id, unit_id=unit, count=one.quantity)
            for one, unit in zip(items, where, strict=True)
        ),
        cooling=(
            Cooling(unit_id="U1", cold_h=14),
            Cooling(unit_id="U2", cold_h=None),
            Cooling(unit_id="U3", cold_h=0),
        ),
    )


def one_late_plan() -> Plan:
    """The same with one bag late and one row not planned, beside nothing else."""
    plan = late_plan()
    return replace(
        plan,
        scenario=replace(plan.scenario, held_rows=held(1)),
        demands=(),
        placements=plan.placements[:1],
    )


def held(rows: int) -> tuple[HeldRow, ...]:
    """Rows that wait, with every reason in turn; totals and notes never count."""
    codes = ("item-missing", "item-not-readable", "formula-no-value", "item-unknown")
    return (
        *(
            b.held_row(
                row=80 + at, code=codes[at % 4], who="" if at % 2 else f"K-{2 + at}"
            )
            for at in range(rows)
        ),
        b.held_row(row=99, code="total-row", left_out=True),
    )


def with_names(plan: Plan, text: str) -> Plan:
    """The same plan with ``text`` as the name of every thing, place and lender."""
    old = plan.scenario
    place_of = {one.name: f"{text} {at}" for at, one in enumerate(old.places)}
    lent = replace(OFFERED, lender=text)
    scenario = replace(
        old,
        lines=tuple(
            replace(one, sheet=text, place=place_of[one.place]) for one in old.lines
        ),
        places=tuple(replace(one, name=place_of[one.name]) for one in old.places),
        units=tuple(
            replace(one, name=text, place=place_of[one.place]) for one in old.units
        ),
        batteries=tuple(
            replace(one, name=text, place=place_of[one.place], availability=lent)
            for one in old.batteries
        ),
        panels=tuple(replace(one, name=text) for one in old.panels),
        sources=tuple(
            replace(one, name=text, place=place_of[one.place]) for one in old.sources
        ),
    )
    return replace(
        plan,
        scenario=scenario,
        hookups=tuple(replace(one, place=place_of[one.place]) for one in plan.hookups),
        loans=tuple(replace(one, lenders=(text,)) for one in plan.loans),
    )


def odd_plan() -> Plan:
    """What is rare: no dial and two zones, no feed, alike and unprintable names."""
    kinds = (UnitType.COOL_SHELF, UnitType.EVAPORATIVE, UnitType.COMPRESSOR)
    units = tuple(
        b.unit(
            id=f"U{at}", name="\u51b7\u8535", kind=kind, sheet="Cold units", row=2,
            zone_shares=(0.5, 0.5), supply=Supply.NONE,
        )
        for at, kind in enumerate(kinds)
    )  # fmt: skip
    lent = b.battery(id="B2", name="Lent", availability=OFFERED)
    bare = replace(lent, id="B3", ports_12v=0, outlets_ac=0)
    engine = b.source(id="S2", name="Lent engine", availability=OFFERED)
    step = _loans()[0]
    return one_plan(
        scenario=b.scenario(
            lines=(item(2, quantity=1), item(3, quantity=1), item(4, quantity=1)),
            units=units,
            batteries=(lent, bare),
            sources=(engine,),
        ),
        units_on=tuple(
            b.use(unit_id=one.id, set_points_c=(5.0, 4.0), stock_classes=(None, None))
            for one in units
        ),
        placements=(b.placement(line_id="L2", unit_id="U2", count=1),),
        shortfalls=(
            b.shortfall(line_id="L3", count=1),
            b.shortfall(line_id="L4", count=1, tier=Tier.E),
        ),
        loans=(
            replace(
                step,
                item_ids=("B2", "B3", "S2"),
                line_ids_served=("L3",),
                still_short=1,
                needs=(
                    LoanNeed(
                        item_id="B2",
                        ports_12v=2,
                        port_12v_w=60.0,
                        outlets_ac=1,
                        outlet_ac_w=240.0,
                        out_w=270.0,
                        solar_w=400.0,
                    ),
                ),
                bags=(LoanBags(line_id="L3", surplus=False, bags=1),),
            ),
        ),
    )


def shed_steps() -> tuple[ShedStep, ...]:
    """A ladder for the rich plan: a move, bags without a place, a plug, an empty unit."""
    move = Move(
        line_id="L2", from_unit_id="U1", to_unit_id="U2", to_zone=0, count=2,
        tier=Tier.A, surplus=False, at_h=0,
    )  # fmt: skip
    left = Stranded(
        line_id="L3", unit_id="U1", count=2, tier=Tier.B, surplus=False, until_h=0.0
    )
    first = ShedStep(
        rank=1,
        unit_id="U1",
        energy_wh=1200.0,
        moves=(move, replace(move, line_id="L5", count=1)),
        stranded=(left,),
        handovers=(b.hookup(to_id="U3", from_h=16, to_h=WINDOW_H, port=PortType.AC),),
        hours=(
            Gained(thing_id="U3", before_h=16, after_h=40),
            Gained(thing_id="V1", before_h=30, after_h=None),
        ),
        later=(Later(at_h=4, saved_h=21), Later(at_h=8, saved_h=1)),
    )
    second = replace(
        first, rank=2, unit_id="U3", moves=(), stranded=(), handovers=(), later=(),
        hours=(Gained(thing_id="V1", before_h=30, after_h=31),),
    )  # fmt: skip
    return first, second
