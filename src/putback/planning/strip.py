"""Plan the strip: a feasible, explained order from the state to the goal.

First the way is chosen (whole or piecewise, this cover or that one) by least work, then the chosen
steps are arranged over the standings, put in sequence and improved; then the same for the ways
that differ by one whole, since set-up may tip the balance. `docs/numbers-planning.md` says how the
numbers are computed.
"""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import suppress
from dataclasses import replace
from threading import Event

from putback.logbook.state import State
from putback.planning.bounds.beside import lower_bound_beside
from putback.planning.bounds.bound import Bound, lower_bound
from putback.planning.ordering.improve import improve
from putback.planning.ordering.keep import fitted
from putback.planning.ordering.price import CannotBeDone, Priced, price
from putback.planning.ordering.put_off import in_stages
from putback.planning.ordering.task import Task, set_task, written
from putback.planning.ordering.way import (
    Stage,
    Way,
    arranged,
    choose_stages,
    find_way,
    over_a_cheaper_walk,
)
from putback.planning.plan import USUAL, Plan, PlanSettings
from putback.planning.posing.problem import Kind, Problem, as_one
from putback.planning.search.arrange import bouts_of
from putback.planning.search.choose import Contradiction, closure
from putback.planning.search.field import Rules
from putback.progress import NoProgress, Progress, Stoppable
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

_MOST_RIVALS = 4
"""Wholes whose other way is tried as well, at most."""

_RIVAL_NODES = 1000
"""So many nodes may be arranged again for them together, lest a large vehicle waits for it."""

_LONG = 300
"""Steps that may be wanted from which the bound is found beside the order, on another core."""

_LOOK_AROUND_S = 0.05
"""How often it is looked whether somebody wants it to end while the bound is waited for [s]."""


def plan_strip(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    settings: PlanSettings = USUAL,
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
        What set-up costs, [minutes], how surely the vehicle is to stand, [m], and the day.
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
    task = set_task(vehicle, state, goal, settings)
    wanted = closure(task.problem, task.targets)
    if sum(task.problem.nodes[index].kind.is_step for index in wanted) < _LONG:
        rules, priced = _ordered(task, settings, progress)
        bound = lower_bound(task.problem, task.targets, settings, progress)
    else:
        rules, priced, bound = _ordered_and_bounded(task, settings, progress)
    return written(task, rules, priced, bound)


def _ordered_and_bounded(
    task: Task, settings: PlanSettings, progress: Progress
) -> tuple[Rules, Sequence[Priced], Bound]:
    """Find an order, and the bound beside it on another core, for neither hangs on the other."""
    # Numba cannot be loaded while another thread loads anything.
    import putback.planning.ordering.anneal  # noqa: F401

    ended = Event()
    with ThreadPoolExecutor(1) as beside:
        bounding = beside.submit(
            lower_bound_beside, task.problem, task.targets, settings, Stoppable(ended.is_set)
        )
        try:
            rules, priced = _ordered(task, settings, progress)
            while not wait([bounding], _LOOK_AROUND_S).done:
                progress.step(0, None, "finding what every plan takes at least")
        finally:
            ended.set()
        return rules, priced, bounding.result()


def _ordered(
    task: Task, settings: PlanSettings, progress: Progress
) -> tuple[Rules, Sequence[Priced]]:
    """Find a way, and improve its order."""
    best = _best_way(task.problem, task.stages, settings, progress)
    return _improved(task, best, settings, progress)


def _improved(
    task: Task, way: Way, settings: PlanSettings, progress: Progress
) -> tuple[Rules, Sequence[Priced]]:
    """Improve the order of a way, and where it lets something pass, try to do without that."""
    rules, priced = way.rules, improve(way.rules, way.bouts, settings, progress=progress)
    if rules.waived:
        return _letting_nothing_pass(task, way, priced, settings) or (rules, priced)
    return rules, priced


def _letting_nothing_pass(
    task: Task, way: Way, priced: Sequence[Priced], settings: PlanSettings
) -> tuple[Rules, tuple[Priced, ...]] | None:
    """Do what would hang or tip once it does not, though that be after a goal on the way.

    The rest keeps its order; ``None`` if that cannot be done.
    """
    split = in_stages(task.problem, [way.rules.wanted], task.problem.put_off, way.behind)
    strict = Rules(task.problem, split.stages, late=split.late, settings=settings)
    placed = fitted(strict, [(each.move, each.standing) for each in priced])
    if placed is None or not task.keeps_stages([move for move, _ in placed]):
        return None
    with suppress(CannotBeDone):
        return strict, price(strict, bouts_of(placed), settings)
    return None


def _best_way(
    problem: Problem, stages: Sequence[Stage], settings: PlanSettings, progress: Progress
) -> Way:
    """Choose by least work, then look whether set-up speaks for another way with some whole.

    In the end it is looked for a cheaper walk over the standings.
    """
    best = find_way(problem, stages, settings, progress, held=True)
    wanted = closure(problem, [target for stage in stages for target in stage.targets])
    wholes = [i for i in sorted(wanted) if problem.nodes[i].kind is Kind.WHOLE]
    tried = {frozenset(best.rules.wanted)}
    for whole in wholes[: min(_MOST_RIVALS, _RIVAL_NODES // max(len(wanted), 1))]:
        try:
            rival = choose_stages(problem, list(_turned(problem, stages, best, whole)), progress)
        except Contradiction:
            continue
        nodes = frozenset(index for each in rival for index in each.nodes)
        if nodes in tried:  # to turn another whole came to the same
            continue
        tried.add(nodes)
        way = arranged(problem, stages, rival, settings, progress, best.how)
        if way is not None and _rank(way) < _rank(best):
            best = way
    return over_a_cheaper_walk(problem, stages, best, settings, progress)


def _rank(way: Way) -> tuple[int, int, float]:
    """Which of two ways is better: what is put off comes last, nothing hangs; then by minutes."""
    return len(way.behind), len(way.rules.waived), way.total_minutes


def _turned(problem: Problem, stages: Sequence[Stage], best: Way, whole: int) -> Iterator[Stage]:
    """Ask for the other way with a whole: apart if it went as one, else as one."""
    taken = whole in best.rules.wanted
    asked = False
    for stage in stages:
        if taken:
            yield replace(stage, barred=stage.barred | {whole})
        elif not asked and whole in closure(problem, stage.targets) - stage.barred:
            asked = True
            yield replace(stage, targets=(*stage.targets, as_one(whole)))
        else:
            yield stage
