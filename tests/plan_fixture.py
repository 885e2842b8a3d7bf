"""A plan made by hand for the tests of the output room; all of it invented.

Three fridge places' worth of trouble: one fridge on a battery that goes dark
without sun, one ice chest, one spare fridge, one fridge that could be
borrowed, and lines in every outcome.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from planner.decide.borrow_generic import generic_battery
from planner.result import (
    BatteryTrace,
    Demand,
    Finding,
    Hookup,
    Link,
    LoanStep,
    Placement,
    Plan,
    PlanStatus,
    PortType,
    ReasonFamily,
    Replay,
    RowAccount,
    Shortfall,
    TierGain,
    TierResult,
    UnitEndurance,
    UnitUse,
    WarmClock,
)
from planner.result_borrow import (
    BorrowMore,
    NestedGap,
    NotNeeded,
    OtherKind,
    OtherStep,
    Unhelpful,
)
from planner.result_moves import DESK, Carry, CarryKind
from planner.result_reasons import Change, ChangeKind, Proof
from planner.result_spec import LeastSpec, LoanBags, Quantity, SpecPoint
from planner.scenario import (
    Availability,
    Battery,
    CameFrom,
    Chemistry,
    Clock,
    ColdUnit,
    Conditions,
    Consequence,
    Controller,
    Flag,
    Gate,
    HeldRow,
    Line,
    Origin,
    Panel,
    Place,
    Scenario,
    Source,
    SourceKind,
    Status,
    StockClass,
    SunCase,
    Supply,
    Tier,
    UnitType,
)

START = datetime(2025, 10, 13, 8, 0)
WINDOW_H = 72
RESIDENT = "Zebedee Sentinelname"
HOUSEHOLD = "Sentinelhouse"

BAND = Origin(
    field="keep_to_c",
    came_from=CameFrom.CATALOGUE,
    value="8",
    source="storage handbook, 2020",
    jurisdiction="US",
    flag=Flag.PUBLISHED,
)
GUESS = Origin(
    field="volume_l",
    came_from=CameFrom.DEFAULT,
    value="0.5",
    source="packing estimate",
    flag=Flag.ESTIMATE,
)


def line(row: int, **changes: object) -> Line:
    """Make an intake line on row ``row``, code ``K-<row>``."""
    base = Line(
        id=f"Intake:{row}",
        sheet="Intake",
        row=row,
        code=f"K-{row}",
        resident=RESIDENT,
        household=HOUSEHOLD,
        place="Hall",
        item_text=f"pens of {RESIDENT}",
        kind_id="insulin_rapid",
        kind_name="insulin, rapid acting",
        stock_class=StockClass.MEDICINE,
        gate=Gate.POOL,
        consequence=Consequence.LIFE,
        quantity=2,
        volume_l=0.5,
        keep_from_c=2.0,
        keep_to_c=8.0,
        never_freeze=True,
        warm_hours=672.0,
        warm_max_c=30.0,
        clock=Clock.CALENDAR,
        notes=f"call {RESIDENT}",
        origins=(BAND, GUESS),
    )
    return replace(base, **changes)


def fridge(unit_id: str, name: str, **changes: object) -> ColdUnit:
    """Make a 12 V compressor fridge of 40 L in the hall."""
    base = ColdUnit(
        id=unit_id,
        name=name,
        place="Hall",
        kind=UnitType.COMPRESSOR,
        gross_volume_l=40.0,
        usable_share=0.7,
        set_points_c=(4.0, 5.0),
        running_w=45.0,
        rated_wh_day=400.0,
        sheet="Cold units",
        row=2,
    )
    return replace(base, **changes)


def scenario() -> Scenario:
    """Make the input of the plan."""
    return Scenario(
        lines=(
            line(2),
            line(
                3,
                kind_name="expressed human milk",
                stock_class=StockClass.FEED,
                consequence=Consequence.ONLY_FEED,
                warm_hours=4.0,
                warm_max_c=25.0,
                clock=Clock.ONCE,
                keep_from_c=0.0,
                keep_to_c=4.0,
                never_freeze=False,
                quantity=4,
                volume_l=0.25,
            ),
            line(4, quantity=3),
            line(
                5,
                kind_name="biologic, weekly pen",
                quantity=2,
                consequence=Consequence.HARD_TO_REPLACE,
                warm_hours=None,
                warm_max_c=None,
                clock=Clock.UNKNOWN,
                locked=True,
            ),
            line(6, gate=Gate.WITH_PERSON, kind_name="rescue pen", quantity=1),
            line(7, kind_name="", kind_id="", quantity=1, provisional=True),
        ),
        places=(
            Place(name="Hall", temp_c_by_clock_hour=(28.0,) * 24),
            Place(name="Clinic", temp_c_by_clock_hour=(24.0,) * 24),
        ),
        units=(
            fridge("unit-1", "North fridge"),
            fridge(
                "unit-2",
                "Blue chest",
                kind=UnitType.ICE_CHEST,
                place="Clinic",
                supply=Supply.NONE,
                set_points_c=(2.0,),
                row=3,
            ),
            fridge("unit-3", "Spare fridge", row=4),
            fridge(
                "unit-4",
                "Lent fridge",
                row=5,
                lockable=True,
                availability=Availability(
                    status=Status.OFFERED, lender="Depot", ready_h=6
                ),
            ),
        ),
        batteries=(
            Battery(
                id="battery-1",
                name="Pack one",
                place="Hall",
                capacity_wh=1000.0,
                chemistry=Chemistry.LFP,
                charge_now=1.0,
                usable_share=0.8,
                max_out_w=300.0,
                ports_12v=2,
                port_12v_max_w=120.0,
                outlets_ac=1,
                ac_idle_w=8.0,
                max_charge_w=200.0,
                solar_input_max_w=200.0,
                sheet="Batteries",
                row=2,
            ),
        ),
        panels=(
            Panel(
                id="panel-1",
                name="Roof panel",
                place="Hall",
                rated_w=100.0,
                controller=Controller.MPPT,
                tilt_deg=20.0,
                azimuth_deg=180.0,
                sheet="Panels",
                row=2,
            ),
        ),
        sources=(
            Source(
                id="source-1",
                name="Yard generator",
                place="Hall",
                kind=SourceKind.GENERATOR,
                max_w=1000.0,
                from_hour=18.0,
                to_hour=20.0,
                sheet="Other power",
                row=2,
            ),
            Source(
                id="source-2",
                name="Air concentrator",
                place="Hall",
                kind=SourceKind.PRIORITY_LOAD,
                max_w=60.0,
                sheet="Other power",
                row=3,
            ),
        ),
        conditions=Conditions(
            start=START,
            window_h=WINDOW_H,
            latitude=35.0,
            longitude=-82.0,
            utc_offset_h=-5.0,
            ice_kg_day=6.0,
            sun_case=SunCase.POOR,
        ),
        held_rows=(
            HeldRow(
                sheet="Intake", row=8, code="item.unreadable", text=f"?? for {RESIDENT}"
            ),
            HeldRow(
                sheet="Intake", row=9, code="row.total", text="Total 13", left_out=True
            ),
        ),
        rows_in=8,
    )


def replayed(case: SunCase, noon_w: float) -> Replay:
    """Account of the one battery: 25 Wh an hour out, sun from 10:00 to 15:00."""
    charge, charges, loads, harvests, dark = 1000.0, [], [], [], None
    for hour in range(WINDOW_H):
        clock = (START + timedelta(hours=hour)).hour
        sun = noon_w if 10 <= clock < 15 else 0.0
        load = 25.0
        if dark is None and charge + 0.95 * sun - load < 200.0:
            dark = hour
        if dark is not None:
            load = 0.0
        charge = min(1000.0, charge + 0.95 * sun - load)
        charges.append(charge)
        loads.append(load)
        harvests.append(sun)
    return Replay(
        sun_case=case,
        batteries=(
            BatteryTrace(
                battery_id="battery-1",
                load_wh=tuple(loads),
                harvest_wh=tuple(harvests),
                charge_wh=tuple(charges),
                floor_wh=200.0,
                full_wh=1000.0,
                start_wh=1000.0,
            ),
        ),
        unit_load_wh=(("unit-1", tuple(loads)),),
        endurance=(
            UnitEndurance(
                unit_id="unit-1",
                sun_case=case,
                dark_from_h=dark,
                held_h=WINDOW_H if dark is None else dark,
            ),
        ),
    )


def moves() -> tuple[Carry, ...]:
    """Moves that lead to the plan: one bag waits outside, one line has left."""

    def carry(order: int, kind: CarryKind, line: str, start: str, end: str) -> Carry:
        return Carry(
            order=order,
            kind=kind,
            line_id=line,
            code="M-GONE" if line.startswith("gone") else "",
            count=1,
            from_unit_id=start,
            from_zone=0,
            to_unit_id=end,
            to_zone=0,
            wait_min=6 if kind is CarryKind.ASIDE else None,
        )

    codes = {one.id: one.code for one in scenario().lines}
    return tuple(
        replace(one, code=codes.get(one.line_id, one.code))
        for one in (
            carry(1, CarryKind.OUT, "gone:Intake:99", "unit-1", DESK),
            carry(2, CarryKind.ASIDE, "Intake:3", "unit-1", DESK),
            carry(3, CarryKind.OVER, "Intake:2", "unit-2", "unit-1"),
            carry(4, CarryKind.BACK, "Intake:3", DESK, "unit-2"),
        )
    )


def beside() -> BorrowMore:
    """Build what stands beside the borrow list: one of everything."""
    return BorrowMore(
        asked=(
            LoanStep(
                rank=2,
                item_ids=("ask:battery 1",),
                names=("battery pack",),
                lenders=("",),
                ready_h=0,
                gains=(TierGain(tier=Tier.A, bags=1, households=1),),
                hours_gained=12.0,
                ask_for=(
                    (
                        "battery of 620 Wh or more with 2 x 12 V socket of 120 W; "
                        "charged to 100 %, with its charger"
                    ),
                ),
                refuse=(
                    (
                        "not a battery under 620 Wh; not a phone power bank; "
                        "not one that is swollen, hot or leaking"
                    ),
                ),
                line_ids_served=("Intake:2",),
                bags=(LoanBags(line_id="Intake:2", surplus=False, bags=1),),
                still_short=0,
                effort=3,
                specs=(
                    LeastSpec(
                        item_id="ask:battery 1",
                        quantity=Quantity.CAPACITY_WH,
                        least=620.0,
                        offered=2000.0,
                        grid=10.0,
                        exact=False,
                        solved=2,
                    ),
                ),
            ),
        ),
        asked_batteries=(generic_battery("Hall", 1),),
        others=(
            OtherStep(
                kind=OtherKind.ICE,
                gains=(TierGain(tier=Tier.A, bags=1, households=1),),
                effort=3,
                amount=5.0,
                place="Hall",
                line_ids=("Intake:2",),
            ),
            OtherStep(
                kind=OtherKind.OTHER_PLACE,
                gains=(TierGain(tier=Tier.D, bags=1, households=0),),
                effort=3,
            ),
        ),
        not_needed=(
            NotNeeded(item_id="unit-9", name="Cool box", why=Unhelpful.NO_COLD),
        ),
        gaps=(
            NestedGap(k=1, tier=Tier.B, nested=1, best=1, bound=1),
            NestedGap(
                k=2,
                tier=Tier.B,
                nested=1,
                best=2,
                bound=3,
                item_ids=("unit-4", "unit-9"),
                names=("Lent fridge", "Cool box"),
            ),
            NestedGap(k=3, tier=Tier.B, nested=1, best=None, bound=None),
        ),
        solved=42,
        worked_out=True,
    )


def plan(**changes: object) -> Plan:
    """Make the plan; keyword arguments replace its fields."""
    milk_until = START + timedelta(hours=4)
    base = Plan(
        scenario=scenario(),
        status=PlanStatus.PROVEN,
        demands=(
            Demand(
                line_id="Intake:2",
                tier=Tier.A,
                count=2,
                surplus=False,
                allowance_h=12.0,
                safe_until=START + timedelta(hours=12),
                why="allowance ends inside the window",
            ),
            Demand(
                line_id="Intake:3",
                tier=Tier.B,
                count=4,
                surplus=False,
                allowance_h=4.0,
                safe_until=milk_until,
                why="only feed",
            ),
            Demand(
                line_id="Intake:4",
                tier=Tier.C,
                count=1,
                surplus=False,
                allowance_h=600.0,
                safe_until=START + timedelta(hours=600),
                why="allowance longer than the window",
            ),
            Demand(
                line_id="Intake:4",
                tier=Tier.D,
                count=2,
                surplus=True,
                allowance_h=600.0,
                safe_until=START + timedelta(hours=600),
                why="stock beyond the window",
            ),
            Demand(
                line_id="Intake:5",
                tier=Tier.D,
                count=2,
                surplus=False,
                allowance_h=None,
                safe_until=None,
                why="hard to replace",
            ),
        ),
        units_on=(
            UnitUse(
                unit_id="unit-1",
                set_points_c=(5.0,),
                stock_classes=(StockClass.MEDICINE,),
                warm_fill=0.25,
            ),
            UnitUse(
                unit_id="unit-2",
                set_points_c=(2.0,),
                stock_classes=(StockClass.FEED,),
                warm_fill=0.25,
            ),
        ),
        placements=(
            Placement(
                line_id="Intake:2",
                unit_id="unit-1",
                zone=0,
                count=2,
                tier=Tier.A,
                surplus=False,
                why="band fits at 5 C",
            ),
            Placement(
                line_id="Intake:3",
                unit_id="unit-2",
                zone=0,
                count=3,
                tier=Tier.B,
                surplus=False,
                why="kept apart from medicines",
            ),
        ),
        hookups=(
            Hookup(
                link=Link.BATTERY_TO_UNIT,
                from_id="battery-1",
                to_id="unit-1",
                port=PortType.DC_12V,
                port_number=1,
                place="Hall",
                from_h=0,
                to_h=WINDOW_H,
            ),
            Hookup(
                link=Link.PANEL_TO_BATTERY,
                from_id="panel-1",
                to_id="battery-1",
                port=PortType.SOLAR,
                port_number=1,
                place="Hall",
                from_h=0,
                to_h=WINDOW_H,
            ),
            Hookup(
                link=Link.SOURCE_TO_BATTERY,
                from_id="source-1",
                to_id="battery-1",
                port=PortType.CHARGER,
                port_number=1,
                place="Hall",
                from_h=10,
                to_h=12,
            ),
            Hookup(
                link=Link.BATTERY_TO_UNIT,
                from_id="battery-1",
                to_id="source-2",
                port=PortType.AC,
                port_number=1,
                place="Hall",
                from_h=0,
                to_h=WINDOW_H,
            ),
        ),
        warm_clocks=(
            WarmClock(
                line_id="Intake:4",
                count=3,
                until=START + timedelta(hours=600),
                why="allowance longer than the window",
            ),
        ),
        shortfalls=(
            Shortfall(
                line_id="Intake:5",
                tier=Tier.D,
                count=2,
                surplus=False,
                reason=ReasonFamily.CUSTODY,
                detail="no lockable unit is here",
                safe_until=None,
                next_step="borrow a lockable fridge",
                changes=(
                    Change(
                        kind=ChangeKind.LOCK, item_id="unit-1", place="Hall", bags=2
                    ),
                    Change(
                        kind=ChangeKind.ROOM_AT,
                        place="Hall",
                        amount=1.2,
                        low_c=2.0,
                        high_c=8.0,
                        lockable=True,
                        bags=2,
                    ),
                ),
            ),
            Shortfall(
                line_id="Intake:3",
                tier=Tier.B,
                count=1,
                surplus=False,
                reason=ReasonFamily.VOLUME,
                detail="the chest is full",
                safe_until=milk_until,
                next_step="use this bag first",
                changes=(
                    Change(
                        kind=ChangeKind.ENERGY,
                        item_id="battery-1",
                        place="Hall",
                        amount=310.0,
                        by_h=21,
                        bags=1,
                        proof=Proof.ENOUGH,
                    ),
                ),
            ),
        ),
        tiers=(
            TierResult(
                tier=Tier.A,
                households=1,
                households_met=1,
                household_bound=1,
                needed=2,
                met=2,
                bound=2,
                warm=0,
                short=0,
                surplus=0,
                surplus_met=0,
            ),
            TierResult(
                tier=Tier.B,
                households=1,
                households_met=1,
                household_bound=1,
                needed=4,
                met=3,
                bound=3,
                warm=0,
                short=1,
                surplus=0,
                surplus_met=0,
            ),
            TierResult(
                tier=Tier.C,
                households=1,
                households_met=0,
                household_bound=0,
                needed=1,
                met=0,
                bound=0,
                warm=1,
                short=0,
                surplus=0,
                surplus_met=0,
            ),
            TierResult(
                tier=Tier.D,
                households=1,
                households_met=0,
                household_bound=0,
                needed=2,
                met=0,
                bound=0,
                warm=0,
                short=2,
                surplus=2,
                surplus_met=0,
            ),
        ),
        replays=(
            replayed(SunCase.NONE, 0.0),
            replayed(SunCase.POOR, 110.0),
            replayed(SunCase.MEAN, 150.0),
        ),
        findings=(
            Finding(
                rule="R10",
                fatal=False,
                subject="Blue chest",
                message="ice is short on Wed",
            ),
        ),
        borrow=beside(),
        loans=(
            LoanStep(
                rank=1,
                item_ids=("unit-4",),
                names=("Lent fridge",),
                lenders=("Depot",),
                ready_h=6,
                gains=(
                    TierGain(tier=Tier.B, bags=1, households=0),
                    TierGain(tier=Tier.D, bags=2, households=1),
                ),
                hours_gained=24.0,
                ask_for=("12 V compressor fridge of 10 L or more",),
                refuse=("thermoelectric cool box",),
                line_ids_served=("Intake:5", "Intake:3"),
                still_short=0,
                effort=2,
                dark_from_h=40,
                specs=(
                    LeastSpec(
                        item_id="unit-4",
                        quantity=Quantity.VOLUME_L,
                        least=9.0,
                        offered=12.0,
                        grid=1.0,
                        exact=True,
                        solved=3,
                        points=(
                            SpecPoint(amount=4.0, gains=()),
                            SpecPoint(
                                amount=6.0,
                                gains=(TierGain(tier=Tier.B, bags=1, households=0),),
                            ),
                            SpecPoint(
                                amount=9.0,
                                gains=(
                                    TierGain(tier=Tier.B, bags=1, households=0),
                                    TierGain(tier=Tier.D, bags=2, households=1),
                                ),
                            ),
                        ),
                    ),
                ),
            ),
        ),
        accounts=(
            account(2, quantity=2, placed=2, outcome="placed"),
            account(3, quantity=4, placed=3, short=1, outcome="placed and short"),
            account(4, quantity=3, warm=3, outcome="room temperature, clock"),
            account(5, quantity=2, short=2, outcome="short"),
            account(6, quantity=1, with_person=1, outcome="stays with the person"),
            account(7, quantity=1, review=1, outcome="in review"),
            replace(
                account(8, quantity=1, review=1, outcome="in review, count not read"),
                line_id="",
            ),
            replace(account(9, quantity=0, outcome="left out, no item"), line_id=""),
        ),
        assumptions=(GUESS, BAND),
    )
    return replace(base, **changes)


def account(row: int, *, quantity: int, outcome: str, **counts: int) -> RowAccount:
    """Account of one intake row."""
    zero = {"placed": 0, "warm": 0, "short": 0, "with_person": 0, "review": 0}
    return RowAccount(
        sheet="Intake",
        row=row,
        line_id=f"Intake:{row}",
        quantity=quantity,
        outcome=outcome,
        **(zero | counts),
    )


HOSTILE = (
    "=cmd|'/c calc'!A0",
    "+1",
    "-2+3",
    "@x",
    "<script>alert(1)</script>",
    "two\nlines\rthree",
    "\t=1",
    "ice \U0001f9ca \u51b7\u8535 \u202egnp",
    "x" * 5000,
    "nul\x00l",
)


def hostile_plan(text: str) -> Plan:
    """Make the same plan with ``text`` in every free text that is exported."""
    made = plan()
    old = made.scenario
    new = replace(
        old,
        lines=tuple(replace(one, kind_name=text, sheet=text) for one in old.lines),
        places=tuple(replace(one) for one in old.places),
        units=tuple(replace(one, name=text) for one in old.units),
        batteries=tuple(replace(one, name=text) for one in old.batteries),
        panels=tuple(replace(one, name=text) for one in old.panels),
        sources=tuple(replace(one, name=text) for one in old.sources),
    )
    return replace(
        made,
        scenario=new,
        placements=tuple(replace(one, why=text) for one in made.placements),
        shortfalls=tuple(
            replace(one, detail=text, next_step=text) for one in made.shortfalls
        ),
        warm_clocks=tuple(replace(one, why=text) for one in made.warm_clocks),
        loans=tuple(
            replace(
                one, names=(text,), lenders=(text,), ask_for=(text,), refuse=(text,)
            )
            for one in made.loans
        ),
        findings=tuple(
            replace(one, subject=text, message=text) for one in made.findings
        ),
        accounts=tuple(replace(one, outcome=text) for one in made.accounts),
        assumptions=tuple(
            replace(one, value=text, source=text) for one in made.assumptions
        ),
    )
