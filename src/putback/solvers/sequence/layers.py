"""Build orders place by place, all good beginnings side by side: the inner loop, compiled.

A beginning is known by what is in it and by its last item; of two that agree in both only the
cheaper goes on (dynamic programming over ideals: M. Held and R. Karp, J. SIAM 10, 1962). What it
costs so far and the cheapest walk on (`walks`) bound what can become of it: no further if that is
not below the best order known. Where more are left than there is room for, the least promising go
(beam search; for this problem L. Libralesso et al., arXiv 1911.12427): then what is found may not
be the least, but no order costs less than the least bound among those that went.
"""

from typing import NamedTuple

import numpy as np

from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.problem import Array, Sequencing
from putback.solvers.sequence.walks import Walks

_WORD = 63
"""Bits used of a whole number."""


class Layer(NamedTuple):
    """Beginnings of one length, each a row; ``size[0]`` says how many rows count."""

    inside: Array
    """The items in it, as bits, shape (rows, words)."""
    last: Array
    """Its last item, int32."""
    cost: Array
    """What it costs so far."""
    open: Array
    """The prizes of what is not in it, added up."""
    bound: Array
    """What no order that begins so goes below."""
    mark: Array
    """A number drawn from what is in it and its last item, to find it again."""
    parent: Array
    """The row of the layer before from which it came, int32."""
    size: Array


class Index(NamedTuple):
    """Finds rows by their mark; open addressing."""

    row: Array
    """-1 where nothing is; the length is a power of two."""


def no_layer(rows: int, count: int) -> Layer:
    """Room for so many beginnings of a problem of so many items."""
    words = (count + _WORD - 1) // _WORD
    return Layer(
        np.zeros((rows, words), np.int64),
        np.zeros(rows, np.int32),
        np.zeros(rows, np.int64),
        np.zeros(rows),
        np.zeros(rows),
        np.zeros(rows, np.int64),
        np.zeros(rows, np.int32),
        np.zeros(1, np.int64),
    )


def as_bits(rows: Array) -> Array:
    """Sets of items, bool, shape (rows, n), as bits, shape (rows, words)."""
    count = rows.shape[1]
    bits = np.zeros((len(rows), (count + _WORD - 1) // _WORD), np.int64)
    for item in range(count):
        bits[:, item // _WORD] |= rows[:, item].astype(np.int64) << (item % _WORD)
    return bits


@inlined
def _spread(mark: int) -> int:
    """Mix the bits of a mark for the place where it is looked for first."""
    mark ^= mark >> 29
    mark *= 0x3F58476D1CE4E5B9
    return mark ^ (mark >> 32)


@compiled
def reindex(layer: Layer, index: Index) -> None:
    """Find all rows of a layer anew."""
    index.row[:] = -1
    mask = len(index.row) - 1
    for row in range(layer.size[0]):
        at = _spread(layer.mark[row] + layer.last[row]) & mask
        while index.row[at] >= 0:
            at = (at + 1) & mask
        index.row[at] = row


@compiled
def keep_rows(layer: Layer, rows: Array) -> None:
    """Keep some rows, named in rising order, and close the gaps."""
    for at in range(len(rows)):
        row = rows[at]
        layer.inside[at] = layer.inside[row]
        layer.last[at] = layer.last[row]
        layer.cost[at] = layer.cost[row]
        layer.open[at] = layer.open[row]
        layer.bound[at] = layer.bound[row]
        layer.mark[at] = layer.mark[row]
        layer.parent[at] = layer.parent[row]
    layer.size[0] = len(rows)


@compiled
def extend(
    problem: Sequencing,
    needs: Array,
    keys: Array,
    walks: Walks,
    prize: Array,
    below: float,
    place: int,
    here: Layer,
    begin: int,
    ahead: Layer,
    index: Index,
    most: int,
) -> int:
    """Extend rows of a layer by one item each way, until all are or the next layer is full.

    Parameters
    ----------
    problem
        What is asked.
    needs
        Of each item, as bits, what comes before it, shape (n, words).
    keys
        Of each item a number drawn, for marks.
    walks, prize
        The cheapest walks on, over at least these arcs, and the prizes they were found with.
    below
        Orders of this cost and more are not wanted.
    place
        At which the new items stand.
    here, begin
        What is extended, and from which row on.
    ahead, index
        Where what comes of it goes, and finds it.
    most
        Extend so many rows and no more.

    Returns
    -------
    int
        The first row that is not yet extended.
    """
    costs, arcs = problem.costs, problem.arcs
    words = needs.shape[1]
    mask = len(index.row) - 1
    full = len(ahead.last)
    end = min(begin + most, here.size[0])
    for row in range(begin, end):
        i = here.last[row]
        if ahead.size[0] + arcs.begin[i + 1] - arcs.begin[i] > full:
            return row
        if here.bound[row] >= below:
            continue
        for each in range(arcs.begin[i], arcs.begin[i + 1]):
            j = arcs.items[each]
            if place < problem.earliest[j] or place > problem.latest[j]:
                continue
            word, bit = j // _WORD, j % _WORD
            if here.inside[row, word] >> bit & 1:
                continue
            ready = True
            for at in range(words):
                if needs[j, at] & ~here.inside[row, at]:
                    ready = False
                    break
            if not ready:
                continue
            then = walks.then[place, j]
            if then >= 0 and here.inside[row, then // _WORD] >> (then % _WORD) & 1:
                on = walks.second[place, j]
            else:
                on = walks.near[place, j]
            cost = here.cost[row] + costs[i, j]
            left = here.open[row] - prize[j]
            bound = max(cost + left + on, here.bound[row])
            if bound >= below:
                continue
            mark = here.mark[row] ^ keys[j]
            spot = _spread(mark + j) & mask
            while True:
                known = index.row[spot]
                if known < 0:
                    known = ahead.size[0]
                    ahead.size[0] += 1
                    index.row[spot] = known
                    ahead.inside[known] = here.inside[row]
                    ahead.inside[known, word] |= 1 << bit
                    ahead.last[known] = j
                    ahead.cost[known] = cost
                    ahead.open[known] = left
                    ahead.bound[known] = bound
                    ahead.mark[known] = mark
                    ahead.parent[known] = row
                    break
                if ahead.mark[known] == mark and ahead.last[known] == j:
                    same = True
                    for at in range(words):
                        mine = here.inside[row, at]
                        if at == word:
                            mine |= 1 << bit
                        if ahead.inside[known, at] != mine:
                            same = False
                            break
                    if same:
                        if cost < ahead.cost[known]:
                            ahead.cost[known] = cost
                            ahead.bound[known] = bound
                            ahead.parent[known] = row
                        break
                spot = (spot + 1) & mask
    return int(end)
