"""The simple lower bound: how long every plan takes at least.

Work: the cheapest set of steps that could reach the goal, each at the least factor that facts
allow it. Set-up: what every plan must visit. A thing is unavoidable when no way to the goal is
without it; each zone and each tool of such things is visited at least once, and the vehicle stands
at least once in each standing that alone will do for one of them. The two may be added, for a plan
counts work and set-up apart.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations
from math import inf

from putback.planning.choose import cheapest, closure, derive
from putback.planning.plan import PlanSettings
from putback.planning.problem import Clause, Node, Problem
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_MOST_ORDERED = 6
"""Standings whose best order is looked for; of more, the dearest single one counts."""


@dataclass(frozen=True, slots=True)
class Bound:
    """What every plan takes at least; times in [minutes].

    ``unavoidable_minutes`` counts each visit that must be made once, ``minutes`` those too that
    precedence makes one come back for.
    """

    minutes: float
    unavoidable_minutes: float


def lower_bound(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> Bound:
    """Give the bound: what every plan takes at least."""
    work = cheapest(problem, targets, minutes=lambda node: node.least, progress=progress)
    unavoidable_minutes = work.bound + setup_bound(problem, targets, settings)
    return Bound(unavoidable_minutes, unavoidable_minutes)


def setup_bound(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    barred: Collection[int] = (),
) -> float:
    """Give the set-up that no plan can do without [minutes]."""
    nodes = [problem.nodes[index] for index in unavoidable(problem, targets, barred)]
    zones = {node.zone for node in nodes if node.zone is not None}
    tools = {node.tool for node in nodes if node.tool}
    return (
        max(len(zones) - 1, 0) * settings.zone_minutes
        + max(len(tools) - 1, 0) * settings.tool_minutes
        + any(node.crew > 1 for node in nodes) * settings.helper_minutes
        + _standings_bound(problem, nodes)
    )


def unavoidable(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> frozenset[int]:
    """Give the nodes that every way to the targets contains.

    The landmarks of a node are itself and, for each of its clauses, whatever all ways of that
    clause have in common: the greatest solution of these equations, found by taking away.
    """
    relevant = closure(problem, targets) - frozenset(barred)
    order = derive(problem, relevant, orders=False)
    everything = (1 << len(problem.nodes)) - 1
    marks = dict.fromkeys(order, everything)
    changed = True
    while changed:
        changed = False
        for index in order:
            now = 1 << index
            for clause in problem.nodes[index].clauses:
                now |= _common(marks, clause, everything)
            if now != marks[index]:
                marks[index], changed = now, True
    common = 0
    for target in targets:
        common |= _common(marks, target, everything)
    return frozenset(index for index in order if common >> index & 1)


def _common(marks: dict[int, int], clause: Clause, everything: int) -> int:
    """What all ways that are open to a clause have in common."""
    common = everything
    for by in clause.any_of:
        if by in marks:
            common &= marks[by]
    return common


def _standings_bound(problem: Problem, nodes: Sequence[Node]) -> float:
    """The cheapest walk through the standings that must be entered [minutes]."""
    only = {
        s for node in nodes if node.standings and len(node.standings) == 1 for s in node.standings
    }
    cracked = {node.crack_in for node in nodes if node.crack_in is not None}
    must = sorted(each for each in only | cracked if each != problem.start)
    change = _least_changes(problem)
    first = [] if problem.start is None else [problem.start]
    if len(must) > _MOST_ORDERED:
        return max((change[here, there] for here in first for there in must), default=0.0)
    return min(
        sum(change[here, there] for here, there in pairwise((*first, *walk)))
        for walk in permutations(must)
    )


def _least_changes(problem: Problem) -> dict[tuple[StandingId, StandingId], float]:
    """The least that going from one standing to another can cost, whatever is off [minutes]."""
    standings = problem.vehicle.standings
    least = {
        (a, b): 0.0 if a == b else standings[a].change_minutes.get(b, inf)
        for a in standings
        for b in standings
    }
    for via in standings:
        for a in standings:
            for b in standings:
                least[a, b] = min(least[a, b], least[a, via] + least[via, b])
    return least
