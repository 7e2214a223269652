"""The assignment problem: each item but the last is followed by one, as cheaply as can be.

Compiled. Shortest augmenting paths: R. Jonker and A. Volgenant, *A shortest augmenting path
algorithm for dense and sparse linear assignment problems*, Computing 38 (1987), without its
shortcuts at the start.
"""

import numpy as np

from putback.solvers.compiled import compiled
from putback.solvers.sequence.problem import Array


@compiled
def assign(costs: Array) -> tuple[Array, Array, Array]:
    """Find the cheapest assignment, and prices of rows and columns whose sum is its cost.

    No cost is below the two prices of its row and column, so their sum bounds every assignment.

    Parameters
    ----------
    costs : matrix of int, shape (m, m)
        What it costs to give each column to each row.

    Returns
    -------
    tuple of three arrays, each of shape (m,)
        The price of each row, the price of each column, and the column that each row is given.
    """
    count = costs.shape[0]
    row, column = np.zeros(count + 1), np.zeros(count + 1)
    owner = np.zeros(count + 1, np.int64)  # by column; rows and columns are counted from 1
    came = np.zeros(count + 1, np.int64)
    for new in range(1, count + 1):
        owner[0] = new
        at = 0
        least = np.full(count + 1, np.inf)
        used = np.zeros(count + 1, np.bool_)
        while owner[at] != 0:
            used[at] = True
            mine, delta, then = owner[at], np.inf, 0
            for j in range(1, count + 1):
                if used[j]:
                    continue
                over = costs[mine - 1, j - 1] - row[mine] - column[j]
                if over < least[j]:
                    least[j], came[j] = over, at
                if least[j] < delta:
                    delta, then = least[j], j
            for j in range(count + 1):
                if used[j]:
                    row[owner[j]] += delta
                    column[j] -= delta
                else:
                    least[j] -= delta
            at = then
        while at != 0:
            owner[at] = owner[came[at]]
            at = came[at]
    taken = np.empty(count, np.int64)
    for j in range(1, count + 1):
        taken[owner[j] - 1] = j - 1
    return row[1:], column[1:], taken
