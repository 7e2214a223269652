"""What of cost puts one thing before another where no fact does: the other order, planned as well.

It is planned once more under one fact more, that the other comes first, and the two plans are
compared. Of a strip the order at hand is kept to as far as that fact allows, and improved a
little: the difference is what that fact costs. Both plans are good ones, neither is proven the
best.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import pairwise

from putback.errors import ImpossibleGoal
from putback.logbook.state import State
from putback.planning.impossible.exhaust import NoOrderFound
from putback.planning.ordering.improve import improve
from putback.planning.ordering.keep import left_of
from putback.planning.ordering.price import CannotBeDone
from putback.planning.ordering.task import bound_of, set_task, written
from putback.planning.plan import Plan, PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.replan import keep_order
from putback.planning.search.arrange import bouts_of
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.facts import Before, HarderAfter, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import FactId, Ref
from putback.vehicle.vehicle import Vehicle

_EFFORT = 0.12
"""How much of the usual effort the other order is improved with [-]."""
_ASKED = FactId("asked: the other order")


@dataclass(frozen=True, slots=True)
class Costs:
    """What a plan takes, by what it is for; all in [minutes]."""

    work_minutes: float = 0.0
    standing_minutes: float = 0.0
    zone_minutes: float = 0.0
    tool_minutes: float = 0.0
    helper_minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class OtherOrder:
    """The plan in which the other comes first, and how much longer it takes, by what it is for.

    Less than nothing is saved. ``harder`` are the facts that make work longer in that plan only.
    """

    plan: Plan
    longer_minutes: float
    more: Costs
    harder: tuple[HarderAfter, ...]


def other_order(
    vehicle: Vehicle,
    state: State,
    goal: Goal | None,
    plan: Plan,
    first: Ref,
    then: Ref,
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> OtherOrder | ImpossibleGoal | None:
    """Plan with ``then`` before ``first``, and compare with the plan at hand.

    Without a goal that is the rebuild's. Gives the error, with the smallest set of facts, if that
    order contradicts them; nothing if no order was found though nothing forbids one.
    """
    phase = Phase.STRIP if goal is not None else Phase.REBUILD
    fact = Before(_ASKED, then, first, "to see what it would cost", phase)
    supposed = vehicle.with_records(befores={**vehicle.befores, fact.id: fact})
    now = replace(state, vehicle=supposed)
    try:
        if goal is None:
            other = plan_rebuild(supposed, now, settings, progress)
        else:
            other = _near(plan, supposed, now, goal, settings, progress)
    except ImpossibleGoal as error:
        return error
    except NoOrderFound:
        return None
    here, there = costs(plan, settings), costs(other, settings)
    return OtherOrder(
        plan=other,
        longer_minutes=other.total_minutes - plan.total_minutes,
        more=Costs(
            there.work_minutes - here.work_minutes,
            there.standing_minutes - here.standing_minutes,
            there.zone_minutes - here.zone_minutes,
            there.tool_minutes - here.tool_minutes,
            there.helper_minutes - here.helper_minutes,
        ),
        harder=tuple(
            fact
            for fact in vehicle.harder_afters.values()
            if goal is not None and _lengthens(fact, other) and not _lengthens(fact, plan)
        ),
    )


def _near(
    plan: Plan,
    vehicle: Vehicle,
    state: State,
    goal: Goal,
    settings: PlanSettings,
    progress: Progress,
) -> Plan:
    """Plan the strip close to another plan."""
    task = set_task(vehicle, state, goal, settings)
    kept = keep_order(task, left_of(task.problem, plan.steps), settings, progress)
    if kept is None:
        return plan_strip(vehicle, state, goal, settings, progress)
    best = kept.priced
    with suppress(CannotBeDone):
        improved = improve(kept.rules, bouts_of(kept.wishes), settings, _EFFORT, progress)
        if task.keeps_stages([each.move for each in improved]):
            best = improved
    # What no plan goes below, none with one fact more does.
    return written(task, kept.rules, best, bound_of(task, plan, settings, progress))


def costs(plan: Plan, settings: PlanSettings) -> Costs:
    """Split what a plan takes: changes of zone and tool and calls for helpers are counted."""
    zones = [step.zone for step in plan.steps if step.zone is not None]
    tools = [step.tool for step in plan.steps if step.tool]
    zone = settings.zone_minutes * _changes(zones)
    tool = settings.tool_minutes * _changes(tools)
    many = [False, *(step.crew > 1 for step in plan.steps)]
    calls = sum(now and not before for before, now in pairwise(many))
    helper = settings.helper_minutes * calls
    return Costs(plan.work_minutes, plan.setup_minutes - zone - tool - helper, zone, tool, helper)


def _changes(visited: Sequence[str]) -> int:
    return sum(a != b for a, b in pairwise(visited))


def _lengthens(fact: HarderAfter, plan: Plan) -> bool:
    """Whether a fact makes work longer in a plan: its job after what it gets harder by."""
    place = {step.what: at for at, step in enumerate(plan.steps)}
    if fact.factor is None or fact.factor == 1 or fact.job not in place:
        return False
    after = fact.after in place and place[fact.after] < place[fact.job]
    return after == (fact.factor > 1)
