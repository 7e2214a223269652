"""Anneal an order by swapping neighbouring blocks: the inner loop, compiled.

Each swap is drawn so that an arc from a short list of promising ones appears. What it changes in
cost is tested first (Metropolis); only what passes is looked at for precedence.
"""

from math import log

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.problem import Array, Sequencing
from putback.solvers.sequence.swaps import Promising, Run, allowed, keep_best, rise, swap

_SPAN = 50
"""The longest block, about, of those whose end is drawn freely."""

BREATH = 256
"""Moves between two steps of cooling."""


@inlined
def draw_blocks(
    promising: Promising, order: Array, place: Array, chance: Array
) -> tuple[int, int, int]:
    """Draw two neighbouring blocks whose swap brings a promising arc; of others no matter."""
    last = len(order) - 1
    width = promising.after.shape[1]
    a = order[int(draw(chance) * last)]
    b = promising.after[a, int(draw(chance) * width)]
    p, q = place[a], place[b]
    how = draw(chance)
    if q < p:  # ... b ... a, then the block from b ends with a no more: it follows a
        i, k = q, p + 1
        if how < 0.4:
            j = place[promising.after[order[i - 1], int(draw(chance) * width)]]
        elif how < 0.8:
            j = place[promising.before[order[k], int(draw(chance) * width)]] + 1
        else:
            j = i + 1 + int(draw(chance) * (p - q))
        return i, j, k
    if how < 0.5:  # what lies between a and b goes behind a block that begins with b
        i, j = p + 1, q
        if draw(chance) < 0.5:
            k = place[promising.before[order[i], int(draw(chance) * width)]] + 1
        else:
            k = j + 1 + int(draw(chance) * draw(chance) * _SPAN)
        return i, j, k
    j, k = p + 1, q  # or before a block that ends with a
    if draw(chance) < 0.5:
        i = place[promising.before[order[j], int(draw(chance) * width)]] + 1
    else:
        i = p - int(draw(chance) * draw(chance) * _SPAN)
    return i, j, k


@compiled
def anneal(
    problem: Sequencing, promising: Promising, run: Run, moves: int, cooling: float
) -> None:
    """Try so many moves; the temperature is multiplied by ``cooling`` after every 256."""
    costs, order, place = problem.costs, run.order, run.place
    last = len(order) - 1
    spare = np.empty(last + 1, np.int64)
    for turn in range(moves):
        if turn % BREATH == 0:
            run.heat[0] *= cooling
        i, j, k = draw_blocks(promising, order, place, run.chance)
        if not 0 < i < j < k <= last:
            continue
        more = rise(costs, order, i, j, k)
        if more > 0 and more > -run.heat[0] * log(1 - draw(run.chance)):
            continue
        if not allowed(problem, order, place, i, j, k):
            continue
        swap(order, place, spare, i, j, k)
        run.cost[0] += more
        keep_best(run)
