"""What every way to the goal contains, and what comes before what in all of them.

Landmarks are the facts of an AND/OR graph that no way to its targets can do without: J. Hoffmann,
J. Porteous, L. Sebastia, *Ordered landmarks in planning*, JAIR 22, 2004. Those of the graph alone
are complete; the orders that bind if both things are done, which is so between two landmarks, and
the cracks that come before joints are added to them.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.choose import closure, derive
from putback.planning.search.common import common_to_all
from putback.vehicle.ids import StandingId

Ways = Mapping[int, tuple[tuple[int, ...], ...]]
"""Of each thing, and of each of what it asks for, the ways that are open: one comes before it."""


@dataclass(frozen=True, slots=True)
class Landmarks:
    """Things by number: the problem's nodes, then cracks, which are steps of their own.

    A crack is done in the place of its joint's undoing, before it or together with it.
    """

    problem: Problem
    order: tuple[int, ...]
    """All that can be done, in an order in which the clauses alone let it be done."""
    ways: Ways
    before: Mapping[int, int]
    """Of each thing what is always done before it, itself with it, as bits."""
    sure: frozenset[int]
    """The nodes that every way to the targets contains."""
    steps: tuple[int, ...]
    """The sure things that are steps, cracks among them; each behind what is before it."""
    cracked: Mapping[int, int]
    """Of each crack the node that it cracks."""

    def standings(self, thing: int) -> Collection[StandingId] | None:
        """Give the standings in one of which a thing is done; ``None`` if any will do."""
        if thing in self.cracked:
            crack_in = self.problem.nodes[self.cracked[thing]].crack_in
            return () if crack_in is None else (crack_in,)
        return self.problem.nodes[thing].standings


def landmarks(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> Landmarks:
    """Find the landmarks of the targets, with all that orders them; without what is barred."""
    plain = what_comes_before(problem, targets, barred)
    sure = in_all(targets, plain)
    first = len(problem.nodes)
    crack_of = {
        index: first + number
        for number, index in enumerate(
            index
            for index in plain
            if problem.nodes[index].crack_in is not None
            and problem.nodes[index].what not in problem.cracking
        )
    }
    ways = {
        index: tuple(dict.fromkeys(_ways(problem, plain, sure, crack_of, index)))
        for index in plain
    }
    order = (*crack_of.values(), *plain)
    ways |= dict.fromkeys(crack_of.values(), ())
    before = common_to_all(order, ways, first + len(crack_of))
    surely = sum(1 << index for index in sure)
    surely |= sum(1 << crack for index, crack in crack_of.items() if index in sure)
    steps = [
        thing
        for thing in order
        if surely >> thing & 1 and (thing >= first or problem.nodes[thing].kind.is_step)
    ]
    steps.sort(key=lambda thing: ((before[thing] & surely).bit_count(), thing))
    cracked = {crack: index for index, crack in crack_of.items()}
    return Landmarks(problem, order, ways, before, sure, tuple(steps), cracked)


def _ways(
    problem: Problem,
    open_ones: Collection[int],
    sure: Collection[int],
    crack_of: Mapping[int, int],
    index: int,
) -> Iterable[tuple[int, ...]]:
    """What a node asks for: its clauses, orders between sure things, and its crack."""
    for clause in problem.nodes[index].clauses:
        if ways := tuple(way for way in clause.any_of if way in open_ones):
            yield ways
    if index in sure:
        for each in problem.orders_onto.get(index, ()):
            if each.first in sure:
                yield (each.first,)
    if index in crack_of:
        yield (crack_of[index],)


def what_comes_before(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> dict[int, int]:
    """Give of each node that can be done what is always done before it, by clauses alone."""
    relevant = closure(problem, targets) - frozenset(barred)
    order = derive(problem, relevant, orders=False)
    among = frozenset(order)
    ways = {
        index: tuple(
            tuple(way for way in clause.any_of if way in among)
            for clause in problem.nodes[index].clauses
        )
        for index in order
    }
    return common_to_all(order, ways, len(problem.nodes))


def in_all(targets: Sequence[Clause], before: Mapping[int, int]) -> frozenset[int]:
    """Give the nodes that every way to the targets contains."""
    everything = sum(1 << index for index in before)
    shared = 0
    for target in targets:
        common = everything
        for way in target.any_of:
            if way in before:
                common &= before[way]
        shared |= common
    return frozenset(index for index in before if shared >> index & 1)


def unavoidable(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> frozenset[int]:
    """Give the nodes that every way to the targets contains."""
    return in_all(targets, what_comes_before(problem, targets, barred))
