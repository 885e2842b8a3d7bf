"""Loading what later pages need, while the first one is being read.

The first screen loads no table library, no charts and no solver, so that it
comes soon; they are loaded behind it, so that no later page waits for them.
Nor does the first plan wait for the loops that are made into machine code.
"""

import threading
from functools import cache
from importlib import import_module

_AFTER_S = 2.0
_LATER = ("planner.output.charts", "planner.pipeline", "planner.output.paper")
_PLANS = "planner.pipeline"


@cache
def warm_up() -> threading.Timer:
    """Begin to load, once a program, a little after the first screen."""
    timer = threading.Timer(_AFTER_S, _load)
    timer.daemon = True
    timer.start()
    return timer


def _load() -> None:
    for name in _LATER:
        import_module(name)
    import_module(_PLANS).get_ready()
