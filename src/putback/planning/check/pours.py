"""When a fluid was let out and filled: by entries of its own, and by jobs that are done."""

from collections.abc import Iterator

from putback.logbook.order import Key
from putback.logbook.state import State
from putback.vehicle.ids import FluidId, JobId
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


def _jobs(vehicle: Vehicle, fluid: FluidId, kind: JobKind) -> Iterator[JobId]:
    return (job.id for job in vehicle.jobs.values() if job.kind is kind and job.fluid == fluid)


def _done(state: State, jobs: set[JobId]) -> Iterator[Key]:
    for job in jobs & state.jobs.keys():
        done = state.jobs[job].done
        if done is not None:
            yield done.key
