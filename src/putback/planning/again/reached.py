"""When a plan reaches the goals on the way to its own, told from the plan alone."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.planning.plan import Action, Plan, Step
from putback.vehicle.goal import Goal
from putback.vehicle.ids import AssemblyId, GoalId, Ref, job_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Reached:
    """A goal on the way: reached with so many steps, after so long [minutes]."""

    goal: GoalId
    steps: int
    minutes: float


def reached(vehicle: Vehicle, plan: Plan) -> tuple[Reached, ...]:
    """Give the goals on the way for which there is something to do in a plan, the first first."""
    found = [each for goal in _on_the_way(vehicle, plan) for each in _reached(vehicle, plan, goal)]
    return tuple(sorted(found, key=lambda each: each.steps))


def _on_the_way(vehicle: Vehicle, plan: Plan) -> list[Goal]:
    """The goals before a plan's own, the first first."""
    goals, chain = vehicle.goals, list[Goal]()
    own = goals.get(plan.goal) if plan.goal is not None else None
    at = own
    while at is not None and at.after is not None:
        at = goals.get(at.after)
        if at is None or at is own or at in chain:
            break
        chain.insert(0, at)
    return chain


def _reached(vehicle: Vehicle, plan: Plan, goal: Goal) -> Iterator[Reached]:
    """When a goal is reached; nothing if that takes no step of the plan."""
    parts = set(goal.off)
    if goal.off_rest:
        parts |= set(vehicle.parts).difference(goal.on, (goal.datum,))
    asked: set[Ref] = {*map(part_ref, parts), *map(job_ref, goal.jobs)}
    minutes, last = 0.0, None
    for number, step in enumerate(plan.steps, 1):
        minutes += step.minutes + step.setup_minutes
        if not asked.isdisjoint(_done(vehicle, step)):
            last = Reached(goal.id, number, minutes)
    if last is not None:
        yield last


def _done(vehicle: Vehicle, step: Step) -> set[Ref]:
    """The parts that a step takes off; else the job or joint that it deals with."""
    kind, identity = split_ref(step.what)
    if step.action is Action.TAKE_OFF and kind == "assembly":
        return set(map(part_ref, vehicle.assemblies[AssemblyId(identity)].parts))
    return {step.what}
