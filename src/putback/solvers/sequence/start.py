"""Where a search begins: a first order, and short lists of arcs that good orders may have."""

import numpy as np

from putback.solvers.sequence.assign import assignment_prices
from putback.solvers.sequence.problem import BARRED, Array, Sequencing
from putback.solvers.sequence.swaps import Promising


def first_order(problem: Sequencing, prize: Array) -> Array:
    """An order built from its beginning: always the cheapest next of all that may come.

    Parameters
    ----------
    problem : Sequencing
        What is asked.
    prize : array of float, shape (n,)
        What is taken off the cost of coming to an item.
    """
    waits = problem.must.sum(axis=0) - problem.must[0]
    waits[0] = problem.size  # it is done
    order = [0]
    while len(order) < problem.size:
        ready = np.flatnonzero(waits == 0)
        item = int(ready[(problem.costs[order[-1], ready] - prize[ready]).argmin()])
        order.append(item)
        waits = waits - problem.must[item]
        waits[item] = problem.size * 2
    return np.array(order, np.int64)


def reduced(problem: Sequencing) -> Sequencing:
    """The same problem with the prices of an assignment taken off all costs.

    Every order costs the same amount less, since each item but the first is come to once and each
    but the last left once; but an arc that good orders do without is now dear, wherever it is.
    """
    row, column = assignment_prices(problem.costs[:-1, 1:])
    costs = problem.costs.astype(np.int64)
    costs[:-1] -= np.rint(row).astype(np.int64)[:, None]
    costs[:, 1:] -= np.rint(column).astype(np.int64)[None, :]
    barred = problem.costs >= BARRED
    return problem._replace(costs=np.where(barred, BARRED, costs).astype(np.int32))


def promising_arcs(problem: Sequencing, length: int) -> Promising:
    """The cheapest arcs from and to each item, the cheapest first."""
    return Promising(_cheapest(problem.costs, length), _cheapest(problem.costs.T, length))


def _cheapest(costs: Array, length: int) -> Array:
    count = len(costs)
    width = min(length, count)
    by = np.argsort(costs, axis=1, kind="stable")[:, :width].astype(np.int64)
    for row, each in enumerate(by):
        real = each[costs[row, each] < BARRED]
        # the first or the last item has none on one side; itself does no harm there
        by[row] = [*real, *[real[-1] if len(real) else row] * (width - len(real))]
    return by
