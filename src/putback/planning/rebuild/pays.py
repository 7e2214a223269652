"""Where it pays to go next: what a place gives, and rules of thumb for what that is worth."""

from collections.abc import Callable
from typing import NamedTuple


class Yield(NamedTuple):
    """What a place gives before it must be left: work [minutes], steps, share of all it has."""

    minutes: float
    steps: int
    share: float


Pays = Callable[[float, Yield], float]
"""What a place is worth, of what it costs to get there [minutes] and what it gives."""

PAYS: tuple[Pays, ...] = (
    lambda cost, what: -what.steps / (cost + 1),
    lambda cost, what: cost - what.steps,
    lambda cost, what: (1 - what.share) * 100 + cost,
    lambda cost, what: -what.minutes / (cost + 1),
)
"""Rules of thumb for where to go next, the lower the better; none wins mostly, but the last two
win for 16 of 18 networks of the demo's rebuilds, at other prices or with much left for last."""

MANY_STEPS = 1000
"""Of a rebuild with more steps only the first two rules are tried: the time goes to improving."""
