"""The drill that one can buy, for the hole before the tap."""

from math import ceil, floor

from putback.bench.thread_form import tapping_drill_m
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Thread

_FINE_UP_TO_M = 3e-3
_COARSE_M, _FINE_M = 1e-4, 5e-5
"""Drills are sold by the tenth of a millimetre, small ones by half of that (common practice)."""
_NOISE = 1e-6


def bought_drill_m(thread: Thread) -> float:
    """Give the metric drill next to `tapping_drill_m` that leaves the bore within limits [m].

    Halfway between two it is the even tenth, which is what ISO 2306 has for M8, M10x1.25 and M12
    (from memory). A major diameter less a pitch is more than the bore of a coarse Whitworth thread
    may be; there it is the largest drill that is not.

    Raises
    ------
    BadInput
        A taper thread, whose hole the tap's maker gives.
    """
    exact_m, limits = tapping_drill_m(thread), thread_limits(thread)
    step_m = _FINE_M if exact_m < _FINE_UP_TO_M else _COARSE_M
    number = round(round(exact_m / step_m, 6))
    least = ceil(limits.bore_min_m / step_m - _NOISE)
    most = floor(limits.bore_max_m / step_m + _NOISE)
    return max(least, min(number, most)) * step_m
