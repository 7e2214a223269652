"""Which steps of a plan are done at a bench: all that they work on is off the vehicle."""

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
    return tuple(_at_bench(vehicle, state, steps))


def _at_bench(vehicle: Vehicle, state: State, steps: Sequence[Step]) -> Iterator[bool]:
    off = set(state.parts_off)
    for step in steps:
        if step.action in (Action.TAKE_OFF, Action.PUT_ON):
            kind, identity = split_ref(step.what)
            whole = vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
            parts = whole.parts if whole else (PartId(identity),)
            (off.update if step.action is Action.TAKE_OFF else off.difference_update)(parts)
            yield False
        else:
            parts = _worked_on(vehicle, step)
            yield bool(parts) and off.issuperset(parts)


def _worked_on(vehicle: Vehicle, step: Step) -> tuple[PartId, ...]:
    """The parts that a step works on; none where it has its place at the vehicle, or elsewhere."""
    kind, identity = split_ref(step.what)
    if kind == "part":
        return (PartId(identity),)
    if kind == "joint" and JointId(identity) in vehicle.joints:
        return vehicle.joints[JointId(identity)].parts
    job = vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    if job is None or job.standings or job.kind in _ELSEWHERE:
        return ()
    joints = (vehicle.joints[each] for each in job.joints if each in vehicle.joints)
    return (*job.parts, *(part for joint in joints for part in joint.parts))
