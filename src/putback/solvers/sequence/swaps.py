"""Two neighbouring blocks change places, or one is turned round: compiled.

What it costs, and whether it may be. The one is the path-preserving exchange of three arcs:
nothing is turned round, and what it changes in cost is known from three seams. The other is for
costs that are the same both ways, where two seams tell it. What stands between two items of one
chain of precedence stands in the blocks too, so that direct precedences are enough to see whether
it may be.
"""

from typing import NamedTuple

import numpy as np

from putback.solvers.compiled import inlined
from putback.solvers.sequence.problem import Array, Sequencing

TURN = -1
"""Stands for where the second block ends, where one is turned round."""


class Promising(NamedTuple):
    """Short lists of arcs that good orders may have, shape (n, length); padded by repetition."""

    after: Array
    """Of each item what may follow it."""
    before: Array
    """Of each item what may stand before it."""


class Run(NamedTuple):
    """How far a search is; changed in place."""

    order: Array
    place: Array
    """Of each item where it stands."""
    best: Array
    """The cheapest order met."""
    cost: Array
    """Two numbers: of the order now, and of the best."""
    heat: Array
    """One number: the temperature."""
    chance: Array
    """One number: where the sequence of chance has got to."""


@inlined
def rise(costs: Array, order: Array, i: int, j: int, k: int) -> int:
    """What more an order costs after [i, j) and [j, k) have changed places."""
    before, then = order[i - 1], order[k]
    first_a, last_a, first_b, last_b = order[i], order[j - 1], order[j], order[k - 1]
    come = np.int64(costs[before, first_b]) + costs[last_b, first_a] + costs[last_a, then]
    go = np.int64(costs[before, first_a]) + costs[last_a, first_b] + costs[last_b, then]
    return int(come - go)


@inlined
def allowed(problem: Sequencing, order: Array, place: Array, i: int, j: int, k: int) -> bool:
    """Whether precedence lets the blocks [i, j) and [j, k) change places."""
    if j - i <= k - j:
        after = problem.after
        for at in range(j - 1, i - 1, -1):
            item = order[at]
            for each in range(after.begin[item], after.begin[item + 1]):
                if j <= place[after.items[each]] < k:
                    return False
    else:
        before = problem.before
        for at in range(j, k):
            item = order[at]
            for each in range(before.begin[item], before.begin[item + 1]):
                if i <= place[before.items[each]] < j:
                    return False
    return True


@inlined
def swap(order: Array, place: Array, spare: Array, i: int, j: int, k: int) -> None:
    """Let the blocks [i, j) and [j, k) change places."""
    if j - i <= k - j:
        for at in range(i, j):
            spare[at] = order[at]
        for at in range(j, k):
            order[at - j + i] = order[at]
        for at in range(i, j):
            order[at + k - j] = spare[at]
    else:
        for at in range(j, k):
            spare[at] = order[at]
        for at in range(j - 1, i - 1, -1):
            order[at + k - j] = order[at]
        for at in range(j, k):
            order[at - j + i] = spare[at]
    for at in range(i, k):
        place[order[at]] = at


@inlined
def turning_rise(costs: Array, order: Array, i: int, j: int) -> int:
    """What more an order costs after [i, j) was turned round, if costs are the same both ways."""
    before, first, last, then = order[i - 1], order[i], order[j - 1], order[j]
    come = np.int64(costs[before, last]) + costs[first, then]
    return int(come - costs[before, first] - costs[last, then])


@inlined
def may_turn(problem: Sequencing, order: Array, place: Array, i: int, j: int) -> bool:
    """Whether precedence lets the block [i, j) be turned round."""
    after = problem.after
    for at in range(i, j):
        item = order[at]
        for each in range(after.begin[item], after.begin[item + 1]):
            if place[after.items[each]] < j:
                return False
    return True


@inlined
def turn(order: Array, place: Array, i: int, j: int) -> None:
    """Turn the block [i, j) round."""
    for at in range((j - i) // 2):
        one, other = i + at, j - 1 - at
        order[one], order[other] = order[other], order[one]
    for at in range(i, j):
        place[order[at]] = at


@inlined
def blocks_at(p: int, q: int, r: int, last: int) -> tuple[int, int, int]:
    """The blocks [i, j) and [j, k) that change places where seams open behind p, at q and at r.

    ``k`` is 0 where there are none.
    """
    i, j, k = 0, 0, 0
    if q < p:
        if q < r <= p:
            i, j, k = q, r, p + 1
    elif q < r <= last:
        i, j, k = p + 1, q, r
    elif 0 < r <= p:
        i, j, k = r, p + 1, q
    return i, j, k


@inlined
def change(order: Array, place: Array, spare: Array, i: int, j: int, k: int) -> None:
    """Swap two blocks, or turn one round."""
    if k == TURN:
        turn(order, place, i, j)
    else:
        swap(order, place, spare, i, j, k)


@inlined
def keep_best(run: Run) -> None:
    """Keep the order as it is now, if none met was cheaper."""
    if run.cost[0] < run.cost[1]:
        run.cost[1] = run.cost[0]
        for at in range(len(run.order)):
            run.best[at] = run.order[at]
