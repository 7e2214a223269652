"""Say in words why a goal cannot be reached: the facts that shut each other out."""

from collections.abc import Collection, Iterator

from putback.planning.choose import Contradiction
from putback.planning.plan import Because
from putback.planning.problem import Clause, Problem
from putback.vehicle.ids import FactId, part_ref


def reasons_for(problem: Problem, contradiction: Contradiction) -> tuple[str, ...]:
    """Name each fact of a contradiction, beginning at what the goal asks for."""
    lines = [
        f"{target.cause.words}, and nothing can do it"
        for target in contradiction.targets
        if not target.any_of
    ]
    for index, clause in contradiction.blocked:
        name = problem.name(problem.nodes[index].what)
        lines.append(f"{name}: {clause.cause.words}{_no_way(problem, clause)}")
    lines += (order.cause.words for order in contradiction.orders)
    return tuple(dict.fromkeys(lines))


def _no_way(problem: Problem, clause: Clause) -> str:
    """Say why a clause has no way at all: it would need what is to stay on."""
    if clause.any_of:
        return ""
    fact = problem.vehicle.obstructions.get(FactId(clause.cause.fact))
    kept = [part for part in fact.any_of if part in problem.kept] if fact else []
    if kept:
        names = " and ".join(problem.name(part_ref(part)) for part in kept)
        return f" ({names} is to stay on)"
    return "" if clause.cause.because is Because.HARDER_AFTER else " (which cannot be done)"


def reasons_when_stuck(problem: Problem, wanted: Collection[int]) -> tuple[str, ...]:
    """Name what binds the chosen steps to standings that shut each other out."""
    return tuple(dict.fromkeys(_bound_to_standings(problem, frozenset(wanted))))


def _bound_to_standings(problem: Problem, wanted: frozenset[int]) -> Iterator[str]:
    standings = problem.vehicle.standings
    for span in problem.spans:
        if wanted.intersection(span.first) and wanted.intersection(span.last):
            yield f"{span.words}: no change of standing meanwhile"
    for standing in standings.values():
        if standing.needs_off:
            names = " and ".join(problem.name(part_ref(part)) for part in standing.needs_off)
            yield f"“{standing.name}”: only with {names} off"
    for order in problem.orders:
        if order.then in wanted and order.cause.because is Because.STANDING:
            yield order.cause.words
    for index in sorted(wanted):
        node = problem.nodes[index]
        if node.standings is not None:
            names = " or ".join(f"“{standings[each].name}”" for each in sorted(node.standings))
            yield f"{problem.name(node.what)}: only {names}"
        if node.crack_in is not None:
            yield f"{problem.name(node.what)}: cracked “{standings[node.crack_in].name}” first"
