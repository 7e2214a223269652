"""Improve an order by annealing, over moves that swap two neighbouring blocks or gather two.

The number of moves is fixed, not the time, and chance is drawn from a fixed seed, so that the same
problem gives the same order everywhere. Importing this loads numpy and Numba.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import chain
from typing import Any

import numpy as np

from putback.planning.ordering.order import NONE, Layer, Ordering, Sorting
from putback.solvers.block_swaps import BREATH, swap_blocks
from putback.solvers.chance import chance_from
from putback.solvers.swapping import Lists, Run, Swapping

_SPELL = BREATH * 512
"""The moves after which somebody is told how far it is."""


def improve_order(
    ordering: Ordering,
    order: Sequence[int],
    sortings: Sequence[Sorting],
    moves: int,
    heat: tuple[float, float],
    seed: int = 1,
    tell: Callable[[int], None] = lambda _: None,
) -> list[int]:
    """Improve an order that works.

    Parameters
    ----------
    ordering : Ordering
        The problem.
    order : sequence of int
        All items, in an order that works, clauses with a fine left aside.
    sortings : sequence of Sorting
        What moves bring together; their shares add up to 1.
    moves : int
        How many moves are tried.
    heat : tuple of float and float
        Temperature at the beginning and at the end [minutes].
    seed : int
        Where chance begins.
    tell : callable
        Told now and then how many moves were tried; may raise to stop.
    """
    if not order:
        return []
    swapping = _laid_out(ordering, sortings)
    run = _begun(ordering, order, heat[0], seed)
    cooling = (heat[1] / heat[0]) ** (BREATH / max(moves, BREATH))
    for tried in range(0, moves, _SPELL):
        tell(tried)
        swap_blocks(swapping, run, min(_SPELL, moves - tried), cooling)
    return [int(item) for item in run.best[1:-1]]


# -- as arrays ------------------------------------------------------------------------------------


def _begun(ordering: Ordering, order: Sequence[int], heat: float, seed: int) -> Run:
    count = ordering.count
    whole = np.array([count, *order, count + 1], np.int64)
    place = np.empty(count + 2, np.int64)
    place[whole] = np.arange(count + 2)
    places = {item: at for at, item in enumerate(order)}
    broken = [not each.is_kept(places) for each in ordering.any_of]
    owed = sum(each.fine for each, is_so in zip(ordering.any_of, broken, strict=True) if is_so)
    return Run(
        whole,
        place,
        whole.copy(),
        np.array(broken, np.int8),
        np.array([owed, owed, owed], float),
        np.array([heat]),
        chance_from(seed),
    )


def _laid_out(ordering: Ordering, sortings: Sequence[Sorting]) -> Swapping:
    count = ordering.count + 2
    pairs = tuple(dict.fromkeys(ordering.pairs))
    clauses = tuple(enumerate(ordering.any_of))
    facts = tuple(enumerate(ordering.late))
    labels, costs = _layers(ordering.layers, count)
    late_cost = np.array([fact.minutes for fact in ordering.late], float)
    dearest = np.sort(np.abs(late_cost))[-2:]
    marks = np.array(ordering.marks, np.int64)
    period = np.ones((count, len(marks) + 1), np.int8)
    for at in range(len(marks) + 1):
        period[: len(ordering.periods), at] = [bits >> at & 1 for bits in ordering.periods]
    sorts = np.array([_numbered(each.sorts) for each in sortings], np.int64)
    return Swapping(
        labels=labels,
        costs=costs,
        after=_lists(count, pairs),
        before=_lists(count, ((then, first) for first, then in pairs)),
        middle=np.array([each.item for each in ordering.any_of], np.int64),
        in_front=_lists(len(clauses), ((at, by) for at, each in clauses for by in each.before)),
        behind=_lists(len(clauses), ((at, by) for at, each in clauses for by in each.behind)),
        asks=_lists(
            count,
            ((by, at) for at, each in clauses for by in {each.item, *each.before, *each.behind}),
        ),
        fines=np.array([each.fine for each in ordering.any_of], float),
        late=np.array([fact.item for fact in ordering.late], np.int64),
        late_after=_lists(len(facts), ((at, by) for at, fact in facts for by in fact.after)),
        late_cost=late_cost,
        late_most=float(dearest.sum()),
        touches=_lists(count, ((by, at) for at, fact in facts for by in {fact.item, *fact.after})),
        marks=marks,
        period=period,
        sorts=sorts,
        members=np.argsort(sorts, axis=1, kind="stable"),
        members_from=np.array(
            [np.searchsorted(np.sort(each), np.arange(count + 1)) for each in sorts], np.int64
        ),
        shares=np.array([each.share for each in sortings]),
    )


def _layers(layers: Sequence[Layer], count: int) -> tuple[np.ndarray[Any, Any], ...]:
    """Labels and tables, with what is before and after all as two labels more of each layer."""
    size = max((len(layer.table) for layer in layers), default=0)
    labels = np.full((len(layers), count), NONE, np.int64)
    costs = np.zeros((len(layers), size + 2, size + 2))
    for number, layer in enumerate(layers):
        labels[number, :-2] = layer.labels
        labels[number, -2:] = size, size + 1
        own = len(layer.table)
        costs[number, :own, :own] = layer.table
        if layer.start != NONE:
            costs[number, size, :own] = layer.table[layer.start]
    return labels, costs


def _numbered(sorts: Sequence[int]) -> list[int]:
    """Sorts from 0 on, with what is before and after all as two sorts more."""
    number = {sort: at for at, sort in enumerate(dict.fromkeys(sorts))}
    return [*(number[sort] for sort in sorts), len(number), len(number) + 1]


def _lists(count: int, entries: Iterable[tuple[int, int]]) -> Lists:
    """Lay lists end to end: of each entry the number of its list and what is in it."""
    flat = np.fromiter(chain.from_iterable(entries), np.int64)
    at, what = flat[::2], flat[1::2]
    begin = np.zeros(count + 1, np.int64)
    np.cumsum(np.bincount(at, minlength=count), out=begin[1:])
    return Lists(begin, what[np.argsort(at, kind="stable")])
