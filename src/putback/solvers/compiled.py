"""Compile a function of numbers and arrays to machine code, and keep what was compiled.

A compiled function has its Python twin in ``py_func``, which gives the same, only slower.
"""

from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar, cast

from numba import njit

_P = ParamSpec("_P")
_R = TypeVar("_R")


def compiled(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Compile a function when it is first called; it lets other threads run meanwhile."""
    return _compiled(function)


def compiled_barely(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Compile a function that makes no array, nor does any that it calls.

    So nobody need count who still has a hold of those that it is given. Small loops that look
    into many arrays spend a third of their time on that.
    """
    return _compiled(function, _nrt=False)  # Numba's own sorting is compiled so


def _compiled(function: Callable[_P, _R], **options: Any) -> Callable[_P, _R]:
    options |= {"nogil": True, "error_model": "numpy"}
    try:
        kept = njit(cache=True, **options)(function)
    except RuntimeError:  # no folder to keep it in may be written to
        kept = njit(**options)(function)
    return cast("Callable[_P, _R]", kept)


def inlined(function: Callable[_P, _R]) -> Callable[_P, _R]:
    """Compile a function into those that call it, which is faster for many small ones."""
    return cast("Callable[_P, _R]", njit(inline="always", error_model="numpy")(function))
