"""Every physical number has a unit, a source and a line in the handbook."""

from pathlib import Path

import pytest

from planner.physics.constants import Constant, all_constants
from planner.scenario import Flag

PAGE = Path(__file__).parent.parent / "docs" / "physics.md"


def line(name: str, constant: Constant) -> str:
    return (
        f"| `{name}` | {constant.value:g} | {constant.unit} "
        f"| {constant.source} | {constant.flag.value} |"
    )


@pytest.mark.parametrize("name", all_constants())
def test_number_is_in_the_handbook(name):
    expected = line(name, all_constants()[name])
    assert expected in PAGE.read_text(encoding="utf-8").splitlines()


def test_handbook_names_no_number_that_is_gone():
    rows = [
        text.split("`")[1]
        for text in PAGE.read_text(encoding="utf-8").splitlines()
        if text.startswith("| `") and text.count("|") == 6
    ]
    assert rows == list(all_constants())


def test_every_number_has_unit_and_source():
    for name, constant in all_constants().items():
        assert constant.unit.strip(), name
        assert constant.source.strip(), name
        assert isinstance(constant.flag, Flag)
