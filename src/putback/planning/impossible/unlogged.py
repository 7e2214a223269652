"""Jobs that nobody logged as done, and that could open a goal if they were done in truth.

A job that can no longer be done (the standing it wants is lost, or it is too late for it) may well
have been done in time, and only the logbook does not know. Such a job is found here; nothing is
said of whether it was done. What would still have to come before a job cannot have come before it,
so such a job was surely not done.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from putback.planning.impossible.attempt import Unknown, attempt
from putback.planning.impossible.facts import facts_of, near
from putback.planning.impossible.grounds import closed_by, grounds_of, is_where
from putback.planning.impossible.laid import Laid
from putback.planning.posing.fact import Sort
from putback.planning.posing.problem import Clause, Kind, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import JobId, split_ref

_PATIENCE = 200
"""States looked at before one try to plan gives up."""
_PAST = frozenset({Sort.LOST, Sort.NEVER_AFTER})
"""Sorts of what keeps from a job because of what has been done already."""


def unlogged_jobs(
    problem: Problem, targets: Sequence[Clause], progress: Progress = NoProgress()
) -> tuple[tuple[JobId, ...], ...]:
    """Give the jobs with which a goal out of reach could be reached, had they been done.

    Parameters
    ----------
    problem : Problem
        What can be done.
    targets : sequence of Clause
        What is to be fulfilled at the end, and cannot be.
    progress : Progress
        Asked whether to go on.

    Returns
    -------
    tuple of tuple of JobId
        The fewest jobs that are enough, each such set; none where there are none, or where that
        is not known.
    """
    return _Unlogged(problem, targets, progress).found()


def with_done(
    problem: Problem, targets: Iterable[Clause], done: frozenset[int]
) -> tuple[Problem, tuple[Clause, ...]]:
    """Give a problem and what is asked for as they were, if some jobs were done already."""
    late: dict[int, list[Clause]] = {}
    for order in problem.orders:
        if order.then in done:
            late.setdefault(order.first, []).append(Clause((), order.cause))
    nodes = tuple(
        replace(node, clauses=(*_left(node.clauses, done), *late.get(index, ())))
        for index, node in enumerate(problem.nodes)
    )
    orders = tuple(o for o in problem.orders if done.isdisjoint((o.first, o.then)))
    spans = tuple(s for s in problem.spans if done.isdisjoint((*s.first, *s.last)))
    there = replace(problem, nodes=nodes, orders=orders, spans=spans)
    return there, tuple(_left(targets, done))


def _left(clauses: Iterable[Clause], done: frozenset[int]) -> Iterator[Clause]:
    return (clause for clause in clauses if done.isdisjoint(clause.any_of))


@dataclass(frozen=True, slots=True)
class _Unlogged:
    problem: Problem
    targets: Sequence[Clause]
    progress: Progress

    def found(self) -> tuple[tuple[JobId, ...], ...]:
        """Try each with what comes before it, and all of them; then leave out what can be."""
        took = self._took()
        open_still = {i for i, jobs in took.items() if self._can_be_done(i, jobs - {i})}
        took = {i: jobs for i, jobs in took.items() if open_still.isdisjoint(jobs)}
        each = [took[index] for index in sorted(took)]
        everything = frozenset().union(*each)
        if not everything or not self._opens(everything):
            return ()
        enough = [jobs for jobs in dict.fromkeys(each) if self._opens(jobs)]
        if enough:
            fewest = min(map(len, enough))
            return tuple(self._names(jobs, took) for jobs in enough if len(jobs) == fewest)
        left = everything
        for index in sorted(took):  # left out with whatever it had to be done before
            fewer = frozenset().union(*(e for e in each if e <= left and index not in e))
            if fewer < left and self._opens(fewer):
                left = fewer
        return (self._names(left, took),)

    def _took(self) -> dict[int, frozenset[int]]:
        """Jobs that can no longer be done, each with those that had to be done before it."""
        took: dict[int, frozenset[int]] = {}
        too_late = self._too_late()
        before = -1
        while len(took) > before:
            before = len(took)
            for index in too_late - took.keys():
                ways = [
                    [took[way] for way in clause.any_of if way in took]
                    for clause in self.problem.nodes[index].clauses
                    if not self._is_past(index, clause)
                ]
                if all(ways):
                    took[index] = frozenset({index}).union(*(min(way, key=len) for way in ways))
        return took

    def _too_late(self) -> set[int]:
        """Jobs that cannot be done, and could be but for what has been done already."""
        problem = self.problem
        graph = grounds_of(problem, self.targets).graph
        past = [
            clause.cause.source
            for node in problem.nodes
            for clause in node.clauses
            if not clause.any_of and clause.cause.source is not None
            if clause.cause.source.sort in _PAST
        ]
        standings = problem.vehicle.standings
        past += [fact for s in standings for fact in closed_by(problem, s) if fact.sort in _PAST]
        could = graph.possible(but=past) - graph.possible()
        jobs = near(problem, self.targets) & could
        return {index for index in jobs if problem.nodes[index].kind is Kind.JOB}

    def _is_past(self, index: int, clause: Clause) -> bool:
        """Whether a clause says nothing of what had to be done before."""
        source = clause.cause.source
        if source is not None and source.sort in _PAST and not clause.any_of:
            return True
        return is_where(self.problem.nodes[index], clause, self.problem)

    def _can_be_done(self, index: int, done: frozenset[int]) -> bool:
        """Whether a job is not too late, once those before it are done."""
        problem, targets = with_done(self.problem, self.targets, done)
        return index in grounds_of(problem, targets).graph.possible()

    def _opens(self, done: frozenset[int]) -> bool:
        problem, targets = with_done(self.problem, self.targets, done)
        laid = Laid(problem, targets, facts_of(problem, targets))
        try:
            return attempt(laid, (), _PATIENCE, self.progress).bouts is not None
        except Unknown:
            return False

    def _names(
        self, jobs: frozenset[int], took: Mapping[int, frozenset[int]]
    ) -> tuple[JobId, ...]:
        """The jobs in an order in which they can have been done."""
        order = sorted(jobs, key=lambda index: (len(took[index]), index))
        return tuple(JobId(split_ref(self.problem.nodes[i].what)[1]) for i in order)
