"""The facts that may have to do with whether a goal can be reached."""

from collections.abc import Iterable, Iterator, Sequence

from putback.planning.impossible.grounds import closed_by, shut_in
from putback.planning.known import bears_on
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.problem import Clause, Problem
from putback.vehicle.ids import part_ref, split_ref


def facts_of(problem: Problem, targets: Sequence[Clause]) -> tuple[Fact, ...]:
    """Give every fact that may have to do with whether the targets can be reached."""
    found: dict[Fact, None] = dict.fromkeys(_of_clauses(targets))
    standings = problem.vehicle.standings.values()
    around = near(problem, targets)
    for index in around:
        node = problem.nodes[index]
        found |= dict.fromkeys(_of_clauses(node.clauses))
        for each in problem.vehicle.standings:
            found |= dict.fromkeys(shut_in(problem, node, each))
        if node.crack_in is not None:
            found[Fact(Sort.CRACK_FIRST, split_ref(node.what)[1])] = None
    for order in problem.orders:
        if order.cause.source is not None and order.then in around:
            found[order.cause.source] = None
    found |= dict.fromkeys(span.source for span in problem.spans)
    for standing in standings:
        found |= dict.fromkeys(Fact(Sort.BEARS, standing.id, p) for p in bears_on(standing))
        found |= dict.fromkeys(Fact(Sort.NEEDS_OFF, standing.id, p) for p in standing.needs_off)
        found[Fact(Sort.NO_CHANGE, standing.id)] = None
        found[Fact(Sort.LOST, standing.id)] = None
        found |= dict.fromkeys(closed_by(problem, standing.id))
    return tuple(sorted(found))


def _of_clauses(clauses: Iterable[Clause]) -> Iterator[Fact]:
    for clause in clauses:
        if clause.cause.source is not None:
            yield clause.cause.source


def near(problem: Problem, targets: Iterable[Clause]) -> set[int]:
    """Give what any way may need, what can never be done included."""
    found = _needed(problem, (way for target in targets for way in target.any_of))
    nodes = [problem.nodes[index] for index in found]
    if problem.start is None or any(node.standings is not None or node.crack_in for node in nodes):
        needs_off = (p for each in problem.vehicle.standings.values() for p in each.needs_off)
        by = (way for p in needs_off for way in problem.providers.get(part_ref(p), ()))
        found |= _needed(problem, by)
    return found


def _needed(problem: Problem, nodes: Iterable[int]) -> set[int]:
    found: set[int] = set()
    todo = list(nodes)
    while todo:
        index = todo.pop()
        if index not in found:
            found.add(index)
            todo += (way for clause in problem.nodes[index].clauses for way in clause.any_of)
    return found
