"""Which fluids are out, and which have air in them, by entries of their own and by jobs done."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from putback.logbook.common import Said
from putback.logbook.state import FluidState, State
from putback.vehicle.circuit import bled_fluids, circuit_joints
from putback.vehicle.ids import FluidId, JobId, JointId
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Pours:
    """The fluids that each job lets out, and those that it fills; only jobs that do either."""

    drains: Mapping[JobId, tuple[FluidId, ...]]
    fills: Mapping[JobId, tuple[FluidId, ...]]

    def after(self, job: JobId, full: frozenset[FluidId]) -> frozenset[FluidId]:
        """Give the fluids that are in after a job, of those that were."""
        return (full - set(self.drains.get(job, ()))) | set(self.fills.get(job, ()))


def pours_of(vehicle: Vehicle) -> Pours:
    """Tell what each job drains, by the fluid's word or its own, and what it fills."""
    drains: dict[JobId, dict[FluidId, None]] = {}
    fills: dict[JobId, tuple[FluidId, ...]] = {}
    for fluid in vehicle.fluids.values():
        if fluid.drained_by is not None:
            drains.setdefault(fluid.drained_by, {})[fluid.id] = None
    for job in vehicle.jobs.values():
        if job.fluid is not None and job.kind is JobKind.DRAIN:
            drains.setdefault(job.id, {})[job.fluid] = None
        elif job.fluid is not None and job.kind is JobKind.FILL:
            fills[job.id] = (job.fluid,)
    return Pours({job: tuple(fluids) for job, fluids in drains.items()}, fills)


def fluid_of(vehicle: Vehicle, state: State, fluid: FluidId) -> FluidState:
    """Give what was last said of a fluid: by entries of its own, or by jobs that are done.

    As the fold has it: one that was drained last was neither filled nor bled since.
    """
    seen = state.fluids.get(fluid) or FluidState(fluid)
    jobs = {kind: set[JobId]() for kind in (JobKind.DRAIN, JobKind.FILL, JobKind.BLEED)}
    for job in vehicle.jobs.values():
        if job.fluid == fluid and job.kind in jobs:
            jobs[job.kind].add(job.id)
    record = vehicle.fluids.get(fluid)
    if record is not None and record.drained_by is not None:
        jobs[JobKind.DRAIN].add(record.drained_by)
    drained = _last(seen.drained, state, jobs[JobKind.DRAIN])
    filled = _last(seen.filled, state, jobs[JobKind.FILL])
    bled = _last(seen.bled, state, jobs[JobKind.BLEED])
    if drained is not None and filled is not None and filled.key <= drained.key:
        filled = None
    since = [said.key for said in (drained, filled) if said is not None]
    if bled is not None and bled is not seen.bled and any(bled.key < key for key in since):
        bled = seen.bled
    return replace(seen, drained=drained, filled=filled, bled=bled)


def _last(said: Said | None, state: State, jobs: Collection[JobId]) -> Said | None:
    """What was said last: the entry, or that one of the jobs was done."""
    done = (state.jobs[job].done for job in jobs if job in state.jobs)
    return max(filter(None, (said, *done)), key=lambda each: each.key, default=None)


def is_fluid_out(vehicle: Vehicle, state: State, fluid: FluidId) -> bool:
    """Whether a fluid was drained, by itself or by a job, and not filled since."""
    return fluid_of(vehicle, state, fluid).is_out


def fluids_in(vehicle: Vehicle, state: State) -> frozenset[FluidId]:
    """Give the fluids that were not drained, or were filled since."""
    return frozenset(vehicle.fluids) - fluids_out(vehicle, state)


def fluids_out(vehicle: Vehicle, state: State) -> frozenset[FluidId]:
    """Give the fluids that are drained, or whose draining job is done, and not filled since."""
    return frozenset(fluid for fluid in vehicle.fluids if is_fluid_out(vehicle, state, fluid))


def closed_again(vehicle: Vehicle, state: State, joint: JointId) -> Said | None:
    """Give by which entry a joint was closed that had been open; ``None`` if none did.

    Who only notes the torque of what nobody undid, cracked or took a part off from opened nothing.
    """
    cell = state.joints.get(joint)
    if cell is None or cell.closed is None:
        return None
    parts = vehicle.joints[joint].parts if joint in vehicle.joints else ()
    moved = (state.parts[part] for part in parts if part in state.parts)
    was_open = cell.times_made or cell.cracked or any(each.off or each.on for each in moved)
    return cell.closed if was_open else None


@dataclass(frozen=True, slots=True)
class Air:
    """What let air into a circuit since it was last bled."""

    filled: Said | None
    closed: Mapping[JointId, Said]
    """Joints of the circuit that were made again."""


def air_in(vehicle: Vehicle, state: State, fluid: FluidId) -> Air | None:
    """Tell what let air into a hydraulic circuit, one that a job bleeds; ``None`` if nothing did.

    Of a fluid that is out nothing is told: once it is filled it has to be bled.
    """
    if fluid not in bled_fluids(vehicle):
        return None
    seen = fluid_of(vehicle, state, fluid)
    if seen.is_out:
        return None
    bled = seen.bled.key if seen.bled is not None else None
    made = {
        joint: closed
        for joint in circuit_joints(vehicle, fluid)
        if (closed := closed_again(vehicle, state, joint)) is not None
        and (bled is None or closed.key > bled)
    }
    filled = seen.filled
    if filled is not None and bled is not None and filled.key < bled:
        filled = None
    return Air(filled, made) if filled or made else None
