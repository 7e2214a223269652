"""Schedules from lists of jobs: the inner loop, compiled.

A list names the jobs in an order that keeps precedence; each in turn begins as soon as precedence
and resources let it (the serial scheme of Kelley, 1963). A schedule is then pushed to the right
from its end, and back to the left, which never makes it longer and often shorter (double
justification: Valls, Ballestin and Quintanilla, European J. of Operational Research 165, 2005).
"""

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array


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
def push_right(
    project: Project, turned: Project, order: Array, free: Array, starts: Array, keys: Array
) -> int:
    """Begin each job as late as can be, the last to end first; give the time taken.

    ``starts`` become those of the turned project; ``keys`` are for its own use, shape (n,).
    """
    count = len(order)
    for job in range(count):
        keys[job] = -(starts[job] + project.durations[job]) * count + turned.rank[job]
    _turn(order)
    _sort(order, keys)
    return build(turned, order, free, starts)


@compiled
def push_left(
    project: Project,
    order: Array,
    free: Array,
    starts: Array,
    keys: Array,
    whole: int,
) -> int:
    """Begin each job as soon as can be, after a push to the right; leave the list by starts.

    ``whole`` is the time taken after that push. Gives the time taken now.
    """
    count = len(order)
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
def justify(project: Project, turned: Project, order: Array, free: Array, starts: Array) -> int:
    """Build, push right, push left; leave the list by starts in ``order``; give the time taken."""
    keys = np.empty(len(order), np.int64)
    build(project, order, free, starts)
    whole = push_right(project, turned, order, free, starts, keys)
    return push_left(project, order, free, starts, keys, whole)


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
