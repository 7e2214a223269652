"""Change an assignment by one shortest augmenting path, and join its circles: compiled."""

from typing import NamedTuple

import numpy as np

from putback.solvers.compiled import inlined
from putback.solvers.sequence.problem import BARRED, Array, Lists

FAR = 1 << 40
"""More than any assignment costs."""


class Matching(NamedTuple):
    """An assignment and its prices, by item; nothing follows the last or is before the first."""

    then: Array
    before: Array
    row: Array
    column: Array


@inlined
def no_matching(count: int) -> Matching:
    """Room for the assignment of so many items."""
    return Matching(
        np.zeros(count, np.int64),
        np.zeros(count, np.int64),
        np.zeros(count, np.int64),
        np.zeros(count, np.int64),
    )


@inlined
def reassign(
    few: Lists,
    costs: Array,
    barred: Array,
    settled: Array,
    match: Matching,
    start: int,
    dearest: int,
    most: int,
    room: Array,
    effort: Array,
) -> int:
    """Give an item another follower, by the shortest augmenting path; give what that costs more.

    Arcs that cost more than ``dearest`` are not looked at, and where all would cost more than
    ``most`` the assignment stays and `FAR` is given. ``effort`` counts the numbers looked at.
    """
    then, before, row, column = match
    goal = then[start]
    near, came, state, met = room[0], room[1], room[2], room[3]
    seen, done, base, at, rise = 0, 0, 0, start, FAR
    while True:
        price = row[at] - base
        for each in range(few.begin[at], few.begin[at + 1]):
            if costs[each] > dearest:
                break
            item = few.items[each]
            if barred[each] or settled[item] or state[item] == 2:
                continue
            way = costs[each] - price - column[item]
            if state[item] == 0:
                state[item], near[item], came[item], met[seen] = 1, way, at, item
                seen += 1
            elif way < near[item]:
                near[item], came[item] = way, at
        effort[0] += few.begin[at + 1] - few.begin[at] + seen - done
        low, by = most + 1, -1
        for each in range(done, seen):
            item = met[each]
            if near[item] < low or (near[item] == low and item == goal):
                low, by = near[item], each
        if by < 0:
            break
        item = met[by]
        met[by], met[done] = met[done], item
        done += 1
        state[item] = 2
        base = low
        if item == goal:
            rise = base
            break
        at = before[item]
    if rise < FAR:
        row[start] += rise
        for each in range(done - 1):
            item = met[each]
            row[before[item]] += rise - near[item]
            column[item] -= rise - near[item]
        item = goal
        while True:
            source = came[item]
            follows = then[source]
            then[source], before[item] = item, source
            if source == start:
                break
            item = follows
    for each in range(seen):
        state[met[each]] = 0
    return rise


@inlined
def number_circles(then: Array, circle: Array, size: Array) -> int:
    """Number the circles, the way from the first item on is 0; give how many there are."""
    last = len(then) - 1
    for item in range(last + 1):
        circle[item] = -1
    circles = 0
    for item in range(last):
        if circle[item] < 0:
            size[circles] = 0
            at = item
            while circle[at] < 0:
                circle[at] = circles
                size[circles] += 1
                if at == last:
                    break
                at = then[at]
            circles += 1
    return circles


@inlined
def join_circles(
    costs: Array,
    few: Lists,
    match: Matching,
    circle: Array,
    size: Array,
    circles: int,
    effort: Array,
) -> bool:
    """Join all circles to one way, the smallest first, by the cheapest two arcs.

    Whether there are such.
    """
    then, before = match.then, match.before
    n = len(then)
    for _ in range(circles - 1):
        small = 0
        for each in range(1, circles):
            if size[each] > 0 and (small == 0 or size[each] < size[small]):
                small = each
        one = small_item = 0
        while circle[small_item] != small:
            small_item += 1
        low, other, at = FAR, -1, small_item
        while True:
            follows = then[at]
            now = np.int64(costs[at, follows])
            for each in range(few.begin[at], few.begin[at + 1]):
                item = few.items[each]
                source = before[item]
                if circle[item] == small:
                    continue
                more = np.int64(costs[at, item]) + costs[source, follows]
                more -= now + costs[source, item]
                if more < low:
                    low, one, other = more, at, source
            effort[0] += few.begin[at + 1] - few.begin[at]
            at = follows
            if at == small_item:
                break
        if low >= BARRED // 2:
            return False
        into = circle[other]
        a, b = then[one], then[other]
        then[one], then[other], before[a], before[b] = b, a, other, one
        for item in range(n):
            if circle[item] == small:
                circle[item] = into
        size[into] += size[small]
        size[small] = 0
        effort[0] += n // 4
    return True
