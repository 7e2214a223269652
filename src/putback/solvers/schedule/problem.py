"""A project as arrays: jobs, what they take of each resource, what ends before what begins.

Times are whole units from the beginning of the project. A job of no duration takes nothing.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from putback.solvers.sequence.problem import Array, Lists, closed, lists

_WORD = 63
"""Bits of a word that are counted with."""


class TooMuch(ValueError):
    """A job takes more of a resource than there is."""


class Project(NamedTuple):
    """n jobs and r resources; whole numbers are int64."""

    durations: Array
    """Of each job, shape (n,)."""
    demands: Array
    """Of each job, how much of each resource it takes while it runs, shape (n, r)."""
    capacities: Array
    """How much there is of each resource at any time, shape (r,)."""
    packed: Array
    """The demands again, many in a word, so that one subtraction is for all, shape (n, words)."""
    room: Array
    """The capacities likewise, with a bit above each that is lost where one is exceeded."""
    guard: Array
    """Those bits, shape (words,)."""
    must: Array
    """Whether one ends before the other begins in every schedule, bool, shape (n, n)."""
    before: Lists
    """Of each job what comes directly before it."""
    after: Lists
    """Of each job what comes directly after it."""
    heads: Array
    """Of each job the least time from the beginning of the project to its own."""
    tails: Array
    """Of each job the least time from its end to the end of the project."""
    rank: Array
    """Of each job its place in one order that keeps all precedences."""

    @property
    def size(self) -> int:
        """How many jobs there are."""
        return len(self.durations)

    @property
    def horizon(self) -> int:
        """The time in which all jobs are done one after another."""
        return int(self.durations.sum())

    def span_of(self, starts: Array) -> int:
        """When the last job of a schedule ends."""
        return int((starts + self.durations).max(initial=0))

    def turned(self) -> "Project":
        """The same project from its end to its beginning."""
        return self._replace(
            must=self.must.T.copy(),
            before=self.after,
            after=self.before,
            heads=self.tails,
            tails=self.heads,
            rank=self.size - 1 - self.rank,
        )


def lay_out(
    durations: Sequence[int],
    demands: Sequence[Sequence[int]],
    capacities: Sequence[int],
    pairs: Iterable[tuple[int, int]],
) -> Project:
    """Lay out a project.

    Parameters
    ----------
    durations : sequence of int, length n
        How long each job runs, 0 or more.
    demands : sequence of sequence of int, shape (n, r)
        What each takes of each resource meanwhile, 0 or more.
    capacities : sequence of int, length r
        What there is of each resource.
    pairs : iterable of tuple of int
        First and then: the one ends before, or when, the other begins.

    Raises
    ------
    Circular
        If jobs wait for one another in a circle.
    TooMuch
        If a job takes more of a resource than there is.
    """
    count = len(durations)
    spans = np.array(durations, np.int64)
    takes = np.array(demands, np.int64).reshape(count, len(capacities))
    gives = np.array(capacities, np.int64)
    if (spans < 0).any() or (takes < 0).any():
        raise ValueError("a duration or demand is below 0")
    takes[spans == 0] = 0
    for job, resource in np.argwhere(takes > gives)[:1]:
        raise TooMuch(f"job {job} takes more of resource {resource} than there is")
    must = closed(count, pairs)
    direct = must & ~(must.astype(np.float32) @ must.astype(np.float32) > 0)
    rank = np.argsort(np.argsort(must.sum(axis=0), kind="stable"), kind="stable")
    heads, tails = np.zeros(count, np.int64), np.zeros(count, np.int64)
    order = np.argsort(rank)
    for job in order:
        heads[job] = max((heads[i] + spans[i] for i in np.flatnonzero(direct[:, job])), default=0)
    for job in order[::-1]:
        tails[job] = max((tails[i] + spans[i] for i in np.flatnonzero(direct[job])), default=0)
    packed, room, guard = _packed(takes, gives)
    return Project(
        durations=spans,
        demands=takes,
        capacities=gives,
        packed=packed,
        room=room,
        guard=guard,
        must=must,
        before=lists(np.flatnonzero(row) for row in direct.T),
        after=lists(np.flatnonzero(row) for row in direct),
        heads=heads,
        tails=tails,
        rank=rank.astype(np.int64),
    )


def _packed(takes: Array, gives: Array) -> tuple[Array, Array, Array]:
    """Lay demands and capacities side by side in words of 63 bits, a bit free above each."""
    columns: list[Array] = []
    rooms: list[int] = []
    guards: list[int] = []
    used = _WORD
    for demands, capacity in zip(takes.T, gives.tolist(), strict=True):
        width = capacity.bit_length()
        if width >= _WORD:
            raise TooMuch("a resource has more units than can be counted")
        if used + width + 1 > _WORD:
            columns.append(np.zeros(len(takes), np.int64))
            rooms.append(0)
            guards.append(0)
            used = 0
        columns[-1] += demands << used
        rooms[-1] |= capacity << used | 1 << used + width
        guards[-1] |= 1 << used + width
        used += width + 1
    packed = np.array(columns, np.int64).reshape(len(columns), len(takes)).T.copy()
    return packed, np.array(rooms, np.int64), np.array(guards, np.int64)
