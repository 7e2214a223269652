"""When a plan reaches the goals on the way to its own, told from the plan alone."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.planning.known import things_of
from putback.planning.plan import Plan
from putback.vehicle.goal import Goal, on_the_way
from putback.vehicle.ids import GoalId, job_ref, part_ref
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Reached:
    """A goal on the way: reached with so many steps, after so long [minutes]."""

    goal: GoalId
    steps: int
    minutes: float


def reached(vehicle: Vehicle, plan: Plan) -> tuple[Reached, ...]:
    """Give the goals on the way for which there is something to do in a plan, the first first."""
    own = vehicle.goals.get(plan.goal) if plan.goal is not None else None
    earlier = on_the_way(vehicle.goals, own)[:-1] if own is not None else ()
    found = [each for goal in earlier for each in _reached(vehicle, plan, goal)]
    return tuple(sorted(found, key=lambda each: each.steps))


def _reached(vehicle: Vehicle, plan: Plan, goal: Goal) -> Iterator[Reached]:
    """When a goal is reached; nothing if that takes no step of the plan."""
    parts = goal.wanted_off(vehicle.parts)
    asked = {*map(part_ref, parts), *map(job_ref, goal.jobs)}
    minutes, last = 0.0, None
    for number, step in enumerate(plan.steps, 1):
        minutes += step.minutes + step.setup_minutes
        if not asked.isdisjoint(things_of(vehicle, step.what)):
            last = Reached(goal.id, number, minutes)
    if last is not None:
        yield last
