"""What binds only because something else is done: orders and standings, as demands of a graph.

An order says which of two things comes first if both are done. Where every plan does the one, it
is a demand of the other; so it is where all the standings in which a thing is done stand on a
part: it comes off after that. These demands rest on more than the facts they name (on all for
which the one is done), so they prove nothing. They tell which facts to try to plan without.
"""

from collections.abc import Iterator, Set

from putback.planning.impossible.andor import Demand, Graph
from putback.planning.impossible.grounds import Grounds, shut_in
from putback.planning.known import bears_on
from putback.planning.posing.fact import Fact, Sort
from putback.vehicle.ids import StandingId, part_ref


class Binding:
    """The orders and standings of a problem."""

    def __init__(self, grounds: Grounds) -> None:
        """Take what may bind from this problem."""
        self.problem = grounds.problem
        self.graph = grounds.graph
        self.goal = grounds.goal
        self._shut: dict[int, dict[StandingId, frozenset[Fact]]] = {}
        self._orders: dict[int, list[tuple[int, tuple[Fact, ...]]]] = {}
        for order in self.problem.orders:
            source = order.cause.source
            facts = (source,) if source is not None else ()
            self._orders.setdefault(order.first, []).append((order.then, facts))

    def bound(self, given_up: Set[Fact]) -> Graph:
        """Give the graph of the problem with what binds where some facts are given up."""
        possible = self.graph.possible(but=given_up)
        more: list[tuple[int, Demand]] = []
        seen: set[tuple[int, ...]] = set()
        for node in self._forced(possible, given_up):
            for demand in self.graph.demands[node]:
                if not given_up.isdisjoint(demand.facts):
                    continue
                ways = tuple(way for way in demand.any_of if way in possible)
                if not ways or ways in seen:
                    continue
                seen.add(ways)
                later = [self._later(way, given_up) for way in ways]
                for then in sorted(set(later[0]).intersection(*later[1:]).difference(ways)):
                    facts = dict.fromkeys(fact for each in later for fact in each[then])
                    more.append((then, Demand(ways, tuple(facts))))
        return self.graph.with_more(more)

    def _later(self, node: int, given_up: Set[Fact]) -> dict[int, tuple[Fact, ...]]:
        """What cannot come before a node if both are done, and the facts that say so."""
        if node >= len(self.problem.nodes):
            return {}
        orders = self._orders.get(node, ())
        found = {then: facts for then, facts in orders if given_up.isdisjoint(facts)}
        return dict(self._stood(node, given_up)) | found

    def _stood(self, node: int, given_up: Set[Fact]) -> Iterator[tuple[int, tuple[Fact, ...]]]:
        """What takes off a part on which the vehicle stands for a node, however it does."""
        if node not in self._shut:
            self._shut[node] = {
                each: frozenset(shut_in(self.problem, self.problem.nodes[node], each))
                for each in self.problem.vehicle.standings
            }
        shut = {each: facts - given_up for each, facts in self._shut[node].items()}
        free = [each for each, facts in shut.items() if not facts]
        if not free or len(free) == len(shut):
            return
        elsewhere = tuple(min(facts) for facts in shut.values() if facts)
        standings = self.problem.vehicle.standings
        for part in sorted(frozenset.intersection(*(bears_on(standings[s]) for s in free))):
            under = tuple(Fact(Sort.BEARS, each, part) for each in free)
            if given_up.isdisjoint(under):
                for then in self.problem.providers.get(part_ref(part), ()):
                    yield then, elsewhere + under

    def _forced(self, possible: Set[int], given_up: Set[Fact]) -> set[int]:
        """Nodes that every way to the goal contains, as far as demands with one way say so."""
        forced: set[int] = set()
        todo = [self.goal] if self.goal in possible else []
        while todo:
            at = todo.pop()
            if at not in forced:
                forced.add(at)
                for demand in self.graph.demands[at]:
                    ways = [way for way in demand.any_of if way in possible]
                    if len(ways) == 1 and given_up.isdisjoint(demand.facts):
                        todo.append(ways[0])
        return forced
