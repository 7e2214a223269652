"""Settle what contradicts itself: which edges give way, which of several ways is taken.

Turned round, a rebuild is a strip: a step may be taken back once all that comes after it is taken
back, and for an `Either` one of its ways suffices. Taking back never spoils anything that could be
taken back before, so going on greedily finds an order if there is one (the waiting conditions of
Möhring, Skutella and Stork, "Scheduling with AND/OR precedence constraints", SIAM Journal on
Computing 33, 2004; *from memory*). Where it ends early, every step that is left waits for another
that is left: a contradiction.
"""

from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Set
from dataclasses import dataclass
from functools import partial
from heapq import heapify, heappop, heappush
from itertools import chain

from putback.planning.rebuild.edges import Edge, Either, Facts, Strength
from putback.planning.rebuild.touch import Unit
from putback.planning.rebuild.work import Node, Work

_NO_FACTS = Facts((), ())


@dataclass(frozen=True)
class Settled:
    """Edges without a contradiction, in which every choice is made.

    ``given_way`` are the edges that had to go; ``facts`` all there were, with every choice open.
    """

    edges: tuple[Edge, ...]
    given_way: tuple[Edge, ...] = ()
    facts: Facts = _NO_FACTS


@dataclass(eq=False)
class Contradiction(Exception):
    """Facts that put each of their steps after another of them."""

    edges: tuple[Edge, ...]


def settle(
    work: Work, facts: Facts, latest: Mapping[Node, float], units: Mapping[Node, Unit]
) -> Settled:
    """Drop what has to give way and choose among the ways.

    Parameters
    ----------
    work : Work
        All steps.
    facts : Facts
        What orders them.
    latest : mapping of Node to float
        Where each step stood in the strip, turned round: of two ways, the one that was gone
        earlier in the strip is taken, since that is known to work.
    units : mapping of Node to Unit
        What touches what: of two ways, rather one by which each unit touches something.

    Raises
    ------
    Contradiction
        If facts alone, without what may give way, cannot all hold.
    """
    nodes = work.nodes
    dropped: dict[Edge, None] = {}
    backwards = _TakingBack(nodes, facts.edges, facts.eithers, latest)
    left = list(facts.edges)
    while len(order := backwards.run()) < len(nodes):
        left = [e for e in left if e.first not in order and e.then not in order]
        left = [e for e in left if e not in dropped]
        drop = _to_drop(nodes, left, facts, order, dropped)
        dropped[drop] = None
        backwards.drop(drop)
    edges = [edge for edge in facts.edges if edge not in dropped]
    if dropped:
        order = _TakingBack(nodes, edges, facts.eithers, latest).run()
    eithers, better = facts.eithers, order
    rather = _rather(facts.eithers, units)
    if rather != facts.eithers:
        other = _TakingBack(nodes, edges, rather, latest).run()
        if len(other) == len(nodes):
            eithers, better = rather, other
    order = _PuttingBack(work, edges, eithers, units, better).order() or better
    chosen = [_best_way(either, order) for either in eithers]
    return Settled((*edges, *(edge for way in chosen for edge in way)), tuple(dropped), facts)


def _to_drop(
    nodes: Iterable[Node],
    left: Iterable[Edge],
    facts: Facts,
    order: Mapping[Node, int],
    dropped: Collection[Edge],
) -> Edge:
    """Find a ring among the steps that are left, and the weakest edge of it.

    Raises
    ------
    Contradiction
        If facts alone make the ring.
    """
    ring, forced = _ring(nodes, left, facts.eithers, order)
    weak = [edge for edge in ring if edge.strength is not Strength.FACT]
    if not weak and not forced:
        waiting = [e for e in facts.edges if e.then not in order and e not in dropped]
        weak = [edge for edge in waiting if edge.strength is not Strength.FACT]
    if not weak:
        raise Contradiction(tuple(ring))
    weakest = max(edge.strength for edge in weak)
    bench = next((edge for edge in weak if edge.strength is Strength.BENCH), None)
    if weakest is Strength.BENCH and bench is not None:
        raise Contradiction((bench,))
    return next(edge for edge in weak if edge.strength is weakest)


class _TakingBack:
    """Takes back what can be taken back, latest first; goes on when an edge has given way."""

    def __init__(
        self,
        nodes: Iterable[Node],
        edges: Iterable[Edge],
        eithers: Iterable[Either],
        latest: Mapping[Node, float],
    ) -> None:
        self.latest = latest
        self.before: dict[Node, list[Node]] = {node: [] for node in nodes}
        for edge in edges:
            self.before[edge.then].append(edge.first)
        self.after: dict[Node, int] = dict.fromkeys(self.before, 0)
        """How much that comes later each step still waits for."""
        self.after |= Counter(chain.from_iterable(self.before.values()))
        self.of: list[Node] = []
        self.ways: dict[Node, list[tuple[int, int]]] = {}
        self.missing: list[list[int]] = []
        for number, either in enumerate(eithers):
            self.after[either.of] += 1
            self.of.append(either.of)
            self.missing.append([len(way) for way in either.ways])
            for choice, way in enumerate(either.ways):
                for edge in way:
                    self.ways.setdefault(edge.then, []).append((number, choice))
        self.satisfied = [False] * len(self.of)
        self.free = [(-latest[node], node) for node, count in self.after.items() if not count]
        heapify(self.free)
        self.order: dict[Node, int] = {}

    def run(self) -> dict[Node, int]:
        """Take back all that can be; give each step so far its place in that."""
        while self.free:
            _, node = heappop(self.free)
            self.order[node] = len(self.order)
            for first in self.before[node]:
                left = self.after[first] = self.after[first] - 1
                if not left:
                    heappush(self.free, (-self.latest[first], first))
            for number, choice in self.ways.get(node, ()):
                self.missing[number][choice] -= 1
                if not self.missing[number][choice] and not self.satisfied[number]:
                    self.satisfied[number] = True
                    self._release(self.of[number])
        return self.order

    def drop(self, edge: Edge) -> None:
        """Let an edge give way of which neither end is taken back yet."""
        self.before[edge.then].remove(edge.first)
        self._release(edge.first)

    def _release(self, node: Node) -> None:
        self.after[node] -= 1
        if not self.after[node]:
            heappush(self.free, (-self.latest[node], node))


def _rather(eithers: Iterable[Either], units: Mapping[Node, Unit]) -> tuple[Either, ...]:
    """Leave out ways by which a unit would go on before what holds it, where there are others."""
    found = []
    for either in eithers:
        holding = units[either.of].touches if either.of in units else frozenset()
        others = tuple(
            way
            for way in either.ways
            if all(holding.isdisjoint(units[e.then].parts) for e in way if e.then in units)
        )
        found.append(Either(either.of, others or either.ways))
    return tuple(found)


def _best_way(either: Either, order: Mapping[Node, int]) -> tuple[Edge, ...]:
    """The way that is gone on latest."""
    return min(either.ways, key=lambda way: max(order[edge.then] for edge in way))


class _PuttingBack:
    """Goes through a rebuild by an order that works, but puts on first what touches something.

    Steps are known by their place in that order, so that a sorted list of places is a queue.
    """

    def __init__(
        self,
        work: Work,
        edges: Iterable[Edge],
        eithers: Iterable[Either],
        units: Mapping[Node, Unit],
        taken_back: Mapping[Node, int],
    ) -> None:
        self.nodes = sorted(taken_back, key=lambda node: -taken_back[node])
        place = {node: at for at, node in enumerate(self.nodes)}
        self.waits = [0] * len(self.nodes)
        self.after: list[list[int]] = [[] for _ in self.nodes]
        for edge in edges:
            then = place[edge.then]
            self.waits[then] += 1
            self.after[place[edge.first]].append(then)
        self.later: dict[int, set[int]] = {}
        """What comes after a step, however far, of those asked about."""
        self.units = {place[node]: unit for node, unit in units.items()}
        self.puts_on = {part: at for at, unit in self.units.items() for part in unit.parts}
        self.aloft: set[int] = set()
        """Units of which all that they touch is still off."""
        self.aloft_for: dict[str, list[int]] = {}
        for at, unit in self.units.items():
            if not unit.is_datum and unit.joints and work.off.issuperset(unit.touches):
                self.aloft.add(at)
                for part in unit.touches:
                    self.aloft_for.setdefault(part, []).append(at)
        self.ways: dict[int, list[frozenset[int]]] = {}
        """The ways still open of what is not done yet."""
        self.of: dict[int, list[int]] = {}
        self.whose: list[int] = []
        """The same turned round."""
        self.in_way: dict[int, list[int]] = {}
        self.shuts = [0] * len(self.nodes)
        """How many last ways each step would shut."""
        for number, either in enumerate(eithers):
            ways = [frozenset(place[edge.then] for edge in way) for way in either.ways]
            self.of.setdefault(place[either.of], []).append(number)
            self.whose.append(place[either.of])
            for then in frozenset[int]().union(*ways):
                self.in_way.setdefault(then, []).append(number)
            self._open(number, ways)
        self.ready = [at for at, count in enumerate(self.waits) if not count]
        """Steps that wait for nothing before them."""
        self.touching = [at for at in self.ready if at not in self.aloft]
        """Those of them that touch something, or need not."""

    def order(self) -> dict[Node, int] | None:
        """Each step with its place, counted from the end; none if that leads nowhere."""
        order: dict[Node, int] = {}
        while len(order) < len(self.nodes):
            first = next((at for at in self.ready if not self.shuts[at]), None)
            if first is None:
                return None
            at = self._rather(first) if first in self.aloft or self._strands(first) else first
            order[self.nodes[at]] = -len(order)
            self._do(at)
        return order

    def _rather(self, first: int) -> int:
        """What touches something, and best of all what the first would then touch.

        Rather what leaves to every other a way by which it touches something.
        """
        wanted = self._touched(first) if first in self.aloft else ()
        near = (at for at in sorted(wanted) if _holds(self.touching, at))
        may = [at for at in chain(near, self.touching) if not self.shuts[at]]
        rather = may[0] if may and first in self.aloft else first
        return next((at for at in may if not self._strands(at)), rather)

    def _touched(self, unit: int) -> set[int]:
        """The steps that put on what a unit touches."""
        return {self.puts_on[p] for p in self.units[unit].touches if p in self.puts_on}

    def _strands(self, at: int) -> bool:
        """Whether something could then go on only before all that it touches."""
        for number in self.in_way.get(at, ()):
            of = self.whose[number]
            if number in self.ways and of in self.aloft and of != at:
                left = [way for way in self.ways[number] if at not in way]
                touched = self._touched(of)
                if touched and at not in touched and all(map(partial(self._bars, touched), left)):
                    return True
        return False

    def _bars(self, touched: Set[int], way: Set[int]) -> bool:
        """Whether what goes on before all of a way goes on before all that it touches."""
        return all(at in way or any(at in self._later(then) for then in way) for at in touched)

    def _later(self, at: int) -> Set[int]:
        """What comes after a step, however far."""
        if at not in self.later:
            found, todo = set(self.after[at]), list(self.after[at])
            while todo:
                fresh = [then for then in self.after[todo.pop()] if then not in found]
                found.update(fresh)
                todo += fresh
            self.later[at] = found
        return self.later[at]

    def _open(self, number: int, ways: list[frozenset[int]]) -> None:
        """Leave these ways open, and mind which steps would shut the last of them."""
        self.ways[number] = ways
        for then in frozenset.intersection(*ways):
            self.shuts[then] += 1

    def _shut(self, number: int) -> list[frozenset[int]]:
        """Forget the ways, and give those that were open."""
        ways = self.ways.pop(number)
        for then in frozenset.intersection(*ways):
            self.shuts[then] -= 1
        return ways

    def _do(self, done: int) -> None:
        del self.ready[bisect_left(self.ready, done)]
        if _holds(self.touching, done):
            del self.touching[bisect_left(self.touching, done)]
        for part in self.units[done].parts if done in self.units else ():
            for at in self.aloft_for.pop(part, ()):
                self._touches(at)
        for then in self.after[done]:
            self.waits[then] -= 1
            if not self.waits[then]:
                insort(self.ready, then)
                if then not in self.aloft:
                    insort(self.touching, then)
        for number in self.of.get(done, ()):
            if number in self.ways:
                self._shut(number)
        for number in self.in_way.get(done, ()):
            if number in self.ways:
                self._open(number, [way for way in self._shut(number) if done not in way])

    def _touches(self, at: int) -> None:
        """From now on a unit touches something."""
        if at in self.aloft:
            self.aloft.remove(at)
            if _holds(self.ready, at):
                insort(self.touching, at)


def _holds(places: list[int], at: int) -> bool:
    """Whether a sorted list holds a place."""
    found = bisect_left(places, at)
    return found < len(places) and places[found] == at


def _ring(
    nodes: Iterable[Node],
    edges: Iterable[Edge],
    eithers: Iterable[Either],
    order: Mapping[Node, int],
) -> tuple[list[Edge], bool]:
    """Find a ring among the steps that are left, and whether it closes without any choice."""
    onward: dict[Node, list[Edge]] = {}
    for edge in edges:
        if edge.first not in order and edge.then not in order:
            onward.setdefault(edge.first, []).append(edge)
    choices = set()
    for either in eithers:
        blocked = [[edge for edge in way if edge.then not in order] for way in either.ways]
        if either.of not in order and all(blocked):
            for way in blocked:
                onward.setdefault(either.of, []).append(way[0])
                choices.add(way[0])
    start = next(node for node in nodes if node not in order)
    seen: dict[Node, int] = {}
    path: list[Edge] = []
    at = start
    while at not in seen:
        seen[at] = len(path)
        edge = max(onward[at], key=lambda each: (each.strength, each not in choices))
        path.append(edge)
        at = edge.then
    ring = path[seen[at] :]
    return ring, choices.isdisjoint(ring)
