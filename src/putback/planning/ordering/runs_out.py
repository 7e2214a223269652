"""What runs out where a strip opens a circuit, or takes off what keeps a fluid in, undrained.

Petrol and brake fluid are drained first; of what else is in that is for facts to say. Where it is
not drained, for want of a job or a fact, the step warns of it.
"""

from collections.abc import Sequence
from dataclasses import replace

from putback.logbook.fluids import is_fluid_out, pours_of
from putback.logbook.state import State
from putback.planning.known import things_of
from putback.planning.let_out import let_out_by
from putback.planning.plan import Action, Step
from putback.vehicle.ids import FluidId, JobId, split_ref
from putback.vehicle.vehicle import Vehicle


def warning_of_what_runs_out(
    vehicle: Vehicle, state: State, steps: Sequence[Step]
) -> tuple[Step, ...]:
    """Caution on the first step that lets each fluid out that is in, and that no step drained."""
    left = {each: None for each in vehicle.fluids if not is_fluid_out(vehicle, state, each)}
    let_out = {each: frozenset(let_out_by(vehicle, each)) for each in left}
    drains = pours_of(vehicle).drains
    told: list[Step] = []
    for step in steps:
        kind, identity = split_ref(step.what)
        if kind == "job":
            for fluid in drains.get(JobId(identity), ()):
                left.pop(fluid, None)
        deeds = () if step.action is Action.CRACK else things_of(vehicle, step.what)
        out = [fluid for fluid in left if not let_out[fluid].isdisjoint(deeds)]
        for fluid in out:
            del left[fluid]
        cautions = tuple(_words(vehicle, fluid) for fluid in out)
        told.append(replace(step, cautions=(*step.cautions, *cautions)) if out else step)
    return tuple(told)


def _words(vehicle: Vehicle, fluid: FluidId) -> str:
    record = vehicle.fluids[fluid]
    hazard = f" ({record.hazard})" if record.hazard else ""
    return f"{record.name} is still in and runs out here{hazard}: drain it first"
