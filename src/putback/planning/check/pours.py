"""When a fluid was let out and filled: by entries of its own, and by jobs that are done."""

from collections.abc import Iterator

from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.ids import FluidId, JobId, JointId
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


def drained_at(vehicle: Vehicle, state: State, fluid: FluidId) -> list[Key]:
    """Give each time that somebody let it out."""
    seen = state.fluids.get(fluid)
    own = [seen.drained.key] if seen and seen.drained else []
    record = vehicle.fluids.get(fluid)
    by = {record.drained_by} if record and record.drained_by else set()
    return own + list(_done(state, by | set(_jobs(vehicle, fluid, JobKind.DRAIN))))


def filled_at(vehicle: Vehicle, state: State, fluid: FluidId) -> list[Key]:
    """Give each time that somebody filled it."""
    seen = state.fluids.get(fluid)
    own = [seen.filled.key] if seen and seen.filled else []
    return own + list(_done(state, set(_jobs(vehicle, fluid, JobKind.FILL))))


def is_out(vehicle: Vehicle, state: State, fluid: FluidId) -> bool:
    """Whether it was let out, and not filled since."""
    outs, ins = drained_at(vehicle, state, fluid), filled_at(vehicle, state, fluid)
    return bool(outs) and (not ins or max(ins) <= max(outs))


def lets_out(vehicle: Vehicle, fluid: FluidId) -> frozenset[JointId]:
    """Give the joints that let it out: what openings name, and all ends of what carries it.

    A pipe or hose does that has an opening of this fluid; of a circuit that is bled, also one that
    meets it in a joint.
    """
    named = [each for each in vehicle.openings.values() if each.fluid == fluid]
    open_at = {joint for each in named for joint in each.joints}
    is_bled = any(_jobs(vehicle, fluid, JobKind.BLEED))
    before = -1
    while before != len(open_at):
        before = len(open_at)
        for run in vehicle.runs.values():
            kind = vehicle.parts[run.part].kind.value if run.part in vehicle.parts else ""
            meets = is_bled and any(
                run.part in vehicle.joints[joint].parts
                for joint in open_at
                if joint in vehicle.joints
            )
            if kind in ("pipe", "hose") and (meets or any(e.part == run.part for e in named)):
                open_at |= {end.joint for end in run.ends}
    return frozenset(open_at)


def _jobs(vehicle: Vehicle, fluid: FluidId, kind: JobKind) -> Iterator[JobId]:
    return (job.id for job in vehicle.jobs.values() if job.kind is kind and job.fluid == fluid)


def _done(state: State, jobs: set[JobId]) -> Iterator[Key]:
    for job in jobs & state.jobs.keys():
        done = state.jobs[job].done
        if done is not None:
            yield done.key
