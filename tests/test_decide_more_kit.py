"""More equipment never lowers a tier; order and names change no tier value."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from planner.decide.allocate import allocate
from planner.decide.instance import build
from planner.decide.tiers import tier_values
from planner.decide.triage import demands
from planner.intake import read
from planner.scenario import Scenario, Status

_SAMPLE = Path(__file__).parents[1] / "sample_data" / "quiet_street.xlsx"


def _scenario() -> Scenario:
    reading = read(_SAMPLE.name, _SAMPLE.read_bytes(), now=datetime(2026, 7, 14, 8))
    assert reading.scenario is not None
    here = [u for u in reading.scenario.units if u.availability.status is Status.HERE]
    return replace(reading.scenario, units=tuple(here))


def _values(scenario: Scenario) -> tuple[int, ...]:
    found = allocate(build(scenario, demands(scenario)), time_limit_s=30)
    assert found is not None
    assert found.proven
    return tier_values(found.placed.stages)


@pytest.mark.parametrize("taken_away", range(2))
def test_a_unit_more_never_lowers_a_tier(taken_away: int) -> None:
    everything = _scenario()
    fewer = replace(
        everything,
        units=everything.units[:taken_away] + everything.units[taken_away + 1 :],
    )

    assert _values(everything) >= _values(fewer)


def test_without_units_nothing_is_cold_and_with_them_something_is() -> None:
    everything = _scenario()

    assert sum(_values(replace(everything, units=()))) == 0
    assert sum(_values(everything)) > 0


def test_reordering_rows_and_renaming_people_change_no_tier_value() -> None:
    scenario = _scenario()
    turned = replace(
        scenario,
        lines=tuple(
            replace(line, household=f"other {line.household}", resident="x")
            for line in reversed(scenario.lines)
        ),
        units=tuple(reversed(scenario.units)),
        batteries=tuple(reversed(scenario.batteries)),
    )

    assert _values(turned) == _values(scenario)
