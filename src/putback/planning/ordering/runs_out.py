"""What runs out where a strip opens a circuit, or takes off what keeps a fluid in, undrained.

That a fluid is drained first is for facts to say. Where nobody said so the step warns of it: who
described what is in a tank need not have thought of the order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from putback.logbook.fluids import is_fluid_out, pours_of
from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import AssemblyId, FluidId, JobId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

_CARRY = frozenset({PartKind.PIPE, PartKind.HOSE})


def warning_of_what_runs_out(
    vehicle: Vehicle, state: State, steps: Sequence[Step]
) -> tuple[Step, ...]:
    """Caution on the first step that lets each fluid out that is in, and that no step drained."""
    left = {each: None for each in vehicle.fluids if not is_fluid_out(vehicle, state, each)}
    let_out = {each: frozenset(_let_out_by(vehicle, each)) for each in left}
    drains = pours_of(vehicle).drains
    told: list[Step] = []
    for step in steps:
        kind, identity = split_ref(step.what)
        if kind == "job":
            for fluid in drains.get(JobId(identity), ()):
                left.pop(fluid, None)
        deeds = () if step.action is Action.CRACK else frozenset(_deeds(vehicle, step))
        out = [fluid for fluid in left if not let_out[fluid].isdisjoint(deeds)]
        for fluid in out:
            del left[fluid]
        cautions = tuple(_words(vehicle, fluid) for fluid in out)
        told.append(replace(step, cautions=(*step.cautions, *cautions)) if out else step)
    return tuple(told)


def _let_out_by(vehicle: Vehicle, fluid: FluidId) -> Iterator[Ref]:
    """What lets a fluid out: a pipe or hose of its circuit undone, a part off that keeps it in.

    Of other openings nobody knows whether they lie above what is in: the hole of a distributor.
    """
    for joint in circuit_joints(vehicle, fluid):
        record = vehicle.joints.get(joint)
        known = (vehicle.parts.get(part) for part in (record.parts if record else ()))
        if any(part is not None and part.kind in _CARRY for part in known):
            yield joint_ref(joint)
    yield from map(part_ref, vehicle.fluids[fluid].leaks_if_off)


def _deeds(vehicle: Vehicle, step: Step) -> Iterator[Ref]:
    """What a step does, a whole part by part."""
    yield step.what
    kind, identity = split_ref(step.what)
    if kind == "assembly":
        yield from map(part_ref, vehicle.assemblies[AssemblyId(identity)].parts)


def _words(vehicle: Vehicle, fluid: FluidId) -> str:
    record = vehicle.fluids[fluid]
    hazard = f" ({record.hazard})" if record.hazard else ""
    return f"{record.name} is still in and runs out here{hazard}: drain it first"
