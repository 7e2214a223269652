"""The task of a strip: what is asked for, posed once, and how an answer is written down."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from putback.logbook.state import State
from putback.planning.bounds.bound import Bound, lower_bound
from putback.planning.ordering.price import Priced
from putback.planning.ordering.put_off import in_force
from putback.planning.ordering.runs_out import warning_of_what_runs_out
from putback.planning.ordering.sooner import saying_what_comes_sooner
from putback.planning.ordering.steps import sketch_of, steps_of
from putback.planning.ordering.to_record import noting_what_to_record
from putback.planning.ordering.way import Stage
from putback.planning.plan import Plan, PlanSettings, Step
from putback.planning.posing.pose import pose, targets_of
from putback.planning.posing.problem import Clause, Problem
from putback.planning.search.field import Move, Rules
from putback.planning.weight.contradicted import saying_what_contradicts
from putback.progress import Progress
from putback.vehicle.goal import Goal, on_the_way
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Task:
    """A goal and what is before it, as a problem and its stages."""

    goal: Goal
    state: State
    problem: Problem
    stages: tuple[Stage, ...]

    @property
    def targets(self) -> tuple[Clause, ...]:
        """What all stages together ask for."""
        return tuple(target for stage in self.stages for target in stage.targets)

    def keeps_stages(self, moves: Sequence[Move]) -> bool:
        """Whether what an earlier goal keeps on stays on until that goal is reached."""
        place = {move: at for at, move in enumerate(moves)}
        for stage in self.stages[:-1]:
            done = [
                min((place[by] for by in target.any_of if by in place), default=len(place))
                for target in stage.targets
            ]
            reached = max(done, default=-1)
            if any(place.get(index, reached + 1) <= reached for index in stage.barred):
                return False
        return True


def set_task(vehicle: Vehicle, state: State, goal: Goal, settings: PlanSettings) -> Task:
    """Pose the strip from the state to a goal, the goals before it first."""
    posed = pose(vehicle, state, {*goal.on, goal.datum})
    problem = replace(posed, put_off=in_force(state, settings.today))
    return Task(goal, state, problem, tuple(_stages(problem, state, goal)))


def _stages(problem: Problem, state: State, goal: Goal) -> Iterator[Stage]:
    """Give the goal and those to be reached before it, the first first."""
    for each in on_the_way(problem.vehicle.goals, goal):
        kept = {*each.on, each.datum}
        barred = (i for i, node in enumerate(problem.nodes) if node.unit and node.parts & kept)
        yield Stage(each.name, targets_of(problem, state, each), frozenset(barred))


def bound_of(task: Task, plan: Plan, settings: PlanSettings, progress: Progress) -> Bound:
    """The bound of a task: the one that a plan of it came with, if it did."""
    if plan.bound_minutes is None or plan.unavoidable_minutes is None:
        return lower_bound(task.problem, task.targets, settings, progress)
    return Bound(plan.bound_minutes, plan.unavoidable_minutes)


def written(task: Task, rules: Rules, priced: Sequence[Priced], bound: Bound) -> Plan:
    """Write priced moves down as the plan that answers the task."""
    steps = steps_of(rules, priced, task.targets)
    vehicle, state = task.problem.vehicle, task.state
    warned = warning_of_what_runs_out(vehicle, state, steps)
    noted = noting_what_to_record(vehicle, state, warned)
    goals = [stage.targets for stage in task.stages]
    noted = saying_what_comes_sooner(task.problem, goals, task.keeps_stages, rules, priced, noted)
    return _plan(task, saying_what_contradicts(vehicle, state, noted), bound)


def sketched(task: Task, rules: Rules, priced: Sequence[Priced], bound: Bound) -> Plan:
    """Write them down without a word of why: quick, and enough to compare with other plans."""
    return _plan(task, sketch_of(rules, priced), bound)


def _plan(task: Task, steps: tuple[Step, ...], bound: Bound) -> Plan:
    start = task.problem.start
    return Plan(
        goal=task.goal.id,
        steps=steps,
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        bound_minutes=bound.minutes,
        start=start or (steps[0].standing if steps else None),
        unavoidable_minutes=bound.unavoidable_minutes,
    )
