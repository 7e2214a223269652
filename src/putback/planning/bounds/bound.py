"""The lower bound: how long every plan takes at least.

Work: the cheapest set of steps that could reach the goal, each at the least factor that facts
allow it. Set-up: what every plan must visit. A thing is unavoidable when no way to the goal is
without it; each zone and each tool of such things is visited at least once, and the vehicle stands
at least once in each standing that alone will do for one of them. So much is *unavoidable*. What
precedence makes one come back to is counted in *stretches*. Work and set-up may be added, for a
plan counts them apart. What goes as a whole in every plan that is not much more work is as sure:
other plans are a case of their own (`wholes.py`), and the lesser of both bounds them all.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations
from math import inf

from putback.planning.bounds.landmarks import landmarks, unavoidable
from putback.planning.bounds.standing_walk import Walks, least_walks
from putback.planning.bounds.walk_work import with_work
from putback.planning.bounds.wholes import worth_it
from putback.planning.plan import PlanSettings
from putback.planning.posing.problem import CRACK_SHARE, Clause, Node, Problem, as_one
from putback.planning.search.choose import cheapest
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import StandingId

_MOST_ORDERED = 6
"""Standings whose best order is looked for; of more, the dearest single one counts."""

_EFFORT, _LESS_EFFORT = 1.0, 0.5
"""Effort for each look at the numbers of changes, in the solver's own count [-].

Less for what is more work: it mostly suffices, and a large vehicle does not wait twice as long.
"""


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
    work = cheapest(problem, targets, minutes=lambda node: node.least, progress=progress).bound
    unavoidable_minutes = work + setup_bound(problem, targets, settings)
    wholes = worth_it(problem, targets, work, progress)
    if not wholes.nodes:
        least = _least(problem, targets, work, settings, _EFFORT, progress)
        return Bound(least, unavoidable_minutes)
    as_wholes = map(as_one, sorted(wholes.nodes))
    barred = [
        index
        for index, node in enumerate(problem.nodes)
        if any(problem.nodes[whole].excludes(node) for whole in wholes.nodes)
    ]
    least = _least(problem, (*targets, *as_wholes), work, settings, _EFFORT, progress, barred)
    if wholes.further < inf:
        more = work + wholes.further
        least = min(least, _least(problem, targets, more, settings, _LESS_EFFORT, progress))
    return Bound(least, unavoidable_minutes)


def _least(
    problem: Problem,
    targets: Sequence[Clause],
    work: float,
    settings: PlanSettings,
    effort: float,
    progress: Progress,
    barred: Collection[int] = (),
) -> float:
    """Give what every plan of at least so much work and without what is barred takes [minutes]."""
    # These load numpy, which nobody should wait for who wants no bound.
    from putback.planning.bounds.sorts import Sorts
    from putback.planning.bounds.stretches import least_setup

    marks = landmarks(problem, targets, barred)
    walks = Walks(marks, targets, _least_changes(problem))
    stands = with_work(walks, least_walks(walks), work, progress)
    setup = least_setup(Sorts(marks), stands, settings, effort, progress)
    once = _once(problem, [problem.nodes[index] for index in sorted(marks.sure)], settings)
    return work + max(once, setup) + _late(problem, marks.before, marks.sure)


def setup_bound(
    problem: Problem,
    targets: Sequence[Clause],
    settings: PlanSettings,
    barred: Collection[int] = (),
) -> float:
    """Give the set-up that no plan can do without, each visit counted once [minutes]."""
    nodes = [problem.nodes[index] for index in unavoidable(problem, targets, barred)]
    return _once(problem, nodes, settings)


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


def _late(problem: Problem, before: Mapping[int, int], sure: Collection[int]) -> float:
    """What is harder, or not made easier, in whatever order: precedence has it so [minutes].

    What is cracked first may be cracked before it gets harder.
    """
    more = 0.0
    for index in sorted(sure):
        node, eased, harder = problem.nodes[index], 1.0, 1.0
        for fact in problem.harder:
            if index not in fact.jobs:
                continue
            forced = any(before[index] >> by & 1 for by in fact.after if by != index)
            if fact.factor > 1 and forced:
                harder *= fact.factor
            elif fact.factor < 1 and all(before.get(by, 0) >> index & 1 for by in fact.after):
                eased /= fact.factor
        early = CRACK_SHARE if node.crack_in is not None else 0.0
        more += node.least * (eased * (early + (1 - early) * harder) - 1)
    return more
