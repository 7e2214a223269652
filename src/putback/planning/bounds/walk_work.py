"""What a walk over the standings takes at least, with the work that can be done on it.

The cheapest walk need not be one on which the least work can be done: a whole that saves time may
come off only where the vehicle is stood once more. Either it is stood so, or more work is done. So
of every cheap walk the least work is found that reaches the targets on it: of each thing it is
chosen whether it is done, and by which visit, all at once (`putback.solvers.choice`). Only what
must come before what, and how the vehicle stands for it, is asked.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import combinations, pairwise
from math import inf
from typing import NamedTuple

from putback.planning.bounds.landmarks import Landmarks
from putback.planning.bounds.standing_walk import MOST_VISITS, Walks
from putback.planning.posing.problem import Clause, Kind
from putback.planning.search.walks import Walk
from putback.progress import NoProgress, Progress
from putback.solvers.choice import Choice, Literal, Settled, negation
from putback.vehicle.ids import Ref, StandingId, split_ref

_MOST_WALKS = 12
_MOST_PLACES = 120_000
"""So many walks are looked into at most, and things times visits of all of them."""

_SWEEPS = 4
"""How often visits are followed through alternatives; less only makes the bound lower."""

_EFFORT = 1.0
"""Effort for each walk, in the solver's own count [-]."""

_SCALE = 1000
"""Minutes are counted in thousandths, rounded down: the bound stays a bound."""


def with_work(
    walks: Walks,
    least: Sequence[float],
    work: float,
    progress: Progress = NoProgress(),
) -> list[float]:
    """Raise what walks cost at least by the work that they ask for beyond the least of all.

    Parameters
    ----------
    walks : Walks
        The walks, and what is to be reached on them.
    least : sequence of float
        What walks with so many changes cost at least, the last entry for all more [minutes].
    work : float
        The work that no plan can do without [minutes].
    progress : Progress
        Asked whether to go on.
    """
    told = min(len(least) - 1, MOST_VISITS)
    if not told:  # the last entry speaks of walks of any length
        return list(least)
    doing = _Doing(walks.marks, walks.targets)
    found: dict[int, float] = {}
    looked_into = places = 0
    beyond = inf
    for cost, walk, reached in walks.in_order():
        is_enough = looked_into == _MOST_WALKS or places > _MOST_PLACES
        if is_enough or cost >= min(found.values(), default=inf):
            beyond = cost
            break
        if reached:
            looked_into += 1
            places += len(walks.marks.order) * len(walk)
            more = max(doing.least_work(walk, progress) - work, 0.0)
            changes = len(walk) - 1
            found[changes] = min(found.get(changes, inf), cost + more)
    raised = [max(least[at], min(found.get(at, inf), beyond)) for at in range(told)]
    return [*raised, *least[told:]]


class _Window(NamedTuple):
    """In which visits a thing may be done: where that is allowed, from ``first`` to ``last``.

    From ``settled`` on it can be done whatever was chosen, if it is done at all.
    """

    may: Sequence[bool]
    first: int
    last: int
    settled: int


class _Doing:
    """All that can be done, to be spread over walks: numbered in the landmarks' order."""

    def __init__(self, marks: Landmarks, targets: Sequence[Clause]) -> None:
        problem = marks.problem
        number = {thing: at for at, thing in enumerate(marks.order)}
        self.ways = [
            [[number[way] for way in some] for some in marks.ways[thing]] for thing in marks.order
        ]
        """Of each thing, and of each of what it asks for, the ways."""
        self.is_sure = [marks.cracked.get(thing, thing) in marks.sure for thing in marks.order]
        self.standings: list[frozenset[StandingId] | None] = []
        self.thousandths: list[int] = []
        self.clearing: dict[Ref, list[int]] = {}
        """What clears each thing that is cleared once."""
        self.enters: dict[StandingId, int] = {}
        """What must be done before each standing is entered, but the one of now."""
        for at, thing in enumerate(marks.order):
            node = None if thing in marks.cracked else problem.nodes[thing]
            is_step = node is None or node.kind.is_step
            some = marks.standings(thing) if is_step else None
            self.standings.append(None if some is None else frozenset(some))
            self.thousandths.append(int(node.least * _SCALE + 1e-6) if node is not None else 0)
            if node is None:
                continue
            for ref in node.clears:
                self.clearing.setdefault(ref, []).append(at)
            if node.kind is Kind.STANDING:
                self.enters[StandingId(split_ref(node.what)[1])] = at
        if problem.start is not None:
            self.enters.pop(problem.start, None)
        asked = ([number[way] for way in each.any_of if way in number] for each in targets)
        self.targets = [ways for ways in asked if ways]

    def least_work(self, walk: Walk, progress: Progress) -> float:
        """Give the least work that reaches the targets on a walk [minutes]; infinite if none."""
        windows = self._windows(walk)
        if windows is None:
            return inf
        return _Spread(self, walk, windows).least(progress) / _SCALE

    def _windows(self, walk: Walk) -> list[_Window] | None:
        """Say of each thing when it may be done; ``None`` if something sure has no visit.

        What can never be done has its first visit behind the last.
        """
        mays = {
            some: [some is None or standing in some for standing in walk]
            for some in dict.fromkeys(self.standings)
        }
        may = [mays[some] for some in self.standings]
        first = self._swept([0] * len(may), may, min)
        settled = self._swept([len(walk)] * len(may), may, max)
        last = [len(walk) - 1] * len(may)
        for thing in reversed(range(len(may))):
            if not self.is_sure[thing]:
                continue
            at = next((v for v in range(last[thing], -1, -1) if may[thing][v]), -1)
            if at < first[thing]:
                return None
            last[thing] = at
            for some in self.ways[thing]:
                if len(some) == 1:
                    last[some[0]] = min(last[some[0]], at)
        return [_Window(*each) for each in zip(may, first, last, settled, strict=True)]

    def _swept(
        self,
        visit: list[int],
        may: Sequence[Sequence[bool]],
        of_ways: Callable[[Iterable[int]], int],
    ) -> list[int]:
        """Follow visits through what asks for what, by the first or by the last of the ways."""
        visits = len(may[0]) if may else 0
        for _ in range(_SWEEPS):
            before = visit.copy()
            for thing, asked in enumerate(self.ways):
                at = max((of_ways(visit[way] for way in some) for some in asked), default=0)
                allowed = may[thing]
                while at < visits and not allowed[at]:
                    at += 1
                visit[thing] = at
            if visit == before:
                break
        return visit


class _Spread:
    """The choice of what is done on one walk, and by which visit."""

    def __init__(self, doing: _Doing, walk: Walk, windows: Sequence[_Window]) -> None:
        self.choice = Choice()
        self.doing = doing
        self.done = [
            list(self._by_visit(window, is_sure=is_sure))
            for window, is_sure in zip(windows, doing.is_sure, strict=True)
        ]
        """Of each thing by visit: whether it is done when that ends."""
        for at, by in enumerate(self.done):
            for one, then in pairwise(by):
                if one is not then:
                    self.choice.any_of((negation(one), then))
            fresh = [v for v, each in enumerate(by) if each is not (by[v - 1] if v else False)]
            for some in doing.ways[at]:
                for visit in fresh:
                    done = (self.done[way][visit] for way in some)
                    self.choice.any_of((negation(by[visit]), *done))
        for visit, standing in enumerate(walk[1:]):
            if standing in doing.enters:
                self.choice.any_of((self.done[doing.enters[standing]][visit],))
        for ways in doing.targets:
            self.choice.any_of(self.done[way][-1] for way in ways)
        for ways in doing.clearing.values():
            for one, other in combinations([self.done[way][-1] for way in ways], 2):
                self.choice.any_of((negation(one), negation(other)))

    def _by_visit(self, window: _Window, *, is_sure: bool) -> Iterator[Settled]:
        """By each visit whether a thing is done; as early as may be, for that bars nothing."""
        by: Settled = False
        for visit, may in enumerate(window.may):
            if visit >= window.first:
                if is_sure and visit >= min(window.last, window.settled):
                    by = True
                elif may and (visit <= window.settled or by is False):
                    by = self.choice.variable()
            yield by

    def least(self, progress: Progress) -> float:
        """Give the least work [thousandths of a minute]; infinite if nothing will do."""
        work, weights = 0, dict[Literal, int]()
        for by, thousandths in zip(self.done, self.doing.thousandths, strict=True):
            if by[-1] is True:
                work += thousandths
            elif by[-1] is not False:
                weights[by[-1]] = thousandths
        self.choice.minimise(weights)
        if self.choice.is_shut:
            return inf
        answer = self.choice.solve(effort=_EFFORT, progress=progress)
        return inf if answer.feasible is False else work + answer.bound
