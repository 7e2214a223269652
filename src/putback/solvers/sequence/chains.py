"""Chains of exchanges, each open at one seam until the next closes it: compiled.

Where no single exchange makes an order cheaper, several together may. An exchange brings in two
good arcs and a third that only closes it; that third goes again by the next exchange, and so on,
as long as all that went, but for the last closing arc, cost more than all good ones that came:
S. Lin and B. Kernighan, Operations Research 21, 1973; without turning round: P. Kanellakis and
C. Papadimitriou, Operations Research 28, 1980. Of all exchanges that precedence allows that goes
on which leaves most, and what a chain brought in does not go again. It ends with the first
closing arc that makes the whole cheaper; else all is taken back, and begun with the next best.
"""

import numpy as np

from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.problem import Array, Sequencing
from putback.solvers.sequence.swaps import (
    TURN,
    Promising,
    allowed,
    blocks_at,
    change,
    may_turn,
)

DEPTH = 6
"""How many exchanges are in a chain, at most."""

_WAYS = 3
"""With how many exchanges a chain is begun at most, one after another, on each side of an item."""

_ANY = 1 << 40
"""More than anything saves."""

OPEN, FIRST, MIDDLE, END, SEAM, TO, FROM, THEN = range(8)
"""What the numbers of an exchange are: what is saved but for its closing arc; its blocks, as in
`swaps.change`; the item whose arc closes it; the other item of the good arc at the seam before;
and the two of the other good arc, -1 where there is none.
"""


@inlined
def _is_new(links: Array, count: int, a: int, b: int) -> bool:
    """Whether an arc, this way round or that, was brought in by the chain."""
    new = False
    for each in range(count):
        one, other = links[each, 0], links[each, 1]
        new |= (one == a and other == b) or (one == b and other == a)
    return new


@inlined
def _note(
    found: Array, saved: int, i: int, j: int, k: int, seam: int, b: int, z: int, x: int
) -> None:
    """Remember an exchange."""
    found[OPEN], found[FIRST], found[MIDDLE], found[END] = saved, i, j, k
    found[SEAM], found[TO], found[FROM], found[THEN] = seam, b, z, x


@inlined
def no_links() -> tuple[Array, Array]:
    """Room for the arcs of a chain, and for an exchange."""
    return np.empty((2 * DEPTH + 1, 2), np.int64), np.empty(8, np.int64)


@compiled
def next_after(
    problem: Sequencing,
    promising: Promising,
    order: Array,
    place: Array,
    a: int,
    saved: int,
    below: int,
    links: Array,
    count: int,
    turns: bool,
    found: Array,
) -> None:
    """Find the exchange that takes what follows an item away, and leaves most but for its closing.

    ``saved`` is left when the arc from the item is gone; what leaves ``below`` or more is not
    wanted. Where there is none, nothing is left.
    """
    costs, last = problem.costs, len(order) - 1
    p = place[a]
    found[OPEN] = 0
    if p == last:
        return
    s = order[p + 1]
    for b in promising.after[a]:
        if costs[a, b] >= saved:
            break
        q = place[b]
        if b == s:
            continue
        if turns and 0 < q < last:
            i, j = (p + 1, q + 1) if p < q else (q + 1, p + 1)
            t = order[q + 1]
            seam = s if p < q else t
            left = saved - costs[a, b] + costs[b, t]
            wanted = found[OPEN] < left < below and t != a and not _is_new(links, count, b, t)
            if wanted and may_turn(problem, order, place, i, j):
                _note(found, left, i, j, TURN, seam, b, -1, -1)
        if q == 0:
            continue
        z = order[q - 1]
        if _is_new(links, count, z, b):
            continue
        gain = saved - costs[a, b] + costs[z, b]
        for x in promising.after[z]:
            if costs[z, x] >= gain:
                break
            r = place[x]
            i, j, k = blocks_at(p, q, r, last)
            if k == 0:
                continue
            y = order[r - 1]
            left = gain - costs[z, x] + costs[y, x]
            wanted = found[OPEN] < left < below and not _is_new(links, count, y, x)
            if wanted and allowed(problem, order, place, i, j, k):
                _note(found, left, i, j, k, y, b, z, x)


@compiled
def next_before(
    problem: Sequencing,
    promising: Promising,
    order: Array,
    place: Array,
    b: int,
    saved: int,
    below: int,
    links: Array,
    count: int,
    found: Array,
) -> None:
    """Find the exchange that takes what stands before an item away: the mirror image."""
    costs, last = problem.costs, len(order) - 1
    q = place[b]
    found[OPEN] = 0
    if q == 0:
        return
    for a in promising.before[b]:
        if costs[a, b] >= saved:
            break
        p = place[a]
        if p == last or p == q - 1:
            continue
        s = order[p + 1]
        if _is_new(links, count, a, s):
            continue
        gain = saved - costs[a, b] + costs[a, s]
        for y in promising.before[s]:
            if costs[y, s] >= gain:
                break
            r = place[y] + 1
            i, j, k = blocks_at(p, q, r, last)
            if k == 0:
                continue
            x = order[r]
            left = gain - costs[y, s] + costs[y, x]
            wanted = found[OPEN] < left < below and not _is_new(links, count, y, x)
            if wanted and allowed(problem, order, place, i, j, k):
                _note(found, left, i, j, k, x, a, y, s)


@compiled
def chain(
    problem: Sequencing,
    promising: Promising,
    order: Array,
    place: Array,
    spare: Array,
    item: int,
    turns: bool,
    done: Array,
    count: int,
    links: Array,
    found: Array,
    effort: Array,
) -> tuple[int, int, int]:
    """Look for a chain from an item that makes an order cheaper, and leave the order so.

    ``done`` has the exchanges made so far, ``count`` of them, as they are taken back; those of the
    chain are put behind them, and the arcs that it brings in into ``links``. Given are how many
    exchanges there are then, how many arcs, and what was saved. ``found`` is room for an exchange,
    and ``effort`` counts those looked for.
    """
    costs, last = problem.costs, len(order) - 1
    for forward in (True, False):
        below = _ANY
        for _ in range(_WAYS):
            seam, new, many = item, 0, count
            if place[item] == (last if forward else 0):
                break
            saved = _closing(costs, order, place, seam, forward)
            for level in range(DEPTH):
                most = below if level == 0 else _ANY
                if forward:
                    next_after(
                        problem,
                        promising,
                        order,
                        place,
                        seam,
                        saved,
                        most,
                        links,
                        new,
                        turns,
                        found,
                    )
                else:
                    next_before(
                        problem, promising, order, place, seam, saved, most, links, new, found
                    )
                effort[0] += 1
                if found[OPEN] <= 0:
                    break
                if level == 0:
                    below = found[OPEN]
                links[new, 0], links[new, 1] = seam, found[TO]
                new += 1
                if found[FROM] >= 0:
                    links[new, 0], links[new, 1] = found[FROM], found[THEN]
                    new += 1
                saved, seam = found[OPEN], found[SEAM]
                i, j, k = found[FIRST], found[MIDDLE], found[END]
                change(order, place, spare, i, j, k)
                done[many, 0], done[many, 1], done[many, 2] = i, j if k == TURN else i + k - j, k
                many += 1
                more = _closing(costs, order, place, seam, forward) - saved
                if more < 0:
                    links[new, 0], links[new, 1] = (
                        seam,
                        order[place[seam] + (1 if forward else -1)],
                    )
                    return many, new + 1, -more
            for at in range(many - 1, count - 1, -1):
                change(order, place, spare, done[at, 0], done[at, 1], done[at, 2])
            if many == count:
                break
    return count, 0, 0


@inlined
def _closing(costs: Array, order: Array, place: Array, seam: int, forward: bool) -> int:
    """What the arc from an item costs, or else that to it."""
    return int(
        costs[seam, order[place[seam] + 1]] if forward else costs[order[place[seam] - 1], seam]
    )
