"""Compile a function of numbers and arrays to machine code, and keep what was compiled.

A compiled function has its Python twin in ``py_func``, which gives the same, only slower.
"""

from collections.abc import Callable
from typing import ParamSpec, TypeVar, cast

from numba import njit

_P = ParamSpec("_P")
_R = TypeVar("_R")


def compiled(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Compile a function when it is first called; it lets other threads run meanwhile."""
    try:
        kept = njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder to keep it in may be written to
        kept = njit(nogil=True, error_model="numpy")(function)
    return cast("Callable[_P, _R]", kept)


def inlined(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Compile a function into those that call it, which is faster for many small ones."""
    return cast("Callable[_P, _R]", njit(inline="always", error_model="numpy")(function))
