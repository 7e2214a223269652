"""How often work must be come back to: what precedence forces beyond one visit of each sort.

Things are sorted by what is in hand for them (a zone; a tool; zone and tool; helpers or none). A
*stretch* of a sort lasts from one of its things to another as long as nothing of another sort
comes between. Each sort has at least one, and more

- where a chain of precedence leaves the sort and comes back to it;
- where its things want several standings (a stretch that goes on over a change of standing is
  counted as two here, which `Stretches.least` says);
- where sorts wait for one another in a circle: if each had one stretch only, these would follow
  one another, and the first of them would wait for the last.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import combinations

from putback.planning.bounds.lanes import Lanes, in_lanes
from putback.planning.posing.problem import Node, Problem
from putback.progress import NoProgress, Progress
from putback.solvers import Choice
from putback.vehicle.ids import StandingId

_EFFORT = 0.5
"""Effort for each look at the circles, in the solver's own count [-]."""

_SWEEPS = 4
"""How often chains are followed through alternatives; less only makes the count smaller."""


Sort = tuple[object, ...]
"""What is in hand: such as a zone, or a zone and a tool; ``None`` where it does not matter."""


@dataclass(frozen=True, slots=True)
class Stretches:
    """The least number of stretches of several sorts together.

    ``cut`` counts them as cut wherever the standing changes: so many, less one for each change.
    """

    uncut: int
    cut: int

    def least(self, changes: int) -> int:
        """How many there are at least with so many changes of standing."""
        return max(self.uncut, self.cut - changes)


class Landmarks:
    """What every way to the targets contains, and what comes before what in all of them."""

    def __init__(self, problem: Problem, order: Sequence[int], before: Mapping[int, int]) -> None:
        """Take the nodes that can be done, and of each the bits of what is always before it."""
        self.problem = problem
        self.order = order
        self.before = before
        self.ways = {
            index: [
                ways
                for clause in problem.nodes[index].clauses
                if (ways := [way for way in clause.any_of if way in before])
            ]
            for index in order
        }
        """Of each node and each of its clauses, the ways that can be gone."""

    def count(
        self,
        sure: Collection[int],
        sort_of: Callable[[Node], Sort],
        progress: Progress = NoProgress(),
    ) -> Stretches:
        """Count the stretches of the sorts among ``sure`` things that no way is without."""
        nodes = self.problem.nodes
        sorts: dict[Sort, list[int]] = {}
        for index in sorted(sure):
            sort = sort_of(nodes[index])
            if nodes[index].kind.is_step and None not in sort:
                sorts.setdefault(sort, []).append(index)
        least = self._by_chains(sorts, sort_of)
        cut = {
            sort: max(least[sort], _fewest(self._standings(members)))
            for sort, members in sorts.items()
        }
        waits = self._waits(sorts)

        def circles(count: Mapping[Sort, int]) -> int:
            once = {sort for sort, stretches in count.items() if stretches == 1}
            return _circles({sort: waits[sort] & once for sort in once}, progress)

        around = circles(cut)
        same = {sort for sort in sorts if least[sort] > 1} == {s for s in sorts if cut[s] > 1}
        return Stretches(
            sum(least.values()) + (around if same else circles(least)),
            sum(cut.values()) + around,
        )

    def _by_chains(
        self, sorts: Mapping[Sort, Iterable[int]], sort_of: Callable[[Node], Sort]
    ) -> dict[Sort, int]:
        """The most stretches of each sort that one chain makes.

        Work goes in phases, in turn without the sort and within it; what is done in which phase
        at the earliest follows from what must come before. All sorts are gone through at once,
        each in a lane of one number.
        """
        lanes = Lanes(len(sorts))
        belongs, counts = _bears(self.problem.nodes, self.order, tuple(sorts), sort_of)
        phase = [0] * len(self.problem.nodes)
        for _ in range(_SWEEPS):
            changed = False
            for index in self.order:
                now = earliest = phase[index]
                for ways in self.ways[index]:
                    by = phase[ways[0]]
                    for way in ways[1:]:
                        by = lanes.least(by, phase[way])
                    if by != earliest:
                        earliest = lanes.most(earliest, by)
                earliest += (earliest & lanes.ones ^ belongs[index]) & counts[index]
                if earliest != now:
                    phase[index], changed = earliest, True
            if not changed:
                break
        most = {
            sort: max(lanes.read(phase[index], lane) for index in members)
            for lane, (sort, members) in enumerate(sorts.items())
        }
        return {sort: max(1, (phases + 1) // 2) for sort, phases in most.items()}

    def _standings(self, members: Iterable[int]) -> set[frozenset[StandingId]]:
        """Of each thing, the standings in one of which it is worked on."""
        wanted: set[frozenset[StandingId]] = set()
        for index in members:
            node = self.problem.nodes[index]
            if node.standings:
                wanted.add(node.standings)
            if node.crack_in is not None and node.what not in self.problem.cracking:
                wanted.add(frozenset({node.crack_in}))
        return wanted

    def _waits(self, sorts: Mapping[Sort, Iterable[int]]) -> dict[Sort, set[Sort]]:
        """Which sorts have something that waits for something of another."""
        bits = {sort: sum(1 << index for index in members) for sort, members in sorts.items()}
        waits: dict[Sort, set[Sort]] = {}
        for sort, members in sorts.items():
            before = 0
            for index in members:
                before |= self.before[index]
            waits[sort] = {
                other for other, theirs in bits.items() if other != sort and before & theirs
            }
        return waits


def _bears(
    nodes: Sequence[Node],
    order: Iterable[int],
    sorts: Sequence[Sort],
    sort_of: Callable[[Node], Sort],
) -> tuple[dict[int, int], dict[int, int]]:
    """What each node means for the stretches of all sorts, in lanes.

    First where it belongs to the stretch, then where it does that or ends it; elsewhere it may
    be done within it.
    """
    belongs: dict[int, int] = {}
    counts: dict[int, int] = {}
    known: dict[Sort, tuple[int, int]] = {}
    for index in order:
        if not nodes[index].kind.is_step:
            belongs[index] = counts[index] = 0
            continue
        theirs = sort_of(nodes[index])
        if theirs not in known:
            own = in_lanes(theirs == sort for sort in sorts)
            known[theirs] = (
                own,
                own
                | in_lanes(
                    any(a is not None and a != b for a, b in zip(theirs, sort, strict=True))
                    for sort in sorts
                ),
            )
        belongs[index], counts[index] = known[theirs]
    return belongs, counts


def _fewest(wanted: Collection[frozenset[StandingId]]) -> int:
    """The fewest standings of which each set has one."""
    every = sorted(frozenset[StandingId]().union(*wanted))
    for size in range(len(every) + 1):
        for some in combinations(every, size):
            if all(not each.isdisjoint(some) for each in wanted):
                return max(size, 1)
    return 1


def _circles(waits: Mapping[Sort, Set[Sort]], progress: Progress) -> int:
    """The fewest sorts without which none wait for one another in a circle."""
    choice = Choice()
    again = {sort: choice.variable() for sort in waits}
    choice.minimise(dict.fromkeys(again.values(), 1))
    for sort, others in waits.items():
        for other in others:
            if sort in waits[other] and again[other] < again[sort]:
                choice.any_of((again[sort], again[other]))
    least = 0
    while True:
        answer = choice.solve(effort=_EFFORT, progress=progress)
        if not answer.feasible:
            return least
        least = max(least, answer.bound)
        left = {sort for sort in waits if again[sort] not in answer.chosen}
        found = False
        while circle := _circle(left, waits):
            choice.any_of(again[sort] for sort in circle)
            left -= set(circle)
            found = True
        if not found or not answer.optimal:
            return least


def _circle(among: Set[Sort], waits: Mapping[Sort, Set[Sort]]) -> list[Sort]:
    """Find some sorts that wait for one another in a circle; none if there are none."""
    left = set(among)
    while ends := {sort for sort in left if waits[sort].isdisjoint(left)}:
        left -= ends
    if not left:
        return []
    path = [min(left, key=str)]
    while True:
        step = min(waits[path[-1]] & left, key=str)
        if step in path:
            return path[path.index(step) :]
        path.append(step)
