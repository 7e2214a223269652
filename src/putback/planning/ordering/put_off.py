"""What is put off, and all that must come after it, moves to as late as it can be.

To put a thing off is a preference, never a bar: what needs it is planned behind everything that
does not, and a goal that was possible stays possible. Where it cannot come behind all of that (it
could only be done while something hangs, tips, or is stood on what is gone), it comes behind as
much of it as is found to hold.
"""

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import date
from typing import NamedTuple, TypeVar

from putback.logbook.state import State
from putback.planning.posing.problem import Problem
from putback.planning.search.stand import Stands
from putback.vehicle.ids import Ref, StandingId

_MOST_TRIED = 6_000
"""Steps that are put in order at most to find how late something can come, all tries together."""


class Staged(NamedTuple):
    """Stages, and what of them is late since something is put off."""

    stages: tuple[frozenset[int], ...]
    late: frozenset[int] = frozenset()


_Found = TypeVar("_Found")


def in_force(state: State, today: date | None = None) -> frozenset[Ref]:
    """Give what is put off on a day: what was put off until then or earlier is not any more.

    Where no day is given, whatever was put off still is.
    """
    return frozenset(
        Ref(what)
        for what, each in state.put_off.items()
        if today is None or not each.until or today < date.fromisoformat(each.until)
    )


def late_nodes(
    problem: Problem,
    wanted: Collection[int],
    put_off: Collection[Ref],
    others: Collection[int] = (),
) -> frozenset[int]:
    """Of the wanted nodes, those that deal with what is put off, and all that need them.

    So with ``others`` that are to be as late, though nobody put them off. What ends a standing in
    which one of these must be done is late as well, and so is the beginning of whatever must not
    see a change of standing before one of them ends it.
    """
    nodes, chosen = problem.nodes, frozenset(wanted)
    stands = Stands(problem)
    ends = {i: stands.bearing_on(nodes[i].parts) for i in chosen if nodes[i].kind.is_step}
    ending = {index: lost for index, lost in ends.items() if lost}
    late = {i for i in chosen if nodes[i].kind.is_step and is_put_off(problem, i, put_off)}
    late |= chosen.intersection(others)
    grown = bool(late)
    while grown:
        before = len(late)
        late |= chosen - _without(problem, chosen, late)
        late |= {i for i, lost in ending.items() if _is_needed(problem, late, lost)}
        for span in problem.spans:
            if not late.isdisjoint(span.last):
                late |= chosen.intersection(span.first)
        grown = len(late) > before
    return frozenset(late)


def in_stages(
    problem: Problem,
    stages: Sequence[Iterable[int]],
    put_off: Collection[Ref],
    others: Collection[int] = (),
) -> Staged:
    """Split every stage that something put off holds up: what is late comes last in it.

    With it come ``others`` that cannot come before it. The goals after it wait for it, as they
    would anyway.
    """
    found: list[frozenset[int]] = []
    all_late: set[int] = set()
    for stage in map(frozenset, stages):
        late = late_nodes(problem, stage, put_off) if put_off else frozenset[int]()
        last = late_nodes(problem, stage, put_off, others) if late and others else late
        found += [part for part in (stage - last, last) if part]
        all_late |= late
    return Staged(tuple(found), frozenset(all_late))


def as_late_as_holds(
    problem: Problem,
    stages: Sequence[frozenset[int]],
    tried: Callable[[Staged], _Found | None],
    moves_of: Callable[[_Found], Iterable[int]],
) -> tuple[_Found, frozenset[int]] | None:
    """Put stages in order, what is put off last in each; else behind as much as is found to hold.

    Parameters
    ----------
    problem : Problem
        What is to be done, and what of it is put off.
    stages : sequence of frozenset of int
        The nodes wanted, one stage after another.
    tried : callable
        Puts staged nodes in order; gives ``None`` where that gets stuck.
    moves_of : callable
        The moves of an order that was found.

    Returns
    -------
    tuple or None
        The order, and what comes behind what is put off in it though it does not need it; ``None``
        if the stages cannot be put in order at all.
    """
    split, whole = in_stages(problem, stages, problem.put_off), Staged(tuple(stages))
    found = tried(split)
    if found is not None or split.stages == whole.stages:
        return None if found is None else (found, frozenset())
    found = tried(whole)
    if found is None:
        return None
    moves = [move for move in moves_of(found) if move >= 0]
    first = next(at for at, move in enumerate(moves) if move in split.late)
    held_up = frozenset().union(*(each for each in stages if not each.isdisjoint(split.late)))
    behind = [move for move in moves[first:] if move in held_up - split.late]
    size, known, left = len(behind), {split, whole}, _MOST_TRIED
    while size:
        size = (size + 1) // 2 if size > 1 else 0
        at = 0
        while size and at < len(behind):
            fewer = behind[:at] + behind[at + size :]
            staged = in_stages(problem, stages, problem.put_off, fewer)
            if staged not in known and left >= len(moves):
                left -= len(moves)
                known.add(staged)
                sooner = tried(staged)
            else:
                sooner = None
            if sooner is None:
                at += size
            else:
                found, behind = sooner, fewer
    return found, frozenset(behind)


def is_put_off(problem: Problem, index: int, put_off: Collection[Ref]) -> bool:
    """Whether a node deals with what is put off."""
    node = problem.nodes[index]
    return any(each in put_off for each in (node.what, *node.clears))


def _without(problem: Problem, chosen: frozenset[int], late: set[int]) -> set[int]:
    """What can be done, one thing after another, before anything that is late."""
    done: set[int] = set()
    todo = sorted(chosen - late)
    while todo:
        waiting = [index for index in todo if not _is_free(problem, index, chosen, done)]
        if len(waiting) == len(todo):
            break
        done.update(set(todo).difference(waiting))
        todo = waiting
    return done


def _is_free(problem: Problem, index: int, chosen: frozenset[int], done: set[int]) -> bool:
    """Whether all that must come before a node is done, by one way or another."""
    clauses = (chosen.intersection(clause.any_of) for clause in problem.nodes[index].clauses)
    orders = problem.orders_onto.get(index, ())
    return all(not done.isdisjoint(ways) for ways in clauses if ways) and all(
        order.first in done for order in orders if order.first in chosen
    )


def _is_needed(problem: Problem, late: set[int], lost: frozenset[StandingId]) -> bool:
    """Whether something late can be done in no standing but these."""
    standings = (problem.nodes[index].standings for index in late)
    return any(each is not None and each <= lost for each in standings)
