"""Loops that run many million times, made into machine code.

The first call of such a function takes a few seconds; what was made is kept
beside the module, so later runs of the program begin at once.
"""

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

import numba

_Given = ParamSpec("_Given")
_Answer = TypeVar("_Answer")


def compiled(function: Callable[_Given, _Answer]) -> Callable[_Given, _Answer]:
    """The same function as machine code; other threads go on while it runs.

    Numbers are worked out as written, in the same order, so that the same input
    gives the same answer everywhere.
    """
    try:
        made = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # There is no folder in which to keep anything.
        made = numba.njit(nogil=True, error_model="numpy")(function)
    return cast("Callable[_Given, _Answer]", made)


def part(function: Callable[_Given, _Answer]) -> Callable[_Given, _Answer]:
    """A function that only compiled ones call: made sooner, as it has no way in."""
    made = numba.njit(  # type: ignore[call-overload]
        nogil=True,
        error_model="numpy",
        no_cpython_wrapper=True,
        no_cfunc_wrapper=True,
    )(function)
    return cast("Callable[_Given, _Answer]", made)
