"""Strip, rebuild and reach, of the demo and of a generated vehicle of 400 parts."""

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
from putback.vehicle.generate import generate
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, part_ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.describe import describe


def run() -> Iterator[Figure]:
    """Measure planning."""
    yield from _measure("the demo", demo_vehicle(), 1.0)
    yield from _measure("400 parts", generate(400, seed=7), 3.0)


def _measure(name: str, vehicle: Vehicle, limit_s: float) -> Iterator[Figure]:
    bodies: list[Body] = list(describe(vehicle))
    state = fold(entry(n, body) for n, body in enumerate(bodies)).state()
    goal = max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    deepest = max(vehicle.parts, key=lambda part: len(vehicle.joints_of[part]))
    plan = plan_strip(vehicle, state, goal)
    bound = plan.bound_minutes or 0.0
    yield figure(
        f"strip of {name}, {len(plan.steps)} steps",
        timed(lambda: plan_strip(vehicle, state, goal), runs=3),
        limit_s=limit_s,
        note=f"plan {plan.total_minutes:.0f} min, bound {bound:.0f} min",
    )
    yield figure(
        f"reach {deepest} of {name}",
        timed(lambda: reach(vehicle, state, part_ref(deepest)), runs=3),
        limit_s=limit_s,
    )
    stripped = _done(bodies, vehicle, plan)
    rebuilt = plan_rebuild(vehicle, stripped)
    yield figure(
        f"rebuild of {name}, {len(rebuilt.steps)} steps",
        timed(lambda: plan_rebuild(vehicle, stripped), runs=3),
        limit_s=limit_s,
    )


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
