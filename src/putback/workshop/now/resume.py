"""Picking up again after days or years: where things stand and what is next."""

from dataclasses import dataclass
from datetime import datetime

from putback.errors import ImpossibleGoal
from putback.logbook.entries.base import LogbookId
from putback.logbook.open_items import OpenItem, open_items
from putback.logbook.state import State
from putback.planning.ahead import Line, Sort, look_ahead
from putback.planning.impossible.exhaust import NoOrderFound
from putback.planning.plan import Plan, Step
from putback.planning.stretch import BestStretch, best_stretch
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.at_hand import AtHand, plan_at_hand
from putback.workshop.plans.how_far import HowFar, Way, goal_in_hand, how_far

_HINTS = (Sort.SOAK, Sort.ORDER, Sort.BORROW, Sort.ASK)
"""What cannot be made up for on the day: oil, parcels, gear and people, to be known of before."""


@dataclass(frozen=True, slots=True)
class Resume:
    """What somebody needs who comes back to the work, or comes to it."""

    far: HowFar
    open: tuple[OpenItem, ...]
    goal: Goal | None
    """Where the strip goes; ``None`` in a rebuild, or if no goal is described."""
    next: tuple[Step, ...]
    left_minutes: float | None
    """Work and set-up left to the goal, or to the end of the rebuild [minutes].

    ``None`` where nobody estimated any of it.
    """
    stuck: tuple[str, ...] = ()
    """Why nothing can be planned, in words."""
    could_be: tuple[str, ...] = ()
    """What would have to be otherwise: each of them is enough."""
    hour: BestStretch | None = None
    """What of it to do in the time at hand, where somebody said how long that is."""
    left_jobs: int = 0
    """Of how many steps that is."""
    ahead: tuple[Line, ...] = ()
    """The most pressing of what to soak, order and ask people for now."""


def resume(
    workshop: Workshop,
    logbook: LogbookId,
    now: datetime | None = None,
    progress: Progress = NoProgress(),
    *,
    steps: int = 5,
    minutes: float | None = None,
    people: int | None = None,
) -> Resume:
    """Say where things stand, what is open and what is next.

    ``minutes`` is the time at hand, if what fits into it is wanted [minutes], and ``people`` how
    many are there.
    """
    situation = situation_of(workshop, logbook, now)
    state = situation.state
    far = how_far(state)
    goal = None if far.way is Way.REBUILD else goal_in_hand(state)
    work: AtHand | None = None
    stuck: tuple[str, ...] = ()
    could_be: tuple[str, ...] = ()
    try:
        if far.way is Way.REBUILD or goal is not None:
            work = plan_at_hand(workshop, logbook, goal, progress)
    except ImpossibleGoal as error:
        stuck, could_be = error.reasons, error.changes
    except NoOrderFound as error:
        stuck = (str(error),)
    hour: BestStretch | None = None
    plan = work.plan if work else None
    if work is not None and minutes is not None:
        hour = best_stretch(
            state.vehicle,
            state,
            work.plan,
            minutes,
            people=people,
            progress=progress,
            settings=work.settings,
        )
    return Resume(
        far=far,
        open=open_items(situation),
        goal=goal,
        next=plan.steps[:steps] if plan else (),
        left_minutes=plan.total_minutes if plan and _is_timed(plan) else None,
        stuck=stuck,
        could_be=could_be,
        hour=hour,
        left_jobs=len(plan.steps) if plan else 0,
        ahead=_hints(state, plan) if plan else (),
    )


def _is_timed(plan: Plan) -> bool:
    """Whether anybody said how long anything takes; or nothing is left, which takes no time."""
    return not plan.steps or any(step.minutes for step in plan.steps)


def _hints(state: State, plan: Plan) -> tuple[Line, ...]:
    """The first line of each sort that wants time."""
    found = look_ahead(state.vehicle, state, plan)
    first = (found.of(sort)[:1] for sort in _HINTS)
    return tuple(line for lines in first for line in lines)
