"""Search for a short schedule by annealing a list of jobs: the inner loop, compiled.

A job or two of the list are put elsewhere, as far as precedence lets them, and the schedule is
justified. It takes the place of the old one if it is no longer, or by chance if it is little
longer; less and less longer, as the search cools (Kirkpatrick, Gelatt and Vecchi, Science 220,
1983; for lists of jobs Bouleimen and Lecocq, European J. of Operational Research 149, 2003). How
much longer it may be is drawn beforehand, so that most that come to nothing are seen to do so
before they are justified.
"""

from typing import NamedTuple

import numpy as np

from putback.solvers.chance import draw
from putback.solvers.compiled import compiled
from putback.solvers.schedule.lists import build, justify, push_left, push_right, sample
from putback.solvers.schedule.problem import Project
from putback.solvers.sequence.problem import Array

_HOT, _COLD = 0.1, 0.04
"""How much longer a schedule may be on average, at first and at last, of a mean duration [-]."""

_HOPE_RIGHT, _HOPE_LEFT = 0.06, 0.02
"""By what share a push to the right and one to the left, or that to the left alone, shorten."""


class Chain(NamedTuple):
    """A list that is annealed, and the best schedule met."""

    order: Array
    """The list, by the starts of its schedule, shape (n,)."""
    starts: Array
    """Its schedule, shape (n,)."""
    best: Array
    """Starts of the best schedule, shape (n,)."""
    spans: Array
    """How long its schedule takes, and how long the best, shape (2,)."""
    chance: Array


def heat(project: Project, share: float) -> float:
    """How much longer a schedule may be on average, after such a share of the search."""
    spans = project.durations[project.durations > 0]
    mean = float(spans.mean()) if len(spans) else 1.0
    return float(mean * _HOT * (_COLD / _HOT) ** share)


@compiled
def begin(
    project: Project, turned: Project, chain: Chain, free: Array, many: int, target: int
) -> None:
    """Draw so many lists, or until one takes no longer than ``target``, and keep the best."""
    count = len(chain.order)
    order, starts = np.empty(count, np.int64), np.empty(count, np.int64)
    for number in range(many):
        sample(project, chain.chance, order)
        span = justify(project, turned, order, free, starts)
        if number == 0 or span < chain.spans[0]:
            chain.spans[:] = span
            chain.order[:] = order
            chain.starts[:] = starts
            chain.best[:] = starts
            if span <= target:
                return


@compiled
def _move(project: Project, chance: Array, order: Array) -> None:
    """Put a job elsewhere between the last that it waits for and the first that waits for it."""
    at = int(draw(chance) * len(order))
    job = order[at]
    first, last = at, at
    while first > 0 and not project.must[order[first - 1], job]:
        first -= 1
    while last < len(order) - 1 and not project.must[job, order[last + 1]]:
        last += 1
    to = first + int(draw(chance) * (last - first + 1))
    while at < to:
        order[at] = order[at + 1]
        at += 1
    while at > to:
        order[at] = order[at - 1]
        at -= 1
    order[to] = job


@compiled
def anneal(
    project: Project,
    turned: Project,
    chain: Chain,
    free: Array,
    tries: int,
    heat: float,
    target: int,
) -> None:
    """Try so many lists, or until one takes no longer than ``target``.

    ``heat`` is how much longer than the old a schedule may be on average.
    """
    count, chance = len(chain.order), chain.chance
    order, starts = np.empty(count, np.int64), np.empty(count, np.int64)
    keys = np.empty(count, np.int64)
    for _ in range(tries):
        if chain.spans[1] <= target:
            return
        order[:] = chain.order
        _move(project, chance, order)
        if draw(chance) < 0.5:
            _move(project, chance, order)
        most = chain.spans[0] - heat * np.log(draw(chance))
        span = build(project, order, free, starts)
        if span * (1.0 - _HOPE_RIGHT) > most or (starts == chain.starts).all():
            continue
        span = push_right(project, turned, order, free, starts, keys)
        if span * (1.0 - _HOPE_LEFT) > most:
            continue
        span = push_left(project, order, free, starts, keys, span)
        if span <= most:
            chain.order[:] = order
            chain.starts[:] = starts
            chain.spans[0] = span
            if span < chain.spans[1]:
                chain.spans[1] = span
                chain.best[:] = starts
