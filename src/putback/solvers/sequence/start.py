"""Where a search begins: a first order, and short lists of arcs that good orders may have."""

import numpy as np

from putback.solvers.sequence.assign import assign
from putback.solvers.sequence.problem import BARRED, Array, Sequencing
from putback.solvers.sequence.swaps import Promising
from putback.solvers.sequence.trees import with_prices


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


def repriced(problem: Sequencing, is_loose: bool, turns: bool) -> tuple[Sequencing, int, float]:
    """The same problem as it is searched, the parts of a unit in it, and a bound.

    Where blocks are turned round, prices of items are put on; else, where precedence is loose,
    those of an assignment are taken off.
    """
    if turns:
        none = np.zeros(problem.size)
        return with_prices(problem, problem.cost_of(first_order(problem, none)))
    return (reduced(problem) if is_loose else problem), 1, -np.inf


def reduced(problem: Sequencing) -> Sequencing:
    """The same problem with the prices of an assignment taken off all costs.

    Every order costs the same amount less, since each item but the first is come to once and each
    but the last left once; but an arc that good orders do without is now dear, wherever it is.
    """
    row, column, _ = assign(problem.costs[:-1, 1:])
    costs = problem.costs.astype(np.int64)
    costs[:-1] -= np.rint(row).astype(np.int64)[:, None]
    costs[:, 1:] -= np.rint(column).astype(np.int64)[None, :]
    barred = problem.costs >= BARRED
    return problem._replace(costs=np.where(barred, BARRED, costs).astype(np.int32))


def patched_order(problem: Sequencing) -> Array:
    """The cheapest assignment, its circles joined: a cheap order that minds no precedence.

    Two circles are joined by exchanging what follows an item of each, always the two and the
    items by which that costs least: R. Karp, *A patching algorithm for the nonsymmetric
    traveling-salesman problem*, SIAM J. Computing 8 (1979). The order goes from the first item to
    the last; an arc that no order can have is in it only if there is no other way to join.
    """
    costs = problem.costs[:-1, 1:].astype(np.int64)
    *_, then = assign(problem.costs[:-1, 1:])
    items = np.arange(len(then))
    while (circle := _circles(then)).any():
        anew = costs[:, then]
        more = anew + anew.T - np.add.outer(costs[items, then], costs[items, then])
        more[circle[:, None] == circle[None, :]] = np.iinfo(np.int64).max
        one, other = divmod(int(more.argmin()), len(then))
        then[one], then[other] = then[other], then[one]
    return np.array(_chain(then, 0), np.int64)


def _circles(then: Array) -> Array:
    """Number the circles; the chain from the first item to the last is 0."""
    number, found = np.full(len(then), -1, np.int64), 0
    for item in range(len(then)):
        if number[item] < 0:
            number[[each for each in _chain(then, item) if each < len(then)]] = found
            found += 1
    return number


def _chain(then: Array, begin: int) -> list[int]:
    """What follows one on another from an item on, to the last item or once around."""
    chain = [begin]
    while chain[-1] < len(then) and (follows := int(then[chain[-1]]) + 1) != begin:
        chain.append(follows)
    return chain


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
