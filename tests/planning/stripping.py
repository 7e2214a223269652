"""Short ways to plan a strip and to read the plan."""

import pytest

from putback.errors import ImpossibleGoal
from putback.planning.check import check_strip
from putback.planning.plan import Action, PlanSettings
from putback.planning.strip import plan_strip
from tests.makers import standing
from tests.planning.hand_made import state_of

SETTINGS = PlanSettings()


def planned(v, goal=None, settings=SETTINGS, **state):
    """A plan, held against the rules."""
    goal = goal or next(iter(v.goals.values()))
    now = state_of(v, **state)
    plan = plan_strip(v, now, goal, settings)
    assert check_strip(v, now, goal, plan, settings) == ()
    assert plan.bound_minutes <= plan.total_minutes + 1e-9
    return plan


def lines(plan) -> list[str]:
    """The steps as text."""
    at = [f" @ {step.standing}" if step.standing else "" for step in plan.steps]
    return [f"{s.action} {s.what}{where}" for s, where in zip(plan.steps, at, strict=True)]


def place(plan, what: str, action: Action | None = None) -> int:
    """Where in the plan a thing is done."""
    return next(
        n for n, s in enumerate(plan.steps) if s.what == what and action in (None, s.action)
    )


def refusal(v, goal=None, **state) -> ImpossibleGoal:
    """What the planner says to an impossible goal."""
    with pytest.raises(ImpossibleGoal) as refused:
        plan_strip(v, state_of(v, **state), goal or next(iter(v.goals.values())))
    return refused.value


WHEELS = standing("wheels", "wheel", stands=30.0)


STANDS = standing("stands", "frame", wheels=30.0)
