"""Plan the strip: a feasible, explained order from the state to the goal.

First the way is chosen (whole or piecewise, this cover or that one) by least work, then the chosen
steps are arranged over the standings, put in sequence and improved; then the same for the ways
that differ by one whole, since set-up may tip the balance. `docs/numbers-planning.md` says how the
numbers are computed.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from putback.logbook.state import State
from putback.planning.bound import lower_bound
from putback.planning.choose import Contradiction, closure
from putback.planning.improve import improve
from putback.planning.plan import Because, Plan, PlanSettings
from putback.planning.pose import pose, targets_of
from putback.planning.problem import Cause, Clause, Kind, Problem
from putback.planning.steps import steps_of
from putback.planning.way import Stage, Way, arranged, choose_stages, find_way
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

_MOST_RIVALS = 4
"""Wholes whose other way is tried as well."""

_DEFAULT = PlanSettings()


def plan_strip(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    settings: PlanSettings = _DEFAULT,
    progress: Progress = NoProgress(),
) -> Plan:
    """Plan the strip from the state to a goal, the goals before it first.

    Parameters
    ----------
    vehicle : Vehicle
        What the vehicle is made of.
    state : State
        What is done already, and how the vehicle stands.
    goal : Goal
        What is to be off, what is to stay on, and which jobs are to be done.
    settings : PlanSettings
        What a change of zone or tool costs, [minutes].
    progress : Progress
        Told how far it is; may stop the work.

    Raises
    ------
    ImpossibleGoal
        If facts and goal contradict each other; names the facts.
    NoOrderFound
        If no order was found although nothing proves that there is none.
    Stopped
        If `progress` wants the work to end.
    """
    problem = pose(vehicle, state, {*goal.on, goal.datum})
    stages = tuple(_stages(problem, state, goal))
    best = _best_way(problem, stages, settings, progress)
    priced = improve(best.rules, best.bouts, settings, progress=progress)
    targets = tuple(target for stage in stages for target in stage.targets)
    steps = steps_of(best.rules, priced, targets)
    bound = lower_bound(problem, targets, settings, progress)
    return Plan(
        goal=goal.id,
        steps=steps,
        work_minutes=sum(step.minutes for step in steps),
        setup_minutes=sum(step.setup_minutes for step in steps),
        bound_minutes=bound.minutes,
        start=problem.start or (steps[0].standing if steps else None),
        unavoidable_minutes=bound.unavoidable_minutes,
    )


def _stages(problem: Problem, state: State, goal: Goal) -> Iterator[Stage]:
    """Give the goal and those to be reached before it, the first first."""
    chain = [goal]
    goals = problem.vehicle.goals
    while (before := chain[0].after) and (earlier := goals.get(before)) and earlier not in chain:
        chain.insert(0, earlier)
    for each in chain:
        kept = {*each.on, each.datum}
        barred = (i for i, node in enumerate(problem.nodes) if node.unit and node.parts & kept)
        yield Stage(each.name, targets_of(problem, state, each), frozenset(barred))


def _best_way(
    problem: Problem, stages: Sequence[Stage], settings: PlanSettings, progress: Progress
) -> Way:
    """Choose by least work, then look whether set-up speaks for another way with some whole."""
    best = find_way(problem, stages, settings, progress)
    wanted = closure(problem, [target for stage in stages for target in stage.targets])
    wholes = [i for i in sorted(wanted) if problem.nodes[i].kind is Kind.WHOLE]
    for whole in wholes[:_MOST_RIVALS]:
        try:
            rival = choose_stages(problem, list(_turned(problem, stages, best, whole)), progress)
        except Contradiction:
            continue
        way = arranged(problem, rival, settings, progress)
        if way is not None and way.total_minutes < best.total_minutes:
            best = way
    return best


def _turned(problem: Problem, stages: Sequence[Stage], best: Way, whole: int) -> Iterator[Stage]:
    """Ask for the other way with a whole: apart if it went as one, else as one."""
    taken = whole in best.rules.wanted
    asked = False
    for stage in stages:
        if taken:
            yield replace(stage, barred=stage.barred | {whole})
        elif not asked and whole in closure(problem, stage.targets) - stage.barred:
            asked = True
            as_one = Clause((whole,), Cause(Because.GOAL, "as one"))
            yield replace(stage, targets=(*stage.targets, as_one))
        else:
            yield stage
