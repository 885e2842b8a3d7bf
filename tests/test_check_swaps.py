"""Plugs that change over during a plan, counted by hand."""

from planner.check.swaps import later_swaps
from planner.result import Link, PortType
from tests import builders as b


def test_a_plug_that_stays_is_no_change():
    assert later_swaps((b.hookup(), b.sun_plug())) == ()


def test_over_to_another_battery_is_one_change():
    assert later_swaps((b.hookup(to_h=10), b.hookup(from_id="B2", from_h=10))) == (10,)


def test_over_to_another_kind_of_socket_is_one_and_to_another_number_is_none():
    first = b.hookup(to_h=10)
    assert later_swaps((first, b.hookup(from_h=10, port=PortType.AC))) == (10,)
    assert later_swaps((first, b.hookup(from_h=10, port_number=2))) == ()


def test_what_first_comes_in_later_is_no_change_and_its_next_feeder_is_one():
    night = b.hookup(to_id="V1", from_h=14, to_h=22)
    assert later_swaps((night,)) == ()
    next_night = b.hookup(from_id="B2", to_id="V1", from_h=38, to_h=46)
    assert later_swaps((night, next_night)) == (38,)


def test_two_fridges_that_change_at_once_are_two():
    plugs = (
        b.hookup(to_h=12),
        b.hookup(from_id="B2", from_h=12),
        b.hookup(from_id="B2", to_id="U2", to_h=12),
        b.hookup(to_id="U2", from_h=12),
    )
    assert later_swaps(plugs) == (12, 12)
    assert later_swaps(plugs[::-1]) == (12, 12)


def test_several_panels_and_a_charger_on_one_battery_are_no_change():
    charger = b.hookup(
        link=Link.SOURCE_TO_BATTERY, from_id="S1", to_id="B1", port=PortType.CHARGER
    )
    later = b.sun_plug(from_id="P2", from_h=5)
    assert later_swaps((b.sun_plug(), later, charger)) == ()
    over = b.sun_plug(to_id="B2", from_h=5)
    assert later_swaps((b.sun_plug(to_h=5), over)) == (5,)
