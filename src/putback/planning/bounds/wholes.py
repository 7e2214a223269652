"""What goes as a whole in every plan that is not much more work than need be.

Whether something goes as a whole or piece by piece is open, and so the bound knows nothing of what
either asks for. But piece by piece is mostly far more work. So there are two cases: all that is
worth it goes as a whole, which is then as sure as anything that every plan does, and nothing of it
goes in pieces; or a plan takes so much more work. The lesser of the two bounds them all.
"""

from collections.abc import Sequence
from math import inf
from typing import NamedTuple

from putback.planning.posing.problem import Clause, Kind, Problem
from putback.planning.search.choose import Contradiction, cheapest
from putback.progress import NoProgress, Progress

_WORTH = 0.003
"""What a whole that is worth it saves at least, of all work [-]: found by trial.

Less tells of more wholes, but no bound rises by more than the least of them saves.
"""

_TRIES = 4
"""So often what it saves little to have is left out, until the rest is worth it."""


class Wholes(NamedTuple):
    """Wholes by node, and how much more work any plan takes without one of them [minutes]."""

    nodes: frozenset[int]
    further: float


def worth_it(
    problem: Problem, targets: Sequence[Clause], work: float, progress: Progress = NoProgress()
) -> Wholes:
    """Find the wholes without which any plan takes much more than the least ``work`` [minutes]."""
    worth = _WORTH * work
    dearer = cheapest(
        problem,
        targets,
        minutes=lambda node: node.least + worth * (node.kind is Kind.WHOLE),
        progress=progress,
    )
    found = {index for index in dearer.nodes if problem.nodes[index].kind is Kind.WHOLE}
    for _ in range(_TRIES):
        if not found:
            break
        try:
            other = cheapest(
                problem, targets, minutes=lambda node: node.least, lacking=found, progress=progress
            )
        except Contradiction:
            return Wholes(frozenset(found), inf)
        if other.bound - work >= worth:
            return Wholes(frozenset(found), other.bound - work)
        found.intersection_update(other.nodes)
    return Wholes(frozenset(), inf)
