"""Which jobs and cracks of the logbook outlasted what was put together since (Words, *Done*)."""

from putback.logbook.order import Key
from putback.logbook.state import State
from putback.planning.check.pours import filled_at, is_out
from putback.vehicle.facts import Phase
from putback.vehicle.ids import FluidId, JobId, JointId, Ref, job_ref, joint_ref, part_ref
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


def still_done(vehicle: Vehicle, state: State) -> set[JobId]:
    """Give the jobs that count as done in the strip."""
    back, filled = _back(state), _filled(vehicle, state)
    lasting: set[JobId] = set()
    for job, seen in state.jobs.items():
        if seen.done is None:
            continue
        record = vehicle.jobs.get(job)
        ends: list[Key] = []
        if record and record.phase is not Phase.REBUILD and record.kind is not JobKind.SURVEY:
            own = record.fluid if record.kind is JobKind.DRAIN else None
            for fluid in vehicle.fluids.values():
                if fluid.drained_by == job or fluid.id == own:
                    ends += filled.get(fluid.id, ())
            for fact in vehicle.befores.values():
                if fact.first == job_ref(job) and fact.phase in (Phase.STRIP, Phase.BOTH):
                    ends += back.get(fact.then, ())
            for support in vehicle.temporary_supports.values():
                if support.first == job_ref(job):
                    ends += back.get(part_ref(support.bears_on), ())
            if record.kind is JobKind.CRACK:
                for joint in record.joints:
                    ends += back.get(joint_ref(joint), ())
        if all(end <= seen.done.key for end in ends):
            lasting.add(job)
    return lasting


def still_cracked(vehicle: Vehicle, state: State) -> set[JointId]:
    """Give the joints that were cracked, and not made since."""
    cracks = [(j, each.cracked.key) for j, each in state.joints.items() if each.cracked]
    for job, seen in state.jobs.items():
        record = vehicle.jobs.get(job)
        if seen.done and record and record.kind is JobKind.CRACK:
            cracks += [(joint, seen.done.key) for joint in record.joints]
    back = _back(state)
    return {j for j, key in cracks if all(end <= key for end in back.get(joint_ref(j), ()))}


def _back(state: State) -> dict[Ref, tuple[Key]]:
    """When each joint that is made, and each part that is on, was last put back."""
    made = {
        joint_ref(joint): (each.made.key,)
        for joint, each in state.joints.items()
        if each.made and each.out < each.of
    }
    on = {
        part_ref(p): (each.on.key,) for p, each in state.parts.items() if each.on and not each.off
    }
    return made | on


def _filled(vehicle: Vehicle, state: State) -> dict[FluidId, tuple[Key]]:
    """When each fluid that is in was last filled."""
    return {
        fluid: (max(times),)
        for fluid in vehicle.fluids
        if (times := filled_at(vehicle, state, fluid)) and not is_out(vehicle, state, fluid)
    }
