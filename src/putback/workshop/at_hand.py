"""The plan at hand: of the strip to the goal in hand, or of the rebuild, whichever way it goes."""

from dataclasses import dataclass

from putback.logbook.state import State
from putback.planning.plan import Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.workshop.how_far import Way, how_far
from putback.workshop.plans import goal_called

_USUAL = PlanSettings()


@dataclass(frozen=True, slots=True)
class AtHand:
    """A plan, and the goal it leads to; ``None`` for a rebuild."""

    plan: Plan
    goal: Goal | None


def plan_at_hand(
    state: State,
    goal: Goal | None = None,
    settings: PlanSettings = _USUAL,
    progress: Progress = NoProgress(),
) -> AtHand:
    """Plan the work that is in hand: to the goal given, else the way the latest hand went.

    Raises
    ------
    BadInput
        If it is a strip, and no goal is described.
    ImpossibleGoal
        If facts and goal contradict each other; names the facts.
    """
    if goal is None and how_far(state).way is Way.REBUILD:
        return AtHand(plan_rebuild(state.vehicle, state, settings, progress), None)
    wanted = goal or goal_called(state, None)
    return AtHand(plan_strip(state.vehicle, state, wanted, settings, progress), wanted)
