"""What no order goes below: the cheapest walk of n places, with prices on items, compiled.

An order is relaxed to a walk that stands at each place at an item which may stand there (each has
as many places before it as items that must come before, and behind it likewise), goes along arcs
only, and does not turn straight back to where it came from; items may be left out or met again.
Each meeting of an item earns its prize, and the sum of all prizes is added: every order costs the
same as before, walks do not. Prizes are raised on what the cheapest walk leaves out and lowered on
what it meets twice (subgradients of the Lagrangian: Held and Karp, Math. Programming 1, 1971). The
relaxation by places is that of Picard and Queyranne (Operations Research 26, 1978).
"""

from typing import NamedTuple

import numpy as np

from putback.solvers.compiled import compiled
from putback.solvers.sequence.problem import Array, Sequencing

FAR = 1e15
"""What cannot be walked at all."""


class Walks(NamedTuple):
    """The cheapest way on from each place and item, shape (n, n); prizes earned are taken off."""

    near: Array
    """What the way on costs."""
    then: Array
    """The item that comes next on it; -1 where there is none."""
    second: Array
    """What the cheapest way on with another next item costs."""
    otherwise: Array
    """The item that comes next on that."""


class Prizes(NamedTuple):
    """How far the search for prizes is; changed in place."""

    prize: Array
    """Of each item."""
    best: Array
    """Those with the highest bound so far."""
    way: Array
    """The direction of the last step."""
    bound: Array
    """One number: the highest bound so far."""
    pace: Array
    """Two numbers: the length of steps, and how many steps ago the bound last rose."""


def no_walks(count: int) -> Walks:
    """Room for the walks of so many items."""
    shape = (count, count)
    return Walks(
        np.full(shape, FAR),
        np.full(shape, -1, np.int32),
        np.full(shape, FAR),
        np.full(shape, -1, np.int32),
    )


def no_prizes(count: int) -> Prizes:
    """Begin without prizes."""
    return Prizes(
        np.zeros(count), np.zeros(count), np.zeros(count), np.array([-FAR]), np.array([1.0, 0.0])
    )


@compiled
def walk_back(problem: Sequencing, prize: Array, walks: Walks) -> float:
    """Find the cheapest ways on, from the last place to the first; give the bound."""
    costs, arcs = problem.costs, problem.arcs
    earliest, latest = problem.earliest, problem.latest
    near, then, second, otherwise = walks.near, walks.then, walks.second, walks.otherwise
    n = len(earliest)
    near[n - 1, n - 1] = 0.0
    second[n - 1, n - 1] = 0.0
    for place in range(n - 2, -1, -1):
        for i in range(n):
            if place < earliest[i] or place > latest[i]:
                continue
            low = low_2 = FAR
            by = by_2 = -1
            for each in range(arcs.begin[i], arcs.begin[i + 1]):
                j = arcs.items[each]
                if place + 1 < earliest[j] or place + 1 > latest[j]:
                    continue
                on = near[place + 1, j] if then[place + 1, j] != i else second[place + 1, j]
                cost = costs[i, j] - prize[j] + on
                if cost < low:
                    low_2, by_2 = low, by
                    low, by = cost, j
                elif cost < low_2:
                    low_2, by_2 = cost, j
            near[place, i], then[place, i] = low, by
            second[place, i], otherwise[place, i] = low_2, by_2
    return float(near[0, 0] + prize.sum() - prize[0])


@compiled
def raise_bound(
    problem: Sequencing, walks: Walks, prizes: Prizes, most: float, steps: int
) -> None:
    """Step so often towards better prizes; ``most`` is what an order is known to cost."""
    n = len(problem.earliest)
    prize, way, pace = prizes.prize, prizes.way, prizes.pace
    met = np.empty(n, np.int64)
    for _ in range(steps):
        bound = walk_back(problem, prize, walks)
        pace[1] += 1
        if bound > prizes.bound[0] + 1e-6 * abs(bound):
            prizes.bound[0] = bound
            prizes.best[:] = prize
            pace[1] = 0
        elif pace[1] >= 10:
            pace[0] *= 0.7
            pace[1] = 0
            prize[:] = prizes.best
        met[:] = 0
        came, at = -1, 0
        for place in range(n - 1):
            if walks.then[place, at] != came:
                came, at = at, walks.then[place, at]
            else:
                came, at = at, walks.otherwise[place, at]
            if at < 0:
                return
            met[at] += 1
        length = 0.0
        for i in range(1, n):
            way[i] = 0.6 * way[i] + (1 - met[i])
            length += way[i] * way[i]
        if length == 0:
            return
        step = pace[0] * max(most - bound, 0.001 * abs(most)) / length
        for i in range(1, n):
            prize[i] += step * way[i]
