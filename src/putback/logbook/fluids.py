"""Which fluids are out, by what was logged of them and of the jobs that drain them."""

from collections.abc import Mapping
from dataclasses import dataclass

from putback.logbook.state import State
from putback.vehicle.ids import FluidId, JobId
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Pours:
    """The fluids that each job lets out, and those that it fills; only jobs that do either."""

    drains: Mapping[JobId, tuple[FluidId, ...]]
    fills: Mapping[JobId, tuple[FluidId, ...]]


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


def is_fluid_out(vehicle: Vehicle, state: State, fluid: FluidId) -> bool:
    """Whether a fluid was drained, by itself or by its job, and not filled since."""
    seen = state.fluids.get(fluid)
    drain = vehicle.fluids[fluid].drained_by
    job = state.jobs.get(drain) if drain is not None else None
    drained = [each for each in (seen and seen.drained, job and job.done) if each]
    filled = seen.filled if seen is not None else None
    return any(filled is None or filled.key <= each.key for each in drained)


def fluids_out(vehicle: Vehicle, state: State) -> frozenset[FluidId]:
    """Give the fluids that are drained, or whose draining job is done, and not filled since."""
    return frozenset(fluid for fluid in vehicle.fluids if is_fluid_out(vehicle, state, fluid))
