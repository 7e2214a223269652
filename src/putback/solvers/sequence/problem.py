"""The sequential ordering problem as arrays: items, what a change costs, what comes before what.

All items are put in one order; what it costs is the sum over neighbours. Costs are whole numbers
and need not be symmetric. The first and the last item are fixed: where the precedence leaves
either open, an item of no cost is put there (`Sequencing.items` tells which are real).

Precedence is closed, then reduced to what is direct. An arc that no order can have (backwards, or
past something that lies between) is left out, which makes every bound stronger.
"""

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

import numpy as np

Array = np.ndarray[Any, Any]

BARRED = 1 << 29
"""What an arc that no order can have costs; real costs are at most an eighth of it."""


class Circular(ValueError):
    """The items wait for one another in a circle."""


class Lists(NamedTuple):
    """Lists of whole numbers laid end to end: list i is ``items[begin[i]:begin[i + 1]]``."""

    begin: Array
    items: Array


class Sequencing(NamedTuple):
    """n items, the first 0 and the last n - 1; whole numbers are int64 unless said otherwise."""

    costs: Array
    """Of each item before each other, int32, shape (n, n); `BARRED` where none can be."""
    must: Array
    """Whether one comes before the other in every order, bool, shape (n, n)."""
    before: Lists
    """Of each item what comes directly before it."""
    after: Lists
    """Of each item what comes directly after it."""
    arcs: Lists
    """Of each item those that may follow it at once."""
    earliest: Array
    """Of each item the first place where it can stand."""
    latest: Array
    """Of each item the last place where it can stand."""
    items: Array
    """Of each item the number by which the caller knows it; -1 for one put in."""

    @property
    def size(self) -> int:
        """How many items there are."""
        return len(self.earliest)

    def cost_of(self, order: Array) -> int:
        """What an order costs."""
        return int(self.costs[order[:-1], order[1:]].sum())


def lay_out(
    costs: Sequence[Sequence[int]] | Array, pairs: Iterable[tuple[int, int]]
) -> Sequencing:
    """Lay out a problem.

    Parameters
    ----------
    costs : matrix of int, shape (n, n)
        What each item costs directly before each other; of an item before itself nothing is read.
    pairs : iterable of tuple of int
        First and then: the one comes somewhere before the other.

    Raises
    ------
    Circular
        If no order keeps the pairs.
    """
    own = np.array(costs, np.int64).reshape(len(costs), len(costs))
    must = closed(len(own), pairs)
    first, last = _end(must), _end(must.T)
    kept = [i for i in range(len(own)) if i not in (first, last)]
    items = np.array([first, *kept, last], np.int64)
    count = len(items)
    real = items >= 0
    whole, order = np.zeros((count, count), np.int64), np.zeros((count, count), bool)
    both = np.ix_(real, real)
    whole[both] = own[np.ix_(items[real], items[real])]
    order[both] = must[np.ix_(items[real], items[real])]
    order[0, 1:] = order[:-1, -1] = True
    between = order.astype(np.float32) @ order.astype(np.float32) > 0
    direct = order & ~between
    barred = order.T | between | np.eye(count, dtype=bool)
    if (np.abs(whole[~barred]) > BARRED // 8).any():
        raise ValueError(f"a cost is above {BARRED // 8}")
    return Sequencing(
        costs=np.where(barred, BARRED, whole).astype(np.int32),
        must=order,
        before=lists(np.flatnonzero(row) for row in direct.T),
        after=lists(np.flatnonzero(row) for row in direct),
        arcs=lists(np.flatnonzero(row) for row in ~barred),
        earliest=order.sum(axis=0),
        latest=count - 1 - order.sum(axis=1),
        items=items,
    )


def lists(each: Iterable[Array]) -> Lists:
    """Lay lists end to end."""
    rows = list(each)
    begin = np.zeros(len(rows) + 1, np.int64)
    np.cumsum([len(row) for row in rows], out=begin[1:])
    return Lists(begin, np.concatenate([*rows, np.zeros(0, np.int64)]).astype(np.int64))


def closed(count: int, pairs: Iterable[tuple[int, int]]) -> Array:
    """Close the pairs: what comes before what by way of others too, bool, shape (count, count)."""
    must = np.zeros((count, count), bool)
    for first, then in pairs:
        must[first, then] = True
    for by in range(count):
        must[must[:, by]] |= must[by]
    if must.diagonal().any():
        raise Circular(f"item {int(must.diagonal().argmax())} would come before itself")
    return must


def _end(must: Array) -> int:
    """The item that all others wait for, or -1."""
    free = np.flatnonzero(~must.any(axis=0))
    alone = len(free) == 1 and must[free[0]].sum() == len(must) - 1
    return int(free[0]) if alone and len(must) > 1 else -1


def is_loose(problem: Sequencing) -> bool:
    """Whether most items may follow most others at once."""
    return len(problem.arcs.items) > problem.size**2 / 2


def arcs_at_places(problem: Sequencing) -> int:
    """How many arcs there are at how many places, added up."""
    begin, items = problem.arcs
    source = np.repeat(np.arange(problem.size), np.diff(begin))
    first = np.maximum(problem.earliest[source] + 1, problem.earliest[items])
    last = np.minimum(problem.latest[source] + 1, problem.latest[items])
    return int(np.maximum(last - first + 1, 0).sum()) + 1


def inner_pairs(problem: Sequencing) -> Array:
    """First and then of all direct pairs but those of the first or the last, shape (pairs, 2)."""
    first = np.repeat(np.arange(problem.size), np.diff(problem.after.begin))
    then = problem.after.items
    inner = (first > 0) & (then < problem.size - 1)
    return np.stack([first[inner], then[inner]], axis=1)
