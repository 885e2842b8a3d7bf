"""One predicate a rule: one line that may go there, one neighbour that may not."""

import pytest

from planner.decide.fit import (
    Spot,
    fits_r1_band,
    fits_r2_chest,
    fits_r5_custody,
    fits_r6_access,
    fits_r11_ready,
    fits_r12_refreeze,
    refusal,
)
from planner.physics.profiles import HeldBand
from planner.result import ReasonFamily
from planner.scenario import UnitType
from tests import builders as b


def held(low_c, high_c):
    return HeldBand(low_c=low_c, high_c=high_c)


class TestR1Band:
    # USP <659>: a refrigerator is 2-8 C.
    @pytest.mark.parametrize(
        ("low_c", "high_c", "fits"),
        [
            (3.0, 7.0, True),
            (2.0, 8.0, True),  # on both edges
            (2.0 - 1e-10, 8.0 + 1e-10, True),  # rounding
            (1.9, 7.0, False),
            (3.0, 8.1, False),
        ],
    )
    def test_the_held_band_lies_inside(self, low_c, high_c, fits):
        assert fits_r1_band(b.line(), held(low_c, high_c)) is fits

    def test_never_freeze_needs_two_degrees_whatever_the_band_says(self):
        # FDA, insulin in an emergency: once frozen, not to be used.
        line = {"keep_from_c": 0.0}
        assert fits_r1_band(b.line(**line, never_freeze=False), held(1.0, 5.0))
        assert not fits_r1_band(b.line(**line), held(1.0, 5.0))
        assert fits_r1_band(b.line(**line), held(2.0, 5.0))

    def test_its_own_higher_limit_counts_more(self):
        line = b.line(keep_from_c=4.0)
        assert fits_r1_band(line, held(4.0, 8.0))
        assert not fits_r1_band(line, held(3.0, 8.0))

    def test_frozen_goods(self):
        # USP <659>: a freezer is -25 to -10 C.
        line = b.line(keep_from_c=-25.0, keep_to_c=-10.0, never_freeze=False)
        assert fits_r1_band(line, held(-20.0, -16.0))
        assert not fits_r1_band(line, held(-12.0, -8.0))


class TestR2Chest:
    # CDC, Vaccine Storage and Handling Toolkit: emergency coolers are packed
    # with conditioned water bottles, because frozen packs freeze the stock.
    def test_never_freeze_only_with_conditioned_packs(self):
        chest = {"kind": UnitType.ICE_CHEST}
        assert fits_r2_chest(b.line(), b.unit(**chest, conditioned=True))
        assert not fits_r2_chest(b.line(), b.unit(**chest, conditioned=False))

    def test_other_goods_and_other_units(self):
        chest = b.unit(kind=UnitType.ICE_CHEST)
        assert fits_r2_chest(b.line(never_freeze=False), chest)
        assert fits_r2_chest(b.line(), b.unit())


class TestR5Custody:
    def test_controlled_lines_need_a_lock(self):
        assert fits_r5_custody(b.line(locked=True), b.unit(lockable=True))
        assert not fits_r5_custody(b.line(locked=True), b.unit())

    def test_others_do_not(self):
        assert fits_r5_custody(b.line(), b.unit())


class TestR6Access:
    def test_night_need_wants_an_open_door(self):
        line = b.line(night_need=True)
        assert fits_r6_access(line, b.place())
        assert not fits_r6_access(line, b.place(open_at_night=False))
        assert fits_r6_access(b.line(), b.place(open_at_night=False))

    def test_residents_fetch_only_where_they_can_reach(self):
        away = b.line(place="Shed")
        assert fits_r6_access(away, b.place(reached_from=None))
        assert fits_r6_access(away, b.place(reached_from=("Shed",)))
        assert not fits_r6_access(away, b.place(reached_from=("Yard",)))
        assert not fits_r6_access(away, b.place(reached_from=()))

    def test_the_own_place_is_always_in_reach(self):
        assert fits_r6_access(b.line(), b.place(reached_from=()))

    def test_but_not_through_a_door_locked_at_night(self):
        shut = b.place(open_at_night=False, reached_from=())
        assert not fits_r6_access(b.line(night_need=True), shut)


class TestR11Ready:
    # Window of 72 h.
    @pytest.mark.parametrize(
        ("ready_h", "back_h", "allowance_h", "fits"),
        [
            (0, None, None, True),  # never out: no allowance needed
            (12, None, 12.0, True),
            (13, None, 12.0, False),
            (12, None, None, False),  # not known is none
            (0, 60, 12.0, True),
            (0, 59, 12.0, False),
            (6, 66, 12.0, True),  # before and after add up
            (7, 66, 12.0, False),
            (0, 90, None, True),  # goes back after the window
            (100, None, 72.0, True),  # never comes: out for all 72 h
            (100, None, 71.0, False),
        ],
    )
    def test_hours_outside_are_inside_the_allowance(
        self, ready_h, back_h, allowance_h, fits
    ):
        unit = b.unit(availability=b.loan(ready_h=ready_h, back_h=back_h))
        assert fits_r11_ready(b.line(), unit, allowance_h, 72) is fits


class TestR12Refreeze:
    # CDC, Human Milk Storage Guidelines: thawed milk is never frozen again.
    def test_thawed_goods_stay_above_freezing(self):
        assert fits_r12_refreeze(b.line(thawed=True), held(-2.0, 2.0))
        assert fits_r12_refreeze(b.line(thawed=True), held(-2.0, 0.0))
        assert not fits_r12_refreeze(b.line(thawed=True), held(-20.0, -16.0))
        assert fits_r12_refreeze(b.line(), held(-20.0, -16.0))


class TestRefusal:
    """The first rule that says no gives the family."""

    GOOD = held(3.0, 7.0)

    def ask(self, line, unit=None, band=GOOD, allowance_h=None, **places):
        scene = b.scenario(
            places=(b.place(**places),), conditions=b.conditions(window_h=72)
        )
        spot = Spot(unit=unit or b.unit(), zone=0, set_point_c=5.0, held=band)
        return refusal(scene, line, spot, allowance_h)

    def test_nothing_against_it(self):
        assert self.ask(b.line()) is None

    def test_each_family(self):
        late = b.unit(availability=b.loan(ready_h=1))
        raw = b.unit(kind=UnitType.ICE_CHEST)
        frozen = {"keep_from_c": -25.0, "keep_to_c": -10.0, "never_freeze": False}
        deep = held(-20.0, -16.0)
        assert self.ask(b.line(), band=held(0.0, 4.0)) is ReasonFamily.BAND
        assert self.ask(b.line(), unit=raw) is ReasonFamily.BAND
        assert self.ask(b.line(**frozen), band=deep) is None
        thawed = b.line(**frozen, thawed=True)
        assert self.ask(thawed, band=deep) is ReasonFamily.BAND
        assert self.ask(b.line(locked=True)) is ReasonFamily.CUSTODY
        night = self.ask(b.line(night_need=True), open_at_night=False)
        assert night is ReasonFamily.ACCESS
        assert self.ask(b.line(), unit=late) is ReasonFamily.READY
        assert self.ask(b.line(), unit=late, allowance_h=1.0) is None
