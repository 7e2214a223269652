"""Which facts an order of steps does not keep to: it is a plan wherever none of these is so.

A plan that was found while some facts are given up seldom breaks all of these. Whatever it does
not break need not be given up, and no planning has to be done to know.
"""

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet

from putback.planning.impossible.grounds import is_where, shut_in
from putback.planning.known import bears_on
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.problem import Clause, Kind, Problem
from putback.planning.search.arrange import Bout
from putback.vehicle.ids import StandingId, split_ref


def broken_by(
    problem: Problem,
    targets: Sequence[Clause],
    bouts: Iterable[Bout],
    so: AbstractSet[Fact] = frozenset(),
) -> frozenset[Fact] | None:
    """Give facts without which the bouts are a plan to the targets, whatever else is so.

    Parameters
    ----------
    problem : Problem
        What can be done while all facts are so.
    targets : sequence of Clause
        What is to be fulfilled at the end.
    bouts : iterable of Bout
        What is done, and in which standing.
    so : set of Fact
        Facts that were so when the bouts were found: of several that could be given up for one
        step, none of these.

    Returns
    -------
    frozenset of Fact or None
        ``None`` where that cannot be told.
    """
    try:
        return frozenset(_Replay(problem, so).replay(bouts, targets))
    except _Untold:
        return None


class _Untold(Exception):  # never leaves this module
    """Something the rules ask for is not there: nothing is said of such a plan."""


class _Replay:
    def __init__(self, problem: Problem, so: AbstractSet[Fact]) -> None:
        self.problem = problem
        self.so = so
        self.here: StandingId | None = problem.start
        self.stood = {problem.start}
        self.place: dict[int, int] = {}
        """When each node was done."""
        self.off = set(problem.parts_off)

    def replay(self, bouts: Iterable[Bout], targets: Sequence[Clause]) -> Iterator[Fact]:
        bouts = tuple(bouts)
        to_come = {move for bout in bouts for move in bout.moves if move >= 0}
        for bout in bouts:
            if bout.standing is None and self.problem.vehicle.standings:
                raise _Untold
            if bout.standing != self.here and bout.standing is not None:
                yield from self._change(bout.standing, to_come)
            for move in bout.moves:
                if move >= 0:
                    yield from self._do(move)
        for target in targets:
            if self.place.keys().isdisjoint(target.any_of):
                if target.cause.source is None:
                    raise _Untold
                yield target.cause.source
        for order in self.problem.orders:
            if order.cause.source is not None and order.then in self.place:
                first = self.place.get(order.first, -1)
                if first > self.place[order.then]:
                    yield order.cause.source

    def _change(self, to: StandingId, to_come: AbstractSet[int]) -> Iterator[Fact]:
        for span in self.problem.spans:
            begun = not self.place.keys().isdisjoint(span.first)
            ended = not self.place.keys().isdisjoint(span.last)
            if begun and not ended and not to_come.isdisjoint(span.last):
                yield span.source
        record = self.problem.vehicle.standings[to]
        if record.wrong:
            yield Fact(Sort.WRONG, to)
        for part in bears_on(record) & self.off:
            gone = part in self.problem.parts_off
            yield Fact(Sort.LOST, to) if gone else Fact(Sort.BEARS, to, part)
        for part in record.needs_off:
            if part not in self.off:
                yield Fact(Sort.NEEDS_OFF, to, part)
        if self.here is not None and not self._leads(self.here, to):
            yield Fact(Sort.NO_CHANGE, to)
        self.here = to
        self.stood.add(to)

    def _leads(self, here: StandingId, to: StandingId) -> bool:
        """Whether changes that are described lead there, by standings free to be entered."""
        standings = self.problem.vehicle.standings
        seen = {here}
        todo = [here]
        for at in todo:
            for then in standings[at].change_minutes:
                if then == to:
                    return True
                if then in standings and then not in seen and self._is_free(then):
                    seen.add(then)
                    todo.append(then)
        return False

    def _is_free(self, standing: StandingId) -> bool:
        record = self.problem.vehicle.standings[standing]
        return (
            not record.wrong
            and bears_on(record).isdisjoint(self.off)
            and self.off.issuperset(record.needs_off)
        )

    def _do(self, index: int) -> Iterator[Fact]:
        node = self.problem.nodes[index]
        at = len(self.place)
        taken = node.parts if node.kind in (Kind.PART, Kind.WHOLE) else frozenset()
        if self.here is not None:
            yield from shut_in(self.problem, node, self.here)
            under = bears_on(self.problem.vehicle.standings[self.here])
            yield from (Fact(Sort.BEARS, self.here, part) for part in taken & under - self.off)
        if node.crack_in is not None and node.crack_in not in self.stood:
            yield Fact(Sort.CRACK_FIRST, split_ref(node.what)[1])
        for clause in node.clauses:
            if not is_where(node, clause, self.problem):
                yield from self._missed(clause)
        self.place[index] = at
        if node.kind in (Kind.PART, Kind.WHOLE):
            self.off |= taken

    def _missed(self, clause: Clause) -> frozenset[Fact]:
        """The fewest facts to give up for a clause to be fulfilled as things are now."""
        source = clause.cause.source
        if source is not None and source.sort is Sort.CRACK_FIRST:
            return frozenset()  # where it was stood is looked at instead
        if not self.place.keys().isdisjoint(clause.any_of):
            return frozenset()
        ways = [] if source is None else [frozenset({source})]
        for way in clause.any_of:
            node = self.problem.nodes[way]
            if node.kind is Kind.PARTED:
                parted = (self._missed(each) for each in node.clauses)
                ways.append(frozenset().union(*parted))
        if not ways:
            raise _Untold
        return min(ways, key=lambda way: (len(way & self.so), len(way)))
