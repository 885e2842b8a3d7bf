"""docs/rules.md cannot drift: every rule, function, file and test it names exists."""

import re
from pathlib import Path

import pytest

from planner.check.audit import RULES
from planner.scenario import Tier

ROOT = Path(__file__).parent.parent
TEXT = (ROOT / "docs" / "rules.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^### (R\d+) .*\n((?:.*\n)*?)(?=^##)", TEXT, re.MULTILINE))
NUMBERS = [f"R{number}" for number in range(1, 13)]


def source(room: str, name: str) -> str:
    """Text of the module or test file that a section names."""
    return (ROOT / room / name).read_text(encoding="utf-8")


def test_every_rule_has_a_section_in_order():
    assert list(SECTIONS) == NUMBERS


@pytest.mark.parametrize("number", NUMBERS)
def test_a_section_says_what_why_where_and_which_test(number):
    section = SECTIONS[number]
    for heading in ("**What.**", "**Why.**", "**Checked**", "**Planned**", "**Tests**"):
        assert heading in section


@pytest.mark.parametrize("number", NUMBERS)
def test_its_function_is_one_of_the_audit(number):
    audited = {rule.__name__ for rule in RULES}
    named = re.search(r"\*\*Checked\*\* `(\w+\.py)`, `(\w+)`", SECTIONS[number])
    assert named is not None
    module, function = named.groups()
    assert function.startswith(f"check_{number.lower()}_")
    assert function in audited
    assert f"def {function}(" in source("planner/check", module)


@pytest.mark.parametrize("number", NUMBERS)
def test_its_tests_exist(number):
    tests = SECTIONS[number].split("**Tests**")[1]
    file, *classes = re.findall(r"`([\w.]+)`", tests)
    text = source("tests", file)
    named = [name for name in classes if name.startswith("Test")]
    assert named
    for name in named:
        assert f"class {name}:" in text


@pytest.mark.parametrize("number", NUMBERS)
def test_the_modules_that_plan_it_exist(number):
    planned = SECTIONS[number].split("**Planned**")[1].split("**Tests**")[0]
    modules = re.findall(r"`(\w+\.py)`", planned)
    assert modules
    for module in modules:
        assert (ROOT / "planner" / "decide" / module).is_file()


def test_every_audited_rule_is_written_down():
    for rule in RULES:
        assert f"`{rule.__name__}`" in TEXT


def test_every_tier_has_a_row():
    for tier in Tier:
        assert re.search(rf"^\| {tier.value} \|", TEXT, re.MULTILINE)
