"""What of cost puts one thing before another where no fact does: the other order, planned as well.

The strip is planned once more under one fact more, that the other comes first, and the two plans
are compared. That is honest as far as both plans are good ones: neither is proven the best.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from putback.errors import ImpossibleGoal
from putback.logbook.state import State
from putback.planning.plan import Plan, PlanSettings
from putback.planning.strip import plan_strip
from putback.progress import NoProgress, Progress
from putback.vehicle.facts import Before, HarderAfter
from putback.vehicle.goal import Goal
from putback.vehicle.ids import FactId, Ref
from putback.vehicle.vehicle import Vehicle

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
    goal: Goal,
    plan: Plan,
    first: Ref,
    then: Ref,
    settings: PlanSettings,
    progress: Progress = NoProgress(),
) -> OtherOrder | ImpossibleGoal:
    """Plan with ``then`` before ``first``, and compare with the plan at hand.

    Gives the error, with the smallest set of facts, if that order contradicts them.
    """
    fact = Before(_ASKED, then, first, "to see what it would cost")
    supposed = vehicle.with_records(befores={**vehicle.befores, fact.id: fact})
    try:
        other = plan_strip(supposed, replace(state, vehicle=supposed), goal, settings, progress)
    except ImpossibleGoal as error:
        return error
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
            if _lengthens(fact, other) and not _lengthens(fact, plan)
        ),
    )


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
