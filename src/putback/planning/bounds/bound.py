"""The lower bound: how long every plan takes at least.

Work: the cheapest set of steps that could reach the goal, each at the least factor that facts
allow it. Set-up: what every plan must visit. A thing is unavoidable when no way to the goal is
without it; each zone and each tool of such things is visited at least once, and the vehicle stands
at least once in each standing that alone will do for one of them. So much is *unavoidable*. What
precedence makes one come back to is counted in *stretches*. Work and set-up may be added, for a
plan counts them apart.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations
from math import inf

from putback.planning.bounds.standing_walk import least_walk
from putback.planning.bounds.stretches import Landmarks, Stretches
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import Clause, Node, Problem
from putback.planning.search.choose import cheapest, closure, derive
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
    before = what_comes_before(problem, targets)
    sure = _sure(targets, before)
    nodes = [problem.nodes[index] for index in sure]
    work = cheapest(problem, targets, minutes=lambda node: node.least, progress=progress).bound
    unavoidable_minutes = work + _once(problem, nodes, settings)
    walk = max(
        _standings_bound(problem, nodes),
        least_walk(problem, targets, tuple(before), sure, _least_changes(problem)),
    )
    again_minutes = _Again(problem, before, sure, settings, progress).minutes(walk)
    late = _late(problem, before, sure)
    return Bound(max(unavoidable_minutes, work + again_minutes) + late, unavoidable_minutes)


def setup_bound(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    barred: Collection[int] = (),
) -> float:
    """Give the set-up that no plan can do without, each visit counted once [minutes]."""
    nodes = [problem.nodes[index] for index in unavoidable(problem, targets, barred)]
    return _once(problem, nodes, settings)


def unavoidable(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> frozenset[int]:
    """Give the nodes that every way to the targets contains."""
    return _sure(targets, what_comes_before(problem, targets, barred))


def what_comes_before(
    problem: Problem, targets: Sequence[Clause], barred: Collection[int] = ()
) -> dict[int, int]:
    """Give of each node that can be done what is always done before, itself with it, as bits.

    These landmarks of a node are itself and, for each of its clauses, whatever all ways of that
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
    return marks


def _sure(targets: Sequence[Clause], before: Mapping[int, int]) -> frozenset[int]:
    everything = sum(1 << index for index in before)
    common = 0
    for target in targets:
        common |= _common(before, target, everything)
    return frozenset(index for index in before if common >> index & 1)


def _common(marks: Mapping[int, int], clause: Clause, everything: int) -> int:
    """What all ways that are open to a clause have in common."""
    common = everything
    for by in clause.any_of:
        if by in marks:
            common &= marks[by]
    return common


# -- each once ------------------------------------------------------------------------------------


def _once(problem: Problem, nodes: Sequence[Node], settings: PlanSettings) -> float:
    """Each zone, tool and standing visited once, and the helpers called once [minutes]."""
    zones = {node.zone for node in nodes if node.zone is not None}
    tools = {node.tool for node in nodes if node.tool}
    return (
        max(len(zones) - 1, 0) * settings.zone_minutes
        + max(len(tools) - 1, 0) * settings.tool_minutes
        + any(node.crew > 1 for node in nodes) * settings.helper_minutes
        + _standings_bound(problem, nodes)
    )


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


# -- what must be come back to --------------------------------------------------------------------


class _Again:
    """The least set-up with everything that one must come back to."""

    def __init__(
        self,
        problem: Problem,
        before: Mapping[int, int],
        sure: Collection[int],
        settings: PlanSettings,
        progress: Progress,
    ) -> None:
        self.problem = problem
        self.settings = settings
        helped = [index for index in sure if problem.nodes[index].crew > 1]
        marks = Landmarks(problem, tuple(before), before)
        count = marks.count
        self.zones = count(sure, lambda node: (node.zone,), progress)
        self.tools = count(sure, lambda node: (node.tool or None,), progress)
        self.places = count(sure, lambda node: (node.zone, node.tool or None), progress)
        self.people = count(sure, lambda node: (node.zone, node.crew > 1), progress)
        self.moments = count(helped, lambda node: (node.crew > 1,), progress)

    def minutes(self, walk: float) -> float:
        """The least over all numbers of changes of standing, which take ``walk`` [minutes]."""
        step = min(
            (
                minutes
                for standing in self.problem.vehicle.standings.values()
                for minutes in standing.change_minutes.values()
            ),
            default=0.0,
        )
        counts = (self.zones, self.tools, self.places, self.people, self.moments)
        most = max(count.cut - count.uncut for count in counts) if step else 0
        return min(
            max(walk, changes * step) + self._without_standings(changes)
            for changes in range(most + 1)
        )

    def _without_standings(self, changes: int) -> float:
        """Zones, tools and helpers, where the standing changes so often [minutes].

        From one stretch to the next of zone and tool, one of the two changes; of zone and
        helpers, the zone changes or helpers come or go, and they go no oftener than they come.
        """
        settings = self.settings

        def between(count: Stretches) -> int:
            return max(count.least(changes) - 1, 0)

        zones, tools = between(self.zones), between(self.tools)
        places, people = between(self.places), between(self.people)
        moments = self.moments.least(changes)
        return min(
            walks * settings.zone_minutes
            + max(tools, places - walks) * settings.tool_minutes
            + max(moments, -(-(people - walks) // 2)) * settings.helper_minutes
            for walks in range(zones, max(zones, places, people) + 1)
        )


def _late(problem: Problem, before: Mapping[int, int], sure: Collection[int]) -> float:
    """What is harder, or not made easier, in whatever order: precedence has it so [minutes]."""
    more = 0.0
    for index in sure:
        factor = 1.0
        for fact in problem.harder:
            if index not in fact.jobs:
                continue
            forced = any(before[index] >> by & 1 for by in fact.after if by != index)
            if fact.factor > 1 and forced:
                factor *= fact.factor
            elif fact.factor < 1 and all(before.get(by, 0) >> index & 1 for by in fact.after):
                factor /= fact.factor
        more += problem.nodes[index].least * (factor - 1)
    return more
