"""What it costs to put a thing off: minutes, changes of standing, what waits, what can be done."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import takewhile

from putback.logbook.common import Common, NotNow, Said
from putback.logbook.entries.base import EntryId, PersonId, Subject
from putback.logbook.entries.judging import Hindrance
from putback.logbook.state import State
from putback.planning.again.differ import figures
from putback.planning.known import things_of
from putback.planning.ordering.keep import left_of
from putback.planning.ordering.put_off import late_nodes
from putback.planning.ordering.task import bound_of, set_task, written
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.planning.rebuild import plan_rebuild
from putback.planning.replan import keep_order
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, Ref, split_ref
from putback.vehicle.vehicle import Vehicle

_LATEST = 2**62
"""Later than any clock [ms]."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What changes if a thing is put off; times in [minutes].

    ``waiting`` are the things that come after it and need it, ``other_minutes`` what can be done
    before any of them, in ``other_jobs`` steps, ``next`` the first job of the plan without it.
    ``plan`` is that plan; sums of minutes mean nothing where none of its steps has any.
    """

    what: Ref
    plan: Plan
    minutes_more: float
    standings_more: int
    waiting: tuple[Ref, ...]
    other_minutes: float
    other_jobs: int
    next: Step | None
    in_plan: bool = True
    """Whether the goal needs it at all."""

    @property
    def is_timed(self) -> bool:
        """Whether any step has minutes on record."""
        return any(step.minutes for step in self.plan.steps)

    @property
    def all_waits(self) -> bool:
        """Whether nothing can be done before it."""
        return self.in_plan and self.next is None


def what_it_costs(
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    what: Ref,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    usual: Plan | None = None,
) -> Cost:
    """Say what it costs to put a joint, part, assembly or job off, all else in its order.

    Parameters
    ----------
    vehicle, state, goal, settings, progress
        As for `plan_strip`; of the state nothing is changed.
    what : Ref
        What would be put off.
    usual : Plan, optional
        The plan that is followed; else that of `plan_strip`.

    Raises
    ------
    ImpossibleGoal, NoOrderFound, Stopped
        As `plan_strip` does.
    """
    before = usual or plan_strip(vehicle, state, goal, settings, progress)
    supposed = _put_off(state, what)
    task = set_task(vehicle, supposed, goal, settings)
    left = left_of(task.problem, before.steps)
    order = keep_order(task, left, settings, progress)
    if order is None:
        plan = plan_strip(vehicle, supposed, goal, settings, progress)
        moves = [move for move, _ in left_of(task.problem, plan.steps)]
    else:
        bound = bound_of(task, before, settings, progress)
        plan = written(task, order.rules, order.priced, bound)
        moves = [move for move, _ in order.wishes]
    late = late_nodes(task.problem, {move for move in moves if move >= 0}, {what})
    nodes = task.problem.nodes
    own = {index for index in late if what in (nodes[index].what, *nodes[index].clears)}
    first = next((at for at, move in enumerate(moves) if move in late), None)
    waiting = (nodes[move].what for move in moves if move in late - own)
    return _cost(what, before, plan, waiting, plan.steps[:first], in_plan=bool(own))


def what_it_costs_in_rebuild(
    vehicle: Vehicle,
    state: State,
    what: Ref,
    settings: PlanSettings = USUAL,
    progress: Progress = NoProgress(),
    *,
    usual: Plan | None = None,
) -> Cost:
    """Say what it costs to put something off that goes back.

    Parameters
    ----------
    usual : Plan, optional
        The rebuild as it is planned; else that of `plan_rebuild`.

    Raises
    ------
    ImpossibleGoal, Stopped
        As `plan_rebuild` does.
    """
    before = usual or plan_rebuild(vehicle, state, settings, progress)
    plan = plan_rebuild(vehicle, _put_off(state, what), settings, progress)
    own = [step.what for step in plan.steps if what in things_of(vehicle, step.what)]
    behind = dict.fromkeys(_behind(vehicle, state, plan, own))
    waiting = [each for each in behind if each not in own]
    late = {*own, *waiting}
    before_it = tuple(takewhile(lambda step: step.what not in late, plan.steps))
    ahead = before_it if own else plan.steps
    return _cost(what, before, plan, waiting, ahead, in_plan=bool(own))


def _cost(
    what: Ref,
    before: Plan,
    plan: Plan,
    waiting: Iterable[Ref],
    ahead: Sequence[Step],
    *,
    in_plan: bool,
) -> Cost:
    """Hold the plan in which it is put off against the one before; ``ahead`` comes before it."""
    return Cost(
        what=what,
        plan=plan,
        minutes_more=plan.total_minutes - before.total_minutes,
        standings_more=figures(plan).standing_changes - figures(before).standing_changes,
        waiting=tuple(dict.fromkeys(waiting)),
        other_minutes=sum(step.minutes + step.setup_minutes for step in ahead),
        other_jobs=len(ahead),
        next=ahead[0] if ahead else None,
        in_plan=in_plan,
    )


def _behind(vehicle: Vehicle, state: State, plan: Plan, first: Collection[Ref]) -> Iterator[Ref]:
    """What comes after these things however far: by a reason, or as it touches nothing else."""
    late = set(first)
    on = set(vehicle.parts).difference(state.parts_off)
    for step in plan.steps:  # every reason speaks of an earlier step
        parts = {PartId(split_ref(each)[1]) for each in things_of(vehicle, step.what)}
        if step.action is Action.PUT_ON:
            joints = (joint for part in parts for joint in vehicle.joints_of.get(part, ()))
            touched = {part for joint in joints for part in vehicle.joints[joint].parts} - parts
            is_late = bool(touched) and on.isdisjoint(touched)
        else:
            is_late = False
        if is_late or any(reason.first in late for reason in step.reasons):
            late.add(step.what)
            yield step.what
        elif step.what not in late:
            on |= parts


def _put_off(state: State, what: Ref) -> State:
    """The same state, with a thing put off."""
    said = Said(EntryId(""), PersonId(""), ((_LATEST, 0, 0, ""),))
    common = Common(put_off=NotNow(said, Hindrance.NOT_TODAY))
    return replace(state, others={**state.others, Subject(what): common})
