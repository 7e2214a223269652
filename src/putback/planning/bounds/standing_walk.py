"""The least that changes of standing cost, by how many there are.

Nothing is lost by doing in each standing all that can be done there, as long as only what must
come before what is asked: more done never bars anything. So a walk through the standings alone
says what gets done on it, and the cheapest walks are found exactly, change by change (dynamic
programming over how the vehicle stands and what is done).
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count
from math import inf

from putback.planning.bounds.landmarks import Landmarks
from putback.planning.posing.problem import Clause, Kind
from putback.planning.search.walks import Walk
from putback.vehicle.ids import StandingId, split_ref

_MOST_CHANGES = 24
"""Of more changes only the least cost of all such walks is told."""

_MOST_TRIED = 400
"""So many bouts are looked into at most; what is found till then stays a bound."""

MOST_VISITS = 9
"""Walks with more visits are not gone through one by one."""

Change = Mapping[tuple[StandingId, StandingId], float]
"""The least that going from one standing to another costs, whatever is off [minutes]."""


def least_walks(walks: "Walks") -> list[float]:
    """Give what walks that reach the targets cost at least [minutes].

    The entry *k* speaks of walks with *k* changes of standing, the last of all with more; infinite
    where there is none.
    """
    if not walks.problem.usable:
        return [0.0]
    of_all = walks.least_of_all()
    at = walks.begin()
    least: list[float] = []
    while len(least) <= _MOST_CHANGES and walks.tried <= _MOST_TRIED:
        least.append(walks.least(at))
        at = walks.go_on(at)
    more = min((cost for each in at.values() for cost in each.values()), default=inf)
    return [*least, max(of_all, more)]


_Reached = dict[StandingId, dict[int, float]]
"""By how the vehicle stands and what is done, as bits, the least to get there [minutes]."""


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something to do: its bit, in which standings (``None``: any), and after one of each."""

    bit: int
    standings: frozenset[StandingId] | None
    asks: tuple[int, ...]


class Walks:
    """Walks of one problem, and how far one gets on each."""

    def __init__(self, marks: Landmarks, targets: Sequence[Clause], change: Change) -> None:
        """Lay out what is to be done, and what going from standing to standing costs at least."""
        self.marks = marks
        self.targets = targets
        self.problem = marks.problem
        self._change = change
        self.tried = 0
        self._known: dict[tuple[int, StandingId], int] = {}
        bits = {thing: 1 << number for number, thing in enumerate(marks.order)}
        self._things = [
            _Thing(
                bits[thing],
                None if (only := marks.standings(thing)) is None else frozenset(only),
                tuple(sum({bits[way] for way in ways}) for ways in marks.ways[thing]),
            )
            for thing in marks.order
        ]
        asked = (sum({bits[way] for way in each.any_of if way in bits}) for each in targets)
        self._targets = [ways for ways in asked if ways]
        stands = {
            StandingId(split_ref(node.what)[1]): index
            for index, node in enumerate(self.problem.nodes)
            if node.kind is Kind.STANDING
        }
        self._asks_first = {
            each for each, index in stands.items() if self.problem.nodes[index].clauses
        }
        self._entered = {each: bits[index] for each, index in stands.items() if index in bits}

    def begin(self) -> _Reached:
        """Stand as the vehicle stands, or as it may; and do all that can be done so."""
        start = self.problem.start
        if start is not None:
            return {start: {self._all_done(0, start): 0.0}}
        return {
            standing: {self._all_done(0, standing): 0.0}
            for standing in self.problem.usable
            if standing not in self._asks_first
        }

    def go_on(self, at: _Reached) -> _Reached:
        """Change the standing once more."""
        reached: _Reached = {}
        for here, ways in at.items():
            for there in self.problem.usable:
                minutes = self._change[here, there]
                if there == here or minutes == inf:
                    continue
                for done, cost in ways.items():
                    if self._may_enter(there, done):
                        after = self._all_done(done, there)
                        known = reached.setdefault(there, {})
                        known[after] = min(known.get(after, inf), cost + minutes)
        return {standing: dict(_best(ways)) for standing, ways in reached.items()}

    def least(self, at: _Reached) -> float:
        """Give the least of those that reach the targets."""
        return min(
            (cost for ways in at.values() for done, cost in ways.items() if self._reached(done)),
            default=inf,
        )

    def least_of_all(self) -> float:
        """Give the least of all walks that reach the targets, or, tried too often, of more."""
        number = count()
        queue = [
            (cost, next(number), standing, done)
            for standing, ways in self.begin().items()
            for done, cost in ways.items()
        ]
        seen: set[tuple[StandingId, int]] = set()
        while queue:
            cost, _, here, done = heappop(queue)
            if self._reached(done) or self.tried > _MOST_TRIED:
                return cost
            if (here, done) in seen:
                continue
            seen.add((here, done))
            for there in self.problem.usable:
                minutes = self._change[here, there]
                if there != here and minutes < inf and self._may_enter(there, done):
                    after = self._all_done(done, there)
                    if after != done:  # else one may as well go on from here
                        heappush(queue, (cost + minutes, next(number), there, after))
        return inf

    def in_order(self) -> Iterator[tuple[float, Walk, bool]]:
        """Give the walks of up to `MOST_VISITS` visits, the cheapest first.

        Of each what it costs [minutes], and whether all targets are reached on it. Walks that get
        no further than shorter ones are given as well.
        """
        number = count()
        queue: list[tuple[float, int, Walk, int]] = [
            (cost, next(number), (standing,), done)
            for standing, ways in self.begin().items()
            for done, cost in ways.items()
        ]
        while queue:
            cost, _, walk, done = heappop(queue)
            yield cost, walk, self._reached(done)
            here = walk[-1]
            for there in self.problem.usable if len(walk) < MOST_VISITS else ():
                minutes = self._change[here, there]
                if there != here and minutes < inf and self._may_enter(there, done):
                    after = self._all_done(done, there)
                    heappush(queue, (cost + minutes, next(number), (*walk, there), after))

    def _reached(self, done: int) -> bool:
        return all(done & target for target in self._targets)

    def _may_enter(self, standing: StandingId, done: int) -> bool:
        """Whether what must be off is; of a standing that nothing asks for nobody looked."""
        asked = self._entered.get(standing)
        return asked is None or standing == self.problem.start or bool(asked & done)

    def _all_done(self, done: int, standing: StandingId) -> int:
        """Do in a standing all that can be done there."""
        if (done, standing) not in self._known:
            self.tried += 1
            self._known[done, standing] = self._doing_all(done, standing)
        return self._known[done, standing]

    def _doing_all(self, done: int, standing: StandingId) -> int:
        left = [
            each
            for each in self._things
            if not each.bit & done and (each.standings is None or standing in each.standings)
        ]
        while True:
            later = []
            for each in left:
                if all(done & ways for ways in each.asks):
                    done |= each.bit
                else:
                    later.append(each)
            if len(later) == len(left):
                return done
            left = later


def _best(ways: Mapping[int, float]) -> Iterator[tuple[int, float]]:
    """Leave out what gets no further than another that costs no more."""
    kept: list[int] = []
    for done, cost in sorted(ways.items(), key=lambda way: (way[1], -way[0].bit_count())):
        if not any(done & other == done for other in kept):
            kept.append(done)
            yield done, cost
