"""Questions asked again and again while working: each of the demo, of 400 and of 1,500 parts.

A question is asked of a vehicle as found; its limits are in `LIMITS_S`, one for each vehicle.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache

from benchmarks.logbooks import entry
from benchmarks.measure import Figure, figure, timed
from putback.logbook.fold import fold
from putback.logbook.state import State
from putback.planning.ahead import Horizon, look_ahead
from putback.planning.alternatives import plan_alternatives
from putback.planning.always import always_before
from putback.planning.balance_over import balance_over, worst
from putback.planning.impossible.contradict import smallest_contradiction
from putback.planning.not_now import what_it_costs
from putback.planning.ordering.task import set_task
from putback.planning.plan import Plan, PlanSettings
from putback.planning.posing.pose import pose, targets_of
from putback.planning.replan import replan
from putback.planning.stretch import best_stretch
from putback.planning.strip import plan_strip
from putback.planning.ties import ties
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, Ref, part_ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.describe import describe

VEHICLES: Mapping[str, Callable[[], Vehicle]] = {
    "the demo": demo_vehicle,
    "400 parts": lambda: generate(400, seed=7),
    "1,500 parts": lambda: generate(1500, seed=7),
}
LIMITS_S: Mapping[str, float] = {"the demo": 1.0, "400 parts": 0.5, "1,500 parts": 15.0}
WHY_LIMITS_S: Mapping[str, float] = {**LIMITS_S, "400 parts": 3.0}
RUNS = 5


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked; ``ask`` gives what came of it, in a few words.

    It is asked of the vehicles that have a limit.
    """

    name: str
    ask: Callable[[Vehicle, State], str]
    limits_s: Mapping[str, float] = field(default_factory=lambda: LIMITS_S)


def _ties(vehicle: Vehicle, state: State) -> str:
    """Lift the part with the most joints, but for what it is lifted off."""
    found = ties(vehicle, state, _most_joined(vehicle))
    return f"{len(found.ties)} ties, {len(found.along)} go along, {len(found.cut.joints)} to undo"


def _most_joined(vehicle: Vehicle) -> Ref:
    datums = {goal.datum for goal in vehicle.goals.values()}
    movable: list[PartId] = [part for part in vehicle.parts if part not in datums]
    return part_ref(max(movable, key=lambda part: len(vehicle.joints_of[part])))


def _ahead(vehicle: Vehicle, state: State) -> str:
    """Look ahead over the whole plan, which is made once."""
    found = look_ahead(vehicle, state, _plan(vehicle, state), Horizon(everything=True))
    return f"{len(found.lines)} lines over {found.sittings} sittings"


def _stretch(vehicle: Vehicle, state: State) -> str:
    """Find what fits into an evening of the plan, which is made once."""
    found = best_stretch(vehicle, state, _plan(vehicle, state), 240.0).stretch
    return f"{len(found.steps)} steps in {found.minutes:.0f} min" if found else "nothing fits"


def _balance(vehicle: Vehicle, state: State) -> str:
    """Work out the balance after every step of the plan, which is made once."""
    steps = balance_over(vehicle, state, _plan(vehicle, state))
    least = worst(steps)
    margin = "no margin" if least is None else f"{least.after.margin_m or 0.0:.2f} m at least"
    return f"{len(steps)} steps, {margin}"


def _why(vehicle: Vehicle, state: State) -> str:
    """Why the first step of the plan comes before its last, or the other way round."""
    plan = _plan(vehicle, state)
    task = set_task(vehicle, state, _goal(vehicle), PlanSettings())
    first, then = plan.steps[0].what, plan.steps[-1].what
    found = always_before(task.problem, task.targets, first, then)
    back = always_before(task.problem, task.targets, then, first)
    chain = found or back
    return f"{len(chain.chain)} links, {len(chain.change)} to change" if chain else "no chain"


def _contradiction(vehicle: Vehicle, state: State) -> str:
    """Keep on a part that is in the way of one that is to come off."""
    goal = _goal(vehicle)
    off = {step.what for step in _plan(vehicle, state).steps}
    kept = next(
        fact.any_of[0]
        for fact in vehicle.obstructions.values()
        if len(fact.any_of) == 1 and {part_ref(fact.any_of[0]), fact.of} <= off
    )
    asked = replace(goal, on=(*goal.on, kept), off=tuple(p for p in goal.off if p != kept))
    problem = pose(vehicle, state, {*asked.on, asked.datum})
    found = smallest_contradiction(problem, targets_of(problem, state, asked))
    proven = "the smallest" if found.smallest else "not proven the smallest"
    return f"{len(found.facts)} facts, {proven}"


def _replan(vehicle: Vehicle, state: State) -> str:
    """Go on with the plan, which is made once."""
    found = replan(vehicle, state, _goal(vehicle), _plan(vehicle, state))
    return f"{len(found.plan.steps)} steps, {'kept' if found.kept else 'planned anew'}"


def _not_now(vehicle: Vehicle, state: State) -> str:
    """Put off what is next in the plan, which is made once."""
    plan = _plan(vehicle, state)
    cost = what_it_costs(vehicle, state, _goal(vehicle), plan.steps[0].what, usual=plan)
    return f"{len(cost.waiting)} wait, {cost.minutes_more:.0f} min more"


def _alternatives(vehicle: Vehicle, state: State) -> str:
    """Look for other plans than that which is made once."""
    usual = _plan(vehicle, state)
    found = plan_alternatives(vehicle, state, _goal(vehicle), usual=usual)
    return f"{len(found)} of them"


def _goal(vehicle: Vehicle) -> Goal:
    """The goal that leaves least on."""
    return max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))


@cache
def _plans() -> dict[str, Plan]:
    return {}


def _plan(vehicle: Vehicle, state: State) -> Plan:
    """The strip that leaves least on; planning itself is measured elsewhere."""
    known = _plans()
    if vehicle.about.id not in known:
        known[vehicle.about.id] = plan_strip(vehicle, state, _goal(vehicle))
    return known[vehicle.about.id]


QUESTIONS = (
    Question("ties", _ties),
    Question("ahead", _ahead),
    Question("stretch", _stretch, WHY_LIMITS_S),
    Question("go on with the plan", _replan, WHY_LIMITS_S),
    Question("not now", _not_now, WHY_LIMITS_S),
    Question("alternatives", _alternatives, {"the demo": 1.0}),
    Question("balance over the strip", _balance),
    Question("why before", _why, WHY_LIMITS_S),
    Question("what contradicts", _contradiction, WHY_LIMITS_S),
)
"""Every question that is measured here."""


def run() -> Iterator[Figure]:
    """Ask each question of each vehicle."""
    for name, make in VEHICLES.items():
        vehicle = make()
        state = fold(entry(n, body) for n, body in enumerate(describe(vehicle))).state()
        for question in (each for each in QUESTIONS if name in each.limits_s):
            note = question.ask(vehicle, state)
            spent = timed(lambda: question.ask(vehicle, state), runs=RUNS)  # noqa: B023 - now
            yield figure(
                f"{question.name} of {name}", spent, limit_s=question.limits_s[name], note=note
            )
