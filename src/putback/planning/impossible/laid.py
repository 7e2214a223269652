"""A problem laid out for trying it with ever other facts: who demands what, and what ends what.

Facts and demands are numbers. What a node demands of standings is not among its demands: each
standing has its own facts, and so has what is cracked first.
"""

from collections.abc import Iterable, Sequence

from putback.planning.impossible.facts import near
from putback.planning.impossible.grounds import closed_by, grounds_of, is_where, shut_in
from putback.planning.known import bears_on
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.problem import Clause, Kind, Problem
from putback.vehicle.ids import PartId, StandingId, split_ref


class Laid:
    """The facts, demands and standings of a problem by numbers, and what ends what."""

    def __init__(self, problem: Problem, targets: Sequence[Clause], facts: Iterable[Fact]) -> None:
        """Number the facts and demands; ``facts`` are all that may have to do with it."""
        self.problem = problem
        self.grounds = grounds_of(problem, targets)
        self.facts = tuple(facts)
        self.number = {fact: number for number, fact in enumerate(self.facts)}
        self.goal = len(problem.nodes)
        self.near = near(problem, targets)
        self.is_step = {i for i in self.near if problem.nodes[i].kind.is_step}
        self.steps = sorted(self.is_step)
        self.takes = {
            index: node.parts
            for index in self.steps
            if (node := problem.nodes[index]).kind in (Kind.PART, Kind.WHOLE)
        }
        """The parts that are off after a step."""
        self.count = [0] * (self.goal + 1)
        self.any_of: list[tuple[int, ...]] = []
        self.of: list[int] = []
        self.fact: list[int] = []
        self.meets: list[list[int]] = [[] for _ in range(self.goal + 1)]
        self.demands: list[list[int]] = [[] for _ in range(self.goal + 1)]
        self.resting_on: dict[int, list[int]] = {}
        for index in sorted(self.near):
            node = problem.nodes[index]
            if node.kind is Kind.STANDING:
                continue
            for clause in node.clauses:
                source = clause.cause.source
                cracked = source is not None and source.sort is Sort.CRACK_FIRST
                if not cracked and not is_where(node, clause, problem):
                    self._demand(index, clause)
        for target in targets:
            self._demand(self.goal, target)
        self._lay_out_standings()
        self._lay_out_harm()

    def _demand(self, index: int, clause: Clause) -> None:
        number = len(self.any_of)
        source = clause.cause.source
        fact = self.number[source] if source is not None else -1
        self.any_of.append(clause.any_of)
        self.of.append(index)
        self.fact.append(fact)
        self.count[index] += 1
        self.demands[index].append(number)
        for way in set(clause.any_of):
            self.meets[way].append(number)
        if source is not None:
            self.resting_on.setdefault(fact, []).append(number)

    def _lay_out_standings(self) -> None:
        problem, number = self.problem, self.number
        standings = problem.vehicle.standings
        self.standings: tuple[StandingId | None, ...] = tuple(standings) or (None,)
        self.shut: dict[StandingId | None, dict[int, tuple[int, ...]]] = {None: {}}
        self.closed: dict[StandingId | None, tuple[int, ...]] = {None: ()}
        self.needs: dict[StandingId | None, tuple[tuple[PartId, int], ...]] = {None: ()}
        self.leads: dict[StandingId | None, frozenset[StandingId]] = {}
        self.no_change: dict[StandingId | None, int] = {}
        for each, record in standings.items():
            facts = ((i, tuple(shut_in(problem, problem.nodes[i], each))) for i in self.steps)
            self.shut[each] = {i: tuple(number[f] for f in those) for i, those in facts if those}
            self.closed[each] = tuple(number[fact] for fact in closed_by(problem, each))
            self.needs[each] = tuple(
                (part, number[Fact(Sort.NEEDS_OFF, each, part)]) for part in record.needs_off
            )
            self.leads[each] = frozenset(record.change_minutes)
            self.no_change[each] = number[Fact(Sort.NO_CHANGE, each)]
        self.crack: dict[int, tuple[StandingId, int]] = {}
        """Where each is cracked first, and the fact that says so."""
        for index in self.steps:
            crack_in = problem.nodes[index].crack_in
            if crack_in is not None:
                fact = Fact(Sort.CRACK_FIRST, split_ref(problem.nodes[index].what)[1])
                self.crack[index] = (crack_in, number[fact])

    def _lay_out_harm(self) -> None:
        problem, number = self.problem, self.number
        nodes, steps = problem.nodes, self.is_step
        self.ends: dict[int, list[tuple[int, int]]] = {}
        """What cannot be done any more after a node, each with the fact that says so."""
        for order in problem.orders:
            if order.first in steps and order.then in steps:
                source = order.cause.source
                fact = number[source] if source is not None else -1
                self.ends.setdefault(order.then, []).append((order.first, fact))
        for by in problem.providers.values():
            for way in steps.intersection(by):
                others = ((other, -1) for other in by if other != way and other in steps)
                self.ends.setdefault(way, []).extend(others)
        self.ends_by_fact = {
            way: these
            for way, ended in self.ends.items()
            if (these := [(other, fact) for other, fact in ended if fact >= 0])
        }
        """The same of those that a fact says."""
        covered = {
            (way, other)
            for way, ended in self.ends.items()
            for other, fact in ended
            if fact < 0
            and set(self.meets[other]) <= set(self.meets[way])
            and nodes[other].parts <= nodes[way].parts
        }
        self.covered = covered
        """Pairs of which the one does all that the other would do."""
        self.kills: dict[int, list[tuple[StandingId, int]]] = {}
        """The standings that cannot be entered any more after a node, each with its fact."""
        for standing, record in problem.vehicle.standings.items():
            for part in bears_on(record) - problem.parts_off:
                fact = number[Fact(Sort.BEARS, standing, part)]
                for index, parts in self.takes.items():
                    if part in parts:
                        self.kills.setdefault(index, []).append((standing, fact))
        self.spans = [
            (steps.intersection(s.first), steps.intersection(s.last), number[s.source])
            for s in problem.spans
        ]
