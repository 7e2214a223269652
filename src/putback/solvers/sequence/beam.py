"""Search beginnings place by place, within room for so many: exact where the room suffices."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from putback.solvers.sequence.layers import (
    Index,
    Layer,
    as_bits,
    extend,
    keep_rows,
    no_layer,
    reindex,
)
from putback.solvers.sequence.problem import Array, Sequencing
from putback.solvers.sequence.walks import Walks

_AT_ONCE = 2000
"""Rows extended between two looks whether to go on."""


@dataclass(frozen=True, slots=True)
class Found:
    """What came of a search."""

    order: Array | None
    """An order below the cost asked for; none where none was found."""
    bound: float
    """What no order over these arcs costs less than, if it costs less than was asked for."""
    exact: bool
    """Whether nothing was left out."""
    extended: int
    """How many beginnings were extended, a measure of work done."""


def search_places(
    problem: Sequencing,
    walks: Walks,
    prize: Array,
    below: float,
    room: int,
    tell: Callable[[], None] = lambda: None,
) -> Found:
    """Look for the cheapest order.

    Parameters
    ----------
    problem : Sequencing
        What is asked; only its arcs are used, which may be some of all.
    walks, prize
        The cheapest walks on over at least these arcs, and the prizes they were found with.
    below : float
        Only orders that cost less are looked for.
    room : int
        How many beginnings of one length are kept at most.
    tell : callable
        Called now and then; may raise to stop.
    """
    count = problem.size
    needs = as_bits(problem.must.T)
    keys = np.random.default_rng(1).integers(0, 2**62, count)
    here, ahead = no_layer(4 * room + count, count), no_layer(4 * room + count, count)
    index = Index(np.empty(1 << (6 * room + count).bit_length(), np.int32))
    _begin(here, keys, prize, walks)
    ways: list[tuple[Array, Array]] = []
    lost = float("inf")
    extended = 0
    for place in range(1, count):
        ahead.size[0] = 0
        index.row[:] = -1
        row = 0
        while row < here.size[0]:
            tell()
            begun = row
            row = extend(
                problem, needs, keys, walks, prize, below, place, here, row, ahead, index, _AT_ONCE
            )
            extended += row - begun
            if row < here.size[0] and ahead.size[0] > 3 * room:
                lost = min(lost, _thin(ahead, room))
                reindex(ahead, index)
        if ahead.size[0] > room:
            lost = min(lost, _thin(ahead, room))
        size = int(ahead.size[0])
        if not size:
            return Found(None, lost, lost == float("inf"), extended)
        ways.append((ahead.parent[:size].copy(), ahead.last[:size].astype(np.int32)))
        here, ahead = ahead, here
    order = np.zeros(count, np.int64)
    row = int(here.cost[: here.size[0]].argmin())
    cost = float(here.cost[row])
    for place in range(count - 1, 0, -1):
        parent, last = ways[place - 1]
        order[place] = last[row]
        row = int(parent[row])
    return Found(order, min(cost, lost), lost >= cost, extended)


def _begin(layer: Layer, keys: Array, prize: Array, walks: Walks) -> None:
    """The one beginning of length one."""
    layer.inside[0] = 0
    layer.inside[0, 0] = 1
    layer.last[0] = layer.cost[0] = layer.parent[0] = 0
    layer.open[0] = prize[1:].sum()
    layer.bound[0] = layer.open[0] + walks.near[0, 0]
    layer.mark[0] = keys[0]
    layer.size[0] = 1


def _thin(layer: Layer, room: int) -> float:
    """Keep the most promising; give the least bound of the others."""
    bounds = layer.bound[: layer.size[0]]
    by = np.argpartition(bounds, room)
    lost = float(bounds[by[room:]].min())
    keep_rows(layer, np.sort(by[:room]))
    return lost
