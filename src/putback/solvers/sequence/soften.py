"""Anneal an order in which precedence may be broken at a fine that grows: compiled.

Where little must come before anything else, and yet something, what bars two long blocks from
changing places is mostly one pair or two out of thousands. So the search begins with a cheap order
that minds no precedence, a pair of items the wrong way round is fined, and the fine grows until
none is left: K. Helsgaun, *An extension of the Lin-Kernighan-Helsgaun TSP solver for constrained
traveling salesman and vehicle routing problems*, Roskilde 2017, fines what breaks a constraint,
too. Swaps are drawn as in annealing. Only one that would pass if it put right all that is wrong
is looked at for what it does put right.
"""

from heapq import heapify, heappop, heappush
from math import log

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.anneal import BREATH, draw_blocks
from putback.solvers.sequence.problem import Array, Sequencing
from putback.solvers.sequence.swaps import Promising, Run, keep_best, rise, swap


@inlined
def more_wrong(problem: Sequencing, order: Array, place: Array, i: int, j: int, k: int) -> int:
    """How many more direct pairs are the wrong way round after [i, j) and [j, k) are swapped."""
    begin, end, first, last = i, j, j, k
    now_right, now_wrong = problem.after, problem.before
    if k - j < j - i:
        begin, end, first, last = j, k, i, j
        now_right, now_wrong = problem.before, problem.after
    more = 0
    for at in range(begin, end):
        item = order[at]
        for each in range(now_right.begin[item], now_right.begin[item + 1]):
            more += first <= place[now_right.items[each]] < last
        for each in range(now_wrong.begin[item], now_wrong.begin[item + 1]):
            more -= first <= place[now_wrong.items[each]] < last
    return more


def count_wrong(problem: Sequencing, order: Array) -> int:
    """How many direct pairs are the wrong way round in an order."""
    place = np.empty(problem.size, np.int64)
    place[order] = np.arange(problem.size)
    first = np.repeat(np.arange(problem.size), np.diff(problem.after.begin))
    return int((place[first] > place[problem.after.items]).sum())


def put_right(problem: Sequencing, order: Array) -> Array:
    """Keep to an order as far as precedence lets one: of what may come always the first in it."""
    place = np.empty(problem.size, np.int64)
    place[order] = np.arange(problem.size)
    waits = np.diff(problem.before.begin)
    ready = [(int(place[item]), int(item)) for item in np.flatnonzero(waits == 0)]
    heapify(ready)
    right = []
    while ready:
        _, item = heappop(ready)
        right.append(item)
        for then in problem.after.items[problem.after.begin[item] : problem.after.begin[item + 1]]:
            waits[then] -= 1
            if not waits[then]:
                heappush(ready, (int(place[then]), int(then)))
    return np.array(right, np.int64)


@compiled
def soften(
    problem: Sequencing,
    promising: Promising,
    run: Run,
    fine: Array,
    moves: int,
    cooling: float,
    growing: float,
) -> None:
    """Try so many moves; after every 256 temperature and fine are multiplied.

    ``fine`` holds two numbers: how many pairs are the wrong way round, and what each costs. The
    best of the run is an order in which none is.
    """
    costs, order, place = problem.costs, run.order, run.place
    last = len(order) - 1
    spare = np.empty(last + 1, np.int64)
    for turn in range(moves):
        if turn % BREATH == 0:
            run.heat[0] *= cooling
            fine[1] *= growing
        i, j, k = draw_blocks(promising, order, place, run.chance)
        if not 0 < i < j < k <= last:
            continue
        more = rise(costs, order, i, j, k)
        lets_pass = -run.heat[0] * log(1 - draw(run.chance))
        if more - fine[0] * fine[1] > lets_pass:
            continue
        wrong = more_wrong(problem, order, place, i, j, k)
        if more + wrong * fine[1] > lets_pass:
            continue
        swap(order, place, spare, i, j, k)
        run.cost[0] += more
        fine[0] += wrong
        if fine[0] == 0:
            keep_best(run)
