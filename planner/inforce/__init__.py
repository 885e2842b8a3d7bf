"""The plan in force, read back from ``plan.json`` or taken from a plan at hand."""

from planner.inforce.hold import in_force_of
from planner.inforce.read import read_in_force

__all__ = ["in_force_of", "read_in_force"]
