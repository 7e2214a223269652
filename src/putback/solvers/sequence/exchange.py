"""Local search by exchanging three arcs, and kicks out of where it ends: compiled.

Two neighbouring blocks change places and nothing is turned round (L. Gambardella and M. Dorigo,
*An ant colony system hybridized with a new local search for the sequential ordering problem*,
INFORMS J. Computing 12, 2000), but where costs are the same both ways: there a block may be turned
round as well. The new arcs are looked for one after another, each on a short list of cheap ones
and only while the arcs that go cost more than those that come (S. Lin and B. Kernighan, Operations
Research 21, 1973), and precedence is asked for last: of a thousand moves few are cheaper. Only
items at whose seams something changed are looked at again. Where nothing gets better, a few random
blocks near one another change places and the search begins anew around them; what became dearer,
but for a little chance, is taken back.
"""

from math import log

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled, inlined
from putback.solvers.sequence.chains import DEPTH, chain, no_links
from putback.solvers.sequence.problem import BARRED, Array, Sequencing
from putback.solvers.sequence.swaps import (
    TURN,
    Promising,
    Run,
    allowed,
    blocks_at,
    change,
    keep_best,
    may_turn,
    rise,
    swap,
    turning_rise,
)

_KICK = 30
"""The longest block of a kick."""


def same_both_ways(problem: Sequencing) -> bool:
    """Whether each arc costs what its opposite does, wherever an order can have both."""
    there, back = problem.costs, problem.costs.T
    both = (there < BARRED) & (back < BARRED)
    return bool((there[both] == back[both]).all())


@inlined
def _note(
    problem: Sequencing, order: Array, place: Array, i: int, j: int, k: int, found: Array
) -> None:
    """Remember an exchange if it is the best so far and precedence allows it."""
    more = rise(problem.costs, order, i, j, k)
    if more < found[0] and allowed(problem, order, place, i, j, k):
        found[0], found[1], found[2], found[3] = more, i, j, k


@inlined
def _by_what_follows(
    problem: Sequencing, promising: Promising, order: Array, place: Array, a: int, found: Array
) -> None:
    """Find the best exchange by which something better follows an item.

    With b behind a, what stood before b wants a new follower x; the last seam is before x.
    """
    costs, last = problem.costs, len(order) - 1
    p = place[a]
    if p == last:
        return
    now = np.int64(costs[a, order[p + 1]])
    for b in promising.after[a]:
        if costs[a, b] >= now:
            break
        q = place[b]
        if q == 0:
            continue
        z = order[q - 1]
        gain = now - costs[a, b] + costs[z, b]
        for x in promising.after[z]:
            if costs[z, x] >= gain:
                break
            i, j, k = blocks_at(p, q, place[x], last)
            if k:
                _note(problem, order, place, i, j, k, found)


@inlined
def _by_what_is_before(
    problem: Sequencing, promising: Promising, order: Array, place: Array, b: int, found: Array
) -> None:
    """Find the best exchange by which an item follows something better: the mirror image."""
    costs, last = problem.costs, len(order) - 1
    q = place[b]
    if q == 0:
        return
    now = np.int64(costs[order[q - 1], b])
    for a in promising.before[b]:
        if costs[a, b] >= now:
            break
        p = place[a]
        if p == last:
            continue
        s = order[p + 1]
        gain = now - costs[a, b] + costs[a, s]
        for y in promising.before[s]:
            if costs[y, s] >= gain:
                break
            i, j, k = blocks_at(p, q, place[y] + 1, last)
            if k:
                _note(problem, order, place, i, j, k, found)


@inlined
def _by_turning(
    problem: Sequencing, promising: Promising, order: Array, place: Array, item: int, found: Array
) -> None:
    """Find the best turning round of a block by which an item has a better neighbour."""
    costs, last, p = problem.costs, len(order) - 1, place[item]
    if p < last:
        now = costs[item, order[p + 1]]
        for b in promising.after[item]:
            if costs[item, b] >= now:
                break
            if p + 1 < place[b] < last:
                _note_turn(problem, order, place, p + 1, place[b] + 1, found)
    if p > 0:
        now = costs[order[p - 1], item]
        for a in promising.before[item]:
            if costs[a, item] >= now:
                break
            if 0 < place[a] < p - 1:
                _note_turn(problem, order, place, place[a], p, found)


@inlined
def _note_turn(
    problem: Sequencing, order: Array, place: Array, i: int, j: int, found: Array
) -> None:
    """Remember a turning round if it is the best so far and precedence allows it."""
    more = turning_rise(problem.costs, order, i, j)
    if more < found[0] and may_turn(problem, order, place, i, j):
        found[0], found[1], found[2], found[3] = more, i, j, TURN


@inlined
def _wake(waiting: Array, queued: Array, ends: Array, item: int) -> None:
    """Have an item looked at again."""
    if not queued[item]:
        queued[item] = True
        waiting[ends[1] % len(waiting)] = item
        ends[1] += 1


@inlined
def _seams(
    order: Array, i: int, j: int, k: int, waiting: Array, queued: Array, ends: Array
) -> None:
    """Have the items at the seams of two blocks looked at again."""
    _wake(waiting, queued, ends, order[i - 1])
    _wake(waiting, queued, ends, order[i])
    _wake(waiting, queued, ends, order[j - 1])
    _wake(waiting, queued, ends, order[j])
    _wake(waiting, queued, ends, order[k - 1])
    _wake(waiting, queued, ends, order[k])


@inlined
def _kick(
    problem: Sequencing, order: Array, place: Array, near: int, chance: Array
) -> tuple[int, int, int]:
    """Draw two neighbouring blocks that may change places; k is 0 where the draw fails."""
    last = len(order) - 1
    i = max(1, near + int((draw(chance) - 0.5) * _KICK))
    if i >= last - 1:
        return 0, 0, 0
    j = i + 1 + int(draw(chance) * draw(chance) * min(_KICK, last - 1 - i))
    if j >= last:
        return 0, 0, 0
    after = problem.after
    bar = last  # the first place that something of the first block must come before
    for at in range(i, j):
        item = order[at]
        for each in range(after.begin[item], after.begin[item + 1]):
            then = place[after.items[each]]
            if j <= then < bar:
                bar = then
    if bar <= j:
        return 0, 0, 0
    k = j + 1 + int(draw(chance) * draw(chance) * min(_KICK, bar - j))
    return i, j, min(k, bar)


@compiled
def kick_and_mend(
    problem: Sequencing,
    promising: Promising,
    run: Run,
    effort: Array,
    most: int,
    turns: bool,
    chains: bool,
) -> None:
    """Mend an order, then kick and mend; the heat is the mean rise that chance lets pass.

    ``effort`` counts the items looked at, and the search ends when that reaches ``most``. With
    ``turns`` blocks are turned round as well, which only costs that are the same both ways allow.
    With ``chains`` several exchanges are made at once where one alone does not help.
    """
    costs, order, place, chance = problem.costs, run.order, run.place, run.chance
    n = len(order)
    waiting, queued = np.empty(n, np.int64), np.zeros(n, np.bool_)
    ends = np.zeros(2, np.int64)
    spare = np.empty(n, np.int64)
    done = np.empty((4 * n + DEPTH, 3), np.int64)
    found = np.empty(4, np.int64)
    links, step = no_links()
    kicked = False
    while effort[0] < most:
        count, more = 0, 0
        if not kicked:
            for item in order:
                _wake(waiting, queued, ends, item)
        else:
            near = int(draw(chance) * n)
            for _ in range(3 if turns else 2 + int(draw(chance) * 2)):
                i, j, k = _kick(problem, order, place, near, chance)
                if k:
                    more += rise(costs, order, i, j, k)
                    swap(order, place, spare, i, j, k)
                    done[count, 0], done[count, 1], done[count, 2] = i, i + k - j, k
                    count += 1
                    _seams(order, i, i + k - j, k, waiting, queued, ends)
        while ends[0] < ends[1]:
            item = waiting[ends[0] % n]
            ends[0] += 1
            queued[item] = False
            effort[0] += 1
            while True:
                found[0] = 0
                _by_what_follows(problem, promising, order, place, item, found)
                _by_what_is_before(problem, promising, order, place, item, found)
                if turns:
                    _by_turning(problem, promising, order, place, item, found)
                if count + DEPTH >= len(done):
                    break
                if found[0] >= 0:
                    if not chains:
                        break
                    many, new, saved = chain(
                        problem,
                        promising,
                        order,
                        place,
                        spare,
                        item,
                        turns,
                        done,
                        count,
                        links,
                        step,
                        effort,
                    )
                    if saved == 0:
                        break
                    more -= saved
                    for each in range(new):
                        _wake(waiting, queued, ends, links[each, 0])
                        _wake(waiting, queued, ends, links[each, 1])
                    if kicked:
                        count = many
                    continue
                i, j, k = found[1], found[2], found[3]
                more += found[0]
                change(order, place, spare, i, j, k)
                if k == TURN:
                    _seams(order, i, j, j, waiting, queued, ends)
                else:
                    j = i + k - j
                    _seams(order, i, j, k, waiting, queued, ends)
                if kicked:
                    done[count, 0], done[count, 1], done[count, 2] = i, j, k
                    count += 1
        effort[0] += 1  # a kick that fails is work as well
        if kicked and more > 0 and more > -run.heat[0] * log(1 - draw(chance)):
            for at in range(count - 1, -1, -1):
                change(order, place, spare, done[at, 0], done[at, 1], done[at, 2])
            continue
        kicked = True
        run.cost[0] += more
        keep_best(run)
