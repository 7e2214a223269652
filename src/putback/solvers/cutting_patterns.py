"""All patterns that a plan below a given cost can hold, and the choice among them.

Prices bound every plan from below; a pattern that is worth less than it costs by more than the gap
to the wanted cost is in no such plan. Where few are left, choosing among them is exact.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from putback.progress import Progress
from putback.solvers.choice import run_beside
from putback.solvers.cutting_knapsack import Ints, to_come, unit_of
from putback.solvers.cutting_relaxed import Order, Plan, Prices

_ROUNDING = 1e-6
"""What float arithmetic may have lost, as a share of a stock's cost."""


def near_patterns(
    order: Order, every: Sequence[Prices], most_cost: int, at_most: int
) -> tuple[Ints, Ints] | None:
    """Every pattern that a plan of at most `most_cost` can hold; None if there are too many.

    Gives the stock of each, shape (n,), and how many of each piece, shape (n, m).
    """
    best = max(every, key=lambda prices: prices.bound)
    stocks, rows = [], []
    for stock in range(len(order.lengths)):
        found = _of_stock(order, best, stock, most_cost, at_most)
        if found is None:
            return None
        kept = found[_can_be_in(order, every, stock, found, most_cost)]
        rows.append(kept)
        stocks.append(np.full(len(kept), stock))
        at_most -= len(kept)
        if at_most < 0:
            return None
    return np.concatenate(stocks), np.concatenate(rows)


def _can_be_in(
    order: Order, every: Sequence[Prices], stock: int, rows: Ints, most_cost: int
) -> Any:
    """Whether each pattern passes by all prices there are, not only by the best."""
    keeps = np.ones(len(rows), dtype=bool)
    for prices in every:
        gap = most_cost - prices.bound + _ROUNDING * max(order.costs)
        if gap < max(order.costs):
            loses = order.costs[stock] - prices.stocks[stock] - rows @ prices.pieces
            keeps &= loses <= gap
    return keeps


def _of_stock(
    order: Order, prices: Prices, stock: int, most_cost: int, at_most: int
) -> Ints | None:
    """Build patterns piece by piece, all at once, leaving out what can no longer come near."""
    length, worth = order.lengths[stock], prices.pieces
    gap = most_cost - prices.bound + _ROUNDING * max(order.costs)
    least = order.costs[stock] - prices.stocks[stock] - gap
    spare = _spare(order, stock, most_cost)
    unit = unit_of(length)
    coarse, wanted = np.array(order.sizes) // unit, np.array(order.wanted)
    coming = to_come(coarse, wanted, np.maximum(worth, 0.0), length // unit)
    filling = to_come(coarse, wanted, np.array(order.sizes, dtype=float), length // unit)
    room, value = np.array([length]), np.array([0.0])
    came: list[tuple[Ints, Ints]] = []
    for piece, size in enumerate(order.sizes):
        rooms, values, parents, counts = [], [], [], []
        for count in range(min(order.wanted[piece], length // size) + 1):
            kept = np.nonzero(room >= count * size)[0]
            left, gained = room[kept] - count * size, value[kept] + count * worth[piece]
            near = (gained + coming[piece + 1][left // unit] >= least) & (
                left - filling[piece + 1][left // unit] <= spare + 0.5
            )
            rooms.append(left[near])
            values.append(gained[near])
            parents.append(kept[near])
            counts.append(np.full(int(near.sum()), count))
        room, value = np.concatenate(rooms), np.concatenate(values)
        came.append((np.concatenate(parents), np.concatenate(counts)))
        if len(room) > at_most:
            return None
    rows = np.zeros((len(room), len(order.sizes)), dtype=np.int64)
    at = np.arange(len(room))
    for piece in range(len(order.sizes) - 1, -1, -1):
        parents_of, counts_of = came[piece]
        rows[:, piece] = counts_of[at]
        at = parents_of[at]
    return rows[rows.any(axis=1)]


def _spare(order: Order, stock: int, most_cost: int) -> float:
    """Length that may be left of one stock in all: known where there is one kind of stock."""
    if len(order.lengths) > 1:
        return float(order.lengths[stock])
    pieces = sum(size * wanted for size, wanted in zip(order.sizes, order.wanted, strict=True))
    return float(most_cost // order.costs[0] * order.lengths[0] - pieces)


def choose(
    order: Order,
    stocks: Ints,
    rows: Ints,
    most_cost: int,
    effort: float,
    seconds: float,
    progress: Progress,
) -> tuple[Plan | None, bool]:
    """Choose patterns that cut everything for at most `most_cost`, the cheapest.

    Gives the plan, if one was found, and whether it is settled: none is cheaper, or there is none.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    times = [
        model.new_int_var(0, int(min(order.wanted[i] // row[i] for i in np.nonzero(row)[0])), "")
        for row in rows
    ]
    for piece, wanted in enumerate(order.wanted):
        holding = np.nonzero(rows[:, piece])[0]
        if not len(holding):
            return None, True
        model.add(
            cp_model.LinearExpr.weighted_sum(
                [times[n] for n in holding], [int(rows[n, piece]) for n in holding]
            )
            == wanted
        )
    for stock, count in enumerate(order.counts):
        of_stock = [times[n] for n in np.nonzero(stocks == stock)[0]]
        if count is not None and of_stock:
            model.add(cp_model.LinearExpr.sum(of_stock) <= count)
    cost = cp_model.LinearExpr.weighted_sum(times, [order.costs[stock] for stock in stocks])
    model.add(cost <= most_cost)
    if len(order.lengths) > 1:
        model.minimize(cost)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # one thread, one seed: the same answer every time
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = effort
    solver.parameters.max_time_in_seconds = max(0.01, seconds)
    status = run_beside(solver, model, progress)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        plan = [
            (int(stock), tuple(int(each) for each in row))
            for stock, row, variable in zip(stocks, rows, times, strict=True)
            for _ in range(solver.value(variable))
        ]
        return plan, status == cp_model.OPTIMAL
    return None, status == cp_model.INFEASIBLE
