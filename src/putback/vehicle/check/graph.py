"""The parts as a graph, joined by joints."""

from collections.abc import Iterable, Iterator, Set
from itertools import chain

from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.vehicle import Vehicle


def inner_joints(vehicle: Vehicle, assembly: Assembly) -> Iterator[JointId]:
    """Name the joints that may stay made while an assembly is out: all their parts are in it."""
    parts = {*assembly.parts}
    return (joint.id for joint in vehicle.joints.values() if parts.issuperset(joint.parts))


def reached_from(
    vehicle: Vehicle,
    starts: Iterable[PartId],
    *,
    among: Set[PartId] | None = None,
    by: Iterable[JointId] | None = None,
) -> set[PartId]:
    """Follow joints from some parts, through parts of ``among`` only, by joints of ``by`` only."""
    allowed = vehicle.parts.keys() if among is None else among
    joints = None if by is None else frozenset(by)
    reached = {part for part in starts if part in allowed}
    frontier = list(reached)
    while frontier:
        next_ones = chain.from_iterable(
            vehicle.joints[joint].parts
            for joint in vehicle.joints_of.get(frontier.pop(), ())
            if joints is None or joint in joints
        )
        for part in next_ones:
            if part in allowed and part not in reached:
                reached.add(part)
                frontier.append(part)
    return reached
