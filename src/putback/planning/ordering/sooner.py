"""What is put off and still comes sooner than something else, and why: said in the plan."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from putback.planning.ordering.keep import fitted
from putback.planning.ordering.price import Priced
from putback.planning.ordering.put_off import in_stages, is_put_off, late_nodes
from putback.planning.plan import USUAL, Because, Reason, Step
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.choose import closure
from putback.planning.search.field import Move, Rules

_MOST_NAMED = 3
"""So many things are named at most."""


def saying_what_comes_sooner(
    problem: Problem,
    goals: Sequence[Sequence[Clause]],
    keeps_goals: Callable[[Sequence[Move]], bool],
    rules: Rules,
    priced: Sequence[Priced],
    steps: Sequence[Step],
) -> tuple[Step, ...]:
    """Note on steps that deal with what is put off what they come before, and there the reason.

    Parameters
    ----------
    problem : Problem
        What is to be done, and what of it is put off.
    goals : sequence of sequence of Clause
        What each goal asks for, those before the last first: until one is reached, nothing waits
        for what only a later one needs.
    keeps_goals : callable
        Whether the goals are reached one after the other by some moves.
    rules, priced, steps
        The plan, as moves and as steps.
    """
    behind = _behind(problem, goals, rules, [each.move for each in priced])
    if not behind:
        return tuple(steps)
    why = _why(problem, keeps_goals, rules, priced)
    told = list(steps)
    before: dict[int, list[str]] = {}
    for at, own in behind.items():
        first = steps[own].what
        waits = {reason.first for reason in steps[at].reasons}
        if waits.isdisjoint(steps[other].what for other in behind if other < at):
            before.setdefault(own, []).append(problem.vehicle.name_of(steps[at].what))
            words = f"{problem.vehicle.name_of(first)} is put off, and still comes first: {why}"
            reason = Reason(Because.PUT_OFF, first, words)
            told[at] = replace(told[at], reasons=(*told[at].reasons, reason))
    for own, names in before.items():
        note = f"put off, and still before {_listed(names)}: {why}"
        told[own] = replace(told[own], notes=(note, *told[own].notes))
    return tuple(told)


def _behind(
    problem: Problem, goals: Sequence[Sequence[Clause]], rules: Rules, moves: Sequence[Move]
) -> dict[int, int]:
    """The places behind what is put off of what does not need it, each with the latest of that."""
    found: dict[int, int] = {}
    if not problem.put_off:
        return found
    late = late_nodes(problem, rules.wanted, problem.put_off)
    wanted: set[int] = set()
    stage_of = rules.stage_of
    for targets in goals:
        wanted |= closure(problem, targets)
        own = -1
        for at, move in enumerate(moves):
            if move in late and is_put_off(problem, move, problem.put_off):
                own = at if move in wanted else own
            elif own >= 0 and move in wanted - late and stage_of[move] == stage_of[moves[own]]:
                found.setdefault(at, own)
    return dict(sorted(found.items()))


def _why(
    problem: Problem,
    keeps_goals: Callable[[Sequence[Move]], bool],
    rules: Rules,
    priced: Sequence[Priced],
) -> str:
    """Whether it could come last if nothing hung and nothing tipped, or nobody knows an order."""
    split = in_stages(problem, [rules.wanted], problem.put_off)
    freely = Rules(problem, split.stages, late=split.late, watched=False, settings=USUAL)
    placed = fitted(freely, [(each.move, each.standing) for each in priced])
    if placed is None or not keeps_goals([move for move, _ in placed]):
        return "no order was found in which it comes later"
    return "else something would hang, or it would stand too near to tipping"


def _listed(names: Sequence[str]) -> str:
    some = list(dict.fromkeys(names))
    more = len(some) - _MOST_NAMED
    return ", ".join(some[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
