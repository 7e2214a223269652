"""The plan at hand: the strip that is followed to the goal in hand, or the rebuild.

Whoever asks about the work, and not for a new plan of it, asks here: a person sees one order.
"""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId
from putback.planning.plan import Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.workshop.garage import in_its_garage
from putback.workshop.how_far import Way, how_far
from putback.workshop.plans import followed, goal_called, settings_of_today
from putback.workshop.workshop import Workshop


@dataclass(frozen=True, slots=True)
class AtHand:
    """A plan, the goal it leads to, ``None`` for a rebuild, and what it was made with."""

    plan: Plan
    goal: Goal | None
    settings: PlanSettings


def plan_at_hand(
    workshop: Workshop,
    logbook: LogbookId,
    goal: Goal | None = None,
    progress: Progress = NoProgress(),
) -> AtHand:
    """Give the plan of the work in hand: to the goal given, else the way the latest hand went.

    Raises
    ------
    BadInput
        If it is a strip, and no goal is described.
    ImpossibleGoal
        If facts and goal contradict each other; names the facts.
    """
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    if goal is None and how_far(state).way is Way.REBUILD:
        return AtHand(plan_rebuild(state.vehicle, state, settings, progress), None, settings)
    wanted = goal or goal_called(state, None)
    return AtHand(followed(workshop, logbook, wanted, progress), wanted, settings)
