"""A problem as it would be if only some of its facts were so."""

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import replace

from putback.planning.impossible.grounds import closed_by, is_where, shut_in
from putback.planning.known import bears_on
from putback.planning.plan import Because
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.problem import Cause, Clause, Kind, Node, Problem
from putback.vehicle.ids import StandingId, split_ref
from putback.vehicle.standing import Standing, Support


def facts_of(problem: Problem, targets: Sequence[Clause]) -> tuple[Fact, ...]:
    """Give every fact that may have to do with whether the targets can be reached."""
    found: dict[Fact, None] = dict.fromkeys(_of_clauses(targets))
    standings = problem.vehicle.standings.values()
    near = _near(problem, targets)
    for index in near:
        node = problem.nodes[index]
        found |= dict.fromkeys(_of_clauses(node.clauses))
        for each in problem.vehicle.standings:
            found |= dict.fromkeys(shut_in(problem, node, each))
        if node.crack_in is not None:
            found[Fact(Sort.CRACK_FIRST, split_ref(node.what)[1])] = None
    for order in problem.orders:
        if order.cause.source is not None and order.then in near:
            found[order.cause.source] = None
    found |= dict.fromkeys(span.source for span in problem.spans)
    for standing in standings:
        found |= dict.fromkeys(Fact(Sort.BEARS, standing.id, p) for p in bears_on(standing))
        found |= dict.fromkeys(Fact(Sort.NEEDS_OFF, standing.id, p) for p in standing.needs_off)
        found[Fact(Sort.NO_CHANGE, standing.id)] = None
        found[Fact(Sort.LOST, standing.id)] = None
        found |= dict.fromkeys(closed_by(problem, standing.id))
    return tuple(sorted(found))


def _of_clauses(clauses: Iterable[Clause]) -> Iterator[Fact]:
    for clause in clauses:
        if clause.cause.source is not None:
            yield clause.cause.source


def _near(problem: Problem, targets: Iterable[Clause]) -> set[int]:
    """What any way may need, what can never be done included."""
    near: set[int] = set()
    todo = [way for target in targets for way in target.any_of]
    while todo:
        index = todo.pop()
        if index not in near:
            near.add(index)
            todo += (way for clause in problem.nodes[index].clauses for way in clause.any_of)
    return near


def relaxed(
    problem: Problem, targets: Sequence[Clause], only: Set[Fact]
) -> tuple[Problem, tuple[Clause, ...]]:
    """Give problem and targets as they would be if no other facts were so than ``only``."""
    return _Relaxing(problem, only).relaxed(targets)


class _Relaxing:
    def __init__(self, problem: Problem, only: Set[Fact]) -> None:
        self.problem = problem
        self.only = only
        self.opened = tuple(
            each
            for each in problem.vehicle.standings
            if each not in problem.usable and only.isdisjoint(closed_by(problem, each))
        )
        """Standings that may be entered only because some facts are not so."""
        self.usable = (*problem.usable, *self.opened)
        self.stand = {
            StandingId(split_ref(node.what)[1]): index
            for index, node in enumerate(problem.nodes)
            if node.kind is Kind.STANDING
        }

    def relaxed(self, targets: Sequence[Clause]) -> tuple[Problem, tuple[Clause, ...]]:
        problem = self.problem
        kept = tuple(target for target in targets if self._counts(target.cause))
        nodes = list(problem.nodes)
        seen: set[int] = set()
        todo = [way for target in kept for way in target.any_of]
        while todo:
            index = todo.pop()
            if index not in seen:
                seen.add(index)
                nodes[index] = self._node(nodes[index])
                todo += (way for clause in nodes[index].clauses for way in clause.any_of)
        standings = {
            standing.id: self._standing(standing)
            for standing in problem.vehicle.standings.values()
        }
        return (
            replace(
                problem,
                vehicle=problem.vehicle.with_records(standings=standings),
                nodes=tuple(nodes),
                orders=tuple(
                    order
                    for order in problem.orders
                    if self._counts(order.cause) and order.first in seen and order.then in seen
                ),
                spans=tuple(span for span in problem.spans if span.source in self.only),
                usable=self.usable,
                poise=None,
            ),
            kept,
        )

    def _counts(self, cause: Cause) -> bool:
        return cause.source is None or cause.source in self.only

    def _node(self, node: Node) -> Node:
        clauses = tuple(
            clause
            for clause in node.clauses
            if self._counts(clause.cause) and not is_where(node, clause, self.problem)
        )
        crack = Fact(Sort.CRACK_FIRST, split_ref(node.what)[1])
        crack_in = node.crack_in if crack in self.only else None
        anywhere = node.standings is None and not self.opened
        if anywhere or not node.kind.is_step:
            return replace(node, clauses=clauses, crack_in=crack_in)
        allowed = frozenset(
            standing
            for standing in self.usable
            if self.only.isdisjoint(shut_in(self.problem, node, standing))
        )
        if allowed and len(allowed) == len(self.usable):
            return replace(node, clauses=clauses, crack_in=crack_in, standings=None)
        if self.problem.start not in allowed and allowed <= self.stand.keys():
            ways = tuple(self.stand[each] for each in sorted(allowed))
            where = Clause(ways, Cause(Because.STANDING, "where it may be done"))
            clauses = (*clauses, where)
        return replace(node, clauses=clauses, crack_in=crack_in, standings=allowed)

    def _standing(self, standing: Standing) -> Standing:
        """Let supports carry nothing, and changes lead there, where no fact says otherwise."""
        changes = {
            other: 0.0
            for other in self.problem.vehicle.standings
            if other != standing.id and Fact(Sort.NO_CHANGE, other) not in self.only
        }
        return replace(
            standing,
            wrong=standing.wrong and Fact(Sort.WRONG, standing.id) in self.only,
            supports=tuple(
                support if self._bears(standing, support) else replace(support, beside=True)
                for support in standing.supports
            ),
            needs_off=tuple(
                part
                for part in standing.needs_off
                if Fact(Sort.NEEDS_OFF, standing.id, part) in self.only
            ),
            change_minutes=changes | dict(standing.change_minutes),
        )

    def _bears(self, standing: Standing, support: Support) -> bool:
        if support.bears_on in self.problem.parts_off:
            return Fact(Sort.LOST, standing.id) in self.only
        return Fact(Sort.BEARS, standing.id, support.bears_on) in self.only
