"""How far the work is, and what it is: a strip, a rebuild, or neither yet."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from putback.logbook.entries.judging import WayRound
from putback.logbook.state import JointState, State
from putback.planning.known import Known
from putback.vehicle.goal import Goal, on_the_way
from putback.vehicle.ids import PartId


class Way(StrEnum):
    """Which way round the work goes."""

    NOT_BEGUN = "not begun"
    STRIP = "strip"
    REBUILD = "rebuild"


@dataclass(frozen=True, slots=True)
class HowFar:
    """Counts of what is off and undone; ``half_done`` joints were left between two sittings."""

    way: Way
    parts: int
    parts_off: int
    joints: int
    joints_undone: int
    joints_made_again: int
    half_done: tuple[JointState, ...]


def how_far(state: State) -> HowFar:
    """Say how far the work is.

    Which way round it goes is told by whoever chose it, until that is done; else by the latest
    hand on a part or joint.
    """
    undone = state.undone_joints
    again = [each for each in state.joints.values() if each.times_made and not each.out]
    return HowFar(
        way=_chosen(state) or _latest(state) or Way.NOT_BEGUN,
        parts=len(state.vehicle.parts.keys() | state.parts.keys()),
        parts_off=len(state.parts_off),
        joints=len(state.joints),
        joints_undone=len(undone),
        joints_made_again=len(again),
        half_done=tuple(
            each
            for each in state.joints.values()
            if 0 < each.out < each.of or (each.stuck and each.out < each.of)
        ),
    )


def goal_in_hand(state: State) -> Goal | None:
    """Give the goal that the strip is on the way to.

    That is the one chosen last, until it is reached; then the first that is not.
    """
    goals = goals_in_order(state)
    return _first_not_reached(state, goals) or (goals[-1] if goals else None)


def _first_not_reached(state: State, goals: Sequence[Goal]) -> Goal | None:
    """The goal that was chosen, if it is not reached yet, else the first of these that is not."""
    done = Known(state.vehicle, state).done
    for goal in sorted(goals, key=lambda goal: goal.id != state.way.goal):
        if not (wanted_off(state, goal) <= state.parts_off and done.issuperset(goal.jobs)):
            return goal
    return None


def goals_in_order(state: State) -> tuple[Goal, ...]:
    """List the goals, those that ask for less first."""
    goals = state.vehicle.goals.values()
    return tuple(sorted(goals, key=lambda goal: len(wanted_off(state, goal))))


def wanted_off(state: State, goal: Goal) -> frozenset[PartId]:
    """Give the parts that are off when a goal is reached, those of goals before it included."""
    goals, parts = state.vehicle.goals, state.vehicle.parts
    return frozenset(part for each in on_the_way(goals, goal) for part in each.wanted_off(parts))


def _chosen(state: State) -> Way | None:
    """Which way somebody chose, as long as something is left to do there.

    A bolt put back in the middle of a strip, or a trial fit undone in a rebuild, turns nothing.
    """
    match state.way.way:
        case WayRound.REBUILD if state.parts_off or state.undone_joints:
            return Way.REBUILD
        case WayRound.STRIP:
            goal = _first_not_reached(state, goals_in_order(state))
            wanted = state.way.goal
            is_left = goal is not None and wanted in (None, goal.id)
            return Way.STRIP if is_left else None
        case _:
            return None


def _latest(state: State) -> Way | None:
    """Which way the latest hand on a part or joint went."""
    moments = [
        (each.made.key, Way.REBUILD)
        for each in state.joints.values()
        if each.made is not None and each.times_made
    ]
    moments += [
        (each.undone.key, Way.STRIP)
        for each in state.joints.values()
        if each.undone is not None and each.out
    ]
    moments += [(each.on.key, Way.REBUILD) for each in state.parts.values() if each.on]
    moments += [(each.off.key, Way.STRIP) for each in state.parts.values() if each.off]
    return max(moments)[1] if moments else None
