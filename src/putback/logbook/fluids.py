"""Which fluids are out, by what was logged of them and of the jobs that drain them."""

from putback.logbook.state import State
from putback.vehicle.ids import FluidId
from putback.vehicle.vehicle import Vehicle


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
