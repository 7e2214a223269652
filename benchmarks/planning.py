"""Strip, rebuild and reach, of the demo and of generated vehicles of 400 and 1,500 parts."""

from collections.abc import Iterator

from benchmarks.logbooks import entry
from benchmarks.measure import Figure, figure, timed
from putback.logbook.entries.base import Body
from putback.logbook.entries.working import JobDone, JointUndone, PartOff
from putback.logbook.fold import fold
from putback.logbook.state import State
from putback.planning.plan import Action, Plan
from putback.planning.reach import reach
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.generate import Act, Drawn, draw, generate
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.describe import describe

MOST_GAP = 0.25
"""How far a plan of a generated vehicle may be above the bound, of avoidable cost [-]."""


def run() -> Iterator[Figure]:
    """Measure planning."""
    yield from _measure("the demo", demo_vehicle(), 1.0, runs=3)
    yield from _measure("400 parts", generate(400, seed=7), 3.0, most_gap=MOST_GAP)
    for seed in (1, 2):
        vehicle = generate(400, seed)
        yield _strip(
            f"400 parts, seed {seed}", vehicle, state_described(vehicle), 3.0, 1, MOST_GAP
        )[0]
    drawn = draw(1500, seed=7)
    large = drawn.vehicle
    yield _strip("1,500 parts", large, state_described(large), 15.0, 1, None)[0]
    yield _rebuild("1,500 parts", large, _stripped(drawn), 15.0, 1)


def state_described(vehicle: Vehicle) -> State:
    """Give the state of a vehicle of which nothing but its description is logged."""
    return fold(entry(n, body) for n, body in enumerate(describe(vehicle))).state()


def _strip(
    name: str, vehicle: Vehicle, state: State, limit_s: float, runs: int, most_gap: float | None
) -> tuple[Figure, Plan]:
    """Measure the strip to the goal that asks for most."""
    goal = max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    plans: list[Plan] = []
    spent = timed(lambda: plans.append(plan_strip(vehicle, state, goal)), runs=runs)
    plan = plans[-1]
    bound, once = plan.bound_minutes or 0.0, plan.unavoidable_minutes or 0.0
    gap = "none" if plan.avoidable_gap is None else f"{plan.avoidable_gap:.0%}"
    note = (
        f"plan {plan.total_minutes:.0f} min, bound {bound:.0f} min; "
        f"avoidable {plan.total_minutes - once:.0f} and {bound - once:.0f} min, gap {gap}"
    )
    return figure(
        f"strip of {name}, {len(plan.steps)} steps",
        spent,
        limit_s=limit_s,
        note=note,
        avoidable_gap=plan.avoidable_gap,
        most_gap=most_gap,
    ), plan


def _measure(
    name: str, vehicle: Vehicle, limit_s: float, *, runs: int = 1, most_gap: float | None = None
) -> Iterator[Figure]:
    bodies: list[Body] = list(describe(vehicle))
    state = state_described(vehicle)
    deepest = max(vehicle.parts, key=lambda part: len(vehicle.joints_of[part]))
    strip, plan = _strip(name, vehicle, state, limit_s, runs, most_gap)
    yield strip
    yield figure(
        f"reach {deepest} of {name}",
        timed(lambda: reach(vehicle, state, part_ref(deepest)), runs=3),
        limit_s=0.5,
    )
    yield _rebuild(name, vehicle, _done(bodies, vehicle, plan), limit_s, runs)


def _rebuild(name: str, vehicle: Vehicle, stripped: State, limit_s: float, runs: int) -> Figure:
    """Measure the rebuild of all that is apart."""
    plans: list[Plan] = []
    spent = timed(lambda: plans.append(plan_rebuild(vehicle, stripped)), runs=runs)
    return figure(f"rebuild of {name}, {len(plans[-1].steps)} steps", spent, limit_s=limit_s)


def _stripped(drawn: Drawn) -> State:
    """Log a strip in the order hidden in a generated vehicle, and give the state after it."""
    done: list[Body] = list(describe(drawn.vehicle))
    for step in drawn.steps:
        identity = split_ref(step.ref)[1]
        match step.act:
            case Act.UNDO:
                done.append(JointUndone(joint=JointId(identity)))
            case Act.OFF:
                done.append(PartOff(part=PartId(identity)))
            case Act.DO:
                done.append(JobDone(job=JobId(identity)))
            case Act.CRACK:
                pass  # what is cracked is undone in a later stage
    return fold(entry(n, body) for n, body in enumerate(done)).state()


def everything_apart() -> State:
    """Log the whole strip of the demo as planned, and give the state after it."""
    vehicle = demo_vehicle()
    state = state_described(vehicle)
    goal = max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    return _done(list(describe(vehicle)), vehicle, plan_strip(vehicle, state, goal))


def _done(bodies: list[Body], vehicle: Vehicle, plan: Plan) -> State:
    """Log a strip as planned, and give the state after it."""
    done = list(bodies)
    for step in plan.steps:
        kind, _, identity = step.what.partition(":")
        if step.action is Action.UNDO:
            done.append(JointUndone(joint=JointId(identity)))
        elif step.action is Action.DO:
            done.append(JobDone(job=JobId(identity)))
        elif step.action is Action.TAKE_OFF and kind == "part":
            done.append(PartOff(part=PartId(identity)))
        elif step.action is Action.TAKE_OFF:
            whole = AssemblyId(identity)
            done += [PartOff(part=part, whole=whole) for part in vehicle.assemblies[whole].parts]
    return fold(entry(n, body) for n, body in enumerate(done)).state()
