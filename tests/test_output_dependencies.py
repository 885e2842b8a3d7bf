"""The page on dependencies names what pyproject.toml asks for, and no more."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")


def section(heading: str) -> set[str]:
    """Return the packages named in the tables of one section of the page."""
    text = PAGE.split(f"## {heading}\n")[1].split("\n## ")[0]
    cells = re.findall(r"^\| ([^|]+) \|", text, re.M)
    names = {name.strip() for cell in cells for name in cell.split(",")}
    return names - {"Package", "---"}


def asked_for(lines: list[str]) -> set[str]:
    return {re.split(r"[<>=\[]", line)[0].strip() for line in lines}


def test_run_and_test_packages_are_explained():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert asked_for(project["dependencies"]) <= section("To run")
    assert asked_for(project["optional-dependencies"]["test"]) == section("To test")


def test_nothing_else_is_claimed_to_be_needed():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    first_table = PAGE.split("## To run\n")[1].split("One more")[0]
    named = set(re.findall(r"^\| ([a-z0-9-]+) \|", first_table, re.M))
    assert named == asked_for(project["dependencies"])
