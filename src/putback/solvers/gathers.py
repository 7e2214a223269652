"""Gather two stretches of an order, with what has to come before or after them: compiled.

To swap two blocks is often barred by a few items between them. Here a stretch is pulled up behind
another of its sort, and what it needs of all between comes before both; or the first is pushed
back to the second, and what needs it comes after both. So precedence never bars it.
"""

from putback.solvers.compiled import compiled_barely
from putback.solvers.swapping import Array, Run, Slate, Swapping

_MOST_BESIDE = 40
"""With more items than that beside the stretches it is not tried."""


PULL, PUSH, BEFORE, BEHIND = range(4)
"""The second is pulled up to the first, the first pushed back to the second; or the second comes
before the first, the first behind the second."""


@compiled_barely
def _bound(
    swapping: Swapping, run: Run, ends: tuple[int, int, int, int], how: int, mine: Array
) -> bool:
    """Mark a stretch and all that has to go with it; ``False`` where that is too much."""
    order, place = run.order, run.place
    a, i, p, e = ends
    beside = 0
    if how in (PULL, BEFORE):
        mine[p - a : e - a] = True
        begin, items = swapping.before.begin, swapping.before.items
        for at in range(e - 1, a - 1, -1):
            if mine[at - a]:
                beside += at < p
                if beside > _MOST_BESIDE:
                    return False
                for each in range(begin[order[at]], begin[order[at] + 1]):
                    other = place[items[each]]
                    if a <= other:
                        mine[other - a] = True
        return how == PULL or not mine[: i - a].any()
    mine[: i - a] = True
    begin, items = swapping.after.begin, swapping.after.items
    for at in range(a, e):
        if mine[at - a]:
            beside += at >= i
            if beside > _MOST_BESIDE:
                return False
            for each in range(begin[order[at]], begin[order[at] + 1]):
                other = place[items[each]]
                if other < e:
                    mine[other - a] = True
    return how == PUSH or not mine[p - a :].any()


@compiled_barely
def gathered(
    swapping: Swapping, run: Run, slate: Slate, ends: tuple[int, int, int, int], how: int
) -> int:
    """Write the order of two stretches and all between them, once gathered.

    Parameters
    ----------
    swapping, run : Swapping, Run
        What binds the items, and their order.
    slate : Slate
        In ``spare`` the new order is written, from the beginning of the first stretch on; then the
        items that passed others, from the end of the second stretch on.
    ends : tuple of int
        Where the first stretch begins and ends, and the second.
    how : int
        One of the four ways above.

    Returns
    -------
    int
        How many items passed others; 0 where it is not to be tried.
    """
    order, spare = run.order, slate.spare
    a, i, p, e = ends
    mine = slate.moves_along[: e - a]
    mine[:] = False
    if not _bound(swapping, run, ends, how, mine):
        return 0
    count = 0
    for at in range(a, e):
        if mine[at - a]:
            spare[e + count] = order[at]
            count += 1
    to = a
    if how == PULL:
        to = _write(order, mine, a, a, p, True, spare, to)
        to = _write(order, mine, a, a, i, False, spare, to)
        to = _write(order, mine, a, p, e, True, spare, to)
        _write(order, mine, a, i, p, False, spare, to)
    elif how == PUSH:
        to = _write(order, mine, a, i, p, False, spare, to)
        to = _write(order, mine, a, a, i, True, spare, to)
        to = _write(order, mine, a, p, e, False, spare, to)
        _write(order, mine, a, i, e, True, spare, to)
    else:
        to = _write(order, mine, a, a, e, how == BEFORE, spare, to)
        _write(order, mine, a, a, e, how != BEFORE, spare, to)
    return count


@compiled_barely
def _write(
    order: Array,
    mine: Array,
    a: int,
    begin: int,
    end: int,
    which: bool,
    spare: Array,
    to: int,
) -> int:
    """Write what of [begin, end) moves, or what of it does not; gives where that ends."""
    for at in range(begin, end):
        if mine[at - a] == which:
            spare[to] = order[at]
            to += 1
    return to


@compiled_barely
def cost_between(swapping: Swapping, order: Array, items: Array, a: int, e: int) -> float:
    """What the changes from before a until after e cost, with ``items`` at [a, e) of the order."""
    total = 0.0
    for layer in range(swapping.labels.shape[0]):
        label, cost = swapping.labels[layer], swapping.costs[layer]
        at = a - 1
        while label[order[at]] < 0:
            at -= 1
        here = label[order[at]]
        for at in range(a, e):
            then = label[items[at]]
            if then >= 0:
                total += cost[here, then]
                here = then
        at = e
        while label[order[at]] < 0:
            at += 1
        total += cost[here, label[order[at]]]
    return total


@compiled_barely
def is_in_period(swapping: Swapping, place: Array, items: Array, a: int, e: int) -> bool:
    """Whether all of ``items`` at [a, e) may stand in their periods; marks keep their order."""
    first = within = 0
    for mark in swapping.marks:
        first += place[mark] < a
        within += a <= place[mark] < e
    if not within:
        return True
    now, last = first, first + within
    for at in range(a, e):
        item = items[at]
        if now < last and item == swapping.marks[now]:
            now += 1
        elif not swapping.period[item, now]:
            return False
    return now == last


@compiled_barely
def late_now(swapping: Swapping, place: Array, moved: Array, seen: Array, turn: int) -> float:
    """What is late of the facts that speak of some items."""
    total = 0.0
    for item in moved:
        for each in range(swapping.touches.begin[item], swapping.touches.begin[item + 1]):
            fact = swapping.touches.items[each]
            if seen[fact] == turn:
                continue
            seen[fact] = turn
            mine = place[swapping.late[fact]]
            for by in range(swapping.late_after.begin[fact], swapping.late_after.begin[fact + 1]):
                if place[swapping.late_after.items[by]] < mine:
                    total += swapping.late_cost[fact]
                    break
    return total


@compiled_barely
def is_kept(swapping: Swapping, place: Array, shown: Array, clause: int) -> bool:
    """Whether a clause is kept; by what, is put into ``shown``, and asked first the next time."""
    middle = place[swapping.middle[clause]]
    in_front, behind = swapping.in_front, swapping.behind
    last = shown[clause]
    if last >= 0 and place[in_front.items[last]] < middle:
        return True
    if last < -1 and place[behind.items[-2 - last]] > middle:
        return True
    for each in range(in_front.begin[clause], in_front.begin[clause + 1]):
        if place[in_front.items[each]] < middle:
            shown[clause] = each
            return True
    for each in range(behind.begin[clause], behind.begin[clause + 1]):
        if place[behind.items[each]] > middle:
            shown[clause] = -2 - each
            return True
    return False


@compiled_barely
def gather(
    swapping: Swapping,
    run: Run,
    slate: Slate,
    ends: tuple[int, int, int, int],
    how: int,
    limit: float,
    turn: int,
) -> bool:
    """Gather two stretches if that costs no more than a limit; whether it was done."""
    order, place, spare = run.order, run.place, slate.spare
    a, e = ends[0], ends[3]
    count = gathered(swapping, run, slate, ends, how)
    if not count:
        return False
    if not is_in_period(swapping, place, spare, a, e):
        return False
    more = cost_between(swapping, order, spare, a, e) - cost_between(swapping, order, order, a, e)
    if more > limit + run.cost[2] + swapping.late_most:
        return False
    moved = spare[e : e + count]
    if swapping.late.shape[0]:
        more -= late_now(swapping, place, moved, slate.late_seen, 2 * turn)
    for at in range(a, e):
        place[spare[at]] = at
    if swapping.late.shape[0]:
        more += late_now(swapping, place, moved, slate.late_seen, 2 * turn + 1)
    fine, changed = 0.0, 0
    asks = swapping.asks
    for item in moved:
        for each in range(asks.begin[item], asks.begin[item + 1]):
            clause = asks.items[each]
            if slate.seen[clause] == turn:
                continue
            slate.seen[clause] = turn
            is_broken = not is_kept(swapping, place, slate.shown, clause)
            if is_broken != (run.broken[clause] == 1):
                fine += swapping.fines[clause] if is_broken else -swapping.fines[clause]
                slate.turned[changed] = clause
                changed += 1
    if more + fine > limit:
        for at in range(a, e):
            place[order[at]] = at
        return False
    for at in range(a, e):
        order[at] = spare[at]
    for each in range(changed):
        clause = slate.turned[each]
        run.broken[clause] = 1 - run.broken[clause]
    run.cost[0] += more + fine
    run.cost[2] += fine
    return True
