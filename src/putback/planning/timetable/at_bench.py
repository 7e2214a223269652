"""What is off the vehicle as a plan goes on, and which steps are done to it, at a bench."""

from collections.abc import Iterator, Sequence

from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, JobId, JointId, PartId, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

BENCH = "bench"

_ELSEWHERE = {JobKind.CURE, JobKind.MOVE, JobKind.PROVE, JobKind.RUN, JobKind.WEIGH}
"""Not at a bench though it is off: it is laid away to dry, carried, offered up, run, weighed."""


def steps_at_bench(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> tuple[bool, ...]:
    """Say of each step whether it is done at a bench.

    A joint between parts that are off, such as those of a whole that came out as one; a job on
    parts that are off, unless the vehicle has to stand some way for it.
    """
    return tuple(
        not _is_elsewhere(vehicle, step) and bool(parts) and off.issuperset(parts)
        for step, off in zip(steps, off_before(vehicle, state, steps), strict=True)
        for parts in [worked_on(vehicle, step)]
    )


def off_before(
    vehicle: Vehicle, state: State, steps: Sequence[Step]
) -> Iterator[frozenset[PartId]]:
    """Give the parts that are off before each step of a plan."""
    off = frozenset(state.parts_off)
    for step in steps:
        yield off
        if step.action in (Action.TAKE_OFF, Action.PUT_ON):
            kind, identity = split_ref(step.what)
            whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
            parts = whole.parts if whole else (PartId(identity),)
            off = off.union(parts) if step.action is Action.TAKE_OFF else off.difference(parts)


def worked_on(vehicle: Vehicle, step: Step) -> tuple[PartId, ...]:
    """The parts that a step works on, but for taking them off and putting them on."""
    kind, identity = split_ref(step.what)
    if step.action in (Action.TAKE_OFF, Action.PUT_ON):
        return ()
    if kind == "part":
        return (PartId(identity),)
    if kind == "joint" and JointId(identity) in vehicle.joints:
        return vehicle.joints[JointId(identity)].parts
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    if job is None:
        return ()
    joints = (vehicle.joints[each] for each in job.joints if each in vehicle.joints)
    return (*job.parts, *(part for joint in joints for part in joint.parts))


def _is_elsewhere(vehicle: Vehicle, step: Step) -> bool:
    """Whether it has its place at the vehicle, or where there is no bench."""
    kind, identity = split_ref(step.what)
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    return job is not None and (bool(job.standings) or job.kind in _ELSEWHERE)
