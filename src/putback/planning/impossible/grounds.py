"""The grounds of a problem: its clauses as demands of an AND/OR graph, each resting on its facts.

Where a thing may be done is one clause of a problem, but several facts: the standings a person
named, what supports hide and what they bear on. Here each of them stands alone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.planning.impossible.andor import Graph
from putback.planning.known import bears_on, hides
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.problem import Clause, Kind, Node, Problem
from putback.vehicle.ids import (
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)


@dataclass(frozen=True)
class Grounds:
    """A problem as a graph: its nodes keep their numbers, ``goal`` demands all targets."""

    problem: Problem
    graph: Graph
    goal: int
    refs: tuple[Ref, ...]
    """What each node of the graph is about."""


def closed_by(problem: Problem, standing: StandingId) -> Iterator[Fact]:
    """Give the facts each of which alone keeps a standing from being entered for good (6)."""
    record = problem.vehicle.standings[standing]
    if record.wrong:
        yield Fact(Sort.WRONG, standing)
    if not bears_on(record).isdisjoint(problem.parts_off):
        yield Fact(Sort.LOST, standing)


def shut_in(problem: Problem, node: Node, standing: StandingId) -> Iterator[Fact]:
    """Give the facts each of which alone keeps a node from being done in a standing (2, 3, 5)."""
    if node.kind not in (Kind.UNDO, Kind.PART, Kind.WHOLE, Kind.JOB):
        return
    record = problem.vehicle.standings[standing]
    for ref, named in _named(problem, node):
        if named and standing not in named:
            yield Fact(Sort.WHERE, ref)
    touched = node.parts
    if node.kind is Kind.UNDO:
        joint = problem.vehicle.joints[JointId(split_ref(node.what)[1])]
        touched = frozenset(joint.parts) - problem.parts_off
    yield from (Fact(Sort.HIDES, standing, part) for part in sorted(touched & hides(record)))
    for part in sorted(node.parts & bears_on(record)):
        yield Fact(Sort.BEARS, standing, part)


def _named(problem: Problem, node: Node) -> Iterator[tuple[Ref, tuple[StandingId, ...]]]:
    """The standings that descriptions name, each with what it is said of."""
    vehicle = problem.vehicle
    identity = split_ref(node.what)[1]
    match node.kind:
        case Kind.UNDO:
            yield joint_ref(JointId(identity)), vehicle.joints[JointId(identity)].standings
        case Kind.JOB:
            yield job_ref(JobId(identity)), vehicle.jobs[JobId(identity)].standings
        case _:
            for part in sorted(node.parts & vehicle.parts.keys()):
                yield part_ref(PartId(part)), vehicle.parts[PartId(part)].standings


def grounds_of(problem: Problem, targets: Sequence[Clause]) -> Grounds:
    """Give the graph of a problem and of what is asked for."""
    return _Grounding(problem).ground(targets)


class _Grounding:
    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.graph = Graph()
        self.refs: list[Ref] = [node.what for node in problem.nodes]
        for _ in problem.nodes:
            self.graph.add()
        self.standings = tuple(problem.vehicle.standings)
        self.stand = {
            StandingId(split_ref(node.what)[1]): index
            for index, node in enumerate(problem.nodes)
            if node.kind is Kind.STANDING
        }

    def ground(self, targets: Sequence[Clause]) -> Grounds:
        for standing in self.standings:
            if standing not in self.stand:
                self.stand[standing] = self._add(Ref(f"standing:{standing}"))
                if standing not in self.problem.usable:
                    for fact in closed_by(self.problem, standing):
                        self.graph.demand(self.stand[standing], (), fact)
        for index, node in enumerate(self.problem.nodes):
            for clause in node.clauses:
                if not is_where(node, clause, self.problem):
                    self._demand(index, clause)
            if self.problem.vehicle.standings and self._is_bound(node):
                self._to_stand(index, node)
        goal = self._add(Ref(""))
        for target in targets:
            self._demand(goal, target)
        self._asked_in_time(targets)
        return Grounds(self.problem, self.graph, goal, tuple(self.refs))

    def _add(self, ref: Ref) -> int:
        self.refs.append(ref)
        return self.graph.add()

    def _demand(self, index: int, clause: Clause) -> None:
        source = clause.cause.source
        self.graph.demand(index, clause.any_of, *([source] if source else ()))

    def _is_bound(self, node: Node) -> bool:
        """Whether the vehicle must be stood first; so it is where nobody said how it stands."""
        start = self.problem.start
        elsewhere = node.standings is not None and start not in node.standings
        return node.kind.is_step and (start is None or elsewhere)

    def _to_stand(self, index: int, node: Node) -> None:
        """Demand some standing; each is shut by facts of its own."""
        ways = []
        for standing in self.standings:
            facts = list(shut_in(self.problem, node, standing))
            if not facts:
                ways.append(self.stand[standing])
                continue
            there = self._add(node.what)
            self.graph.demand(there, (self.stand[standing],))
            for fact in facts:
                self.graph.demand(there, (), fact)
            ways.append(there)
        self.graph.demand(index, ways)

    def _asked_in_time(self, targets: Sequence[Clause]) -> None:
        """What is asked for in any case, and cannot come after another thing, comes before it."""
        after: dict[tuple[int, Fact], set[int]] = {}
        for order in self.problem.orders:
            if order.cause.source is not None and order.cause.source.sort is Sort.NEVER_AFTER:
                after.setdefault((order.then, order.cause.source), set()).add(order.first)
        for target in targets:
            asked = target.cause.source
            for (then, late), firsts in after.items():
                if asked is not None and target.any_of and firsts.issuperset(target.any_of):
                    self.graph.demand(then, target.any_of, late, asked)


def is_where(node: Node, clause: Clause, problem: Problem) -> bool:
    """Whether a clause only says in which standings a step may be done."""
    return (
        node.kind.is_step
        and clause.cause.source is None
        and (all(problem.nodes[way].kind is Kind.STANDING for way in clause.any_of))
    )
