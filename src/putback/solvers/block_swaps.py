"""Swap neighbouring blocks of an order: the inner loop of annealing, compiled.

Each move draws one of the sortings. The difference that it makes is known from its seams; only
what passes the test of temperature is looked at for precedence, by walking the shorter block. A
few moves gather two stretches with what has to come before or after (`gathers.py`).
"""

from math import log

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled_barely, inlined
from putback.solvers.gathers import BEFORE, BEHIND, PULL, PUSH, gather
from putback.solvers.swapping import Array, Run, Slate, Swapping, clean_slate

_JOINING = 0.8
"""The share of moves by which a run joins others of its sort; the rest is drawn freely [-]."""

_GATHERING = 0.05
"""The share of moves that gather two stretches; they are dear [-]."""

_MENDING = 0.5
"""Of these, the share by which a clause that is broken may be kept, as long as one is [-]."""

_MOST_FAR = 500
"""Stretches are gathered that lie no farther apart."""

_SPAN = 60
"""The longest block, about, that is drawn freely."""

BREATH = 256
"""Moves between two looks at the runs, and two steps of cooling."""


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
def _kept(
    swapping: Swapping, place: Array, shown: Array, clause: int, i: int, j: int, k: int
) -> bool:
    """Whether a clause is kept after [i, j) and [j, k) have changed places.

    What ``shown`` keeps it by is asked first: lists are long, and it mostly keeps it still.
    """
    middle = _moved(place[swapping.middle[clause]], i, j, k)
    in_front, behind = swapping.in_front, swapping.behind
    last = shown[clause]
    if last >= 0 and _moved(place[in_front.items[last]], i, j, k) < middle:
        return True
    if last < -1 and _moved(place[behind.items[-2 - last]], i, j, k) > middle:
        return True
    for each in range(in_front.begin[clause], in_front.begin[clause + 1]):
        if _moved(place[in_front.items[each]], i, j, k) < middle:
            shown[clause] = each
            return True
    for each in range(behind.begin[clause], behind.begin[clause + 1]):
        if _moved(place[behind.items[each]], i, j, k) > middle:
            shown[clause] = -2 - each
            return True
    return False


@inlined
def _allowed(swapping: Swapping, order: Array, place: Array, i: int, j: int, k: int) -> bool:
    """Whether precedence lets the blocks [i, j) and [j, k) change places."""
    if j - i <= k - j:
        after = swapping.after
        for at in range(j - 1, i - 1, -1):  # what is next to the seam bars most
            item = order[at]
            for each in range(after.begin[item], after.begin[item + 1]):
                if j <= place[after.items[each]] < k:
                    return False
    else:
        before = swapping.before
        for at in range(j, k):
            item = order[at]
            for each in range(before.begin[item], before.begin[item + 1]):
                if i <= place[before.items[each]] < j:
                    return False
    return _in_period(swapping.marks, swapping.period, order, place, i, j, k)


@inlined
def _fined(
    swapping: Swapping, run: Run, slate: Slate, turn: int, i: int, j: int, k: int
) -> tuple[float, int]:
    """What more is to pay for clauses after [i, j) and [j, k) have changed places.

    Gives that, infinite if it may not be, and how many clauses are then otherwise: those turned.
    """
    order, place, asks = run.order, run.place, swapping.asks
    seen, turned = slate.seen, slate.turned
    begin, end = (i, j) if j - i <= k - j else (j, k)
    more, count = 0.0, 0
    for at in range(begin, end):
        item = order[at]
        for each in range(asks.begin[item], asks.begin[item + 1]):
            clause = asks.items[each]
            if seen[clause] == turn or not i <= place[swapping.middle[clause]] < k:
                continue
            seen[clause] = turn
            is_broken = not _kept(swapping, place, slate.shown, clause, i, j, k)
            if is_broken == (run.broken[clause] == 1):
                continue
            if is_broken and swapping.fines[clause] == np.inf:
                return np.inf, 0
            more += swapping.fines[clause] if is_broken else -swapping.fines[clause]
            turned[count] = clause
            count += 1
    return more, count


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


@inlined
def _has_others(swapping: Swapping, sorting: int, x: int) -> bool:
    """Whether anything else is of the sort of x."""
    sort, begin = swapping.sorts[sorting, x], swapping.members_from[sorting]
    return bool(begin[sort + 1] - begin[sort] > 1)


@compiled_barely
def _joining(
    swapping: Swapping, run: Run, sorting: int, x: int
) -> tuple[tuple[int, int, int, int], int]:
    """Draw another stretch of the sort of x, and which of the two goes to the other."""
    sorts, begin = swapping.sorts[sorting], swapping.members_from[sorting]
    others = begin[sorts[x] + 1] - begin[sorts[x]]
    y = swapping.members[sorting][begin[sorts[x]] + int(draw(run.chance) * others)]
    how = PULL if draw(run.chance) < 0.5 else PUSH
    return _stretches(run.order, sorts, run.place[x], run.place[y]), how


@compiled_barely
def _mending(swapping: Swapping, run: Run, clause: int) -> tuple[tuple[int, int, int, int], int]:
    """Draw what would come before, or behind, the item of a clause that is broken."""
    if run.broken[clause] == 0:
        return (0, 1, 0, 0), BEFORE
    middle = run.place[swapping.middle[clause]]
    front, behind = swapping.in_front, swapping.behind
    some = front.begin[clause + 1] - front.begin[clause]
    number = int(draw(run.chance) * (some + behind.begin[clause + 1] - behind.begin[clause]))
    if number < some:
        at = run.place[front.items[front.begin[clause] + number]]
        return (middle, middle + 1, at, at + 1), BEFORE
    at = run.place[behind.items[behind.begin[clause] + number - some]]
    return (at, at + 1, middle, middle + 1), BEHIND


@compiled_barely
def _stretches(order: Array, sorts: Array, one: int, other: int) -> tuple[int, int, int, int]:
    """Where the stretches of a sort at two places begin and end, the first first."""
    a, p = min(one, other), max(one, other)
    sort = sorts[order[a]]
    i = a + 1
    while sorts[order[i]] == sort:
        i += 1
    while sorts[order[a - 1]] == sort:
        a -= 1
    e = p + 1
    while sorts[order[e]] == sort:
        e += 1
    while sorts[order[p - 1]] == sort:
        p -= 1
    return a, i, p, e


@inlined
def _note_best(run: Run) -> None:
    """Keep the order if it is the cheapest met."""
    if run.cost[0] < run.cost[1] - 1e-9:
        run.cost[1] = run.cost[0]
        for at in range(len(run.order)):
            run.best[at] = run.order[at]


def swap_blocks(swapping: Swapping, run: Run, moves: int, cooling: float) -> None:
    """Try so many moves; the temperature is multiplied by ``cooling`` after every 256."""
    _try_moves(swapping, run, clean_slate(swapping), moves, cooling)


@compiled_barely
def _try_moves(swapping: Swapping, run: Run, slate: Slate, moves: int, cooling: float) -> None:
    order, place = run.order, run.place
    heads, runs, listed = slate.heads, slate.runs, slate.listed
    last = len(order) - 1
    sortings = swapping.sorts.shape[0]
    broken, is_turned = 0, True
    for turn in range(moves):
        if turn % BREATH == 0:
            run.heat[0] *= cooling
            # the first items of runs, so that short runs are drawn as often as long ones
            for sorting in range(sortings):
                sorts = swapping.sorts[sorting]
                count, before = 0, sorts[order[0]]
                for at in range(1, last):  # written whether or not it is one: no branch to guess
                    item = order[at]
                    sort = sorts[item]
                    heads[sorting, count] = item
                    count += int(sort != before)
                    before = sort
                runs[sorting] = count
            if is_turned:
                is_turned, broken = False, 0
                for clause in range(len(run.broken)):
                    listed[broken] = clause
                    broken += run.broken[clause]
        drawn, sorting = draw(run.chance), 0
        while sorting < sortings - 1 and drawn >= swapping.shares[sorting]:
            drawn -= swapping.shares[sorting]
            sorting += 1
        x = heads[sorting, int(draw(run.chance) * runs[sorting])]
        if (broken or _has_others(swapping, sorting, x)) and draw(run.chance) < _GATHERING:
            limit = -run.heat[0] * log(1 - draw(run.chance))
            if run.cost[2] and broken and draw(run.chance) < _MENDING:
                ends, how = _mending(swapping, run, listed[int(draw(run.chance) * broken)])
            else:
                ends, how = _joining(swapping, run, sorting, x)
            if (
                ends[1] <= ends[2]
                and ends[3] - ends[0] < _MOST_FAR
                and gather(swapping, run, slate, ends, how, limit, turn)
            ):
                is_turned = True
                _note_best(run)
            continue
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
        most = limit + run.cost[2]  # what is broken now could be mended by the move
        if swapping.late.shape[0] and more <= most + swapping.late_most:
            more += _later(swapping, order, place, i, j, k)
        if more > most or not _allowed(swapping, order, place, i, j, k):
            continue
        fine, count = _fined(swapping, run, slate, turn, i, j, k)
        if more + fine > limit:
            continue
        _swap(order, place, slate.spare, i, j, k)
        for each in range(count):
            is_turned = True
            clause = slate.turned[each]
            run.broken[clause] = 1 - run.broken[clause]
        run.cost[0] += more + fine
        run.cost[2] += fine
        _note_best(run)
