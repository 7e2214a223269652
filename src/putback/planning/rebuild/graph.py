"""Settle what contradicts itself: which edges give way, which of several ways is taken.

Turned round, a rebuild is a strip: a step may be taken back once all that comes after it is taken
back, and for an `Either` one of its ways suffices. Taking back never spoils anything that could be
taken back before, so going on greedily finds an order if there is one (the waiting conditions of
Möhring, Skutella and Stork, "Scheduling with AND/OR precedence constraints", SIAM Journal on
Computing 33, 2004; *from memory*). Where it ends early, every step that is left waits for another
that is left: a contradiction.
"""

from bisect import insort
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
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
    eithers = _rather(facts.eithers, units)
    better = _TakingBack(nodes, edges, eithers, latest).run()
    if len(better) < len(nodes):
        eithers, better = facts.eithers, order
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
        self.after: dict[Node, int] = dict.fromkeys(nodes, 0)
        """How much that comes later each step still waits for."""
        self.before: dict[Node, list[Node]] = {node: [] for node in self.after}
        for edge in edges:
            self.after[edge.first] += 1
            self.before[edge.then].append(edge.first)
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
                self._release(first)
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
    """Goes through a rebuild by an order that works, but puts on first what touches something."""

    def __init__(
        self,
        work: Work,
        edges: Iterable[Edge],
        eithers: Iterable[Either],
        units: Mapping[Node, Unit],
        taken_back: Mapping[Node, int],
    ) -> None:
        self.units = units
        self.off = set(work.off)
        self.waits = dict.fromkeys(work.nodes, 0)
        self.after: dict[Node, list[Node]] = {node: [] for node in work.nodes}
        for edge in edges:
            self.waits[edge.then] += 1
            self.after[edge.first].append(edge.then)
        self.ways = {number: list(either.ways) for number, either in enumerate(eithers)}
        """The ways still open of what is not done yet."""
        self.of: dict[Node, list[int]] = {}
        self.in_way: dict[Node, list[int]] = {}
        for number, either in enumerate(eithers):
            self.of.setdefault(either.of, []).append(number)
            for then in dict.fromkeys(edge.then for way in either.ways for edge in way):
                self.in_way.setdefault(then, []).append(number)
        self.place = {node: -at for node, at in taken_back.items()}
        self.left = len(work.nodes)
        waiting = (node for node in work.nodes if not self.waits[node])
        self.ready = sorted((self.place[node], node) for node in waiting)
        """Steps that wait for nothing before them, as they were taken back, last first."""

    def order(self) -> dict[Node, int] | None:
        """Each step with its place, counted from the end; none if that leads nowhere."""
        order: dict[Node, int] = {}
        while self.left:
            first = next((node for _, node in self.ready if self._is_able(node)), None)
            if first is None:
                return None
            node = first if self._touches(first) else self._rather(first)
            order[node] = -len(order)
            self._do(node)
        return order

    def _rather(self, first: Node) -> Node:
        """What touches something, and best of all what the first would then touch."""
        able = [n for _, n in self.ready if self._touches(n) and self._is_able(n)]
        wanted = self.units[first].touches
        near = (n for n in able if n in self.units and not wanted.isdisjoint(self.units[n].parts))
        return next(chain(near, able), first)

    def _is_able(self, node: Node) -> bool:
        """Whether it shuts no last way."""
        return all(
            any(all(edge.then != node for edge in way) for way in self.ways[number])
            for number in self.in_way.get(node, ())
            if number in self.ways
        )

    def _touches(self, node: Node) -> bool:
        unit = self.units.get(node)
        if unit is None or unit.is_datum or not unit.joints:
            return True
        return not self.off.issuperset(unit.touches)

    def _do(self, node: Node) -> None:
        self.left -= 1
        self.ready.remove((self.place[node], node))
        if node in self.units:
            self.off.difference_update(self.units[node].parts)
        for then in self.after[node]:
            self.waits[then] -= 1
            if not self.waits[then]:
                insort(self.ready, (self.place[then], then))
        for number in self.of.get(node, ()):
            self.ways.pop(number, None)
        for number in self.in_way.get(node, ()):
            if number in self.ways:
                ways = self.ways[number]
                self.ways[number] = [w for w in ways if all(edge.then != node for edge in w)]


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
