"""What lets a fluid out in a strip: an end of its pipes opened, a part off that keeps it in."""

from collections.abc import Iterator

from putback.vehicle.circuit import circuit_joints
from putback.vehicle.ids import FluidId, Ref, joint_ref, part_ref
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

_CARRY = frozenset({PartKind.PIPE, PartKind.HOSE})


def let_out_by(vehicle: Vehicle, fluid: FluidId) -> Iterator[Ref]:
    """Give what lets a fluid out: a pipe or hose of its circuit undone, or a part off.

    Of other openings nobody knows whether they lie above what is in: the hole of a distributor.
    """
    for joint in circuit_joints(vehicle, fluid):
        record = vehicle.joints.get(joint)
        known = (vehicle.parts.get(part) for part in (record.parts if record else ()))
        if any(part is not None and part.kind in _CARRY for part in known):
            yield joint_ref(joint)
    yield from map(part_ref, vehicle.fluids[fluid].leaks_if_off)
