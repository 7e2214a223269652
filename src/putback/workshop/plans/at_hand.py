"""The plan at hand: the strip that is followed to the goal in hand, or the rebuild.

Whoever asks about the work, and not for a new plan of it, asks here: a person sees one order.
"""

from dataclasses import dataclass

from putback.errors import BadInput
from putback.logbook.entries.base import LogbookId
from putback.planning.plan import Plan, PlanSettings
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.how_far import Way, goal_in_hand, how_far
from putback.workshop.plans.plans import follow_rebuild, followed, settings_of_today


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

    Where no goal is described, that is the rebuild of what is off.

    Raises
    ------
    BadInput
        If no goal is described, and nothing is off or undone either.
    ImpossibleGoal
        If facts and goal contradict each other; names the facts.
    """
    state, settings = in_its_garage(workshop, logbook), settings_of_today(workshop)
    wanted = goal or goal_in_hand(state)
    if wanted is None or (goal is None and how_far(state).way is Way.REBUILD):
        plan = follow_rebuild(workshop, logbook, progress=progress, tells=False).plan.plan
        if wanted is None and not (plan.steps or plan.waiting):
            raise BadInput(
                "there is nothing to plan yet: no goal is described, and nothing is off",
                mend="say where the strip shall go: putback describe goals bare "
                "name='bare frame' datum=frame off_rest=true; or log what comes off, as in: "
                "putback log off radiator --new",
            )
        return AtHand(plan, None, settings)
    return AtHand(followed(workshop, logbook, wanted, progress), wanted, settings)
