"""A trial that got to the goal as a plan, without what the goal can do without."""

from collections.abc import Collection, Iterable

from putback.planning.impossible.trial import NONE, VISIT, State, Trial
from putback.planning.posing.problem import Kind
from putback.planning.search.arrange import Bout
from putback.vehicle.ids import StandingId, part_ref


def shortened(trial: Trial, state: State) -> list[Bout]:
    """Leave out what the goal can do without."""
    try:
        return _bouts(trial, _needed(trial, state, [trial.laid.goal]))
    except _NoWay:  # nor without what must be off to pass through a standing
        takes = trial.laid.takes.items()
        clearing = [
            i for i, parts in takes if i in state.done and not parts.isdisjoint(trial.asked)
        ]
        return _bouts(trial, _needed(trial, state, [trial.laid.goal, *clearing]))


class _NoWay(Exception):  # never leaves this module
    """With no more done than that, a standing cannot be got to."""


def _needed(trial: Trial, state: State, todo: list[int]) -> list[tuple[StandingId | None, int]]:
    """Give the moves that some things rest on, in their order."""
    laid = trial.laid
    kept: set[int] = set()
    seen: set[int] = set()
    first_in: dict[StandingId | None, int] = {}
    for at, (standing, _) in enumerate(state.made):
        first_in.setdefault(standing, at)

    def clear(standing: StandingId | None, before: int) -> None:
        for part, _ in laid.needs[standing]:
            by = laid.problem.providers.get(part_ref(part), ())
            todo.extend(way for way in by if state.done.get(way, before) < before)

    while todo:
        index = todo.pop()
        if index in seen:
            continue
        seen.add(index)
        before = state.done.get(index, len(state.made) + 1)
        for number in laid.demands[index]:
            limit = before if index in laid.is_step else before + 1
            ways = [w for w in laid.any_of[number] if state.done.get(w, limit) < limit]
            if ways:
                todo.append(min(ways, key=lambda way: (state.done[way], way)))
        if index in laid.is_step:
            at = before - 1
            kept.add(at)
            standing = state.made[at][0]
            clear(standing, before)
            crack = laid.crack.get(index)
            if crack is not None and crack[0] not in (standing, laid.problem.start):
                visit = first_in.get(crack[0], before)
                if visit < before:
                    kept.add(visit)
                    clear(crack[0], visit + 1)
    return [state.made[at] for at in sorted(kept)]


def _bouts(trial: Trial, made: Iterable[tuple[StandingId | None, int]]) -> list[Bout]:
    """Cut the moves into bouts, with the standings that one passes through.

    Raises
    ------
    _NoWay
        If a standing cannot be got to with no more done than that.
    """
    laid = trial.laid
    here = laid.problem.start
    gone = set(laid.problem.parts_off)
    lost: set[StandingId | None] = set()
    bouts: list[Bout] = []
    moves: list[int] = []
    for standing, index in made:
        if standing != here:
            bouts.append(Bout(here, tuple(moves)))
            free = [s for s in laid.standings if trial.may_enter(s, gone, lost)]
            bouts += (Bout(each, ()) for each in _way(trial, here, standing, free))
            here, moves = standing, []
        if index != VISIT:
            moves.append(index)
            node = laid.problem.nodes[index]
            if node.kind in (Kind.PART, Kind.WHOLE):
                gone |= node.parts
            lost |= trial.kills.get(index, NONE)
    return [each for each in (*bouts, Bout(here, tuple(moves))) if each.standing or each.moves]


def _way(
    trial: Trial,
    here: StandingId | None,
    to: StandingId | None,
    free: Collection[StandingId | None],
) -> list[StandingId | None]:
    """The standings between two, as few as may be."""
    came: dict[StandingId | None, StandingId | None] = {here: here}
    for at in (todo := [here]):
        for then in free:
            if then not in came and trial.leads(at, then):
                came[then] = at
                todo.append(then)
    if to not in came:
        raise _NoWay
    way: list[StandingId | None] = []
    while came[to] != here:
        to = came[to]
        way.append(to)
    return way[::-1]
