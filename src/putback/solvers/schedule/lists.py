"""Schedules from lists of jobs, and a search among lists: the inner loop, compiled.

A list names the jobs in an order that keeps precedence; each in turn begins as soon as precedence
and resources let it (the serial scheme of Kelley, 1963). A schedule is then pushed to the right
from its end, and back to the left, which never makes it longer and often shorter (double
justification: Valls, Ballestin and Quintanilla, European J. of Operational Research 165, 2005).
Lists are bred from two others by two cuts (Hartmann, Naval Research Logistics 45, 1998). A child
stands in for its parent (crowding: Mahfoud, Parallel Problem Solving from Nature 2, 1992).
"""

from typing import NamedTuple

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array

_END = 32
"""The end of a schedule is its last part out of so many, and at least three units of time."""

_FINE = 1 << 32
"""What a unit of time counts more than all that is done at the end."""


class Herd(NamedTuple):
    """Lists that are bred from, and the best schedule met."""

    lists: Array
    """Shape (m, n)."""
    spans: Array
    """How long the schedule of each takes, and how much is still done at its end, shape (m,)."""
    best: Array
    """Starts of the best schedule, shape (n,)."""
    least: Array
    """How long it takes, and how many schedules were built since it or since a new herd, (2,)."""
    chance: Array


@compiled
def build(project: Project, order: Array, free: Array, starts: Array) -> int:
    """Put jobs down in their order, each as soon as can be; give when the last ends.

    ``free`` is for its own use, shape (horizon, words); ``starts`` are filled in.
    """
    durations, packed, room, guard = (
        project.durations,
        project.packed,
        project.room,
        project.guard,
    )
    begin, items = project.before.begin, project.before.items
    words = len(room)
    end = 0
    for at in range(len(order)):
        job = order[at]
        span = durations[job]
        start = 0
        for n in range(begin[job], begin[job + 1]):
            start = max(start, starts[items[n]] + durations[items[n]])
        seen = start
        while span > 0 and start < end:
            # from the end of its time backwards: where it does not fit it begins after that
            top = min(start + span, end)
            time = top - 1
            while time >= seen:
                fits = True
                for word in range(words):
                    if (free[time, word] - packed[job, word]) & guard[word] != guard[word]:
                        fits = False
                        break
                if not fits:
                    break
                time -= 1
            if time < seen:
                break
            start, seen = time + 1, top
        for time in range(end, start + span):  # what lies after the old end is all free
            for word in range(words):
                free[time, word] = room[word]
        for time in range(start, start + span):
            for word in range(words):
                free[time, word] -= packed[job, word]
        starts[job] = start
        end = max(end, start + span)
    return end


@compiled
def _sort(order: Array, keys: Array) -> None:
    """Put jobs in the order of their keys: quick where they nearly are."""
    for at in range(1, len(order)):
        job = order[at]
        to = at
        while to > 0 and keys[order[to - 1]] > keys[job]:
            order[to] = order[to - 1]
            to -= 1
        order[to] = job


@compiled
def _turn(order: Array) -> None:
    """Put the last first."""
    count = len(order)
    for at in range(count // 2):
        order[at], order[count - 1 - at] = order[count - 1 - at], order[at]


@compiled
def justify(project: Project, turned: Project, order: Array, free: Array, starts: Array) -> int:
    """Build, push right, push left; leave the list by starts in ``order``; give the time taken."""
    count = len(order)
    build(project, order, free, starts)
    keys = np.empty(count, np.int64)
    for job in range(count):  # the last to end comes first
        keys[job] = -(starts[job] + project.durations[job]) * count + turned.rank[job]
    _turn(order)
    _sort(order, keys)
    whole = build(turned, order, free, starts)
    for job in range(count):
        keys[job] = (whole - starts[job] - project.durations[job]) * count + project.rank[job]
    _turn(order)
    _sort(order, keys)
    span = build(project, order, free, starts)
    for job in range(count):
        keys[job] = starts[job] * count + project.rank[job]
    _sort(order, keys)
    return span


@compiled
def value(project: Project, starts: Array, span: int) -> int:
    """Rank a schedule: by how long it takes, then by how little is done at its very end."""
    since = span - max(3, span // _END)
    late = 0
    for job in range(len(starts)):
        over = min(starts[job] + project.durations[job] - since, project.durations[job])
        if over > 0:
            late += over * project.work[job]
    return span * _FINE + late


@compiled
def sample(project: Project, chance: Array, order: Array) -> None:
    """Draw a list: of the jobs that may come next, rather one after which much must follow."""
    count = len(order)
    left = np.empty(count, np.int64)
    for job in range(count):
        left[job] = project.before.begin[job + 1] - project.before.begin[job]
    steep = 6.0 * draw(chance)
    for at in range(count):
        whole = 0.0
        most = 0
        for job in range(count):
            if left[job] == 0:
                most = max(most, project.tails[job] + project.durations[job])
        for job in range(count):
            if left[job] == 0:
                urgent = (project.tails[job] + project.durations[job] + 1) / (most + 1)
                whole += urgent**steep
        point = draw(chance) * whole
        chosen = -1
        for job in range(count):
            if left[job] == 0:
                urgent = (project.tails[job] + project.durations[job] + 1) / (most + 1)
                point -= urgent**steep
                chosen = job
                if point <= 0:
                    break
        order[at] = chosen
        left[chosen] = -1
        for n in range(project.after.begin[chosen], project.after.begin[chosen + 1]):
            left[project.after.items[n]] -= 1


@compiled
def _cross(one: Array, other: Array, chance: Array, child: Array, inside: Array) -> None:
    """Take the order of the one between two cuts, and of the other before and after; or turned.

    What stands before, between and after the cuts is so by the one.
    """
    count = len(one)
    first = int(draw(chance) * (count + 1))
    second = int(draw(chance) * (count + 1))
    first, second = min(first, second), max(first, second)
    kept = draw(chance) < 0.5  # whether it is the middle that the one keeps
    for at in range(count):
        inside[one[at]] = 0 if at < first else 1 if at < second else 2
    to_first, to_middle, to_last = 0, first, second
    for at in range(count):
        part = inside[other[at]]
        if part == 0:
            child[to_first] = other[at]
            to_first += 1
        elif part == 1:
            child[to_middle] = other[at]
            to_middle += 1
        else:
            child[to_last] = other[at]
            to_last += 1
    for at in range(count):
        if (first <= at < second) == kept:
            child[at] = one[at]


@compiled
def _stir(project: Project, chance: Array, order: Array) -> None:
    """Swap neighbours here and there, where precedence lets them."""
    for at in range(len(order) - 1):
        if draw(chance) < 0.03 and not project.must[order[at], order[at + 1]]:
            order[at], order[at + 1] = order[at + 1], order[at]


@compiled
def breed(
    project: Project,
    turned: Project,
    herd: Herd,
    free: Array,
    tries: int,
    target: int,
    patience: int,
) -> None:
    """Build so many schedules, or until one takes no longer than ``target``.

    After ``patience`` of them without a better one the herd is drawn anew.
    """
    many, count = herd.lists.shape
    chance, never = herd.chance, np.iinfo(np.int64).max
    child, starts = np.empty(count, np.int64), np.empty(count, np.int64)
    inside = np.zeros(count, np.int64)
    drawn = 0  # all before this place are no longer to be drawn
    own = never
    for place in range(many):
        own = min(own, herd.spans[place])
    for _ in range(tries):
        if herd.least[0] <= target:
            return
        if herd.least[1] >= patience:
            for place in range(many):
                herd.spans[place] = never
            herd.least[1] = drawn = 0
            own = never
        herd.least[1] += 1
        while drawn < many and herd.spans[drawn] < never:
            drawn += 1
        place = drawn
        if place < many:
            sample(project, chance, child)
        else:
            place = int(draw(chance) * many)
            other = int(draw(chance) * many)
            _cross(herd.lists[place], herd.lists[other], chance, child, inside)
            _stir(project, chance, child)
        span = justify(project, turned, child, free, starts)
        if span < herd.least[0]:
            herd.least[0] = span
            for job in range(count):
                herd.best[job] = starts[job]
        worth = value(project, starts, span)
        if worth // _FINE < own // _FINE:
            own = worth
            herd.least[1] = 0
        if worth <= herd.spans[place]:  # a child stands in for its parent, so that all stay unlike
            for at in range(count):
                herd.lists[place, at] = child[at]
            herd.spans[place] = worth
