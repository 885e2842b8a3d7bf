"""Hour-by-hour replay and a second look at every rule, without a solver.

Nothing here knows how a plan was found.  The only thing shared with the
room that finds plans is the input, as nouns and as hourly profiles.
"""

from planner.check.accounts import account_rows
from planner.check.audit import audit
from planner.check.cooling import cooling
from planner.check.replay import replay

__all__ = ["account_rows", "audit", "cooling", "replay"]
