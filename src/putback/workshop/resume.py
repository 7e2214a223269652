"""Picking up again after days or years: where things stand and what is next."""

from dataclasses import dataclass
from datetime import datetime

from putback.errors import ImpossibleGoal
from putback.logbook.index import LogFacts
from putback.logbook.open_items import USUAL, OpenItem, Settings, Situation, open_items
from putback.logbook.state import State
from putback.planning.plan import Plan, PlanSettings, Step
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.goal import Goal
from putback.workshop.how_far import HowFar, Way, goal_in_hand, how_far

_PLAN = PlanSettings()


@dataclass(frozen=True, slots=True)
class Resume:
    """What somebody needs who comes back to the work, or comes to it."""

    far: HowFar
    open: tuple[OpenItem, ...]
    goal: Goal | None
    """Where the strip goes; ``None`` in a rebuild, or if no goal is described."""
    next: tuple[Step, ...]
    left_minutes: float | None
    """Work and set-up left to the goal, or to the end of the rebuild [minutes]."""
    stuck: tuple[str, ...] = ()
    """Why nothing can be planned, in words."""


def resume(
    state: State,
    log: LogFacts,
    now: datetime,
    *,
    steps: int = 5,
    settings: PlanSettings = _PLAN,
    open_settings: Settings = USUAL,
) -> Resume:
    """Say where things stand, what is open and what is next."""
    far = how_far(state)
    items = open_items(Situation(state, log, now, open_settings))
    goal = None if far.way is Way.REBUILD else goal_in_hand(state)
    plan: Plan | None = None
    stuck: tuple[str, ...] = ()
    try:
        if far.way is Way.REBUILD:
            plan = plan_rebuild(state.vehicle, state, settings)
        elif goal is not None:
            plan = plan_strip(state.vehicle, state, goal, settings)
    except ImpossibleGoal as error:
        stuck = error.reasons
    return Resume(
        far=far,
        open=items,
        goal=goal,
        next=plan.steps[:steps] if plan else (),
        left_minutes=plan.total_minutes if plan else None,
        stuck=stuck,
    )
