"""Swap neighbouring blocks of an order: the inner loop of annealing, compiled.

An order stands between two items of its own, one before and one after all others, so that every
block has neighbours. A *sort* groups items that are better done together; there are several
*sortings* (by place, by zone, by helpers ...), of which each move draws one. The difference that
a move makes is known from its seams; only what passes the test of temperature is looked at for
precedence, by walking the shorter block.
"""

from math import log
from typing import Any, NamedTuple

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled, inlined

Array = np.ndarray[Any, Any]

_JOINING = 0.8
"""The share of moves by which a run joins others of its sort; the rest is drawn freely [-]."""

_SPAN = 60
"""The longest block, about, that is drawn freely."""

BREATH = 256
"""Moves between two looks at the runs, and two steps of cooling."""


class Lists(NamedTuple):
    """Lists of whole numbers laid end to end: list i is ``items[begin[i]:begin[i + 1]]``."""

    begin: Array
    items: Array


class Swapping(NamedTuple):
    """What binds n items and what changes cost; the items n and n + 1 stand before and after all.

    Whole numbers are int64, costs float64.
    """

    labels: Array
    """By layer and item: the label, below 0 where the layer does not see the item."""
    costs: Array
    """By layer, label and next label."""
    after: Lists
    """Of each item those that must come later."""
    before: Lists
    """Of each item those that must come earlier."""
    middle: Array
    """Of each clause the item that it speaks of."""
    in_front: Lists
    """Of each clause the items of which one may stand before that."""
    behind: Lists
    """Of each clause those of which one may stand behind it, if none of the others before."""
    asks: Lists
    """Of each item the clauses that name it."""
    late: Array
    """Of each fact the item that gets dearer."""
    late_after: Lists
    """Of each fact the items of which any makes it so."""
    late_cost: Array
    late_most: float
    """A move that costs so much more by its changes alone is not looked at for what is late."""
    touches: Lists
    """Of each item the facts that speak of it."""
    marks: Array
    """Items, in their order, that part the whole into periods."""
    period: Array
    """By item and period: 1 where the item may stand in it."""
    sorts: Array
    """By sorting and item: its sort; those of the first and last item are nobody else's."""
    members: Array
    """By sorting: all items, those of a sort side by side."""
    members_from: Array
    """By sorting and sort: where in ``members`` its items begin."""
    shares: Array
    """Of each sorting, how many of all moves draw it [-]; they add up to 1."""


class Run(NamedTuple):
    """How far a search is; changed in place."""

    order: Array
    place: Array
    """Of each item where it stands."""
    best: Array
    """The cheapest order met."""
    cost: Array
    """Against the order begun with: now, and of the best."""
    heat: Array
    """One number: the temperature."""
    chance: Array
    """One number: where the sequence of chance has got to."""


@inlined
def _block(
    order: Array,
    place: Array,
    sorts: Array,
    begin: Array,
    members: Array,
    x: int,
    chance: Array,
) -> tuple[int, int, int]:
    """Draw two neighbouring blocks: mostly such that x or its run joins others of its sort."""
    sort, p = sorts[x], place[x]
    others = begin[sort + 1] - begin[sort]
    if others > 1 and draw(chance) < _JOINING:
        q = place[members[begin[sort] + int(draw(chance) * others)]]
        how = draw(chance)
        if q < p:
            i, j, k = q + 1, p, p + 1
            if how < 0.75:
                while sorts[order[k]] == sort:
                    k += 1
            if how > 0.5:
                while j > i and sorts[order[j - 1]] == sort:
                    j -= 1
            return i, j, k
        i, j, k = p, p + 1, q + 1
        if how < 0.75:
            while j < k and sorts[order[j]] == sort:
                j += 1
        if how > 0.5:
            while sorts[order[i - 1]] == sort:
                i -= 1
        return i, j, k
    span = 1 + int(draw(chance) * draw(chance) * _SPAN)
    j = p + 1 + int(draw(chance) * span)
    k = j + 1 + int(draw(chance) * span)
    last = len(order) - 1
    while j < last and sorts[order[j]] == sorts[order[j - 1]]:
        j += 1
    while k < last and sorts[order[k]] == sorts[order[k - 1]]:
        k += 1
    return p, j, k


@inlined
def _more(labels: Array, costs: Array, order: Array, i: int, j: int, k: int) -> float:
    """What more the changes cost after [i, j) and [j, k) have changed places."""
    more = 0.0
    for layer in range(labels.shape[0]):
        label, cost = labels[layer], costs[layer]
        at = i
        while label[order[at]] < 0:
            at += 1
        if at >= j:
            continue
        first_a = label[order[at]]
        at = j
        while label[order[at]] < 0:
            at += 1
        if at >= k:
            continue
        first_b = label[order[at]]
        at = i - 1
        while label[order[at]] < 0:
            at -= 1
        here = label[order[at]]
        at = j - 1
        while label[order[at]] < 0:
            at -= 1
        last_a = label[order[at]]
        at = k - 1
        while label[order[at]] < 0:
            at -= 1
        last_b = label[order[at]]
        at = k
        while label[order[at]] < 0:
            at += 1
        then = label[order[at]]
        more += cost[here, first_b] + cost[last_b, first_a] + cost[last_a, then]
        more -= cost[here, first_a] + cost[last_a, first_b] + cost[last_b, then]
    return more


@inlined
def _moved(place: int, i: int, j: int, k: int) -> int:
    """Where what stands at a place stands after [i, j) and [j, k) have changed places."""
    if i <= place < j:
        return place + k - j
    if j <= place < k:
        return place - j + i
    return place


@inlined
def _later(swapping: Swapping, order: Array, place: Array, i: int, j: int, k: int) -> float:
    """What more is late after [i, j) and [j, k) have changed places."""
    begin, end = (i, j) if j - i <= k - j else (j, k)
    more = 0.0
    for at in range(begin, end):
        item = order[at]
        for each in range(swapping.touches.begin[item], swapping.touches.begin[item + 1]):
            fact = swapping.touches.items[each]
            mine = place[swapping.late[fact]]
            counted = begin <= mine < at  # a fact counts with the first that it speaks of
            first = now_first = len(order)
            for by in range(swapping.late_after.begin[fact], swapping.late_after.begin[fact + 1]):
                stands = place[swapping.late_after.items[by]]
                counted = counted or begin <= stands < at
                first = min(first, stands)
                now_first = min(now_first, _moved(stands, i, j, k))
            if not counted:
                was_late = first < mine
                is_late = now_first < _moved(mine, i, j, k)
                more += swapping.late_cost[fact] * (int(is_late) - int(was_late))
    return more


@inlined
def _kept(swapping: Swapping, place: Array, clause: int, i: int, j: int, k: int) -> bool:
    """Whether a clause is kept after [i, j) and [j, k) have changed places."""
    middle = _moved(place[swapping.middle[clause]], i, j, k)
    in_front, behind = swapping.in_front, swapping.behind
    for each in range(in_front.begin[clause], in_front.begin[clause + 1]):
        if _moved(place[in_front.items[each]], i, j, k) < middle:
            return True
    for each in range(behind.begin[clause], behind.begin[clause + 1]):
        if _moved(place[behind.items[each]], i, j, k) > middle:
            return True
    return False


@inlined
def _allowed(swapping: Swapping, order: Array, place: Array, i: int, j: int, k: int) -> bool:
    """Whether precedence lets the blocks [i, j) and [j, k) change places."""
    if j - i <= k - j:
        after, begin, end = swapping.after, i, j
        for at in range(i, j):
            item = order[at]
            for each in range(after.begin[item], after.begin[item + 1]):
                if j <= place[after.items[each]] < k:
                    return False
    else:
        before, begin, end = swapping.before, j, k
        for at in range(j, k):
            item = order[at]
            for each in range(before.begin[item], before.begin[item + 1]):
                if i <= place[before.items[each]] < j:
                    return False
    if not _in_period(swapping.marks, swapping.period, order, place, i, j, k):
        return False
    asks = swapping.asks
    for at in range(begin, end):
        item = order[at]
        for each in range(asks.begin[item], asks.begin[item + 1]):
            clause = asks.items[each]
            passed = i <= place[swapping.middle[clause]] < k
            if passed and not _kept(swapping, place, clause, i, j, k):
                return False
    return True


@inlined
def _in_period(
    marks: Array, period: Array, order: Array, place: Array, i: int, j: int, k: int
) -> bool:
    """Whether all that passes a mark may stand on its other side."""
    before_i = before_k = in_a = in_b = 0
    for mark in marks:
        at = place[mark]
        before_i += at < i
        before_k += at < k
        in_a += i <= at < j
        in_b += j <= at < k
    if in_a and in_b:
        return False
    if in_a:
        for at in range(j, k):
            if not period[order[at], before_i]:
                return False
    if in_b:
        for at in range(i, j):
            if not period[order[at], before_k]:
                return False
    return True


@inlined
def _swap(order: Array, place: Array, spare: Array, i: int, j: int, k: int) -> None:
    """Let the blocks [i, j) and [j, k) change places; loops compile faster than slices."""
    if j - i <= k - j:
        for at in range(i, j):
            spare[at] = order[at]
        for at in range(j, k):
            order[at - j + i] = order[at]
        for at in range(i, j):
            order[at + k - j] = spare[at]
    else:
        for at in range(j, k):
            spare[at] = order[at]
        for at in range(j - 1, i - 1, -1):
            order[at + k - j] = order[at]
        for at in range(j, k):
            order[at - j + i] = spare[at]
    for at in range(i, k):
        place[order[at]] = at


@compiled
def swap_blocks(swapping: Swapping, run: Run, moves: int, cooling: float) -> None:
    """Try so many moves; the temperature is multiplied by ``cooling`` after every 256."""
    order, place = run.order, run.place
    last = len(order) - 1
    sortings = swapping.sorts.shape[0]
    heads = np.empty((sortings, last + 1), np.int64)
    runs = np.zeros(sortings, np.int64)
    spare = np.empty(last + 1, np.int64)
    for turn in range(moves):
        if turn % BREATH == 0:
            run.heat[0] *= cooling
            # the first items of runs, so that short runs are drawn as often as long ones
            for sorting in range(sortings):
                sorts = swapping.sorts[sorting]
                count = 0
                for at in range(1, last):
                    if sorts[order[at]] != sorts[order[at - 1]]:
                        heads[sorting, count] = order[at]
                        count += 1
                runs[sorting] = count
        drawn, sorting = draw(run.chance), 0
        while sorting < sortings - 1 and drawn >= swapping.shares[sorting]:
            drawn -= swapping.shares[sorting]
            sorting += 1
        x = heads[sorting, int(draw(run.chance) * runs[sorting])]
        i, j, k = _block(
            order,
            place,
            swapping.sorts[sorting],
            swapping.members_from[sorting],
            swapping.members[sorting],
            x,
            run.chance,
        )
        if not 0 < i < j < k <= last:
            continue
        limit = -run.heat[0] * log(1 - draw(run.chance))
        more = _more(swapping.labels, swapping.costs, order, i, j, k)
        if swapping.late.shape[0] and more <= limit + swapping.late_most:
            more += _later(swapping, order, place, i, j, k)
        if more > limit or not _allowed(swapping, order, place, i, j, k):
            continue
        _swap(order, place, spare, i, j, k)
        run.cost[0] += more
        if run.cost[0] < run.cost[1] - 1e-9:
            run.cost[1] = run.cost[0]
            for at in range(last + 1):
                run.best[at] = order[at]
