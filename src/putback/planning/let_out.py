"""What lets a fluid out in a strip: an end of its pipes opened, a part off that keeps it in."""

from collections.abc import Iterator

from putback.vehicle.circuit import pipe_joints
from putback.vehicle.ids import FluidId, Ref, joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle


def let_out_by(vehicle: Vehicle, fluid: FluidId) -> Iterator[Ref]:
    """Give what lets a fluid out: a pipe or hose of its circuit undone, or a part off."""
    yield from map(joint_ref, pipe_joints(vehicle, fluid))
    yield from map(part_ref, vehicle.fluids[fluid].leaks_if_off)
