"""How often Python looks for garbage that refers to itself: seldom, as a command makes little."""

import gc

_YOUNG, _MIDDLE, _OLD = 100_000, 20, 100
"""Objects more than before, and then times, until each generation is gone through."""


def collect_seldom() -> None:
    """Look so seldom in this process: as usual it takes a fourteenth of the time of a plan."""
    gc.set_threshold(_YOUNG, _MIDDLE, _OLD)
