"""What one stage frees comes off in it, though it is a later one that asks for it.

A part whose last joint is undone on the way to a first goal would else be left in the air until
the second (rule 11). So its removal, and the few ends of runs that it takes, are brought forward,
unless some goal keeps it on, much else would have to come first, or any of it is put off.
"""

from collections.abc import Collection, Sequence

from putback.planning.held.holding import Hold, Links
from putback.planning.posing.problem import Kind, Problem
from putback.vehicle.ids import JointId, split_ref

_MOST_STEPS = 12
"""So many steps at most are brought forward for one part."""


def with_what_is_freed(
    problem: Problem,
    stages: Sequence[Collection[int]],
    links: Links,
    late: Collection[int] = (),
) -> tuple[frozenset[int], ...]:
    """Move what frees parts entirely to the stage that leaves them unheld.

    What is ``late``, as something is put off, stays where it is.
    """
    found = [set(stage) for stage in stages]
    hold = Hold(links)
    hold.rest_on(frozenset().union(*map(links.under, problem.usable)))
    held = {part for part in range(len(links.parts)) if hold.on[part] and hold.is_held(part)}
    goals = problem.vehicle.goals.values()
    kept = links.numbers(part for goal in goals for part in (*goal.on, goal.datum))
    for number in range(len(found) - 1):
        _do(problem, hold, found[number])
        later = set().union(*found[number + 1 :])
        freed = {p for p in held - kept if hold.on[p] and not hold.is_held(p)}
        freed = {p for p in freed if not links.is_run[p]}
        for part in sorted(freed):
            done = set().union(*found[: number + 1])
            more = _needed(problem, links, part, freed, done, later)
            if not more.isdisjoint(late):
                continue
            _do(problem, hold, more)
            found[number] |= more
            for stage in found[number + 1 :]:
                stage -= more
            later -= more
    return tuple(map(frozenset, found))


def _do(problem: Problem, hold: Hold, nodes: Collection[int]) -> None:
    for index in nodes:
        node = problem.nodes[index]
        if node.kind is Kind.UNDO:
            hold.undo(JointId(split_ref(node.what)[1]))
        elif node.kind in (Kind.PART, Kind.WHOLE):
            hold.take_off(node.parts)


def _needed(
    problem: Problem,
    links: Links,
    part: int,
    freed: Collection[int],
    done: Collection[int],
    later: Collection[int],
) -> set[int]:
    """The nodes of later stages that take a freed part off; none if that takes too much."""
    takes_off = (Kind.PART, Kind.WHOLE)
    nodes = problem.nodes
    todo = [
        index
        for index in sorted(later)
        if nodes[index].kind in takes_off and links.parts[part] in nodes[index].parts
    ]
    needed: set[int] = set()
    while todo:
        index = todo.pop()
        if index in needed:
            continue
        node = nodes[index]
        is_more = node.kind in takes_off and not links.numbers(node.parts) <= set(freed)
        needed.add(index)
        if is_more or len(needed) > _MOST_STEPS:
            return set()
        for clause in node.clauses:
            if any(nodes[by].kind is Kind.STANDING for by in clause.any_of):
                continue
            if not any(by in done or by in needed for by in clause.any_of):
                todo += [by for by in clause.any_of if by in later][:1]
        for order in problem.orders_onto.get(index, ()):
            if order.first in later and nodes[order.first].kind.is_step:
                todo.append(order.first)
    return needed
