"""An AND/OR graph whose demands rest on facts, and the fewest facts that shut a node out.

A node can be done once each of its demands is met by at least one node before it. What can be done
is the least solution of that, found by counting. What cannot be done, each node of it for a demand
of which no way can be done either, is the greatest solution of the opposite: it may go in circles,
for what wait for one another wait for ever. So a proof that a node cannot be done is a set of
nodes, of each one demand, all of whose ways are in the set. The smallest set of facts that carries
such a proof is a choice of yes and no without any order in it, and CP-SAT solves it exactly.

"A before B in every order" is the same question: B cannot be done where A never is.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from math import inf

from putback.planning.impossible.hitting import Hitting, smallest_hitting_set
from putback.planning.posing.fact import Fact
from putback.progress import NoProgress, Progress
from putback.solvers import Choice

_PATIENCE_S = 15.0
"""Seconds allowed for each unit of the solver's effort, however slow the machine is [s]."""


@dataclass(frozen=True, slots=True)
class Demand:
    """At least one node of ``any_of`` comes before, as long as all of ``facts`` are so."""

    any_of: tuple[int, ...]
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Proof:
    """Why a node cannot be done: of each node in the proof one demand, beginning at the node.

    ``smallest`` is whether no fewer facts prove it.
    """

    demands: tuple[tuple[int, Demand], ...]
    smallest: bool = True

    @property
    def facts(self) -> tuple[Fact, ...]:
        """The facts it rests on, in the order in which the proof comes to them."""
        return tuple(dict.fromkeys(fact for _, demand in self.demands for fact in demand.facts))


class _Watch:
    """All demands of a graph by number: what is asked again and again of one that stays."""

    def __init__(self, demands: Sequence[Sequence[Demand]]) -> None:
        self.every: list[Demand] = []
        self.of: list[int] = []
        """The node that makes each demand."""
        self.count = [0] * len(demands)
        self.met_by: list[list[int]] = [[] for _ in demands]
        """The demands that each node meets."""
        self.resting_on: dict[Fact, list[int]] = {}
        """The demands that each fact carries."""
        for node, demand in ((node, each) for node, these in enumerate(demands) for each in these):
            number = len(self.every)
            self.every.append(demand)
            self.of.append(node)
            self.count[node] += 1
            for way in demand.any_of:
                self.met_by[way].append(number)
            for fact in demand.facts:
                self.resting_on.setdefault(fact, []).append(number)


@dataclass(eq=False)
class Graph:
    """Nodes are numbers from 0; ``demands`` holds those of each."""

    demands: list[list[Demand]] = field(default_factory=list)
    _watch: _Watch | None = None

    def add(self) -> int:
        """Add a node that demands nothing yet."""
        self.demands.append([])
        self._watch = None
        return len(self.demands) - 1

    def demand(self, node: int, any_of: Iterable[int], *facts: Fact) -> None:
        """Let a node demand one of several, as long as the facts are so."""
        self.demands[node].append(Demand(tuple(any_of), facts))
        self._watch = None

    def _watched(self) -> _Watch:
        self._watch = self._watch or _Watch(self.demands)
        return self._watch

    def possible(
        self,
        never: Collection[int] = (),
        only: Collection[Fact] | None = None,
        but: Iterable[Fact] = (),
    ) -> set[int]:
        """Give what can be done where the nodes of ``never`` are not.

        With ``only``, no other facts are so than these; those of ``but`` are not in any case.
        """
        watch = self._watched()
        missing = watch.count.copy()
        met = bytearray(len(watch.every))
        if only is not None:
            but = [*but, *(fact for fact in watch.resting_on if fact not in only)]
        for fact in but:
            for number in watch.resting_on.get(fact, ()):
                if not met[number]:
                    met[number] = True
                    missing[watch.of[number]] -= 1
        barred = frozenset(never)
        todo = [n for n, count in enumerate(missing) if not count and n not in barred]
        done = set(todo)
        while todo:
            for number in watch.met_by[todo.pop()]:
                if not met[number]:
                    met[number] = True
                    node = watch.of[number]
                    missing[node] -= 1
                    if not missing[node] and node not in barred:
                        done.add(node)
                        todo.append(node)
        return done

    def unavoidable(self, node: int) -> set[int]:
        """Give the nodes that every way to a node contains, itself included.

        The marks of a node are itself and, for each demand, what all its possible ways have in
        common: the greatest solution of these equations, found by taking away.
        """
        possible = self.possible()
        order = [each for each in self.reached_from([node]) if each in possible]
        everything = (1 << len(self.demands)) - 1
        marks = dict.fromkeys(order, everything)
        changed = node in possible
        while changed:
            changed = False
            for each in order:
                now = 1 << each
                for demand in self.demands[each]:
                    common = everything
                    for way in demand.any_of:
                        common &= marks.get(way, everything)
                    now |= common
                if now != marks[each]:
                    marks[each], changed = now, True
        return {each for each in order if marks[node] >> each & 1} if node in possible else set()

    def reached_from(self, nodes: Iterable[int]) -> set[int]:
        """Give all nodes that these may need, themselves included."""
        seen = set(nodes)
        todo = list(seen)
        while todo:
            for demand in self.demands[todo.pop()]:
                fresh = [way for way in demand.any_of if way not in seen]
                seen.update(fresh)
                todo += fresh
        return seen


def smallest_proof(
    graph: Graph,
    node: int,
    *,
    never: Collection[int] = (),
    effort: float = 4.0,
    progress: Progress = NoProgress(),
) -> Proof | None:
    """Prove by the fewest facts that a node cannot be done where those of ``never`` are not.

    Of several such proofs one with the fewest demands is given; ``None`` if it can be done.
    """
    shut = _Shut(graph, node, frozenset(never))
    if node not in shut.demands:
        return None
    proof = shut.smallest(effort, progress)
    if len(proof.facts) == 1:  # a circle that rests on none would do with fewer
        return any_proof(graph, node, never=never, but=shut.facts()) or proof
    return proof


def smallest_change(
    graph: Graph,
    node: int,
    *,
    never: Collection[int] = (),
    progress: Progress = NoProgress(),
) -> Hitting | None:
    """Find the fewest facts without which a node could be done where ``never`` are not.

    ``None`` if no facts have to do with it. Every proof must lose one of its facts: the smallest
    set that meets all proofs found so far is tried, and each proof that stays is added, as in
    *implicit hitting sets* (Moreno-Centeno and Karp, Operations Research 61, 2013; *from memory*).
    """
    proofs: list[frozenset[Fact]] = []
    while True:
        change = smallest_hitting_set(proofs, progress)
        left = set(change.facts)
        proof = any_proof(graph, node, never=never, but=left)
        if proof is None:
            return change
        # Proofs that have nothing in common are gathered first: each makes the change bigger.
        while proof is not None:
            if not proof.facts:
                return None
            proofs.append(frozenset(proof.facts))
            left.update(proof.facts)
            proof = any_proof(graph, node, never=never, but=left)


def any_proof(
    graph: Graph, node: int, *, never: Collection[int] = (), but: Collection[Fact] = ()
) -> Proof | None:
    """Prove somehow that a node cannot be done where those of ``never`` are not; quickly.

    The facts of ``but`` are not so.
    """
    shut = _Shut(graph, node, frozenset(never), frozenset(but))
    return shut.any_proof() if node in shut.demands else None


class _Shut:
    """What of a graph cannot be done, and the demands that say so: those with no possible way."""

    def __init__(
        self,
        graph: Graph,
        node: int,
        never: frozenset[int],
        but: frozenset[Fact] = frozenset(),
    ) -> None:
        self.node = node
        self.never = never
        self.demands: dict[int, list[Demand]] = {}
        possible = graph.possible(never, but=but)
        todo = [] if node in possible or node in never else [node]
        while todo:
            at = todo.pop()
            if at not in self.demands:
                shut = [
                    d
                    for d in graph.demands[at]
                    if possible.isdisjoint(d.any_of) and but.isdisjoint(d.facts)
                ]
                self.demands[at] = shut
                todo += (way for demand in shut for way in demand.any_of if way not in never)

    def facts(self) -> set[Fact]:
        """All facts that these demands rest on."""
        return {fact for these in self.demands.values() for each in these for fact in each.facts}

    def any_proof(self) -> Proof:
        """Give some proof, a small one if no circle is in it."""
        cost = self._least_costs()

        def by_cost(demand: Demand) -> float:
            return self._cost(demand, cost)

        return self._walk({at: min(these, key=by_cost) for at, these in self.demands.items()})

    def _least_costs(self) -> dict[int, float]:
        """The least number of facts in a tree that shuts each node out, counted in each branch.

        Knuth's generalization of Dijkstra's algorithm (Information Processing Letters 6, 1977).
        What is shut out by circles alone has none.
        """
        cost: dict[int, float] = dict.fromkeys(self.never, 0.0)
        waiting: dict[int, list[tuple[int, Demand]]] = {}
        left: dict[tuple[int, int], int] = {}
        queue: list[tuple[float, int]] = []
        for at, demands in self.demands.items():
            for demand in demands:
                ways = {way for way in demand.any_of if way not in self.never}
                left[at, id(demand)] = len(ways)
                if not ways:
                    queue.append((float(len(demand.facts)), at))
                for way in ways:
                    waiting.setdefault(way, []).append((at, demand))
        heapify(queue)
        while queue:
            least, at = heappop(queue)
            if at in cost:
                continue
            cost[at] = least
            for then, demand in waiting.get(at, ()):
                left[then, id(demand)] -= 1
                if not left[then, id(demand)] and then not in cost:
                    heappush(queue, (self._cost(demand, cost), then))
        return cost

    def _cost(self, demand: Demand, cost: dict[int, float]) -> float:
        return len(demand.facts) + sum(cost.get(way, inf) for way in set(demand.any_of))

    def _walk(self, chosen: dict[int, Demand]) -> Proof:
        """Follow the chosen demands from the node on, the nearest first."""
        path: dict[int, Demand] = {}
        todo = [self.node]
        for at in todo:
            if at not in path:
                path[at] = chosen[at]
                todo += (way for way in chosen[at].any_of if way not in self.never)
        return Proof(tuple(path.items()))

    # -- the smallest -------------------------------------------------------------------------

    def smallest(self, effort: float, progress: Progress) -> Proof:
        """Choose the proof with the fewest facts."""
        proof = self.any_proof()
        if len(proof.facts) <= 1:
            return proof
        choice = Choice()
        shut = {at: choice.variable() for at in self.demands}
        facts = {fact: choice.variable() for fact in sorted(self.facts())}
        used: dict[int, list[tuple[int, Demand]]] = {}
        choice.any_of([shut[self.node]])
        for at, demands in self.demands.items():
            used[at] = [(choice.variable(), demand) for demand in demands]
            choice.implies(shut[at], (variable for variable, _ in used[at]))
            for variable, demand in used[at]:
                for way in set(demand.any_of) - self.never:
                    choice.implies(variable, [shut[way]])
                for fact in demand.facts:
                    choice.implies(variable, [facts[fact]])
        everything = [variable for these in used.values() for variable, _ in these]
        weight = len(everything) + 1
        choice.minimise(
            dict.fromkeys(facts.values(), weight) | dict.fromkeys(everything, 1),
        )
        answer = choice.solve(effort=effort, seconds=_PATIENCE_S * effort, progress=progress)
        if not answer.feasible:
            return Proof(proof.demands, smallest=False)
        chosen = {
            at: next((d for v, d in these if v in answer.chosen), these[0][1])
            for at, these in used.items()
            if these
        }
        found = self._walk(chosen)
        fewest = -(-(answer.bound - len(everything)) // weight)
        smallest = answer.optimal or len(found.facts) <= fewest
        if len(found.facts) > len(proof.facts):
            found = proof
        return Proof(found.demands, smallest)
