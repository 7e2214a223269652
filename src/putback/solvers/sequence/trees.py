"""Prices of items, where costs are the same both ways: compiled.

An order is a spanning tree in which the first and the last item have one neighbour and all others
two. A price for each neighbour that an item has makes every order dearer by the same, but trees
in which an item has too many: so prices are raised step by step until the cheapest tree is as near
to an order as may be (M. Held and R. Karp, Operations Research 18, 1970, and Mathematical
Programming 1, 1971, for round trips). What the cheapest tree costs, with the prices of an order's
neighbours taken off again, bounds what orders cost.
"""

import numpy as np

from putback.solvers.compiled import compiled
from putback.solvers.sequence.problem import BARRED, Array, Sequencing

_STEPS = 600
"""How often prices are raised."""

_PACE, _SLOWER, _PATIENCE = 2.0, 0.7, 20
"""The share of what a step would have to win that it goes for; how much less after so many steps
in vain (Held, Wolfe and Crowder, Mathematical Programming 6, 1974).
"""

_MOMENTUM = 0.3
"""The share of the step before in each (Volgenant and Jonker, EJOR 9, 1982, *from memory*)."""

_PARTS = 100
"""Into so many parts a unit of cost is divided, for the prices."""


@compiled
def _cheapest_tree(costs: Array, price: Array, neighbours: Array) -> float:
    """Find the cheapest spanning tree at these prices, and how many neighbours each item has.

    R. C. Prim, Bell System Technical Journal 36, 1957.
    """
    count = len(price)
    least = np.full(count, np.inf)
    beside = np.zeros(count, np.int64)
    is_in = np.zeros(count, np.bool_)
    neighbours[:] = 0
    total, at = 0.0, 0
    is_in[0] = True
    for _ in range(count - 1):
        then, cheapest = -1, np.inf
        for item in range(count):
            if not is_in[item]:
                cost = costs[at, item] + price[at] + price[item]
                if cost < least[item]:
                    least[item], beside[item] = cost, at
                if least[item] < cheapest:
                    then, cheapest = item, least[item]
        is_in[then] = True
        total += cheapest
        neighbours[then] += 1
        neighbours[beside[then]] += 1
        at = then
    return total


@compiled
def _raised(costs: Array, known: float, steps: int) -> tuple[Array, float]:
    """Raise prices from nothing; gives the best and their bound."""
    count = len(costs)
    price, best, bound = np.zeros(count), np.zeros(count), -np.inf
    neighbours = np.zeros(count, np.int64)
    before = np.zeros(count)
    pace, in_vain = _PACE, 0
    for _ in range(steps):
        now = _cheapest_tree(costs, price, neighbours) - 2 * price.sum() + price[0] + price[-1]
        if now > bound:
            bound, in_vain = now, 0
            best[:] = price
        else:
            in_vain += 1
            if in_vain == _PATIENCE:
                pace, in_vain = pace * _SLOWER, 0
        neighbours[0] += 1
        neighbours[-1] += 1
        too_many = neighbours - 2
        wrong = (too_many**2).sum()
        if wrong == 0:  # the tree is an order
            break
        step = pace * (known - now) / wrong
        price += step * ((1 - _MOMENTUM) * too_many + _MOMENTUM * before)
        before[:] = too_many
    return best, bound


def with_prices(problem: Sequencing, known: int) -> tuple[Sequencing, int, float]:
    """The same problem with prices of items put on all costs, and these in parts of a unit.

    Every order costs the same more, since each item but the first and the last has two neighbours
    in each; but an arc that good orders do without is now dear, wherever it is.

    Parameters
    ----------
    problem : Sequencing
        One whose costs are the same both ways.
    known : int
        What some order costs.

    Returns
    -------
    tuple of Sequencing, int and float
        The problem, how many parts a unit has, and what no order of the given problem costs less.
    """
    own = problem.costs.astype(np.int64)
    barred = own >= BARRED
    either = np.minimum(own, own.T).astype(np.float64)
    price, bound = _raised(either, float(known), _STEPS)
    most = max(int(np.abs(own[~barred]).max(initial=1)), 1)
    parts = max(1, min(_PARTS, BARRED // 16 // most))
    added = np.rint(np.clip(price, -most, most) * parts).astype(np.int64)
    costs = own * parts + added[:, None] + added[None, :]
    costs -= costs[~barred].min(initial=0)
    priced = np.where(barred, BARRED, costs).astype(np.int32)
    return problem._replace(costs=priced), parts, bound
