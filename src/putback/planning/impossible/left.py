"""What is left to do in a state of a trial, and whether a state that failed was as good for it.

Where the same is left, the same can be reached, however it came to that. And where whatever could
be done from one state could be done from another that failed, it fails as well: what is done there
already need not be done, and for what is dead there others will do that can be done whenever it
could. So of a whole and its parts each alone, which come to the same, one is tried.
"""

from collections.abc import Set as AbstractSet
from typing import NamedTuple

from putback.planning.impossible.trial import NONE, State, Trial
from putback.vehicle.ids import PartId, StandingId


class Left(NamedTuple):
    """All on which it rests what can still be reached."""

    nodes: frozenset[int]
    """What may be needed, and is neither done nor dead."""
    unmet: frozenset[int]
    """Their demands that are not met."""
    stood: frozenset[StandingId]
    """Where the vehicle was stood of what they are cracked in."""
    gone: frozenset[PartId]
    """What is off of what standings need off."""
    lost: frozenset[StandingId | None]
    spans: tuple[tuple[bool, bool, bool], ...]
    """Whether each was not begun, not ended, and cannot be ended."""
    region: frozenset[StandingId | None]


class Case(NamedTuple):
    """A state, and what is left there."""

    state: State
    left: Left


def left_in(trial: Trial, state: State, needed: AbstractSet[int]) -> Left:
    """Give what is left in a state in which so much may be needed."""
    laid, done = trial.laid, state.done.keys()
    nodes = frozenset(needed - done - state.dead)
    return Left(
        nodes,
        frozenset(
            number
            for index in nodes
            for number in laid.demands[index]
            if not state.met[number] and not trial.up[laid.fact[number]]
        ),
        frozenset(
            trial.crack[i] for i in nodes if i in trial.crack and trial.crack[i] in state.stood
        ),
        frozenset(trial.asked & state.gone),
        frozenset(state.lost),
        tuple(
            (done.isdisjoint(first), done.isdisjoint(last), last <= state.dead)
            for first, last in trial.spans
        ),
        frozenset(trial.region(state)),
    )


def is_no_better(trial: Trial, left: Left, failed: Case) -> bool:
    """Whether all that can be reached with what is left could be from a case that failed."""
    state, other = failed
    return (
        left.region == other.region
        and left.spans == other.spans
        and left.lost >= other.lost
        and left.gone <= other.gone
        and all(_is_as_free(trial, index, left, state) for index in left.nodes - state.done.keys())
    )


def _is_as_free(trial: Trial, index: int, left: Left, state: State) -> bool:
    """Whether a thing, or others for it, can be done in a state whenever it could be otherwise."""
    if index in state.dead:
        return _is_replaced(trial, index, left, state)
    crack = trial.crack.get(index)
    return (crack is None or crack not in left.stood or crack in state.stood) and all(
        state.met[number] or number in left.unmet or trial.up[trial.laid.fact[number]]
        for number in trial.laid.demands[index]
    )


def _is_replaced(trial: Trial, index: int, left: Left, state: State) -> bool:
    """Whether for a thing that is dead in a state others will do whenever it could be done.

    That it would have ended what must not see a change of standing is no matter: whatever else
    ends that would be ended by it, so none of it comes after it; and as nothing is then left to
    wait for, the vehicle may be stood otherwise all the same.
    """
    laid = trial.laid
    parts = laid.takes.get(index, frozenset())
    if not trial.asked.isdisjoint(parts - state.gone):
        return False
    instead: set[int] = set()
    for number in laid.meets[index]:
        owner = laid.of[number]
        if (
            number in left.unmet
            and not state.met[number]
            and owner not in state.dead
            and owner not in state.done
        ):
            ways = (w for w in laid.any_of[number] if w in left.nodes and w in laid.is_step)
            by = next((w for w in ways if _is_no_harder(trial, w, index, left, state)), None)
            if by is None:
                return False
            instead.add(by)
    return all(instead.isdisjoint(trial.ends.get(each, ())) for each in instead)


def _is_no_harder(trial: Trial, way: int, than: int, left: Left, state: State) -> bool:
    """Whether a thing can be done in a state whenever another could, and harms no more."""
    laid, crack = trial.laid, trial.crack.get(way)
    if (
        way in state.dead
        or (crack is not None and crack not in state.stood)
        or any(way in first or way in last for first, last in trial.spans)
        or any(way in shut and than not in shut for shut in trial.shut.values())
        or not trial.kills.get(way, NONE) <= trial.kills.get(than, NONE) | state.lost
    ):
        return False
    others = left.nodes - state.done.keys() - {than}
    ends = others.intersection(trial.ends.get(way, ())) - state.dead
    ended_by = others.intersection(trial.ended_by.get(way, ()))
    if not ends.issubset(trial.ends.get(than, ())) or not ended_by.issubset(
        trial.ended_by.get(than, ())
    ):
        return False
    asked = [set(laid.any_of[number]) for number in laid.demands[than] if number in left.unmet]
    return all(
        state.met[number]
        or trial.up[laid.fact[number]]
        or any(ways.issubset(laid.any_of[number]) for ways in asked)
        for number in laid.demands[way]
    )
