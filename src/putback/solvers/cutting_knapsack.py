"""What a length of stock is best filled with at given prices: branch and bound, compiled.

A table tells what pieces from each place on can add at most to every room. It counts in units: one
where stock is short, so that the table is exact; several where it is long, with pieces rounded
down, so that it never tells too little.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from putback.solvers.compiled import compiled

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Pattern = tuple[int, ...]
"""How many of each piece are cut from one stock."""

MOST_UNITS = 8_000
"""Into so many units a stock is divided at most."""
_NODES = 20_000
"""How many choices are looked at for the best pattern that begins with one piece."""
_NONE = 1e-12
"""A worth that is none."""


def unit_of(longest: int) -> int:
    """What a unit is, where stocks are so long at most."""
    return max(1, -(-longest // MOST_UNITS))


class Knapsack:
    """Patterns of pieces, largest first, by what they are worth."""

    def __init__(
        self, sizes: Sequence[int], at_most: Sequence[int], prices: Floats, longest: int
    ) -> None:
        """Fill the table for stocks up to the longest."""
        self._sizes = np.array(sizes, np.int64)
        self._at_most = np.array(at_most, np.int64)
        self._prices = np.maximum(prices, 0.0)
        self._unit = unit_of(longest)
        self._table = to_come(
            self._sizes // self._unit, self._at_most, self._prices, longest // self._unit
        )

    def patterns(self, length: int, least: float) -> tuple[list[Pattern], float]:
        """Give a best pattern for each piece that is the largest in it, the best of them first.

        Where none can be worth more than `least`, none is sought. Beside them what no pattern is
        worth more than.
        """
        rows = np.zeros((len(self._sizes), len(self._sizes)), np.int64)
        bound = _firsts(
            self._sizes, self._at_most, self._prices, self._table, self._unit, length, least, rows
        )
        worths = rows @ self._prices
        order = np.argsort(-worths, kind="stable")
        return [tuple(row) for row in rows[order[worths[order] > 0.0]].tolist()], bound


@compiled
def to_come(sizes: Ints, at_most: Ints, prices: Floats, length: int) -> Floats:
    """Give the most that pieces from each place on can add, by room, shape (m + 1, length + 1)."""
    count = len(sizes)
    table = np.zeros((count + 1, length + 1))
    for piece in range(count - 1, -1, -1):
        size, price = sizes[piece], prices[piece]
        more = price * at_most[piece] if size == 0 else 0.0
        for room in range(length + 1):
            table[piece, room] = table[piece + 1, room] + more
        if price <= 0.0 or size == 0:
            continue
        for times in range(1, min(at_most[piece], length // size) + 1):
            for room in range(times * size, length + 1):
                more = table[piece + 1, room - times * size] + times * price
                if more > table[piece, room]:
                    table[piece, room] = more
    return table


@compiled
def _firsts(
    sizes: Ints,
    at_most: Ints,
    prices: Floats,
    table: Floats,
    unit: int,
    length: int,
    least: float,
    rows: Ints,
) -> float:
    """Find a best pattern for each piece that is the largest in it; give a bound on all."""
    count = len(sizes)
    bound = 0.0
    for first in range(count):
        if prices[first] <= _NONE or not at_most[first] or sizes[first] > length:
            continue
        most = prices[first] + table[first, (length - sizes[first]) // unit]
        if most > least:
            most = _best_from(sizes, at_most, prices, table, unit, length, first, rows[first])
        bound = max(bound, most)
    return bound


@compiled
def _best_from(
    sizes: Ints,
    at_most: Ints,
    prices: Floats,
    table: Floats,
    unit: int,
    length: int,
    first: int,
    best: Ints,
) -> float:
    """Find a best pattern with at least one of a piece and none before it.

    It is left in ``best``; what comes back is its worth, or where the search was cut off, what
    none is worth more than.
    """
    count = len(sizes)
    counts = np.zeros(count, np.int64)
    chosen = np.empty(length // max(1, sizes[count - 1]) + 2, np.int64)
    many, room, worth, most = 1, length - sizes[first], prices[first], 0.0
    counts[first], chosen[0] = 1, first
    limit = worth + table[first, room // unit]
    piece, nodes = first, 0
    while True:
        if worth > most:
            most = worth
            for at in range(first, count):
                best[at] = counts[at]
            if most >= limit * (1.0 - _NONE):
                return float(most)
        nodes += 1
        if nodes > _NODES:
            return float(limit)
        # on to the next piece that may be added and may lead to more than the best
        while piece < count and (
            sizes[piece] > room
            or counts[piece] >= at_most[piece]
            or worth + prices[piece] + table[piece, (room - sizes[piece]) // unit]
            <= most * (1.0 + _NONE)
        ):
            piece += 1
        if piece < count:
            counts[piece] += 1
            chosen[many] = piece
            many += 1
            room -= sizes[piece]
            worth += prices[piece]
        elif many > 1:
            many -= 1
            piece = chosen[many]
            counts[piece] -= 1
            room += sizes[piece]
            worth -= prices[piece]
            piece += 1
        else:
            return float(most)
