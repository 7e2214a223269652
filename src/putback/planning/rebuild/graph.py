"""Settle what contradicts itself: which edges give way, which of several ways is taken.

Turned round, a rebuild is a strip: a step may be taken back once all that comes after it is taken
back, and for an `Either` one of its ways suffices. Taking back never spoils anything that could be
taken back before, so going on greedily finds an order if there is one (the waiting conditions of
Möhring, Skutella and Stork, "Scheduling with AND/OR precedence constraints", SIAM Journal on
Computing 33, 2004; *from memory*). Where it ends early, every step that is left waits for another
that is left: a contradiction.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from itertools import chain

from putback.planning.rebuild.edges import Edge, Either, Facts, Strength
from putback.planning.rebuild.touch import Unit
from putback.planning.rebuild.work import Node, Work


@dataclass(frozen=True)
class Settled:
    """Edges without a contradiction, in which every choice is made.

    ``given_way`` are the edges that had to go.
    """

    edges: tuple[Edge, ...]
    given_way: tuple[Edge, ...] = ()


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
    edges = list(facts.edges)
    gone: list[Edge] = []
    while True:
        order = _taken_back(nodes, edges, facts.eithers, latest)
        if len(order) == len(nodes):
            eithers = _rather(facts.eithers, units)
            better = _taken_back(nodes, edges, eithers, latest)
            if len(better) < len(nodes):
                eithers, better = facts.eithers, order
            order = _PuttingBack(work, edges, eithers, units, better).order() or better
            chosen = [_best_way(either, order) for either in eithers]
            return Settled((*edges, *(edge for way in chosen for edge in way)), tuple(gone))
        ring, forced = _ring(nodes, edges, facts.eithers, order)
        weak = [edge for edge in ring if edge.strength is not Strength.FACT]
        if not weak and not forced:
            left = [edge for edge in edges if edge.then not in order]
            weak = [edge for edge in left if edge.strength is not Strength.FACT]
        if not weak:
            raise Contradiction(tuple(ring))
        weakest = max(edge.strength for edge in weak)
        bench = next((edge for edge in weak if edge.strength is Strength.BENCH), None)
        if weakest is Strength.BENCH and bench is not None:
            raise Contradiction((bench,))
        drop = next(edge for edge in weak if edge.strength is weakest)
        edges.remove(drop)
        gone.append(drop)


def _taken_back(
    nodes: Iterable[Node],
    edges: Iterable[Edge],
    eithers: Iterable[Either],
    latest: Mapping[Node, float],
) -> dict[Node, int]:
    """Take back what can be taken back, latest first; give each step its place in that."""
    after: dict[Node, int] = dict.fromkeys(nodes, 0)
    before: dict[Node, list[Node]] = {node: [] for node in after}
    for edge in edges:
        after[edge.first] += 1
        before[edge.then].append(edge.first)
    ways: dict[Node, list[tuple[int, int]]] = {}
    missing: list[list[int]] = []
    satisfied: list[bool] = []
    for number, either in enumerate(eithers):
        after[either.of] += 1
        satisfied.append(False)
        missing.append([len(way) for way in either.ways])
        for choice, way in enumerate(either.ways):
            for edge in way:
                ways.setdefault(edge.then, []).append((number, choice))
    of = [either.of for either in eithers]
    free = [(-latest[node], node) for node, count in after.items() if not count]
    heapify(free)
    order: dict[Node, int] = {}

    def release(node: Node) -> None:
        after[node] -= 1
        if not after[node]:
            heappush(free, (-latest[node], node))

    while free:
        _, node = heappop(free)
        order[node] = len(order)
        for first in before[node]:
            release(first)
        for number, choice in ways.get(node, ()):
            missing[number][choice] -= 1
            if not missing[number][choice] and not satisfied[number]:
                satisfied[number] = True
                release(of[number])
    return order


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
        self.left = dict.fromkeys(sorted(work.nodes, key=lambda node: -taken_back[node]))

    def order(self) -> dict[Node, int] | None:
        """Each step with its place, counted from the end; none if that leads nowhere."""
        order: dict[Node, int] = {}
        while self.left:
            first = next(filter(self._is_able, self.left), None)
            if first is None:
                return None
            node = first if self._touches(first) else self._rather(first)
            order[node] = -len(order)
            self._do(node)
        return order

    def _rather(self, first: Node) -> Node:
        """What touches something, and best of all what the first would then touch."""
        able = [n for n in self.left if self._touches(n) and self._is_able(n)]
        wanted = self.units[first].touches
        near = (n for n in able if n in self.units and not wanted.isdisjoint(self.units[n].parts))
        return next(chain(near, able), first)

    def _is_able(self, node: Node) -> bool:
        """Whether all before it is done, and it shuts no last way."""
        return not self.waits[node] and all(
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
        del self.left[node]
        if node in self.units:
            self.off.difference_update(self.units[node].parts)
        for then in self.after[node]:
            self.waits[then] -= 1
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
