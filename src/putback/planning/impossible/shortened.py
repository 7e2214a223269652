"""A trial that got to the goal as a plan, without what the goal can do without."""

from collections.abc import Collection, Iterable

from putback.planning.impossible.trial import NONE, VISIT, State, Trial
from putback.planning.posing.problem import Kind
from putback.planning.search.arrange import Bout
from putback.vehicle.ids import StandingId, part_ref


def shortened(trial: Trial, state: State) -> list[Bout]:
    """Leave out what the goal can do without."""
    laid = trial.laid
    kept: set[int] = set()
    seen: set[int] = set()
    first_in: dict[StandingId | None, int] = {}
    for at, (standing, _) in enumerate(state.made):
        first_in.setdefault(standing, at)
    todo = [laid.goal]
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
            for part, _ in laid.needs[standing]:
                by = laid.problem.providers.get(part_ref(part), ())
                todo += (way for way in by if state.done.get(way, before) < before)
            crack = laid.crack.get(index)
            if crack is not None and crack[0] not in (standing, laid.problem.start):
                visit = first_in.get(crack[0], before)
                if visit < before:
                    kept.add(visit)
    return _bouts(trial, [state.made[at] for at in sorted(kept)])


def _bouts(trial: Trial, made: Iterable[tuple[StandingId | None, int]]) -> list[Bout]:
    """Cut the moves into bouts, with the standings that one passes through."""
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
    way: list[StandingId | None] = []
    while to in came and came[to] != here:
        to = came[to]
        way.append(to)
    return way[::-1]
