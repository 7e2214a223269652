"""The least that changes of standing cost, as precedence has them follow one another.

A thing is done in one of its standings, and what must come before it was done before, in one of
theirs. So the way there costs at least what the way to any of these costs, and the change from
where that was done. Followed through all that must come before what, this counts every standing
that precedence makes one come back to.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import chain
from math import inf

from putback.planning.posing.problem import Clause, Problem
from putback.vehicle.ids import StandingId

_SWEEPS = 4
"""How often ways are followed through alternatives; less only makes the bound smaller."""

Change = Mapping[tuple[StandingId, StandingId], float]
"""The least that going from one standing to another costs, whatever is off [minutes]."""


def least_walk(
    problem: Problem,
    targets: Sequence[Clause],
    order: Sequence[int],
    sure: Collection[int],
    change: Change,
) -> float:
    """Give what changes of standing cost at least in every plan [minutes].

    Parameters
    ----------
    problem : Problem
        What can be done.
    targets : sequence of Clause
        What is to be fulfilled at the end.
    order : sequence of int
        The nodes that may be done, in an order in which they can.
    sure : collection of int
        Those that every plan does.
    change : mapping
        What a change costs at least, [minutes].
    """
    standings = tuple(problem.vehicle.standings)
    if not standings:
        return 0.0
    begin = [
        0.0 if problem.start is None else change[problem.start, standing] for standing in standings
    ]
    at = {index: list(begin) for index in order}
    step = [[change[here, there] for here in standings] for there in standings]
    bound = _before(problem, order, sure)
    for _ in range(_SWEEPS):
        changed = False
        for index in order:
            node = problem.nodes[index]
            least = at[index]
            for any_of in bound[index]:
                came = _least_of(at, any_of, len(standings))
                if came is None:
                    continue
                for number, row in enumerate(step):
                    there = min(map(sum, zip(came, row, strict=True)))
                    if there > least[number]:
                        least[number], changed = there, True
            for number, standing in enumerate(standings):
                if least[number] < inf and not node.allows(standing):
                    least[number], changed = inf, True
        if not changed:
            break
    ends = [_least_of(at, target.any_of, len(standings)) for target in targets]
    return max((min(end) for end in ends if end and min(end) < inf), default=0.0)


def _before(
    problem: Problem, order: Iterable[int], sure: Collection[int]
) -> dict[int, list[tuple[int, ...]]]:
    """Give what comes before each node: of each group one at least."""
    return {
        index: [
            *dict.fromkeys(
                chain(
                    (clause.any_of for clause in problem.nodes[index].clauses),
                    (
                        (each.first,)
                        for each in problem.orders_onto.get(index, ())
                        if index in sure and each.first in sure
                    ),
                )
            )
        ]
        for index in order
    }


def _least_of(
    at: Mapping[int, list[float]], any_of: Iterable[int], count: int
) -> list[float] | None:
    """Give the least to have one of some done, by the standing in which it was done."""
    ways = [at[by] for by in any_of if by in at]
    if len(ways) < 2:
        return ways[0] if ways else None
    return [min(way[number] for way in ways) for number in range(count)]
