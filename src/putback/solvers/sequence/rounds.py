"""The rounds of a search, and what each of its two sides knows in one."""

from typing import NamedTuple

from putback.solvers.sequence.problem import Array

_GOOD = 8
"""How many good orders are put together."""


class Round(NamedTuple):
    """What is done in a round."""

    share: float
    """Of all work."""
    bound: float
    """The share of it that goes into the bound, on one side."""
    heat: float
    """Where annealing begins, in mean arcs."""


ROUNDS = (
    Round(0.06, 1.0, 0.0),
    Round(0.12, 0.25, 1.0),
    Round(0.22, 0.0, 0.6),
    Round(0.28, 0.0, 0.4),
    Round(0.32, 0.0, 0.6),
)


class Side:
    """What one side of a round knows: what was known before, and what it found."""

    def __init__(self, order: Array, cost: int, good: dict[int, Array]) -> None:
        self.order, self.cost = order, cost
        self.good = dict(good)
        """Good orders by their cost."""

    def take(self, order: Array, cost: int) -> None:
        """Take note of an order."""
        if cost not in self.good:
            self.good[cost] = order
            for dear in sorted(self.good)[_GOOD:]:
                del self.good[dear]
        if cost < self.cost:
            self.order, self.cost = order, cost
